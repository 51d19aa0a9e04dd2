"""A recipe and its water as rows of text, and the cautions of pastes; no widget, no state."""

from ...nomenclature import number
from ...paste.recipe import wet_basis

INVENTED = "INVENTED numbers, for demonstration"
OWN = "my own numbers"
EMPTIED = (
    "Every field that held a number of the example is empty now, and what needs it is not computed until you type it. A slider "
    "cannot be empty: set each to the size you want. Before you did, they stood at "
)
KEPT = "Your own numbers are kept as you left them, until you choose them again."
CAUTIONS = {
    "mould": (
        "A wet organic paste can grow mould within days: date the jar, keep it in the cold and use it within two days, throw "
        "away what smells or shows mould, never wet or grind it again. Not for food or for children."
    ),
    "dust": (
        "Dry flours and dried parts make dust that harms the lungs and can explode; clay dust holds quartz. Weigh and grind "
        "small amounts under extraction, away from flames and sparks, wear a particle mask, wipe wet, never sweep dry or blow "
        "with air."
    ),
    "slips": "Spilled gum is slippery like soap and blocks drains: take up solids first, then wash, and say so at the door.",
    "sensitising": "Nut, gluten, shell and fish ingredients can set off allergies: name the ingredients on the jar.",
}
"""What to say beside the numbers, by hazard. Common practice of laboratories, no source."""

DECIDES = "Your laboratory's own rules and risk assessment decide."


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


def recipe_rows(mixed):
    """Return rows of what a `Mixed` paste means: quantity, value, unit, note."""
    recipe = mixed.recipe
    dry, wet = f"{recipe.water_content:.3f}", f"{100 * recipe.wet_water_content:.1f}"
    return [
        ["water content, dry basis u", dry, "-", "water over dry mass; the calculations use this one"],
        ["water content, wet basis x", wet, "%", "water over all; an oven balance often shows this one"],
        ["density without air", f"{recipe.density:.0f}", "kg/m³", "from the densities of the ingredients"],
        ["density with its air", f"{mixed.density:.0f}", "kg/m³", "weigh a full cup of 100 mL to check"],
        ["solids by volume, gum included", number(mixed.wet_solids), "-", "with the air; for shrinkage"],
        ["grains by volume", number(recipe.grain_fraction), "-", "without what dissolves; near 0.6 they jam"],
    ]


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


def law_words(law, count, used):
    """Return a fitted water law in words, with the yield stress at the water content in use and its interval."""
    first, last = law.water_range
    said = (
        f"Slope b = {number(law.slope)} (95 % {number(law.low)} to {number(law.high)}) from {count} readings between u = {number(first)} and "
        f"{number(last)}: a drop of 0.01 in u makes it {100 * (float(law.line_factor(0.01, 0.0)) - 1):.1f} % stiffer."
    )
    water, stress, low, high = used
    at = f"At u = {water:.3f}: {number(stress)} Pa (95 % {number(low)} to {number(high)} Pa)."
    return " ".join(filter(None, [said, at, law.outside(water)]))
