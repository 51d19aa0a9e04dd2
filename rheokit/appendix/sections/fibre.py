"""What becomes of a fibre: how fast to wind it, how far it may fall, how long it takes to set, and its way."""

from ... import charts
from ...nomenclature import written
from ...nomenclature.batches import HOLDS_NEXT
from ...part.job import FIBRE
from ...planning import Winding
from ...planning.fibre_way import fibre_way
from ..cells import with_limits
from ..document import Block, Caution, Paragraph, Section, Table
from ..figures import figure
from ..predicted_formulae import WHERE
from ..study import SEED, Study

TITLE = "Predictions: fibre"
PICTURES = {"temperature": "how warm", "diameter": "how thick", "setting": "how far set"}


def section(study: Study) -> Section | None:
    """Return the winding of a fibre and its way; nothing of a print."""
    if study.book.plan.text("job", "kind") != FIBRE:
        return None
    wound = Winding(study.material, study.extruder, study.job, seed=SEED)
    blocks: list[Block] = []
    rows, lacks = _rows(wound)
    if rows:
        blocks.append(
            Table(
                "winding",
                f"{study.of}: how to wind the fibre that is planned; limits of the 95 % interval by {wound.draws} joint draws "
                f"of law, properties, settings and formulae, {HOLDS_NEXT}.",
                ("quantity", "value", "low", "high", "unit", "note"),
                tuple(rows),
                WHERE,
            )
        )
    if lacks:
        blocks.append(Paragraph(f"Not known: {'; '.join(lacks)}."))
    return Section(TITLE, (*blocks, *_way(study, wound)))


def _rows(wound):
    rows, lacks = [], []
    if wound.winding_speed is None:
        lacks.append(f"how fast to wind ({wound.lacks_speed})")
    else:
        rows.append(
            (
                "winding speed for the dry diameter wanted",
                *with_limits(*wound.winding_speed, "m/s"),
                f"dry diameter {written(wound.job.dry_diameter, 'm')}",
            )
        )
    at = wound.at_diameter
    for words, found in (
        ("longest gap in the air", at.longest_gap),
        ("shortest bath", at.shortest_bath),
        ("way in the air on which it sets", at.shortest_air_way),
    ):
        if found is None:
            lacks.append(words)
            continue
        known, note = found if words.startswith("longest") else (found, "")
        rows.append((words, *with_limits(*known, "m"), f"ended by {note}" if note else ""))
    if wound.blocks_after is None:
        lacks.append("when a bare needle blocks")
    else:
        rows.append(("a bare needle blocks after a pause of", *with_limits(*wound.blocks_after, "s"), ""))
    return rows, lacks


def _way(study, wound):
    way = fibre_way(wound.case, wound.drawn, wound.normals)
    subtitle = [
        *charts.subtitle_of(study.fit),
        *charts.invented_lines(study.material, *study.book.origins, made="fibre"),
    ]
    if way.outside:
        yield Caution(f"Extrapolated: {'; '.join(way.outside)}.")
    if way.dry_diameter is not None:
        value, low, high, unit = with_limits(*way.dry_diameter, "m")
        yield Paragraph(f"Dry diameter at the winding speed of the plan: {value} {unit} (95 % {low} to {high} {unit}).")
    for key, what in PICTURES.items():
        if key in way.unknown and way.table[key].isna().all():
            yield Paragraph(f"How it goes along the way, {what}: not known, {way.unknown[key]}.")
            continue
        chart = getattr(charts, f"fibre_{key}")(way, subtitle)
        yield figure(
            f"fibre-{key}",
            chart,
            f"{study.of}: {what} the fibre is along its way from the needle to the drum, with 95 % limits by {wound.draws} joint draws {HOLDS_NEXT}.",
        )
