"""What the page of a recipe says: of its water, of a part that stands, of a wall that dries, and the cautions of pastes; no widget."""

from ...limits import LIMITS
from ...nomenclature import PASCAL, between, number, numbers, with_limits
from ...part.drying import WITHIN
from ...paste.cautions import CAUTIONS, DECIDES
from ...paste.recipe import wet_basis
from ...units import g, hour, minute, mm

PER_HOUR = g / hour  # g/(m² h)
BY_PLATE = "weigh a wet plate beside the part: better than any formula"
SHRUNK = "there it has shrunk; limits by how well the dry solids are known"
SQUARE = "grows with the square of the thickness"
ENDLESS = float("inf")
OF_FOOT = "while it grows, by the line through the recipe's readings (notebooks 2 and 3: by the fitted law); creep may sag it later"
LEAST = 1e-3  # mm, mm/min, Pa, h: what is below it is none that anybody measures
INVENTED = "INVENTED numbers, for demonstration"
OWN = "my own numbers"
EMPTIED = (
    "Every field that held a number of the example is empty now, and what needs it is not computed until you type it. A slider "
    "cannot be empty: set each to the size you want. Before you did, they stood at "
)
KEPT = "Your own numbers are kept as you left them, until you choose them again."


def cautions(*hazards):
    """Return cautions in words, one paragraph a hazard, and who decides."""
    return [*(f"{hazard.capitalize()}: {CAUTIONS[hazard]}" for hazard in hazards), DECIDES]


def row(words, known, unit, note):
    """Return a row of a table: a value with its two limits, as text, between what it is and what to say of it."""
    value, low, high = known
    return [words, value, f"{low} to {high}", unit, note]


def sheet_rows(sheet):
    """Return the rows of a batch sheet as text, with the sums last: ingredient, weigh, dry mass and water in it [g]."""
    sheet = sheet[["weigh", "dry", "water"]]
    rows = [*sheet.iterrows(), ("all", sheet.sum())]
    return [[name, *(f"{grams:.1f}" for grams in masses)] for name, masses in rows]


def both_bases(water_content):
    """Return a water content in words, on both bases, each by its name."""
    wet = float(wet_basis(water_content))
    return f"u = {water_content:.3f}, dry basis (water over dry mass), that is x = {100 * wet:.1f} %, wet basis (water over all)"


def recipe_rows(mixed, doubt=""):
    """Return rows of what a `Mixed` paste means: quantity, value, unit, note; with a `doubt` of its density, a density that is known is not used."""
    recipe = mixed.recipe
    dry, wet = f"{recipe.water_content:.3f}", f"{100 * recipe.wet_water_content:.1f}"
    return [
        ["water content, dry basis u", dry, "-", "water over dry mass; the calculations use this one"],
        ["water content, wet basis x", wet, "%", "water over all; an oven balance often shows this one"],
        ["density without air", f"{recipe.density:.0f}", "kg/m³", "from the densities of the ingredients"],
        ["density with its air", f"{mixed.density:.0f}", "kg/m³", density_words(mixed, doubt)],
        ["solids by volume, gum included", number(mixed.wet_solids), "-", "with the air; for shrinkage"],
        ["grains by volume", number(recipe.grain_fraction), "-", "without what dissolves; near 0.6 they jam"],
    ]


def density_words(mixed, doubt=""):
    """Return which density of a `Mixed` paste counts: that which was measured, moved to its water, or that of the ingredients."""
    if mixed.measured is None:
        said = "from the densities of the ingredients and the air"
        return (
            f"{said}; that which was measured is not used: see above"
            if doubt
            else f"{said}: weigh a full cup of 100 mL to check"
        )
    density, water = mixed.measured
    at = f"{density:.0f} kg/m³ as measured at u = {number(water)}"
    return f"{at}; {mixed.reckoned_density:.0f} kg/m³ by the ingredients, which does not count here"


def uncounted_words(recipe, law):
    """Return what happens if the powders' own moisture is forgotten, in words; nothing where they are dry."""
    wrong = recipe.uncounted_water_content
    if wrong <= recipe.water_content * (1 + 1e-9):
        return ""
    said = f"If you forget the moisture of the powders, the paste holds u = {wrong:.3f} instead of {recipe.water_content:.3f}"
    if law is None:
        return f"{said}."
    softer = number(float(law.line_factor(recipe.water_content, wrong)), 2)
    return f"{said} and the yield stress is {softer} times what you want."


def no_paste(words, water, law, end):
    """Return that the line gives a yield stress beyond an end [Pa] of what pastes have at a water content."""
    less = "less" if float(law.line(water)) < end else "more"
    return (
        f"{words.partition(' [')[0].capitalize()} = {number(water, 4)}: the line through the readings, {between(*law.water_range, digits=4)}, gives {less} "
        f"than {number(end)} Pa there, which no paste has. Correct it, or read a yield stress near it."
    )


def law_words(law, count, used):
    """Return a fitted water law in words, with the yield stress at the water content in use and its interval."""
    first, last = law.water_range
    slope, least, most = numbers(law.slope, law.low, law.high)
    by, at_least, at_most = numbers(*(100 * share for share in law.stiffened(0.01)))
    said = (
        f"Slope b = {slope} (95 % {least} to {most}) from {count} readings between u = {number(first)} and "
        f"{number(last)}: a drop of 0.01 in u makes it {by} % ({at_least} to {at_most} %) stiffer."
    )
    water, *stress = used
    at = f"At u = {water:.3f}: {with_limits(*stress, PASCAL)}."
    return " ".join(filter(None, [said, at, law.outside(water)]))


