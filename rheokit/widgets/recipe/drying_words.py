"""How a wall dries and shrinks, as words and rows of text; no widget, no state."""

from ...nomenclature import number
from ...part.drying import WITHIN
from ...units import g, hour, mm

PER_HOUR = g / hour  # g/(m² h)


def in_words(wall, where):
    """Return how long a `DryingWall` takes, in two stages; `where` its hours hold for."""
    first, total = wall.times.constant_rate / hour, wall.times.total / hour
    slower = (
        f" Inside, diffusion alone would take {_hours(wall.diffusion_time[0] / hour)} h: it governs, expect that."
        if wall.diffusion_time[0] > wall.times.total else ""
    )  # fmt: skip
    share, low, high = (100 * v for v in wall.covered_until)
    cover = (
        "It has done its shrinking at the start; a cover holds nothing up."
        if not first
        else f"Keep it covered until it weighs {share:.0f} % of its wet mass ({low:.0f} to {high:.0f} %): weigh it now and then. By then it has "
        "done nearly all its shrinking; uncover it afterwards."
    )
    hours = f"it is dry after {_hours(total)} h ({_hours(total / WITHIN)} to {_hours(total * WITHIN)} h)"
    reaches = (
        f", and down to that mass after {_hours(first)} h ({_hours(first / WITHIN)} to {_hours(first * WITHIN)} h)"
        if first
        else ""
    )
    return (
        f"{cover} {where.capitalize()} {hours}{reaches}. Under a cover it takes longer, in proportion: half the flux, twice the hours. "
        f"How much a cover holds back is not known until a wet plate is weighed under it.{slower}"
    )


def drying_rows(wall, where, cracked):
    """Return rows of a `DryingWall`: quantity, value, limits, unit, note; `cracked` is the index above which walls cracked, 0 unknown."""
    flux, low, high = (v / PER_HOUR for v in wall.fluxes)
    waters, times = wall.waters, wall.times
    index, least, most = map(number, wall.index)
    held = (
        "an index to calibrate, no prediction: print walls of growing thickness and note the index above which they crack"
        if not cracked else "above the one at which your walls cracked: cover it, dry slower, thinner walls" if wall.index[0] > cracked
        else f"below the {number(cracked)} at which your walls cracked"
    )  # fmt: skip
    return [
        [
            "drying flux j",
            number(flux),
            f"{number(low)} to {number(high)}",
            "g/(m²·h)",
            "weigh a wet plate beside the part: better than any formula",
        ],
        [
            "shrinkage ends at u_cr, dry basis",
            number(waters["critical_water"]),
            "",
            "-",
            f"after {100 * max(wall.shrinking_share, 0):.0f} % of the water that leaves",
        ],
        [
            "keep it covered down to this share of its wet mass",
            f"{100 * wall.covered_until[0]:.0f}",
            f"{100 * wall.covered_until[1]:.0f} to {100 * wall.covered_until[2]:.0f}",
            "%",
            "there it has shrunk; limits by how well the dry solids are known",
        ],
        _times(
            "constant rate: it shrinks",
            within(times.constant_rate),
            f"{where}; under a cover longer, by open over covered flux",
        ),
        _times("falling rate: it only dries", within(times.falling_rate), f"{where}; may be uncovered"),
        _times("by diffusion alone", wall.diffusion_time, "grows with the square of the thickness"),
        ["crack index N = j b/(ρ_d D_e)", index, f"{least} to {most}", "-", held],
    ]


def within(seconds):
    """Return a time of a stage with the limits within which such times hold [s]."""
    return seconds, seconds / WITHIN, seconds * WITHIN


def _times(words, seconds, note):
    value, low, high = (_hours(time / hour) for time in seconds)
    return [words, value, f"{low} to {high}", "h", note]


def _hours(hours):
    return number(hours, 2)  # more digits would promise more than a factor of 2


def scale_rows(sizes, shrinkages, packed):
    """Return rows of the drawing: axis, shrinkage, factor with limits, wanted dry [mm], drawn [mm] with limits."""
    rows = []
    for (axis, size), found in zip(sizes.items(), shrinkages, strict=True):
        factor = found.scale
        limits = f"{factor.low:.3f} to {factor.high:.3f}"
        drawn = f"{size * factor.value / mm:.1f} ({size * factor.low / mm:.1f} to {size * factor.high / mm:.1f})"
        shrinks = f"{100 * found.value:.1f} ({100 * found.low:.1f} to {100 * found.high:.1f})"
        rows.append([axis, shrinks, f"{factor.value:.3f}", limits, f"{size / mm:.1f}", drawn])
    scale, shrinks = packed.scale, f"{100 * packed.value:.1f} ({100 * packed.low:.1f} to {100 * packed.high:.1f})"
    return [
        *rows,
        [
            "all alike, from the solids",
            shrinks,
            f"{scale.value:.3f}",
            f"{scale.low:.3f} to {scale.high:.3f}",
            "",
            "to compare; use measured ones",
        ],
    ]
