"""Every number that nobody measured, by name: what was assumed, and what is invented."""

import math

from ...nomenclature import QUANTITIES, number, sentence
from ...origins import ASSUMED, INVENTED, ORIGINS, TABLE, is_fitted, word_of
from ...paste.properties import limits_of_property
from ...workbook.asked import ASKED
from ...workbook.whence import told_in
from ..cells import NOT_KNOWN, with_limits
from ..document import Block, Caution, Paragraph, Points, Section, Table
from ..study import Study

TITLE = "Assumed and invented values"
ORDER_OF_ORIGINS = (INVENTED, ASSUMED, TABLE)
OF_PLAN = ("machine", "nozzle", "drive", "print", "fibre", "shape", "drying")


def section(study: Study) -> Section:
    """Return properties, settings and dimensions that rest on no measurement."""
    blocks: list[Block] = []
    if study.invented:
        blocks.append(
            Caution(
                "All readings are INVENTED, for demonstration: every number that follows from them is invented too."
            )
        )
    blocks.append(_properties(study))
    machine, job = (told_in(study.book.plan, table) for table in ("machine", "job"))
    rows = [
        (
            ASKED[table][key].words,
            study.book.plan.text(table, key),
            machine
            if table in ("machine", "nozzle", "drive")
            else job
            if table in ("print", "fibre")
            else told_in(study.book.plan, "recipe"),
        )
        for table in OF_PLAN
        for key in ASKED[table]
        if key != "origin" and study.book.plan.text(table, key)
    ]
    if rows:
        blocks.append(Paragraph(f"Numbers of the extruder: {machine}. Numbers of the job: {job}."))
        blocks.append(
            Table(
                "settings",
                f"{study.paste}: settings of machine, job and part as typed in the plan, with where they come from.",
                ("setting", "as typed", "where it comes from"),
                tuple(rows),
            )
        )
    else:
        blocks.append(Paragraph("Settings of an extruder and of a job: none is typed."))
    if study.knows("fit") and study.knows("extruder"):
        left = study.book.left_out
        if left:
            blocks += [
                Paragraph("Computed without, because it is not known:"),
                Points(tuple(sentence(one) for one in left)),
            ]
    if study.knows("bench") and study.bench.origin is not None and study.bench.origin.notes:
        blocks.append(Paragraph("What the reader of the folder assumed of the apparatus stands under “Apparatus”."))
    return Section(TITLE, tuple(blocks))


def _whose_spread(study, name, spread):
    """Return in words whose the limits of a property are, where its author stated none."""
    stated = study.book.given.get(name)
    if not spread or stated is None or stated.spread is not None:
        return ""
    return f"; its limits are not stated: a usual standard deviation of its ln, {number(spread)}, is assumed (common practice, no source)"


def _properties(study):
    if not study.knows("material"):
        return Paragraph(f"Properties of the paste: no material could be made. {study.lacking('material')}")
    material, rows = study.material, []
    frame = material.table
    for name, row in frame.iterrows():
        word = word_of(row.origin)
        if word not in ORDER_OF_ORIGINS or is_fitted(row.origin):
            continue
        spread = 0.0 if math.isnan(row.spread) else float(row.spread)
        if name == "batch":
            rows.append(
                (
                    word,
                    "spread of ln stress from batch to batch",
                    "s_b",
                    *with_limits(row.spread, row.spread, row.spread, "-"),
                    row.origin,
                )
            )
            continue
        about = QUANTITIES.get(name, row.unit)
        cells = (
            with_limits(row.value, *limits_of_property(str(name), row.value, spread), about)
            if math.isfinite(row.value)
            else (NOT_KNOWN,) * 3 + ("",)
        )
        rows.append(
            (word, str(name).replace("_", " "), row.symbol, *cells, row.origin + _whose_spread(study, name, spread))
        )
    if not rows:
        return Paragraph("Every property of the paste that is used was measured or fitted.")
    rows.sort(key=lambda row: -ORIGINS.index(row[0]))
    return Table(
        "assumed",
        f"{study.of}: properties of the paste that are used and that no reading of one's own tells. Limits of the 95 % interval, as far as a spread is known.",
        ("origin", "property", "symbol", "value", "low", "high", "unit", "where it comes from"),
        tuple(rows),
        "What was fitted stands under “Estimates”. A value without limits is taken as exact. Invented: for demonstration, or following from "
        "invented readings. Assumed: usual values, or typed with an origin that does not say measured, fitted, table or invented. Table: a handbook or a data sheet.",
        row_names=False,
    )
