"""The classical corrections of capillary readings, followed beside the fit, in sentences and tables."""

import math

from ..bench.whence import word_of
from ..corrections.end_losses import end_losses, slip_span
from ..corrections.lengths import WIDER
from ..errors import DataError
from ..nomenclature import between, common_unit, marked, number, written
from ..nomenclature.measures import Unit
from .cells import counted, headed, in_unit, with_limits
from .document import Block, Paragraph, Points, Shown, Table
from .study import Study

PLAIN = Unit("", 1.0)
OF_U = (
    "Limits are value ± 1.96 u; in u are the errors of the readings, as stated or, by Bagley's plot without one, as they scatter about the lines, those of the "
    "bores, and that of the friction, where these are known. Stated errors of readings count larger by how far end corrections (by two lengths, about a "
    "straight line in ln rate) or pressures (by Bagley's plot, about the lines) scatter, and by how few tell that."
)


def classical(study: Study) -> list[Block]:
    """Return what each classical correction found, in sentences, and a table of the end losses."""
    try:
        found = study.classical
    except DataError as error:
        return [Paragraph(f"Classical corrections beside the fit: not computed. {study.plain(str(error))}")]
    told: list[str] = []
    tables: list[Table] = []
    printed: dict[str, str] = {}
    for one in found:
        losses = end_losses(one, study.fit.tests, None if study.fit.unidentified else study.law)
        if losses and one.estimates == () and str(losses) in printed:
            values = f"with these lands it is the same as {printed[str(losses)]}, and finds the same"
        else:
            values = "; ".join([*map(str, one.estimates), *(["the table below"] if losses else [])])
            if (slip := slip_span(one)) is not None:
                values = f"slip velocity V_s {between(*slip[:2], 'm/s')} (95 % limits from {written(slip[2], 'm/s')} to {written(slip[3], 'm/s')})"
            if losses:
                printed[str(losses)] = one.name
                tables.append(_ends_of(study, one, losses))
        result = f"Found: {values}. " if values else "Not made: it found no numbers. " if one.analysable else ""
        told.append(f"{one.name}: {one.verdict.removesuffix('.')}. {one.formula}. {result}Source: {one.source}.")
    return [
        Paragraph("Classical corrections, followed beside the fit (each assumes more than the fit does):"),
        Points(tuple(told)),
        *tables,
    ]


def _friction(study):
    """Return which friction was taken off the forces, a sentence each apparatus."""
    known = study.fit.frictions
    pushed = {
        test.shared("plunger_friction"): (test.extruder.plunger_friction, word_of(test, "plunger_friction"))
        for test in study.fit.tests
        if test.extruder is not None
    }
    for key, (before, word) in pushed.items():
        whose = f"the friction of {key.of}" if len(pushed) > 1 else "the friction"
        if key in known:
            value, size = known[key]
            if not math.isfinite(size):
                yield (
                    f"Taken off the force is {whose} as fitted, {written(value, 'N')}, at its bound, with the standard uncertainty that it had before "
                    f"({word} {written(before, 'N')})."
                )
                continue
            yield (
                f"Taken off the force is {whose} as fitted, {written(value, 'N')} with a standard uncertainty of {written(size, 'N', 2)} "
                f"({word} {written(before, 'N')}), as in what the fit expects."
            )
        else:
            yield f"Taken off the force is {whose} as {word}, {written(before, 'N')}: it was not fitted, or the readings do not tell it."


def _ends_in(unit):
    return headed("low", unit), headed("high", unit)


def _ends_of(study, correction, losses):
    """Return wall stress and end correction of every level of flow, beside what the fitted law expects."""
    unit = common_unit("wall_shear_stress", *(one.stress[0] for one in losses))
    rows = [
        (
            f"{one.runs}, row {one.rows}",
            Shown(one.rate, number(one.rate)),
            *with_limits(*one.stress, unit)[:3],
            *with_limits(*one.end, PLAIN)[:3],
            in_unit(one.expected, PLAIN),
        )
        for one in losses
    ]
    said = marked(OF_U), *(f"Here, {one}" for one in correction.notes if WIDER in one), *_friction(study)
    stress, end = headed("wall stress τ_w", unit.text), "end correction e [L/D]"
    return Table(
        f"ends-by-{correction.name.lower().replace(' ', '-')}",
        f"{study.of}: wall stress and end correction by {correction.name}, {counted(len(rows), 'rate')}, with 95 % limits, beside the end correction "
        "that the fitted law expects.",
        (
            "runs and row",
            "apparent rate [1/s]",
            stress,
            *_ends_in(unit.text),
            end,
            *_ends_in("L/D"),
            "e expected by the fit [L/D]",
        ),
        tuple(rows),
        "The end correction is all pressure beside the wall of the land, as a length of land in bores: entry, and drag of the barrel wall where there is one. "
        "Expected by the fit: the same of the fitted law, with the formula of converging flow and nominal dimensions. "
        f"{' '.join(said)}",
    )
