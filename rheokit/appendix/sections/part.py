"""What becomes of a printed part: how high it stands, how far a line bridges, how it dries, and what to draw for the size wanted."""

from ... import charts
from ...errors import DataError
from ...nomenclature import QUANTITIES, marked, number, written
from ...nomenclature.batches import HOLDS_NEXT
from ...nomenclature.measures import Unit
from ...part.job import FIBRE
from ...units import hour
from ...workbook.of_drying import drawn_sizes, drying_of
from ...workbook.of_paste import AS_TYPED, shrinkages
from ...workbook.standing import standing_of, standing_of_bench
from ..answers import told_errors
from ..cells import NOT_KNOWN, stopped, with_limits
from ..document import Caution, Points, Section, Table
from ..figures import figure
from ..predicted_formulae import WHERE
from ..study import Study

TITLE = "Predictions: shape, drying and dry size"
HOURS = Unit("h", 1.0)
HELD = f"{HOLDS_NEXT}, of the law, the static ratio and the density, and with the error of the formula"
WIDER = "They are wider than those under “Which reading next”, which are of the fit alone, as said there, so that a height has fewer digits here."
DRIES = "within a factor of 2 (common practice, no source)"


def section(study: Study) -> Section | None:
    """Return the parts of a print that can be told; nothing of a fibre."""
    if study.book.plan.text("job", "kind") == FIBRE:
        return None
    parts, unknown = [], []
    for title, tell in (("How high it stands", _standing), ("Size when dry", _sizes), ("Drying", _drying)):
        try:
            blocks = tuple(tell(study))
        except DataError as error:
            if tell is _standing and (foot := _foot(study, error)):
                parts.append(Section(title, foot))
                continue
            unknown.append(f"{title}: not known. {stopped(study.plain(str(error)))}")
            continue
        parts.append(Section(title, blocks))
    return Section(TITLE, (Points(tuple(unknown)),) if unknown else (), tuple(parts))


def _mixed(study):
    """Return the paste as it is mixed, and with it whose paste is told of; None and the paste tested where there is no recipe."""
    try:
        mixed = study.book.mixed
    except DataError:
        return None, "the paste that was tested"
    if mixed.law is None:
        return None, "the paste that was tested"
    return mixed, f"the paste as mixed by its recipe, u = {number(mixed.water_content, 4)}"


def _standing(study):
    mixed, whose = _mixed(study)
    bridges = None
    if mixed is None:
        standing = standing_of_bench(study.book)
    else:
        standing = standing_of(study.book, mixed)
        try:
            bridges = standing_of(study.book, mixed, bridging=True).bridges
        except DataError:
            bridges = None
    job = standing.job
    rows = [
        ("height at which the wall leans", *with_limits(*standing.leans, "m"), ""),
        ("height at which the foot yields while it grows", *with_limits(*standing.foot, "m"), ""),
        ("static yield stress as it is laid", *with_limits(*standing.static_yield_stress, "Pa"), ""),
        (
            "static yield stress that holds the section of a line",
            *with_limits(*standing.holding_stress, "Pa"),
            "within a factor of 2",
        ),
    ]
    if job.path_length is not None:
        rows.append(
            ("greatest speed at which it may grow", *with_limits(*standing.rise_speed, "m/s"), "its foot not yielding")
        )
    for words, found in zip(
        ("bridge that sags a twentieth of its diameter", "bridge that first yields", "longest bridge"),
        bridges or (),
        strict=False,
    ):
        rows.append((words, *with_limits(*found, "m"), ""))
    yield Table(
        "standing",
        f"{study.of}: what a {job.shape} {written(job.part_height, 'm')} high and {written(job.wall_width, 'm')} thick stands, of {whose}; limits of the 95 % interval "
        f"by {standing.draws} joint draws {HELD}.",
        ("quantity", "value", "low", "high", "unit", "note"),
        tuple(rows),
        f"It stands in {number(100 * standing.probability, 2)} of 100 cases (leaning and yielding of the foot together). {_converged(standing)} {WIDER} {WHERE}",
    )
    if standing.first[1].value < job.part_height:
        yield Caution(
            f"The part is {written(job.part_height, 'm')} high: by best values it fails first at {written(standing.first[1].value, 'm')} ({standing.first[0]})."
        )
    if job.path_length is not None:
        first, known = standing.first
        fails = (
            (known.value, {"lean": "the wall leans", "stack": "the foot yields"}[first])
            if known.value < job.part_height
            else None
        )
        chart = charts.stack_height(
            float(standing.case.rise_speed),
            job.part_height,
            standing.carried(),
            standing.leans,
            fails,
            foot_yields=standing.foot,
        )
        yield figure(
            "stack-height",
            chart,
            f"{study.of}: height of the part that grows, that at which its wall leans and that which its foot carries, with 95 % limits, as far as they lie on the axes; "
            "what lies beyond them is told by its name and its number alone.",
        )


