"""What may be asked of the readings of a paste before the next one is chosen, as far as plan and fit know it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from ..errors import DataError
from ..limits import Case
from ..paste.material import Material
from ..planning.questions import Question, questions_of
from .made import extruder_of, job_of
from .plan import Plan

if TYPE_CHECKING:
    from ..fitting import FitResult

WANTED = "recipe", "yield_stress_wanted"
NO_PLAN = "no plan says of which machine and job"


def questions(
    fit: FitResult, plan: Plan | None = None, material_of: Callable[[FitResult], Material] = Material.of
) -> dict[str, Question]:
    """Return what may be asked of a fit for what is planned, by its words; what cannot be asked says what it lacks.

    Parameters
    ----------
    fit : FitResult
    plan : Plan, optional
        Of machine, job and recipe.
    material_of : callable
        Makes the material of a fit, as `Workbook.material_of`.
    """
    if plan is None:
        return questions_of(fit, lacking=NO_PLAN)
    case = extruder = like = None
    lacking = ""
    try:
        extruder = extruder_of(plan)
        material = material_of(fit)
        like = material.paste.law
        case = Case.of(material, extruder, job_of(plan))
        like = case.pressure_law
    except DataError as fault:
        lacking = str(fault).removesuffix(".")
    return questions_of(fit, case, extruder, like, plan.value(*WANTED), lacking)
