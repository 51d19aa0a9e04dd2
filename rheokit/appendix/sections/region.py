"""How far the job of the plan may be moved: windows of single settings, and the map over two of them."""

import numpy as np

from ... import charts
from ...errors import DataError
from ...limits import judge
from ...nomenclature import and_
from ...nomenclature.batches import HOLDS_NEXT
from ...part.job import FIBRE
from ...planning import LIKELY, window
from ...regions import AXES, region_map
from ...regions.maps import NOT_ASKED
from ...workbook.of_region import point_of
from ..cells import alone
from ..document import Block, Caution, Paragraph, Section, Table
from ..figures import figure
from ..study import DRAWS, ON_MAP, POINTS, SEED, Study
from . import limits
from .limits import without_reasons

LIMITS_AND_VERDICT = limits.TITLE
TITLE = "Predictions: windows and map"
WINDOWS = ("bore", "water_content", "print_speed")


def section(study: Study) -> Section | None:
    """Return windows and map of a print; a fibre has a section of its own."""
    if study.book.plan.text("job", "kind") == FIBRE:
        return None
    axes, held = point_of(study.book.plan, study.case)
    blocks: list[Block] = [_windows(study, axes, held)]
    try:
        blocks += _map(study, axes, held)
    except DataError as error:
        blocks.append(Paragraph(f"The map: not computed. {study.plain(str(error))}"))
    return Section(TITLE, tuple(blocks))


def _windows(study, axes, held):
    rows = []
    for name in dict.fromkeys((*WINDOWS, *axes)):
        about = AXES[name]
        if not about.moves(study.case):
            rows.append((about.label, "-", "-", "", "-", "-", "not varied: not known how it moves this paste"))
            continue
        try:
            found = window(
                study.material, study.extruder, study.job, name, probability=LIKELY, draws=DRAWS, seed=SEED, held=held
            )
        except DataError as error:
            why = study.plain(str(error)).removeprefix("window: ")
            rows.append((about.label, "-", "-", "", "-", "-", f"{why}{_of_those_judged(study, name, held)}"))
            continue
        low, unit = alone(found.low, about.unit) if found.is_open else ("none", "")
        high = alone(found.high, about.unit)[0] if found.is_open else "none"
        rows.append(
            (
                about.label,
                low,
                high,
                unit,
                found.stops_low or "-",
                found.stops_high or "-",
                without_reasons(found.words, found.unjudged),
            )
        )
    return Table(
        "windows",
        f"{study.of}: from where to where a setting may be moved alone so that every limit judged holds in {100 * LIKELY:.0f} of 100 next batches, "
        f"by {DRAWS} joint draws {HOLDS_NEXT}.",
        ("setting", "lowest", "highest", "unit", "stops below", "stops above", "in words"),
        tuple(rows),
    )


def _of_those_judged(study, name, held):
    """Return in words the window that the limits judged leave by themselves, where another would end it sooner; empty where they leave none."""
    table = judge(study.case)
    judged = [str(row.Index) for row in table.itertuples() if row.verdict not in ("not judged", "not asked")]
    try:
        found = window(
            study.material,
            study.extruder,
            study.job,
            name,
            limits=judged,
            probability=LIKELY,
            draws=DRAWS,
            seed=SEED,
            held=held,
        )
    except DataError:
        return ""
    words = without_reasons(found.words, " ".join(study.material.caveats))
    return f" By the limits judged alone, as the map has it: {without_reasons(words, found.unjudged)}"


def _map(study, axes, held):
    spans = {}
    for name in axes:
        low, high = AXES[name].span(study.case)
        spans[name] = (np.geomspace if AXES[name].logarithmic else np.linspace)(low, high, POINTS)
    rest = {name: value for name, value in held.items() if name not in axes}
    found = region_map(study.material, study.extruder, study.job, axes=spans, draws=ON_MAP, seed=SEED, held=rest)
    subtitle = [
        *charts.subtitle_of(study.fit, next_batch=True),
        *charts.invented_lines(study.material, *study.book.origins),
    ]
    point = {name: held[name] for name in axes}
    names = " and ".join(AXES[name].label for name in axes)
    if found.unjudged:
        yield Caution(
            f"Of limits that could be judged alone: which were not, and what each lacks, stands under “{LIMITS_AND_VERDICT}”."
        )
    if notes := [note for note in found.notes if note not in study.material.caveats]:
        yield Caution(f"Somewhere on the map: {'; '.join(note.rstrip('.') for note in notes)}.")
    yield figure(
        "printable-region",
        charts.printable_region(found, point, subtitle=subtitle, cells=1),
        f"{study.of}: in how many of 100 next batches every limit judged holds, over {names}, by {ON_MAP} joint draws of law, properties, machine and "
        f"formulae, {HOLDS_NEXT}, at {POINTS} times {POINTS} points; the job of the plan is marked. Lines of equal probability: 10 of 100 dotted, 50 full, "
        f"{100 * LIKELY:.0f} dashed; beyond a dash-dotted line another limit fails oftenest; what is hatched lies outside the fitted rates."
        f"{_not_drawn(found)}",
    )


def _not_drawn(found):
    """Return which limits have no line on the map since they could not be judged, in a sentence."""
    lacking = [name for name, why in found.not_judged.items() if why != NOT_ASKED]
    if not lacking:
        return ""
    return (
        f" Not judged, and so without a line: {and_(lacking)}. Where one of them would end a window sooner, the table of windows calls it not "
        "known; the lines here are of the others alone."
    )