def _foot(study, error):
    """Return the height at which the foot yields, which asks for no stiffness, where the height at which the wall leans is not known."""
    try:
        standing = standing_of_bench(study.book, stiff=False)
        known = [
            ("height at which the foot yields while it grows", *with_limits(*standing.foot, "m"), ""),
            ("static yield stress as it is laid", *with_limits(*standing.static_yield_stress, "Pa"), ""),
        ]
    except DataError:
        return ()
    lean = "height at which the wall leans", NOT_KNOWN, NOT_KNOWN, NOT_KNOWN, "", "see below"
    table = Table(
        "standing",
        f"{study.of}: what a {standing.job.shape} {written(standing.job.part_height, 'm')} high stands, as far as it is known, of the paste that was tested; "
        f"limits of the 95 % interval by {standing.draws} joint draws {HELD}.",
        ("quantity", "value", "low", "high", "unit", "note"),
        (lean, *known),
        f"{_converged(standing)} {WIDER} {WHERE}".strip(),
    )
    return table, Caution(
        f"Whether its wall leans is not known, so that it may fail lower: {stopped(study.plain(str(error)))}"
    )


def _converged(standing):
    """Return how far the limits of what the foot carries have converged, in a sentence."""
    off = told_errors(standing.foot_errors, "m")
    return f"Standard error of the limits at which the foot yields by the number of draws: {off}." if off else ""


def of_shrinkage(study: Study) -> str:
    """Return whose the uncertainty of each shrinkage is, by which the limits are."""
    typed = study.book.plan.text("drying", "shrinkage_error")
    told = []
    for name, one in shrinkages(study.book).items():
        origin = one.origin.removesuffix(f"; {AS_TYPED}")
        if origin != one.origin:
            origin += f"; limits by the standard uncertainty typed in the plan, {marked(typed)} of the wet length, and not by those of the readings"
        told.append(f"{QUANTITIES[name].symbol}: {origin}")
    return f"{'. '.join(told)}." if told else ""


def _sizes(study):
    rows = []
    for key, one in drawn_sizes(study.book).items():
        drawn = with_limits(one.drawn, one.low, one.high, "m")
        shrinks = with_limits(*one.shrinkage, "%")
        rows.append((key, written(one.wanted, "m"), *shrinks[:3], *drawn[:3], drawn[3]))
    yield Table(
        "dry-size",
        f"{study.of}: what to draw so that the part measures when dry what is wanted; limits of the 95 % interval, by the shrinkage with its uncertainty.",
        (
            "size",
            "wanted when dry",
            "shrinkage [%]",
            "low [%]",
            "high [%]",
            "draw",
            "draw, low",
            "draw, high",
            "unit of draw",
        ),
        tuple(rows),
        f"Shrinkage is counted on the wet length: (wet - dry)/wet. {' '.join(filter(None, [of_shrinkage(study), WHERE]))}",
    )


def _drying(study):
    mixed = study.book.mixed
    wall = drying_of(study.book, mixed)
    times = wall.times
    kept = wall.covered_until
    rows = [
        (
            "share of the wet mass at which it has shrunk",
            *with_limits(kept[0], min(kept[1:]), max(kept[1:]), "%"),
            "keep it covered until then",
        ),
        (
            "time to dry in the open",
            *with_limits(times.total / hour, times.total / hour / 2, 2 * times.total / hour, HOURS),
            DRIES,
        ),
        (
            "time by diffusion alone",
            *with_limits(*(one / hour for one in wall.diffusion_time), HOURS),
            "with a dry face from the start",
        ),
        ("crack index", *with_limits(*wall.index, "-"), "an index to calibrate on walls of one's own, no prediction"),
    ]
    yield Table(
        "drying",
        f"{study.of}: how a wall of the part dries, of the paste as mixed. Limits as said in each row.",
        ("quantity", "value", "low", "high", "unit", "note"),
        tuple(rows),
        WHERE,
    )
    yield figure(
        "drying-water",
        charts.drying_water(times, **wall.waters),
        f"{study.of}: water content of the drying wall against time; the band is the factor of 2 within which such times hold.",
    )
