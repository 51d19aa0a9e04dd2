"""Whether a part stands while it is printed, as words and rows of text; no widget, no state."""

from ...limits import LIMITS
from ...nomenclature import number
from ...units import minute, mm
from .words import row

ENDLESS = float("inf")


def fails(part):
    """Return the height [m] at which a `Standing` part fails first and what happens, or None where it stands by best values."""
    name, height = part.first
    happens = "The wall leans first" if name == "buckle" else "The foot yields first"
    return (height.value, happens) if height.value < part.job.part_height else None


def in_words(part):
    """Return whether a `Standing` part stands, what comes first, and the remedy."""
    name, height = part.first
    what = "it leans" if name == "buckle" else "its foot yields"
    chance = 100 * part.probability
    said = (
        "fewer than 1 of 200" if chance < 0.5 else "more than 199 of 200" if chance > 99.5 else f"{chance:.0f} of 100"
    )
    job, (best, low, high) = part.job, (number(one / mm) for one in height)
    wall = f"{job.shape}, {number(job.wall_width / mm)} mm thick and {number(job.part_height / mm)} mm high"
    between = f"{best} mm (95 % {low} to {high} mm)"
    head = f"{wall.capitalize()}: it stands in {said} cases. What comes first: {what}, at {between}."
    return f"{head} Remedy: {LIMITS[name].remedy}." if fails(part) else head


def standing_rows(part):
    """Return rows of a `Standing` part: quantity, value, 95 % limits, unit, note."""
    sags, yields, reach = part.bridges
    held, span, static = part.holding_stress, part.job.span, float(part.case.paste.static_yield_stress)
    verdict = "holds" if reach.value >= span else "is too far: shorten it, or put a support under it"
    lean = "the lean of the test wall is in it" if part.case.lean_in_modulus else "with the lean factor of real walls"
    return [
        _row("the wall leans at", part.leans, mm, "mm", f"elastic buckling, {lean}"),
        _row("the foot yields at", part.foot, mm, "mm", "while it grows; creep may sag it later"),
        _row("greatest rise speed to the height wanted", part.rise_speed, mm / minute, "mm/min", _rising(part.rise_speed)),
        _row("a bridge sags a twentieth of its diameter at", sags, mm, "mm", "stiffness"),
        _row("a bridge first yields at", yields, mm, "mm", "strength; tearing is not judged"),
        _row("longest bridge", reach, mm, "mm", f"{number(span / mm)} mm wanted: {verdict}"),
        _row("a line keeps its section above", held, 1.0, "Pa", f"within a factor of 2; static yield stress here {number(static)} Pa"),
    ]  # fmt: skip


def _row(words, known, unit, name, note):
    found = row(words, (number(one / unit) for one in known), name, note)
    return found if known.low < ENDLESS else [*found[:2], "no limit in 95 of 100 cases", *found[3:]]


def _rising(speed):
    """Return what the best value of a greatest rise speed means."""
    if speed.value == ENDLESS:
        return "no limit: the fresh paste bears it"
    if speed.value:
        return "faster, and the foot yields before it has stiffened"
    return "the foot yields however slowly it grows"
