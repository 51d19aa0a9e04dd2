"""Start and stop of the extruder of the plan: times until it flows, what oozes, and how far to draw back."""

from collections.abc import Callable
from typing import Any

from ..limits import Case
from ..machine.drives import ScrewDrive
from ..machine.transients import Transient, rise
from ..nomenclature import written
from ..sampling import limits_of
from .cells import with_limits
from .document import Block, Paragraph, Table
from .held_at import held_at
from .predicted_formulae import WHERE
from .study import RESTED, Study

OOZE = 10.0  # s after the stop


def start_and_stop(study: Study, case: Case, flow: float) -> Block:
    """Return the times of the start and what oozes after the stop at a flow [m3/s], or why that is not told."""
    extruder, air = case.real_extruder, case.paste.air_content
    if not isinstance(extruder.drive, ScrewDrive):
        lack = (
            "the drive is not known"
            if extruder.drive is None
            else "this drive holds the pressure, which is there at once"
        )
        return Paragraph(f"Lag, ooze and drawing back: not computed, {lack}.")
    if air is None:
        return Paragraph("Lag, ooze and drawing back: not known, for the air content of the paste is not.")
    if case.not_identified:
        return Paragraph(f"Lag, ooze and drawing back: {case.not_identified}.")
    runs = [rise(extruder, case.pressure_law, flow, air)]
    if (drawn := study.rested) is not None:
        runs.append(rise(drawn.real_extruder, drawn.pressure_law, flow, drawn.paste.air_content))
    asked: list[tuple[str, Callable[[Transient], Any], str]] = [
        ("first drop after the start", lambda one: one.first_drop, "s"),
        ("half of the flow", lambda one: one.half_flow, "s"),
        ("95 % of the flow", lambda one: one.time_to(0.95), "s"),
        ("ooze in 10 s after a stop, without drawing back", lambda one: one.ooze(OOZE), "m³"),
        ("plunger to draw back so that nothing oozes", lambda one: one.retraction / extruder.area, "m"),
    ]
    rows = []
    for words, ask, unit in asked:
        found, *draws = (ask(one) for one in runs)
        low, high = (
            limits_of(draws[0].ravel())
            if draws and hasattr(draws[0], "ndim") and draws[0].ndim
            else (float(found), float(found))
        )
        reason = getattr(found, "reason", "")
        rows.append(
            (
                words,
                *with_limits(float(found), float(low), float(high), unit),
                f"a lower bound: {reason}" if reason else "",
            )
        )
    return Table(
        "start-and-stop",
        f"{study.of}: start and stop at {written(flow, 'm³/s')}, {held_at(study)}; the 95 % limits hold the law, the extruder and the air content, "
        f"by {RESTED} joint draws {study.held}.",
        ("quantity", "value", "low", "high", "unit", "note"),
        tuple(rows),
        WHERE,
    )
