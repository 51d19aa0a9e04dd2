"""Which equations and limits the sections of predictions tell numbers by, of one workbook: those of what its plan and readings let be told, and no others."""

from __future__ import annotations

from collections.abc import Iterator

from ..errors import DataError
from ..limits import LIMITS
from ..limits.judgement import why_not_judged
from ..machine.drives import AirDrive, ScrewDrive
from ..part.job import FIBRE, PRINT
from ..planning import Winding
from ..workbook.of_drying import drawn_sizes, drying_of
from ..workbook.standing import standing_of, standing_of_bench
from .predicted_formulae import (
    AIR,
    BACK,
    BARE,
    BATHED,
    BLOCKED,
    COOLS,
    DIFFUSES,
    DROP,
    ENDS,
    FLOW,
    FLUX,
    FORCE,
    HEATED,
    LAID,
    LEAST_START,
    MIXED,
    NEEDLE,
    NEXT,
    OOZE,
    OPEN,
    PRESSURE,
    RISE,
    RISES,
    SCREW,
    SETS,
    SHRUNK,
    SIZE,
    SLIP,
    START_FORCE,
    START_PRESSURE,
    STORED,
    THINS,
    WOUND,
    Formula,
)
from .study import Study


def predicted_formulae(study: Study) -> Iterator[Formula]:
    """Return the equations of the numbers that the sections of predictions print of a workbook."""
    if study.knows("fit") and study.knows("extruder"):
        yield from _of_extruder(study)
    if study.book.plan.text("job", "kind") == FIBRE:
        if study.knows("case"):
            yield from _of_fibre(study)
    else:
        yield from _of_part(study)


def limits_told_by(study: Study) -> tuple[str, ...]:
    """Return the names of the limits by whose formulae the sections of part and fibre tell numbers."""
    if study.book.plan.text("job", "kind") != FIBRE:
        by_hand = ("hand force",) if study.knows("case") else ()  # the picture of the force has it as a rule
        return (*by_hand, *_limits_of_part(study))
    return ("pause",) if study.knows("case") and _blocks(study) else ()


def _blocks(study):
    """Return whether it is told when a needle that nothing heats blocks."""
    bare, limit = Winding(study.material, study.extruder, study.job).bare.case, LIMITS["pause"]
    return limit.concerns(bare) and not why_not_judged(bare, limit)


def _of_extruder(study):
    if not study.knows("case"):
        yield from (START_PRESSURE, LEAST_START)
        return
    case = study.case
    if case.job.kind == PRINT:
        yield FLOW
    yield PRESSURE
    if case.real_extruder.slip is not None:
        yield SLIP
    yield from (FORCE, NEXT, START_PRESSURE, START_FORCE)
    if case.job.nozzle_temperature is not None:
        yield HEATED
    drive = case.extruder.drive
    if isinstance(drive, ScrewDrive) and case.paste.air_content is not None:
        yield from (STORED, DROP, RISE, OOZE, BACK)
    if isinstance(drive, ScrewDrive):
        yield SCREW
    if isinstance(drive, AirDrive):
        yield AIR
    if drive is not None:
        yield BLOCKED


def _of_fibre(study):
    case = study.case
    yield from (WOUND, ENDS, *((BARE,) if case.is_bare else ()), *((NEEDLE,) if _blocks(study) else ()), COOLS)
    if case.job.has_bath:
        yield BATHED
    yield from (SETS, THINS)


def _of_part(study):
    mixed = _mixed(study)
    if mixed is not None and mixed.law is not None:
        yield MIXED
    if _stands(study):
        yield from (LAID, RISES)
    if _made(drawn_sizes, study.book):
        yield SIZE
    if mixed is not None and _made(drying_of, study.book, mixed):
        yield from (SHRUNK, OPEN, FLUX, DIFFUSES)


def _limits_of_part(study):
    if _stands(study):
        yield from ("lean", "stack", "line holds")
    mixed = _mixed(study)
    if mixed is not None and mixed.law is not None:
        yield "span"
    if mixed is not None and _made(drying_of, study.book, mixed):
        yield "cracking"


def _mixed(study):
    try:
        return study.book.mixed
    except DataError:
        return None


def _stands(study):
    """Return whether the section of the part tells what it stands, of the paste as mixed or as tested."""
    mixed = _mixed(study)
    of_recipe = mixed is not None and mixed.law is not None and _made(standing_of, study.book, mixed)
    return of_recipe or _made(standing_of_bench, study.book, stiff=False)


def _made(make, *given, **named):
    try:
        make(*given, **named)
    except DataError:
        return False
    return True
