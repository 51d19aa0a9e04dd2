"""What will come out, each as a number that a bench can check, with limits that hold what it is asked of: the next batch, and the formula's own error.

These limits are wider than those of the median batch that a force is shown with elsewhere: what is observed is one batch, by one machine.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from ..inputs import trusted
from ..limits import LIMITS, Case, judge
from ..limits.base import Limit, quietly
from ..machine.extruder import Extruder
from ..part.job import FIBRE, Job
from ..part.printing import PrintJob
from ..part.shrinkage import stated_shrinkage
from ..paste.material import Material
from ..sampling import errors_of_limits, moves
from .asked import Asked, Known
from .chances import chance, held_too_seldom
from .standing import Standing, softened

DRAWS = 2000
NEXT = "the next batch, with the errors of law, machine and formula"
FORCE, START, WIDTH, HEIGHT = "force", "start force", "line width", "height that fails"
DRY_LENGTH, DRY_HEIGHT, WET_THREAD, DRY_THREAD = (
    "dry length",
    "dry height",
    "wet thread diameter",
    "dry thread diameter",
)
PRINTED, DRAWN = "printed", "drawn"
YES_OR_NO = (PRINTED, DRAWN)
AT_ONCE = "without a yield stress it starts at the friction of its plunger, which is as stated"
OUTSIDE = "outside the readings: {}"


class Predicted(NamedTuple):
    """One prediction.

    Attributes
    ----------
    quantity : str
        What is predicted, one of the words of this module.
    value, low, high : float
        Best value with its 95 % limits [N or m]; of what comes true or not its probability [-], limits NaN.
    holds : str
        What the limits hold, or which limits the probability is of.
    doubt : str
        Why it is to be doubted: failed checks, rates that were not read; nothing where it is not.
    errors : tuple of float
        Standard errors of the limits by the number of draws; NaN where none was drawn. [N or m]
    """

    quantity: str
    value: float
    low: float = float("nan")
    high: float = float("nan")
    holds: str = NEXT
    doubt: str = ""
    errors: tuple[float, float] = (float("nan"), float("nan"))


class Predictions(NamedTuple):
    """What can be predicted, and why the rest cannot, in words by quantity."""

    found: tuple[Predicted, ...]
    lacking: dict[str, str]


def predictions(
    material: Material,
    extruder: Extruder,
    job: Job,
    draws: int = DRAWS,
    seed: int = 0,
    standing: Standing | None = None,
) -> Predictions:
    """Return what a material, an extruder and a job will come to.

    Parameters
    ----------
    material, extruder, job
        As for `Case.of`.
    draws, seed : int
        Of the joint draws, as of a map.
    standing : Standing, optional
        The part, where it is printed of another paste than the material: that of a recipe.

    Returns
    -------
    predictions : Predictions
    """
    asked = Asked(material, extruder, job, draws, seed)
    found: list[Predicted] = []
    lacking: dict[str, str] = {}
    doubt = _doubt(asked.case)
    for name, limit, ask, lacks in _of_job(asked.case):
        if lacks:
            lacking[name] = lacks
        elif _is_open(asked.case, ask):
            lacking[name] = asked.case.not_identified
        else:
            (value, low, high), errors = _drawn(asked, limit, ask)
            found.append(Predicted(name, value, low, high, doubt=doubt, errors=errors))
    if isinstance(job, PrintJob):
        _add(_height(asked, standing), found, lacking)
    _add(_chance(asked, doubt), found, lacking)
    return Predictions(tuple(found), lacking)


def of_height(standing: Standing) -> Predictions:
    """Return at which height a part leans or its foot yields, whichever comes first, or what that lacks."""
    if standing.job.part_height is None:
        return Predictions((), {HEIGHT: "part_height not known"})
    case, limits = standing.case, [LIMITS["lean"], LIMITS["stack"]]
    if why := "; ".join(dict.fromkeys(why for limit in limits if (why := limit.missing(case)))):
        return Predictions((), {HEIGHT: why})
    with trusted():
        best = min(float(limit.high(case)) for limit in limits)
        heights = [limit.high(standing.drawn) / np.exp(limit.drawn_error(case, standing.normals)) for limit in limits]
        known = Known.of(best, np.minimum(*heights))
    return Predictions((Predicted(HEIGHT, known.value, known.low, known.high, doubt=_joined(case.caveats)),), {})


def _height(asked, standing):
    """Return what `of_height` says of the part, or of that which is printed of what is asked."""
    if standing is None:
        if why := softened(asked.material.paste):
            return Predictions((), {HEIGHT: why})
        standing = Standing(asked.material, asked.extruder, asked.job, asked.draws, asked.seed)
    return of_height(standing)


def of_drying(quantity: str, size: float, shrinkage: float, spread: float) -> Predicted:
    """Return the dry size [m] of a part whose drawing was scaled for it, of a linear shrinkage [-] and the standard deviation of its ln [-]."""
    known = stated_shrinkage(shrinkage, shrinkage * spread)
    wet = size * known.scale.value
    return Predicted(
        quantity, size, float(wet * (1 - known.high)), float(wet * (1 - known.low)), "the shrinkage as it is known"
    )


def _add(more, found, lacking):
    found += more.found
    lacking |= more.lacking


def _of_job(case: Case) -> list[tuple[str, Limit, Callable, str]]:
    """Return what is asked of a kind of job: name, the limit whose formula gives it, how it is asked, and what it lacks besides."""
    run, start, wound = LIMITS["drive force"], LIMITS["start after rest"], LIMITS["dry diameter"]
    starts = Limit.lacks(start, case) or ("" if case.has_strength else AT_ONCE)  # what the drive can do is not asked
    loose = "break_loose_friction not known" if case.extruder.break_loose_friction is None else ""
    asked: list[tuple[str, Limit, Callable, str]] = [
        (FORCE, run, lambda case: case.force, Limit.lacks(run, case)),
        (START, start, start.value, starts or loose or softened(case.paste)),
    ]
    if case.job.kind == FIBRE:
        strong = "a law with a yield stress is not drawn" if case.has_strength else ""
        return [
            *asked,
            (WET_THREAD, wound, lambda case: case.wet_diameter, strong),
            (DRY_THREAD, wound, lambda case: case.dry_diameter, strong or Limit.lacks(wound, case)),
        ]
    return [*asked, (WIDTH, LIMITS["line width"], lambda case: case.laid_width, "")]


def _is_open(case, ask):
    """Return whether what is asked differs between laws that the readings cannot tell apart."""
    return case.alike is not None and bool(np.any(moves(np.asarray(quietly(ask, case.alike), float))))


def _drawn(asked, limit, ask):
    """Return what is asked with the limits of its draws, off by the error of the formula but for what that leaves alone, and how these scatter."""
    exact_of = limit.exact_part if limit.name in ("drive force", "start after rest") else lambda case: 0.0
    with trusted():
        value, exact = ask(asked.drawn), exact_of(asked.drawn)
        error = np.exp(limit.drawn_error(asked.case, asked.normals))
        drawn = exact + (value - exact) * error
        return Known.of(np.squeeze(ask(asked.case)), drawn), errors_of_limits(drawn, asked.effective)


def _doubt(case):
    """Return what checks of the fit say, and which ranges of the readings the case leaves."""
    beside = [limit for limit in LIMITS.values() if limit.advice and limit.judges(case)]
    table = judge(case.without_caveats, beside) if beside else None
    left = [] if table is None else list(table[table.verdict == OUTSIDE.partition(":")[0]].label)
    return _joined([*case.caveats, *([OUTSIDE.format(", ".join(left))] if left else [])])


def _joined(doubts):
    """Return doubts as one, without the stop of the last, which whoever tells it sets."""
    return "; ".join(one.removesuffix(".") for one in doubts)


def _chance(asked, doubt):
    """Return the probability that it prints, or is drawn; not where a limit that can hurt stops it: nobody is to try that."""
    name = DRAWN if asked.job.kind == FIBRE else PRINTED
    alone = chance(asked.material, asked.extruder, asked.job, draws=asked.draws, seed=asked.seed)
    if alone.refused:
        said = (held_too_seldom(limit.label, float(alone.holds[limit.name][0, 0])) for limit in alone.refused)
        return Predictions((), {name: f"stopped, do not try it: {'; '.join(said)}"})
    if why := softened(asked.material.paste):
        return Predictions((), {name: why})
    judged = ", ".join(limit.name for limit in alone.limits)
    holds = " ".join(filter(None, [f"Every limit judged holds: {judged}.", alone.unjudged]))
    return Predictions((Predicted(name, float(alone.probability[0, 0]), holds=holds, doubt=doubt),), {})
