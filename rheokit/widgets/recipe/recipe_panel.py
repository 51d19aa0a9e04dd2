"""From ingredients to a batch, and from a batch that is too stiff or too soft to the right one."""

import ipywidgets as W

from ... import charts
from ...errors import DataError
from ...nomenclature import PASCAL, number, with_limits
from ...paste.mixed import Mixed
from ...paste.recipe import REWETTING, Ingredient, Recipe, dry_basis, rewetting_water, wet_basis
from ...paste.water import WaterLaw, readings_with_limits
from ...units import g
from ..page.elements import Message, column, paragraph, result, section, side_by_side, table
from ..page.fields import Grid, Values, choice, lacking
from ..page.freshness import Answer
from ..page.number_field import NotKnown, SlidingNumber
from ..page.page_words import in_words
from ..page.pictures import MovingPicture
from ..page.rests_on import EXACT, OF_PAGE, TYPED
from ..page.typed_numbers import Bounds
from .desk import UNKNOWN, Room, Step, beside_each_other
from .examples import OLIVE_STONE
from .words import both_bases, cautions, law_words, recipe_rows, sheet_rows, uncounted_words

DRY, WEIGHED = "dry masses", "masses as weighed from the bag"
DRY_BASIS, WET_BASIS = "dry basis u [-]", "wet basis x [%]"
NO_CORRECTION = "What to add cannot be said."
INGREDIENTS = ("ingredient", "mass [g]", "moisture [%]", "density [kg/m³]", "dissolves?")
READ = "yield stresses at two water contents or more"
READINGS = ("water content", "yield stress [Pa]")
OF_INGREDIENTS = {
    "mass [g]": Bounds(0.001, 1e6),
    "moisture [%]": Bounds(0.0, 95.0),
    "density [kg/m³]": Bounds(100.0, 25000.0),
}
OF_READINGS = {  # by the basis of the water content
    basis: {"water content": water, "yield stress [Pa]": Bounds(0.1, 1e6)}
    for basis, water in ((DRY_BASIS, Bounds(0.001, 20.0)), (WET_BASIS, Bounds(0.1, 95.0)))
}
BATCH = {
    "batch": ("paste to make [g]", 500.0, 0.1, 1e6),
    "air": ("air in the paste ε_a [%]", 3.4, 0.0, 60.0, "not known; spoon-mixed usually 3 to 8"),
}
TESTS = {"error": ("standard uncertainty of a yield stress [%]", 15.0, 0.1, 200.0, "not known")}
CORRECT = {
    "have": ("paste there is [g]", 500.0, 0.1, 1e6),
    "held": ("water in it, dry basis u [-]", 0.81, 0.001, 20.0),
    "now": ("yield stress now [Pa]", 1400.0, 1.0, 1e6),
    "wanted": ("yield stress wanted [Pa]", 650.0, 1.0, 1e6),
    "premix": ("moisture of the dry premix, wet basis [%]", 8.0, 0.0, 90.0),
}
AGAIN = {
    "dried": ("dried parts to use again [g]", 200.0, 0.1, 1e6),
    "left": ("moisture still in them, wet basis [%]", 8.0, 0.0, 90.0),
}


