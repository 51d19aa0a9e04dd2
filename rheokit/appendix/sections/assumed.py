"""Every number that nobody measured, by name: what was assumed, and what is invented."""

import math

from ...fitting.budget_inputs import LOGNORMAL, assumed_of
from ...nomenclature import QUANTITIES, marked, number, sentence, unit_for, written
from ...origins import ASSUMED, INVENTED, ORIGINS, SPREAD_ASSUMED, STATED, TABLE, is_fitted, word_of
from ...part.job import FIBRE
from ...paste.properties import limits_of_property
from ...workbook.asked import ASKED
from ...workbook.whence import told_in
from ..cells import NOT_KNOWN, as_told, with_limits
from ..document import Block, Caution, Cell, Paragraph, Points, Section, Shown, Table
from ..study import Study
from ..taken_for_checks import taken

TITLE = "Assumed and invented values"
ORDER_OF_ORIGINS = (INVENTED, ASSUMED, STATED, TABLE)
OF_SPECIMEN = "stated of the specimen"
BETWEEN = "spread of ln stress from batch to batch s_b"
USUAL_SPREAD = "usual, common practice, no source"
VALUES = ("taken as", "as warm", "one line", "not heated", *"0123456789")
"""With which words what holds without a setting begins where that is a value; others say what is then not asked."""
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
    blocks += [*_idle(study), *_for_checks(study), *_spreads(study)]
    machine, job = (told_in(study.book.plan, table) for table in ("machine", "job"))
    rows = [
        (
            ASKED[table][key].words,
            study.book.plan.text(table, key),
            told_in(study.book.plan, table, key),
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
    if study.knows("extruder") and (taken_then := _not_typed(study)):
        blocks += [Paragraph("Settings that are not typed, and what was taken for them:"), Points(taken_then)]
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


def _not_typed(study):
    """Return in sentences which settings of machine and job nobody typed for which a value was taken."""
    plan = study.book.plan
    tables = "machine", "fibre" if plan.text("job", "kind") == FIBRE else "print"
    return tuple(
        f"{one.words} ({table}): {marked(one.without)}"
        for table in tables
        for key, one in ASKED[table].items()
        if not plan.text(table, key) and one.without.startswith(VALUES)
    )


def _idle(study) -> list[Block]:
    """Return which properties stand in the plan, or would be assumed, and move nothing that is computed here."""
    if not study.knows("material") or not study.idle:
        return []
    frame, told = study.material.table, []
    for name in study.idle:
        if name not in frame.index or not math.isfinite(frame.value[name]):
            continue
        row = frame.loc[name]
        why = (
            ", since growth counts for 0 s"
            if name == "build_up_rate" and not study.material.paste.build_up_time
            else ""
        )
        told.append(f"{name.replace('_', ' ')} {row.symbol} ({written(row.value, name)}, {row.origin}){why}")
    if not told:
        return []
    return [Paragraph(f"Without effect on any number of this appendix that is predicted or judged: {'; '.join(told)}.")]


def _for_checks(study) -> list[Block]:
    """Return the table of what checks and corrections took as usual."""
    rows = tuple((one.name, one.symbol, one.value, one.used_in, one.origin) for one in taken(study))
    if not rows:
        return []
    return [
        Table(
            "assumed-for-checks",
            f"{study.of}: numbers that checks and the sizes of corrections took as usual, since nobody measured or stated them. None of them moves a value of the law.",
            ("what", "symbol", "value", "used in", "where it comes from"),
            rows,
        )
    ]


def _spreads(study) -> list[Block]:
    """Return the table of every spread that nobody stated and no reading told by itself, with its width."""
    rows: list[tuple[Cell, ...]] = []
    if study.knows("fit"):
        for one in assumed_of(study.fit):
            share = one.distribution == LOGNORMAL and one.value > 0  # of the value, which is its sd of ln
            size = one.uncertainty / one.value if share else one.uncertainty
            width = Shown(size, number(size, 2))
            kind = "sd of ln" if one.distribution == LOGNORMAL else "sd" if one.unit == "-" else f"sd, {one.unit}"
            rows.append((one.quantity, width, kind, one.distribution, one.origin))
        rows += [row for row in _batches(study) if row[0] not in {one[0] for one in rows}]
    if study.knows("material"):
        for name, row in study.material.table.iterrows():
            stated = study.book.given.get(name)
            if stated is not None and stated.spread is not None:
                continue  # its author stated it
            known = word_of(row.origin) in (ASSUMED, TABLE) or SPREAD_ASSUMED in row.origin or stated is not None
            if (
                name == "batch"
                or name in study.idle
                or not known
                or is_fitted(row.origin)
                or not (row.spread > 0 and row.value)
            ):
                continue
            width = Shown(float(row.spread), number(row.spread, 2))
            rows.append((str(name).replace("_", " "), width, "sd of ln", LOGNORMAL, f"{ASSUMED}: {USUAL_SPREAD}"))
    for words, size, unit in _of_job(study):
        rows.append(
            (
                f"{words}, of the job",
                Shown(size, number(size, 2)),
                f"sd, {unit}",
                "normal",
                f"{ASSUMED}: {USUAL_SPREAD}",
            )
        )
    if not rows:
        known = study.knows("fit") or study.knows("material")
        return [
            Paragraph(
                f"Spreads: {'none that is used here was assumed' if known else 'not known, since nothing was fitted'}."
            )
        ]
    return [
        Table(
            "assumed-spreads",
            f"{study.of}: every spread that was assumed, that is neither stated nor told by readings alone: errors of theories, of apparatus, of batches, "
            "of properties and of the job. Those of the theories of tests of properties stand under “Apparatus”, and are in the limits of the properties.",
            ("of", "width", "spread in", "distribution", "where it comes from"),
            tuple(rows),
            "sd: standard deviation. Errors of the formulae of limits are assumed too (common practice, no source), and stand with each limit under "
            "“Predictions: limits and verdict”.",
            row_names=False,
        )
    ]


def _batches(study):
    """Return the row of the spread from batch to batch, where nobody stated it and what is usual makes part of it, with the limits that few batches leave it."""
    fit = study.fit
    if fit.batch_spread and not fit.batches_told:
        row = fit.table.loc["batch_spread"]
        words = (
            f"{ASSUMED}: {fit.between_batches}; 95 % limits {number(row.low, 2)} to {number(row.high, 2)}, by Student's t of {number(fit.batch_freedom)} degrees of "
            "freedom, which intervals of the next batch allow for"
        )
        return [(BETWEEN, Shown(float(row.value), number(row.value, 2)), "sd of ln", LOGNORMAL, words)]
    if fit.batch_spread or not study.knows("material"):
        return []
    row = study.material.table.loc["batch"]
    if word_of(row.origin) not in ORDER_OF_ORIGINS:
        return []
    return [
        (
            BETWEEN,
            Shown(float(row.spread), number(row.spread, 2)),
            "sd of ln",
            LOGNORMAL,
            f"{row.origin}; taken as exactly so large",
        )
    ]


def _of_job(study):
    """Return the errors of hand and machine that nobody typed, in words, each with the usual size and its unit."""
    if not study.knows("job"):
        return
    table = "fibre" if study.book.plan.text("job", "kind") == FIBRE else "print"
    warm = study.job.barrel_temperature is not None or study.job.nozzle_temperature is not None
    for key, entry in ASKED[table].items():
        if not key.endswith("_error") or study.book.plan.text(table, key) or (key == "temperature_error" and not warm):
            continue
        if size := getattr(study.job, key, None):
            unit = unit_for({"mm": "m"}.get(entry.unit, entry.unit), size)
            factor, text = (1.0, "K") if entry.unit == "K" else (unit.factor, unit.text)
            yield entry.words.partition(",")[0], size / factor, text


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
        word = STATED if as_told(row.origin).startswith(OF_SPECIMEN) else word_of(row.origin)
        if word not in ORDER_OF_ORIGINS or is_fitted(row.origin):
            continue
        spread = 0.0 if math.isnan(row.spread) else float(row.spread)
        if name == "batch" or name in study.idle:
            continue  # a spread itself, in the table below; or of no effect
        about = QUANTITIES.get(name, row.unit)
        cells = (
            with_limits(row.value, *limits_of_property(str(name), row.value, spread), about)
            if math.isfinite(row.value)
            else (NOT_KNOWN,) * 3 + ("",)
        )
        rows.append(
            (
                word,
                str(name).replace("_", " "),
                row.symbol,
                *cells,
                as_told(row.origin) + _whose_spread(study, name, spread),
            )
        )
    if not rows:
        return Paragraph(
            "No property of the paste that is used was assumed, typed without a measurement or taken from a table."
        )
    rows.sort(key=lambda row: -ORIGINS.index(row[0]))
    return Table(
        "assumed",
        f"{study.of}: properties of the paste that are used and that no reading of one's own tells. Limits of the 95 % interval, as far as a spread is known.",
        ("origin", "property", "symbol", "value", "low", "high", "unit", "where it comes from"),
        tuple(rows),
        "What was fitted stands under “Estimates”. A value without limits is taken as exact; what lets a lean factor vary is the error of the formula of "
        "leaning. Widths that were assumed stand in the table below. Invented: for demonstration, or following from "
        "invented readings. Assumed: usual values, or typed without an origin. Stated: typed, with an origin in words of its own. Table: a handbook or a data sheet.",
        row_names=False,
    )
