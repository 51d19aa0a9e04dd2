"""The main answers of an appendix, of which an uncertainty budget is told: what is asked of the fit, in which unit."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

from ..fitting import UncertaintyBudget, uncertainty_budget
from ..nomenclature import common_unit, number, written
from ..origins import ASSUMED
from ..planning.settings import force_question, force_settings

if TYPE_CHECKING:
    from .study import Study

YIELD = "yield_stress"
OF_ANSWER = {"force": "the force", "stress": "the stress", YIELD: "the yield stress"}
PRACTICE, BATCHES = "common practice", "spread from batch to batch"
LEAST_SHARE = 0.5  # of a variance, below which what was assumed moves an answer too little to be named [%]
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


def assumed_shares(study: Study) -> list[tuple[str, float, str]]:
    """Return what was assumed and moves an answer that has a budget, the largest first: its name, its largest share of a variance [%], and of which answer."""
    if not study.knows("budgets"):
        return []
    found: dict[str, tuple[float, str]] = {}
    for answer, budget in study.budgets:
        of = OF_ANSWER[answer.name]
        for row in budget.table.itertuples():
            share = 100 * row.share
            if PRACTICE not in row.origin or not share >= LEAST_SHARE:
                continue
            name = row.quantity if row.origin.startswith(ASSUMED) else BATCHES
            if share > found.get(name, (0.0, ""))[0]:
                found[name] = share, of
    return [(name, share, of) for name, (share, of) in sorted(found.items(), key=lambda one: -one[1][0])]


def told_errors(errors: tuple[float, float], unit: str) -> str:
    """Return the standard errors of two ends in words, "" where there are none."""
    if not all(map(math.isfinite, errors)):
        return ""
    shown = common_unit(unit, *errors)
    told = (f"{number(one / shown.factor, 2)} {shown.text}{'' if one else ALIKE}" for one in errors)
    return " and ".join(dict.fromkeys(told))
