"""To push the planned nozzle itself, at the flow that is planned: the reading that is nearest to what is asked of a force."""

from dataclasses import replace
from typing import Any

import numpy as np

from ..bench.force_run import ForceRun
from ..errors import DataError
from ..fitting import FitResult
from ..machine.extruder import Extruder
from ..nomenclature import written
from .candidate import NEAR, Candidate, cautions_of, foretold, one_row, shows_of

SHOWS = "a force through the planned nozzle that is not as computed: what was read went another way"


def planned_push(fit: FitResult, extruder: Extruder, flow_rate: float) -> tuple[Candidate, ...]:
    """Return the force through the planned nozzle at the planned flow as a candidate; none where it was read, or the law asks for a condition.

    Parameters
    ----------
    fit : FitResult
    extruder : Extruder
        As it is planned. Where a barrel as wide was read, friction and drag are those of that one.
    flow_rate : float
        As it is planned. [m3/s]
    """
    runs = [test for test in fit.tests if isinstance(test, ForceRun)]
    alike = [run for run in runs if np.isclose(run.extruder.barrel_diameter, extruder.barrel_diameter, rtol=NEAR)]
    if fit.law.depends_on or any(_was_read(run, extruder, flow_rate) for run in alike):
        return ()
    told: dict[str, Any] = {"flow_rate": np.array([flow_rate]), "read": "force"}
    # what a run of which the flow was read states, is of a flow [m3/s] and says nothing of a force [N]
    scatter: dict[str, Any] = {"uncertainty": None, "relative_uncertainty": ForceRun.usual_scatter, "error": "relative"}
    try:
        if alike:
            last = next((run for run in reversed(alike) if run.read == "force"), alike[-1])
            own = replace(last.extruder, nozzle=extruder.nozzle, fill_length=extruder.fill_length)
            gone = {name: None for name in ("stroke", "rest") if getattr(last, name) is not None}
            told |= {} if last.read == "force" else scatter
            record = one_row(last, 0, **told, **gone, extruder=own, force=np.array([_any_force(own)]))
        else:
            told |= scatter | {"model_error": ForceRun.default_model_error}
            told |= {"batch": fit.tests[-1].batch, "of_specimen": fit.tests[-1].of_specimen}
            record = ForceRun(extruder=extruder, force=np.array([_any_force(extruder)]), **told)
        record = foretold(fit, record)
    except DataError:  # a planned extruder that no reading can be made with: the other candidates stand
        return ()
    name = f"push the planned nozzle: {record.kind} at {written(flow_rate, 'flow_rate')}"
    return (
        Candidate(
            name, (record,), record.usual_minutes, shows_of(fit, record) or SHOWS, cautions_of(fit, (record,), name)
        ),
    )


def _any_force(extruder):
    return 2 * float(np.max(extruder.plunger_friction)) + 1.0


def _was_read(run, extruder, flow_rate):
    """Return whether the planned nozzle was pushed at the planned flow."""
    lands = [(one.segments[-1].length, one.bore) for one in (run.nozzle, extruder.nozzle)]
    return np.allclose(*lands, rtol=NEAR) and bool(np.any(np.isclose(run.flow_rate, flow_rate, rtol=NEAR)))
