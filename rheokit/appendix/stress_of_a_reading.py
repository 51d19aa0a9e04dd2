"""How a reading becomes a stress at a shear rate, as the flow curve draws it and the range of validity tells it."""

from __future__ import annotations

from ..bench.force_run import ForceRun
from ..bench.run import Run
from .document import Block, Equation, Paragraph
from .study import Study

RUN = "τ = (p - p_up)/(4 (L/D + e))"
FORCE = "p = (F - F_f)/A_0"
FORMULA = f"{RUN}, {FORCE}"
PLACE = ("flow", "stress of a reading")
SPOKEN = (
    "The stress at the wall of the last land: from the pressure p{force} is taken off what everything before the land loses at that flow (p_up: barrel and "
    "narrowings, by the fitted law), and the rest is shared over the wall of the land, L long and D wide, its bore as fitted{end}. The rate is that which "
    "the fitted law has at that wall at that flow."
)
FRICTION = ", the force F less the friction F_f as fitted, over the section of the barrel,"
OWN_WORDS = {
    "flow curve": "rates and stresses are those of the file",
    "timed drain": "rate and stress are apparent ones, at the mean flow, as if the bore lost all of the head",
    "falling ball": "rate and stress are those of a Newtonian liquid about the ball",
}
"""Of the other kinds of test that have a rate."""


def formula_of(study: Study) -> str:
    """Return the formula by which the stresses of runs are had from what was read; empty where there is no run."""
    runs = _runs(study)
    if not runs:
        return ""
    end = any(run.end_correction == "fitted" for run in runs)
    wall = RUN if end else "τ = (p - p_up) D/(4 L)"
    return ", ".join([wall, *([FORCE] if any(isinstance(run, ForceRun) for run in runs) else [])])


def stress_of_a_reading(study: Study) -> tuple[Block, ...]:
    """Return how each kind of reading with a rate becomes a stress at a rate; nothing where no reading has one."""
    blocks: list[Block] = []
    if formula := formula_of(study):
        runs = _runs(study)
        end = any(run.end_correction == "fitted" for run in runs)
        force = FRICTION if any(isinstance(run, ForceRun) for run in runs) else ""
        spoken = SPOKEN.format(force=force, end=", e its end correction" if end else "")
        more = " Factors of batch, record and theory are not taken off." if study.fit.problem.nuisances else ""
        blocks.append(Equation(formula, spoken + more, "balance of forces in the land, of pressure and wall"))
    kinds = dict.fromkeys(test.kind for test in study.fit.tests if test.kind in OWN_WORDS)
    if kinds:
        told = "; ".join(f"of the {kind} {OWN_WORDS[kind]}" for kind in kinds)
        blocks.append(Paragraph(f"Stress at a rate, as read: {told}."))
    return tuple(blocks)


def _runs(study):
    return [test for test in study.fit.tests if isinstance(test, Run) and len(_points(study, test))]


def _points(study, test):
    return test.curve_points(test.at_its_condition(study.fit.law), study.fit.nuisance)[0]
