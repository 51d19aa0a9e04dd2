"""The main answers of an appendix, of which an uncertainty budget is told: what is asked of the fit, in which unit."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

from ..fitting import UncertaintyBudget, uncertainty_budget
from ..nomenclature import common_unit, number, written
from ..planning.settings import force_question, force_settings

if TYPE_CHECKING:
    from .study import Study

YIELD = "yield_stress"
ALIKE = " (all draws there are alike)"


class Answer(NamedTuple):
    """One answer: its name, what it is in words, its SI unit, the question and the further arguments of its budget."""

    name: str
    words: str
    unit: str
    question: Any
    more: dict[str, Any]


def answers_of(study: Study) -> Iterator[Answer]:
    """Return every main answer: of the plan where there is one, else of the law."""
    if study.knows("case"):
        case = study.case
        rig = {"extruder": study.extruder, "like": case.pressure_law, "settings": force_settings(case)}
        words = f"Force on the plunger at the flow of the plan, {written(float(case.flow_rate), 'flow_rate')}"
        yield Answer("force", words, "N", force_question(case), rig)
    elif study.fit.rate_range is not None:
        rate = study.fit.problem.middle_rate
        at = f" at {study.fit.reference}" if study.fit.reference else ""
        words = f"Shear stress at {written(rate, '1/s')}{at}, the middle of the rates read"
        yield Answer("stress", words, "Pa", lambda law: law.shear_stress(rate), {})
    if YIELD in study.fit.problem.law_class.parameters():
        at = f" at {study.fit.reference}" if study.fit.reference else ""
        yield Answer(YIELD, f"Yield stress{at}", "Pa", lambda law: law.yield_stress, {})


def budgets_of(study: Study, seed: int) -> tuple[tuple[Answer, UncertaintyBudget], ...]:
    """Return every main answer with its uncertainty budget."""
    return tuple(
        (one, uncertainty_budget(study.fit, one.question, unit=one.unit, seed=seed, **one.more))
        for one in answers_of(study)
    )


def told_errors(errors: tuple[float, float], unit: str) -> str:
    """Return the standard errors of two ends in words, "" where there are none."""
    if not all(map(math.isfinite, errors)):
        return ""
    shown = common_unit(unit, *errors)
    told = (f"{number(one / shown.factor, 2)} {shown.text}{'' if one else ALIKE}" for one in errors)
    return " and ".join(dict.fromkeys(told))
