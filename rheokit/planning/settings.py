"""What of a planned job the force on the plunger rests on, each number with a little more of it, for an uncertainty budget."""

from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any

import numpy as np

from ..errors import DataError
from ..fitting.budget_exact import KELVIN, MORE, Setting
from ..limits import Case
from ..nomenclature import QUANTITIES

TO_BORE = "_to_bore"


def force_question(case: Case) -> Callable[..., Any]:
    """Return the question for the force that runs the job of a case [N], of a law and the extruder of it, at the flow of the plan."""
    flow = float(case.flow_rate)
    return lambda law, rig: rig.plunger_force(law, flow)


def force_settings(case: Case) -> tuple[Setting, ...]:
    """Return every number of the job of a case that its force rests on, each a `Setting`: what sets the flow, and how warm the paste is pushed.

    Parameters
    ----------
    case : Case
        Best values.

    Returns
    -------
    settings : tuple of Setting
        Of the nozzle as planned: a layer that is typed as a share of the bore is that share.
    """
    found = []
    for one in fields(case.job):  # type: ignore[arg-type]  # a job is a dataclass
        value = getattr(case.job, one.name)
        if isinstance(value, bool) or not isinstance(value, float | int) or not value or one.name.endswith("_error"):
            continue
        warm = one.name.endswith("_temperature")
        step = KELVIN if warm else MORE - 1
        try:
            job = replace(case.job, **{one.name: value + step if warm else value * MORE})  # type: ignore[type-var]
            moved = replace(case, job=job)
            if moved.flow_rate == case.flow_rate and not warm:
                continue
            ask, like = force_question(moved), moved.pressure_law
        except DataError:  # at the edge of what can be
            continue
        base = QUANTITIES.get(one.name.removesuffix(TO_BORE))
        unit = "-" if one.name.endswith(TO_BORE) or base is None else base.unit
        words = one.name.replace(TO_BORE, " over the bore").replace("_", " ")
        found.append(Setting(words, float(np.asarray(value)), unit, _seen(ask, like), step))
    return tuple(found)


def _seen(ask, like):
    return lambda law, rig: ask(like.of(law), rig)
