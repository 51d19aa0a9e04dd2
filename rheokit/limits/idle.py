"""Which assumed properties of a paste have no effect on anything that is judged of a job: they are named apart from those that have."""

from collections.abc import Collection
from dataclasses import replace

import numpy as np

from ..inputs import trusted
from .case import Case
from .judgement import judge

WATCHED = ("static_ratio", "lean_factor", "build_up_rate", "build_up_time", "surface_tension")
"""Properties that are usual ones unless somebody states them, and that nothing but limits of a job, its start and its stack ask for."""
RAISED = 1.1  # by this factor, to see whether anything judged moves
GROWTH = {"build_up_rate": 0.1, "build_up_time": 600.0}
"""What is tried of a growth that is taken as none, which both of them say: Pa/s and s."""


@trusted()
def idle(case: Case | None, names: Collection[str] = WATCHED) -> tuple[str, ...]:
    """Return which properties move no value that is judged of a case, best values, by their names.

    Parameters
    ----------
    case : Case, optional
        Of numbers. Without one nothing is judged, and none of them has an effect.
    names : collection of str
        Properties to try, each a field of `Paste`; others than `WATCHED` are passed over, since more than limits ask for them.
    """
    tried = [name for name in WATCHED if name in names]
    if case is None:
        return tuple(tried)
    case = replace(case, material=None)
    plain = _values(case)
    return tuple(name for name in tried if _alike(plain, _values(_raised(case, name))))


def _raised(case, name):
    value = getattr(case.paste, name)
    if value is None:
        return case
    if value == 0 and name in GROWTH:
        tried = {each: getattr(case.paste, each) or size for each, size in GROWTH.items()}
        return replace(case, paste=replace(case.paste, **tried))
    return replace(case, paste=replace(case.paste, **{name: RAISED * value}))


def _values(case):
    return judge(case)[["value", "low", "high"]].sort_index().to_numpy(float)


def _alike(first, second):
    return bool(np.allclose(first, second, rtol=1e-9, atol=0.0, equal_nan=True))
