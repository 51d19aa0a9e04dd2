"""How a wall dries and shrinks, as words and rows of text; no widget, no state."""

from ...nomenclature import number
from ...part.drying import WITHIN
from ...units import g, hour, mm
from .words import row

PER_HOUR = g / hour  # g/(m² h)
BY_PLATE = "weigh a wet plate beside the part: better than any formula"
SHRUNK = "there it has shrunk; limits by how well the dry solids are known"
SQUARE = "grows with the square of the thickness"


def in_words(wall, where):
    """Return how long a `DryingWall` takes, in two stages; `where` its hours hold for."""
    first, total = wall.times.constant_rate / hour, wall.times.total / hour
    inside = _hours(wall.diffusion_time[0] / hour)
    slower = f" Inside, diffusion alone would take {inside} h: it governs, expect that."
    slower = slower if wall.diffusion_time[0] > wall.times.total else ""
    share, low, high = (f"{100 * v:.0f}" for v in wall.covered_until)
    cover, reaches = "It has done its shrinking at the start; a cover holds nothing up.", ""
    if first:
        cover = (
            f"Keep it covered until it weighs {share} % of its wet mass ({low} to {high} %): weigh it now and then. By then it has "
            "done nearly all its shrinking; uncover it afterwards."
        )
        reaches = f", and down to that mass after {_within(first)}"
    return (
        f"{cover} {where.capitalize()} it is dry after {_within(total)}{reaches}. "
        "Under a cover it takes longer, in proportion: half the flux, twice the hours. "
        f"How much a cover holds back is not known until a wet plate is weighed under it.{slower}"
    )


def drying_rows(wall, where, cracked):
    """Return rows of a `DryingWall`: quantity, value, limits, unit, note; `cracked` is the index above which walls cracked, 0 unknown."""
    times, kept = wall.times, [f"{100 * share:.0f}" for share in wall.covered_until]
    constant, falling = (map(_hours, within(time / hour)) for time in (times.constant_rate, times.falling_rate))
    leaves = f"after {100 * max(wall.shrinking_share, 0):.0f} % of the water that leaves"
    held = f"below the {number(cracked)} at which your walls cracked"
    if not cracked:
        held = "an index to calibrate, no prediction: print walls of growing thickness and note the index above which they crack"
    elif wall.index[0] > cracked:
        held = "above the one at which your walls cracked: cover it, dry slower, thinner walls"
    return [
        row("drying flux j", (number(flux / PER_HOUR) for flux in wall.fluxes), "g/(m²·h)", BY_PLATE),
        ["shrinkage ends at u_cr, dry basis", number(wall.waters["critical_water"]), "", "-", leaves],
        row("keep it covered down to this share of its wet mass", kept, "%", SHRUNK),
        row("constant rate: it shrinks", constant, "h", f"{where}; under a cover longer, by open over covered flux"),
        row("falling rate: it only dries", falling, "h", f"{where}; may be uncovered"),
        row("by diffusion alone", (_hours(time / hour) for time in wall.diffusion_time), "h", SQUARE),
        row("crack index N = j b/(ρ_d D_e)", map(number, wall.index), "-", held),
    ]


def within(time):
    """Return a time of a stage with the limits within which such times hold."""
    return time, time / WITHIN, time * WITHIN


def _within(hours):
    value, low, high = map(_hours, within(hours))
    return f"{value} h ({low} to {high} h)"


def _hours(hours):
    return number(hours, 2)  # more digits would promise more than a factor of 2


def scale_rows(sizes, shrinkages, packed):
    """Return rows of the drawing: axis, shrinkage, factor with limits, wanted dry [mm], drawn [mm] with limits."""

    def of_axis(axis, found, dry, drawn):
        value, low, high = (f"{one:.3f}" for one in found.scale)
        return [axis, _spread(100 * one for one in found), value, f"{low} to {high}", dry, drawn]

    return [
        *(
            of_axis(axis, found, f"{size / mm:.1f}", _spread(size * one / mm for one in found.scale))
            for (axis, size), found in zip(sizes.items(), shrinkages, strict=True)
        ),
        of_axis("all alike, from the solids", packed, "", "to compare; use measured ones"),
    ]


def _spread(known):
    value, low, high = (f"{one:.1f}" for one in known)
    return f"{value} ({low} to {high})"