class RecipePanel(Room):
    """Batch sheet, water law, correction and re-wetting; the `Mixed` paste is handed on to other rooms."""

    asked, waits = BATCH | TESTS | CORRECT | AGAIN, False

    def __init__(self, *downstream):
        self.downstream, self.found, self.example = downstream, None, OLIVE_STONE
        super().__init__()

    def sections(self):
        """Return recipe, readings, correction, and what comes of them."""
        named = {"texts": 1, "words": "the ingredients", "bounds": OF_INGREDIENTS}
        self.ingredients = Grid("Ingredients", INGREDIENTS, 3, self.refresh, **named)
        self.readings = Grid("Readings", READINGS, 4, self.refresh, words=READ, bounds=OF_READINGS[DRY_BASIS])
        self.given = choice("the masses are", (DRY, WEIGHED), self.refresh)
        self.basis = choice("water content on the", (DRY_BASIS, WET_BASIS), self._other_basis)
        self.water = SlidingNumber("Water u, dry basis [-]", 1.045, 0.2, 2.0, 0.005, self.refresh)
        self.sliders = (self.water,)
        self.headline, self.sheet, self.facts, self.law_said, self.add, self.again = (Answer() for _ in range(6))
        self.picture = MovingPicture("Yield stress against water content", 480)
        self.wrong_mix, self.wrong_line, self.wrong_again = (Message() for _ in range(3))
        said = "".join(map(paragraph, cautions("dust", "mould", "sensitising")))
        return [
            self.message,
            section("Recipe", self.water, self.headline, self.rests, side_by_side(
                column(self.given, self.ingredients, self._own(BATCH), self.wrong_mix, share="1 1 400px"),
                column(self.sheet, share="1 1 380px"),
            ), self.facts, W.HTML(f"<div role='note'>{said}</div>")),
            section("Water and stiffness", beside_each_other(
                [self.basis, self.readings, self._own(TESTS), self._own(CORRECT), self.wrong_line], [self.add, self.picture, self.law_said]
            )),
            section("Use dried parts again", beside_each_other([self._own(AGAIN), self.wrong_again], [self.again])),
        ]  # fmt: skip

    @property
    def choices(self):
        """What the numbers of the tables are."""
        return self.given, self.basis

    def _own(self, asked):
        return W.VBox([self.fields[key] for key in asked], layout=W.Layout(width="100%"))

    def refresh(self):
        """Compute again; until then no paste is known."""
        self.mixed = None
        super().refresh()

    def _other_basis(self):
        self.readings.bounds = OF_READINGS[self.basis.value]
        self.readings.judge()
        self.refresh()

    @property
    def steps(self):
        """What is worked through after a change."""
        at, read = self.fields, (self.readings, self.fields["error"])
        return [
            Step(self._mix, (self.ingredients, *read, at["air"]), (self.headline,), self.wrong_mix),
            Step(self._show_line, read, (self.add,), self.wrong_line),
            Step(self._weigh, (self.ingredients, at["batch"]), (self.sheet,), self.wrong_mix),
            Step(self._mean, (self.ingredients, at["air"]), (self.facts,), self.wrong_mix),
            Step(self._reuse, (at["dried"], at["left"]), (self.again,), self.wrong_again),
        ]

    # --- what the fields describe -------------------------------------------------------------------------------

    def recipe(self):
        """Return the recipe of the fields."""
        weighed, parts = self.given.value == WEIGHED, []
        for title, mass, moisture, density, dissolves in self.ingredients.rows():
            dry = (mass * (1 - moisture / 100) if weighed else mass) * g
            known = {"density": density, "moisture": moisture / 100, "dissolves": dissolves}
            parts.append(Ingredient(name=title, dry_mass=dry, **known))
        if not parts:
            raise NotKnown(self.ingredients.words)
        return Recipe(ingredients=tuple(parts), water_content=self.water.value)

    def tests(self):
        """Return the readings as a DataFrame: water [-] on the dry basis, stress and its 95 % limits [Pa]."""
        rows = self.readings.rows()
        if not rows:
            raise NotKnown(READ)
        if len(rows) < 2:
            raise DataError(f"Readings: a slope needs {READ}; type them into the table.")
        water, stress = zip(*rows, strict=True)
        if self.basis.value == WET_BASIS:
            water = [dry_basis(one / 100) for one in water]
        return readings_with_limits(water, stress, self.fields["error"].value / 100)

    def rows(self):
        """Return the rows of what the results rest on."""
        water, *fields = super().rows()
        rows = [water]
        for grid, given in ((self.ingredients, self.example.ingredients), (self.readings, self.example.readings)):
            typed = grid.typed()
            limits = self._limits() if grid is self.readings else [EXACT] * len(typed)
            rows += [
                [f"{grid.title}, row {place + 1}", words, ends, OF_PAGE if grid.says(place, given) else TYPED]
                for (place, words), ends in zip(typed, limits, strict=True)
            ]
        return [*rows, *fields]

    def _limits(self):
        """Return the 95 % limits of each reading in words; nothing of those that are not known."""
        try:
            tests = self.tests()
        except DataError:
            return [""] * len(self.readings.typed())
        return [f"{number(one.low)} to {number(one.high)} Pa" for one in tests.itertuples()]

    # --- what is shown ------------------------------------------------------------------------------------------

    def _law(self):
        """Return the line through the readings, these, and the yield stress at the water content with its limits [Pa]."""
        tests = self.tests()
        law = WaterLaw.fit(tests.water, tests.stress, self.fields["error"].value / 100)
        return law, tests, tuple(map(float, law.line_band(self.water.value)))

    def _mix(self):
        recipe, air, law = self.recipe(), self.fields["air"].value / 100, self._law()[0]
        mixed = Mixed(recipe, air, law)
        stress, low, high = mixed.band
        means = (
            f"Water content {both_bases(recipe.water_content)}. Yield stress {with_limits(stress, low, high, PASCAL)}."
        )
        self.headline.value = result(" ".join(filter(None, [means, law.outside(recipe.water_content)])))
        self.mixed = mixed
        for room in self.downstream:
            room.take(mixed)

    def _show_line(self):
        at, water, (law, tests, stresses) = Values(self.fields), self.water.value, self._law()
        self.found, said = self._correction(law, at)
        self.picture.move(charts.drawn_water_stress(
            law, tests, *self._to_correct(at), self.found, water, self.subtitle, self.page, self.beside
        ))  # fmt: skip
        self.add.value = said
        self.law_said.value = paragraph(law_words(law, len(tests), (water, *stresses)))

    @staticmethod
    def _to_correct(at):
        """Return the batch there is, its water and its stress, and the stress wanted; None for what is not known."""
        try:
            return (at["held"], at["now"]), at["wanted"]
        except NotKnown:
            return None, None

    def _correction(self, law, at):
        """Return what to add to the batch of the fields, or None where nothing will do, and HTML that says so."""
        try:
            unknown = lacking(self.fields[key] for key in CORRECT)
            if unknown:
                self._missing += unknown
                return None, paragraph(UNKNOWN.format("; ".join(unknown)))
            stresses = {"stress_now": at["now"], "stress_wanted": at["wanted"]}
            held = {"water_content": at["held"], "premix_moisture": at["premix"] / 100}
            found = law.correction(at["have"] * g, **held, **stresses)
        except DataError as error:
            said = in_words(error)
            self._said.append(said)
            return None, paragraph(f"{NO_CORRECTION} {said}")
        return found, result(str(found))

    def _weigh(self):
        recipe = self.recipe()
        sheet = recipe.batch_sheet(self.fields["batch"].value * g)
        head = ["ingredient", "weigh [g]", "dry [g]", "water [g]"]
        forgot = uncounted_words(recipe, self.mixed.law if self.mixed else None)
        said = table(head, sheet_rows(sheet), "Batch sheet: weigh, and what of it is dry or water")
        self.sheet.value = said + paragraph(forgot)

    def _mean(self):
        facts = recipe_rows(Mixed(self.recipe(), self.fields["air"].value / 100))
        self.facts.value = table(["", "value", "unit", "note"], facts, "What the recipe means")

    def _reuse(self):
        mass, left = self.fields["dried"].value, self.fields["left"].value / 100
        if dry_basis(left) > self.water.value:
            raise DataError(
                f"Moisture still in the dried parts, {100 * left:g} % on the wet basis, is more than the paste is to hold, u = {self.water.value:g} "
                f"({100 * wet_basis(self.water.value):.1f} % on the wet basis). Correct one of them."
            )
        water = float(rewetting_water(mass * g, left, self.water.value)) / g
        said = f"Add {water:.0f} g of water to {mass:.0f} g of dried parts to come back to u = {self.water.value:.3f}."
        self.again.value = result(said) + "".join(map(paragraph, [REWETTING, *cautions("mould", "dust", "slips")]))
