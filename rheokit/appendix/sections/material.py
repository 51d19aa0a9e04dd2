"""Which material and batch was tested, what is known of it, and what nobody stated."""

from ...bench.cup_density import CLOSED_PORES
from ...bench.property_test import HOW_WIDER, SCATTERS
from ...errors import DataError
from ...nomenclature import QUANTITIES, marked, number, written
from ...origins import INVENTED, MEASURED, SPREAD_ASSUMED, of_invented
from ...paste.properties import limits_of_property
from ...paste.recipe import wet_basis
from ...sampling import limits_of_spread
from ..authors import MATERIAL, not_stated, points, unless_noted
from ..cells import NOT_STATED, counted, stopped, with_limits
from ..conditions_stated import of_specimen
from ..document import Block, Paragraph, Points, Section, Shown, Table
from ..study import Study
from .protocol import taken_over

TITLE = "Material and batch"
OF_SPREAD = (
    "A spread that was assumed counts where the property is used in predictions; tests of the bench take the value that was stated without ± as exact, and the "
    "uncertainty budget says what more of it would move."
)
AIR = (
    "The limits of an air content that follows from a density hold a standard uncertainty of {pores} of the volume beside those stated, "
    "because liquid fills pores of the grains (common practice, no source)."
)

OF_BATCH, OF_MIX, WHEN = (
    ("mixing", "repeats", "test_order"),
    ("suppliers", "grades", "mixing"),
    ("mixing", "test_order", "operator"),
)
OF_CONDITION = {"temperature": ("temperature_control", "room", "storage"), "age": ("mixing", "storage", "test_order")}
"""Entries of the authors that may state which batches there are, of what they were mixed, when they were read, and in which condition."""

FROM_WET, FROM_DRY = (
    "follows from the water on the wet basis, u = x/(1 - x), which is stated of the specimen",
    "follows from the water content u",
)
OF_SHRINKAGE = (
    "Limits of a shrinkage are here by its readings; the plan types a standard uncertainty of its own, {typed} of the wet length, by which "
    "the sizes to draw are told."
)


def section(study: Study) -> Section:
    """Return names, conditions, properties and recipe."""
    blocks: list[Block] = [Points(tuple(_said(study))), _properties(study)]
    blocks += [_recipe(study), *_to_weigh(study)]
    blocks += [Paragraph("What else a reader wants to know of the material:"), points(study, MATERIAL)]
    return Section(TITLE, tuple(blocks))


def _said(study):
    specimen = study.specimen
    batches = list(dict.fromkeys(test.batch for test in study.tests if test.batch))
    several = f" ({counted(len(batches), 'batch', 'batches')})" if len(batches) > 1 else ""
    yield f"Paste: {specimen.paste or NOT_STATED}."
    yield f"Batch: {', '.join(batches) or specimen.batch or not_stated(study, *OF_BATCH)}{several}."
    yield f"Date: {_dates(specimen, batches, not_stated(study, *WHEN))}."
    for words, name in (("Temperature of the specimen", "temperature"), ("Age, time since mixing", "age")):
        value = getattr(specimen, name)
        yield f"{words}: {not_stated(study, *OF_CONDITION[name]) if value is None else of_specimen(study, name) + _of_batch(study, name)}."
    yield f"Note of who read it: {stopped(specimen.note) or f'{NOT_STATED}.'}"
    if study.invented:
        yield "The readings are INVENTED, for demonstration: nobody measured them."


def _dates(specimen, batches, unknown=NOT_STATED):
    """Return the date of the specimen, and that of the other batches bench.toml states none."""
    own = specimen.date or unknown
    others = [one for one in batches if one != specimen.batch]
    if not others or len(batches) < 2:
        return own
    whose = f" (of batch {specimen.batch})" if specimen.batch and specimen.date else ""
    return f"{own}{whose}; of {'batch' if len(others) == 1 else 'batches'} {', '.join(others)}: {unknown}"


def _of_batch(study, name):
    """Return of which batch a condition of the specimen is, and for which it was taken too; "" where there is one batch."""
    specimen = study.specimen
    others = dict.fromkeys(test.batch for test in study.tests if taken_over(study, test, name))
    if not others:
        return ""
    whose = f"of batch {specimen.batch}; " if specimen.batch else ""
    return f" ({whose}taken for batch {', '.join(others)} too, of which none is stated)"


def known_of_paste(study: Study) -> dict[str, tuple[float, float, str]]:
    """Return what tests measure and the specimen states of the paste: value [SI], sd of its ln [-] and origin, by name; measured first."""
    measured = study.bench.properties() if study.knows("bench") else {}
    stated, rows = study.specimen.stated(), {}  # a test may hold the density that the cup of this bench measured
    for name, one in measured.items():
        side = {-1: "at most: ", 1: "at least: "}.get(one.side, "")
        rows[name] = (one.value, one.spread, f"{MEASURED}: {side}{one.origin}")
    for name, one in (study.bench.stated() if study.knows("bench") else {}).items():
        rows.setdefault(name, (one.value, one.spread, one.origin))
        if name in measured and name in stated:
            rows[f"{name}, as stated"] = (one.value, one.spread, f"{one.origin}; {_counts(study, name)}")
    return rows