# --- a part that stands ------------------------------------------------------------------------------------------------


def fails(part):
    """Return the height [m] at which a `Standing` part fails first and what happens, or None where it stands by best values."""
    name, height = part.first
    happens = "The wall leans first" if name == "lean" else "The foot yields first"
    return (height.value, happens) if height.value < part.job.part_height else None


def first_words(part):
    """Return the height at which a `Standing` part fails first, with its limits, in words."""
    height = part.first[1]
    if height.value < LEAST * mm:
        return "at once: it does not stand at any height"
    best, low, high = _numbers(height, mm)
    return f"at {best} mm (95 % {low} to {high} mm)"


def standing_words(part):
    """Return whether a `Standing` part stands, what comes first, and the remedy."""
    name = part.first[0]
    what = "it leans" if name == "lean" else "its foot yields"
    chance = 100 * part.probability
    said = (
        "fewer than 1 of 200" if chance < 0.5 else "more than 199 of 200" if chance > 99.5 else f"{chance:.0f} of 100"
    )
    job = part.job
    wall = f"{job.shape}, {number(job.wall_width / mm)} mm thick and {number(job.part_height / mm)} mm high"
    head = f"{wall.capitalize()}: it stands in {said} cases. What comes first: {what}, {first_words(part)}."
    return f"{head} Remedy: {LIMITS[name].remedy}." if fails(part) else head


def standing_rows(part):
    """Return rows of a `Standing` part: quantity, value, 95 % limits, unit, note."""
    sags, yields, reach = part.bridges
    held, span, static = part.holding_stress, part.job.span, with_limits(*part.static_yield_stress, "Pa")
    verdict = "holds" if reach.value >= span else "is too far: shorten it, or put a support under it"
    lean = "the lean of the test wall is in it" if part.case.lean_width else "with the lean factor of real walls"
    return [
        _limited("the wall leans at", part.leans, mm, "mm", f"elastic buckling, {lean}"),
        _limited("the foot yields at", part.foot, mm, "mm", OF_FOOT),
        _limited("greatest rise speed to the height wanted", part.rise_speed, mm / minute, "mm/min", _rising(part.rise_speed)),
        _limited("a bridge sags a twentieth of its diameter at", sags, mm, "mm", "by its modulus"),
        _limited("a bridge first yields at", yields, mm, "mm", "by its strength; tearing is not judged"),
        _limited("longest bridge", reach, mm, "mm", f"{number(span / mm)} mm wanted: {verdict}"),
        _limited("a line keeps its section above", held, 1.0, "Pa", f"within a factor of 2; static yield stress here {static}"),
    ]  # fmt: skip


def _numbers(known, unit):
    """Return a value and its limits in a unit, as texts; 0 for what nobody measures."""
    return numbers(*(0.0 if one < LEAST * unit else one / unit for one in known))


def _limited(words, known, unit, name, note):
    """Return the row of what may have no limit."""
    found = row(words, _numbers(known, unit), name, note)
    return found if known.low < ENDLESS else [*found[:2], "no limit in 95 of 100 cases", *found[3:]]


def _rising(speed):
    """Return what the best value of a greatest rise speed means."""
    if speed.value == ENDLESS:
        return "no limit: the fresh paste bears it"
    if speed.value >= LEAST * mm / minute:
        return "faster, and the foot yields before it has stiffened"
    return "the foot yields however slowly it grows"


# --- a wall that dries -------------------------------------------------------------------------------------------------


def drying_words(wall, where):
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
    share, low, high = (f"{100 * max(one, 0):.0f}" for one in wall.shrinking_share)
    leaves = f"after {share} % of the water that leaves ({low} to {high} %), by how well the dry solids are known"
    held = f"below the {number(cracked)} at which your walls cracked"
    if not cracked:
        held = "an index to calibrate, no prediction: print walls of growing thickness and note the index above which they crack"
    elif wall.index[0] > cracked:
        held = "above the one at which your walls cracked: cover it, dry slower, thinner walls"
    return [
        row("drying flux j", numbers(*(flux / PER_HOUR for flux in wall.fluxes)), "g/(m²·h)", BY_PLATE),
        row("shrinkage ends at u_cr, dry basis", numbers(*wall.critical_limits), "-", leaves),
        row("keep it covered down to this share of its wet mass", kept, "%", SHRUNK),
        row("constant rate: it shrinks", constant, "h", f"{where}; under a cover longer, by open over covered flux"),
        row("falling rate: it only dries", falling, "h", f"{where}; may be uncovered"),
        row("by diffusion alone", (_hours(time / hour) for time in wall.diffusion_time), "h", SQUARE),
        row("crack index N = j b/(ρ_d D_e)", numbers(*wall.index), "-", held),
    ]


def within(time):
    """Return a time of a stage with the limits within which such times hold."""
    return time, time / WITHIN, time * WITHIN


def _within(hours):
    value, low, high = map(_hours, within(hours))
    return f"{value} h ({low} to {high} h)"


def _hours(hours):
    return number(hours if hours >= LEAST else 0.0, 2)  # more digits would promise more than a factor of 2


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
        *([of_axis("all alike, from the solids", packed, "", "to compare; use measured ones")] if packed else []),
    ]


def _spread(known):
    value, low, high = (f"{one:.1f}" for one in known)
    return f"{value} ({low} to {high})"
