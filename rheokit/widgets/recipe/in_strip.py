"""What the strip of the page says: what to weigh or to add, how far to trust it, what brings the wall down."""

import numpy as np

from ...nomenclature import capital, number, written
from ...origins import ASSUMED, word_of
from ..page.strip import DOUBTFUL, SOUND, STOPPED, Strip, few, with_room
from .words import fails, first_words

INVENTED = "INVENTED numbers"
WATER = "water"  # its row in a batch sheet
WRONG, FIELD_SAYS = "Something typed cannot be: see below", "{} cannot be: its field says why"
ROOM = 125  # letters that the trust has room for
OF_RECIPE = "Of this recipe; notebooks 2 and 3: of the paste tested."
NOTHING = "all known{}, nothing extrapolated"


def tell(strip: Strip, recipe, shape, drying, invented):
    """Say of three panels what they came to."""
    answers, rooms = [*_weigh(recipe), *_add(recipe)], (recipe, shape, drying)
    wrong = [words for room in rooms for words in room.wrong_words]  # the first is to be mended first
    if answers:
        strip.answer.say(with_room(" ".join(answers), _dry(drying)), DOUBTFUL if wrong else SOUND)
    elif wrong:
        strip.answer.fail()
    else:
        strip.answer.say(f"Not known: needs {few(_without_units(recipe.missing))}.", DOUBTFUL)
    _trust(strip, rooms, wrong, invented)
    if wrong and shape.standing is None:
        strip.binds.fail()
        return
    falls = shape.standing is not None and fails(shape.standing)
    strip.binds.say(_stands(shape), SOUND if shape.standing and not falls else DOUBTFUL)


def _weigh(recipe):
    """Return how much of the powders and of the water to weigh; each of them stands in the batch sheet."""
    if recipe.weighed is None:
        return []
    grams = recipe.weighed["weigh"]
    water = float(grams[WATER])
    return [
        f"For {number(float(grams.sum()))} g: {float(grams.sum()) - water:.1f} g of powders, {water:.1f} g of water."
    ]


def _add(recipe):
    """Return what to add to the batch that there is."""
    found = recipe.found
    if found is None:
        return []
    if not found.mass:
        return ["To the batch there is: add nothing."]
    in_all, low, high = found.in_grams
    low, high = "0" if found.low <= 0 else low, f"{high} g" if np.isfinite(found.high) else high
    return [
        f"To the batch there is: add {written(found.first, 'g', 2)} of {found.what}, of {in_all} g in all ({low} to {high})."
    ]


def _trust(strip, rooms, wrong, invented):
    begun, doubts, recipe = [INVENTED] if invented else [], [], rooms[0]
    if wrong:
        strip.trust.say(in_short(wrong[0], begun), STOPPED)
        return
    mixed, found = recipe.mixed, recipe.found
    if mixed and mixed.law.outside(mixed.water_content):
        doubts.append("the paste is extrapolated, beyond the waters read")
    elif found is not None and found.extrapolated:
        doubts.append("what to add is extrapolated, beyond the waters read")
    if mixed and mixed.law.low <= 0:
        doubts.append("what water does to it may be nothing, by the readings")
    doubts += [in_short(recipe.doubt)] if recipe.doubt else []
    missing = [one for room in rooms for one in room.missing]
    if missing:
        doubts.append(f"not known: {few(_without_units(missing))}")
    doubts = begun + doubts
    assumed = sum(word_of(row[-1]) == ASSUMED for room in rooms for row in room.rows())
    nothing = NOTHING.format(f", {assumed} of it assumed" if assumed else "")
    strip.trust.say(capital("; ".join(doubts) or nothing), DOUBTFUL if doubts else SOUND)


def in_short(words, begun=()):
    """Return what is wrong behind what is said before it, as much of its first sentence as a strip has room for."""
    sentence = words.partition(". ")[0].rstrip(".")
    shorter = sentence, sentence.partition("; ")[0], FIELD_SAYS.format(sentence.partition(": ")[0])
    fitting = (said for one in shorter if len(said := ". ".join([*begun, one])) <= ROOM)
    return next(fitting, ". ".join([*begun, WRONG]))


def _stands(shape):
    if shape.standing is None:
        return f"What brings the wall down is not known{f': needs {few(shape.lacking)}' if shape.lacking else ''}."
    what = "wall leans" if shape.standing.first[0] == "lean" else "foot yields"
    return with_room(f"The {what} first, {first_words(shape.standing)}.", OF_RECIPE if shape.mixed else "")


def _dry(drying):
    if drying.scales is None:
        return ""
    plane, up = ("{:.3f} ({:.3f} to {:.3f})".format(*one) for one in drying.scales)
    return f"Draw it × {plane} in plane, × {up} in height."


def _without_units(names):
    """Return the names of fields without their units."""
    return [name.rpartition(" [")[0] or name for name in names]
