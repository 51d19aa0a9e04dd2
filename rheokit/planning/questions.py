"""What may be asked of a fit before the next reading is chosen: each question by its words, as a function of law and extruder.

The paste of a `Case` is as warm and as stiff as it is pushed, as pages and scripts have it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from ..errors import DataError
from ..fitting import FitResult
from ..hints import Numbers, OfLaw
from ..laws import FlowLaw
from ..limits import LIMITS, Case
from ..machine.extruder import Extruder
from ..nomenclature import written
from .dry_reading import next_for_diameter
from .next_reading import next_reading
from .planned_push import planned_push
from .ranked_readings import NextReading

FORCE, START, HEIGHT, WATER, DIAMETER, YIELD, STRESS = (
    "force at this speed",
    "start force",
    "wall height",
    "water for a target",
    "dry diameter",
    "yield stress",
    "stress at the rate of use",
)
WATER_SLOPE = "water_slope"
LEAST = 1e-9  # Pa, in place of a yield stress of zero, whose logarithm is none


@dataclass(frozen=True, eq=False)
class Question:
    """Something that is asked of a fit: in words, as a function, of which extruder, in which unit.

    Attributes
    ----------
    name : str
    quantity : callable or None
        As in `FitResult.interval`; None where it cannot be asked.
    unit : str
        SI unit of its answer.
    extruder : Extruder or None
        That it is asked of.
    lacking : str
        Why it cannot be asked, in words; "" where it can.
    about : str
        What exactly is asked, with its numbers.
    answered : callable or None
        Answers what rests on no law of flow.
    flow_rate : float or None
        At which a force is asked; that reading itself is a candidate then. [m3/s]
    """

    name: str
    quantity: OfLaw | None = None
    unit: str = ""
    extruder: Extruder | None = None
    lacking: str = ""
    about: str = ""
    answered: Callable[[], NextReading] | None = None
    flow_rate: float | None = None

    def asked_of(self, fit: FitResult, batch: str = "median", seed: int = 0) -> NextReading:
        """Return which reading to take next for it; `DataError` where it cannot be asked."""
        if self.answered is not None:
            return self.answered()
        if self.quantity is None:
            raise DataError(f"{self.name}: {self.lacking}.")
        also = (
            () if self.flow_rate is None or self.extruder is None else planned_push(fit, self.extruder, self.flow_rate)
        )
        return next_reading(
            fit, self.quantity, extruder=self.extruder, batch=batch, unit=self.unit, seed=seed, also=also
        )


def questions_of(
    fit: FitResult,
    case: Case | None = None,
    extruder: Extruder | None = None,
    like: FlowLaw | None = None,
    target: float | None = None,
    lacking: str = "the plan says nothing of machine and job",
) -> dict[str, Question]:
    """Return what may be asked of a fit, by its words; what cannot be asked says what it lacks.

    Parameters
    ----------
    fit : FitResult
    case : Case, optional
        What is made with which extruder: without it neither force nor wall height can be asked.
    extruder : Extruder, optional
        Of which the start force is asked where there is no case.
    like : FlowLaw, optional
        At the condition of which the paste is asked about; that of the case, or the law's reference.
    target : float, optional
        Yield stress that is wanted, for the water that gives it. [Pa]
    lacking : str
        What to say where there is no case.
    """
    if case is not None:
        extruder = case.extruder if extruder is None else extruder
        like = case.pressure_law if like is None else like
    seen = fit.law if like is None else like
    found = [
        _force(case, extruder, seen, lacking),
        _start(extruder, seen, lacking),
        _height(fit, case, lacking),
        _yield_stress(fit, seen),
        _stress(fit, seen),
        _water(fit, target),
        _diameter(fit, case),
    ]
    return {one.name: one for one in found}


NO_FLOW_LAW = "it rests on flow, winding speed and dry section, and on no reading of how the paste flows"
WEIGH = "weigh a length of wound thread, which gives the dry section"


def _diameter(fit, case):
    """Return the question for the diameter of a dry fibre, which no law of flow answers."""
    limit = LIMITS["dry diameter"]
    if case is None or case.job.kind not in limit.jobs:
        return Question(DIAMETER, lacking=f"{NO_FLOW_LAW}, and no fibre is planned")
    if missing := limit.lacks(case):
        return Question(DIAMETER, lacking=f"{NO_FLOW_LAW}: {missing}; {WEIGH}")
    tests = [test for bench in fit.benches for test in bench.tests]
    answered = partial(next_for_diameter, case, tests)
    return Question(DIAMETER, unit="m", about="diameter of the dry fibre", answered=answered)


def _force(case, extruder, like, lacking):
    if case is None or extruder is None:
        return Question(FORCE, lacking=lacking)
    flow = float(case.flow_rate)
    about = f"force on the plunger at {written(flow, 'flow_rate')}"
    return Question(
        FORCE, lambda law, rig: rig.plunger_force(like.of(law), flow), "N", extruder, about=about, flow_rate=flow
    )


def _start(extruder, like, lacking):
    if extruder is None:
        return Question(START, lacking=lacking)
    return Question(
        START, lambda law, rig: rig.start_force(like.of(law)), "N", extruder, about="least force that starts the flow"
    )


def _height(fit, case, lacking):
    if case is None:
        return Question(HEIGHT, lacking=lacking)
    if "yield_stress" not in fit.law.parameters():
        return Question(HEIGHT, lacking="the law has no yield stress, which carries a wall")
    limit = LIMITS["stack"]
    if case.job.kind not in limit.jobs or case.job.part_height is None:
        return Question(HEIGHT, lacking="the job prints no part whose height is known")
    if missing := limit.missing(case):
        return Question(HEIGHT, lacking=f"needs {missing}")
    own = case.paste.law

    def height(law: FlowLaw) -> Numbers:
        return limit.high(replace(case, paste=replace(case.paste, law=own.of(law))))

    return Question(HEIGHT, height, "m", about="height at which the foot of the wall yields")


def _yield_stress(fit, like):
    if "yield_stress" not in fit.law.parameters():
        return Question(YIELD, lacking="the law has none")
    return Question(YIELD, lambda law: like.of(law).yield_stress, "Pa", about="yield stress, dynamic")


def _stress(fit, like):
    if fit.use_range is None and fit.rate_range is None:
        return Question(STRESS, lacking="neither the readings nor the plan say a rate")
    rate = float(np.sqrt(np.prod(fit.use_range or fit.rate_range)))
    words = "of the rates of use" if fit.use_range else "of the rates read"
    about = f"shear stress at {written(rate, '1/s')}, the middle {words}"
    return Question(STRESS, lambda law: like.of(law).shear_stress(rate), "Pa", about=about)


def _water(fit, target):
    """Return the question which water content gives a yield stress, by the law that depends on it."""
    if "water_content" not in fit.law.depends_on or "yield_stress" not in fit.law.parameters():
        return Question(
            WATER, lacking="the law does not depend on the water content: read the paste at three of them or more"
        )
    if target is None:
        return Question(WATER, lacking="the recipe says no yield stress that is wanted")
    reference = float(fit.law.condition["water_content"])

    def water(law: FlowLaw) -> Numbers:
        there = np.maximum(law.at(water_content=reference).yield_stress, LEAST)
        return reference + np.log(there / target) / law.values[WATER_SLOPE]

    return Question(
        WATER, water, "-", about=f"water content, dry basis, that gives a yield stress of {written(target, 'Pa')}"
    )