def _counts(study, name):
    """Return in words where a property counts that is both stated and measured."""
    here = {
        "density": "tests of the bench that need the density take this one",
        "water_content": "readings that state none of their own were taken to be of it, and with them law, force and pressure",
    }.get(name)
    if name in study.book.plan.properties:
        else_ = "what the plan types counts"
    elif name == "water_content" and study.knows("fit") and name in study.fit.law.depends_on:
        else_ = "the reference of the law counts"
    else:
        else_ = "what was measured counts"
    return f"{here}; elsewhere {else_}" if here else else_


def _typed_wet(study):
    """Return whether the water content of the specimen was typed on the wet basis, from which the dry one follows."""
    table = study.stated.get("specimen", {})
    return isinstance(table, dict) and table.get("water_basis") == "wet"


def _properties(study):
    rows = []
    for name, (value, spread, origin) in known_of_paste(study).items():
        about = QUANTITIES[name.partition(",")[0]]
        cells = with_limits(value, *limits_of_property(name, value, spread), about)
        of_wet = name.startswith("water_content") and origin.startswith("stated of the specimen") and _typed_wet(study)
        own = f"{FROM_WET}{origin.removeprefix('stated of the specimen')}" if of_wet else origin
        rows.append((name.replace("_", " "), about.symbol, *cells, _invented(study, own)))
        if name == "water_content":
            wet = (float(wet_basis(one)) for one in (value, *limits_of_spread(value, spread)))
            rows.append(
                (
                    "water, wet basis",
                    "x = u/(1 + u)",
                    *with_limits(*wet, "-"),
                    _invented(study, origin) if of_wet else FROM_DRY,
                )
            )
    if not rows:
        return Paragraph(
            "Density, air and water content: not known, for not all of the folder can be read."
            if study.unread
            else f"Density, air and water content: {not_stated(study, *OF_MIX)}; no test of them was made."
        )
    lacks = [
        name.replace("_", " ")
        for name in ("density", "air_content", "water_content")
        if name not in known_of_paste(study)
    ]
    note = f"Not stated and not measured: {', '.join(lacks)}{unless_noted(study, *OF_MIX)}." if lacks else ""
    if any("air_content" in test.gives for test in study.tests):
        note = f"{note} {AIR.format(pores=written(CLOSED_PORES, '%'))}".strip()
    if any(SCATTERS in origin for *_, origin in known_of_paste(study).values()):
        note = f"{note} {HOW_WIDER}".strip()
    if any(SPREAD_ASSUMED in origin for *_, origin in known_of_paste(study).values()):
        note = f"{note} {OF_SPREAD}".strip()
    typed = study.book.plan.text("drying", "shrinkage_error")
    if typed and any(name.startswith("shrinkage_") for name in known_of_paste(study)):
        note = f"{note} {OF_SHRINKAGE.format(typed=marked(typed))}".strip()
    return Table(
        "properties",
        f"{study.of}: what is known of the paste beside its flow law. Limits are of the 95 % interval, normal in the ln of the value.",
        ("property", "symbol", "value", "low", "high", "unit", "where it comes from"),
        tuple(rows),
        note,
    )


def _recipe(study):
    plan = study.book.plan
    given = [row for row in plan.rows("recipe", "ingredient") if any(one.strip() for one in row.values())]
    if not given:
        return Paragraph(f"Recipe: not stated in the plan{unless_noted(study, *OF_MIX)}.")
    names = ("name", "mass", "moisture", "density", "dissolves")
    rows = tuple(tuple(row.get(name, "").strip() or NOT_STATED for name in names) for row in given)
    water = plan.text("recipe", "water_content") or "not stated"
    return Table(
        "recipe",
        f"{study.of}: recipe as typed in the plan, {counted(len(rows), 'ingredient')}; water content u = {water} (dry basis). "
        f"The masses are {plan.choice('recipe', 'masses')}.",
        ("ingredient", "mass", "moisture, wet basis", "density", "dissolves"),
        rows,
        "As typed, with the units that were typed; where these numbers come from: "
        + (plan.text("recipe", "origin") or not_stated(study, *OF_MIX))
        + ".",
    )


def _to_weigh(study):
    """Return what is weighed for the batch of the plan, or why that is not known; nothing where it plans no batch."""
    plan = study.book.plan
    if not plan.text("recipe", "batch"):
        return
    try:
        sheet = study.book.recipe.batch_sheet(plan.value("recipe", "batch"))
    except DataError as error:
        yield Paragraph(
            f"What to weigh for a batch of {marked(plan.text('recipe', 'batch'))}: not known. {stopped(study.plain(str(error)))}"
        )
        return
    heads = ("weigh", "dry", "water")
    rows = [
        (row.Index, *(Shown(float(one), number(float(one), 4)) for one in (row.weigh, row.dry, row.water)))
        for row in sheet.itertuples()
    ]
    rows.append(("all", *(Shown(float(one), number(float(one), 4)) for one in sheet[[*heads]].sum())))
    yield Table(
        "to-weigh",
        f"{study.of}: what is weighed for a batch of {marked(plan.text('recipe', 'batch'))} of wet paste, by the recipe of the plan.",
        ("ingredient", "mass to weigh [g]", "dry mass in it [g]", "water in it [g]"),
        tuple(rows),
        "The mass to weigh is that of a powder as it comes, moist. The water content u of the recipe holds all water, that in the powders too, over all dry mass: "
        "the moisture of the powders is taken off the water that is weighed.",
    )


def _invented(study, origin):
    """Return an origin with the word that nobody measured it, where that is so."""
    if not study.specimen.invented:
        return origin
    return of_invented(origin) if origin.startswith(MEASURED) else f"{INVENTED}: {origin}"
