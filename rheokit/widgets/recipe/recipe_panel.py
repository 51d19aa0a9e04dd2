"""From ingredients to a batch, and from a batch that is too stiff or too soft to the right one."""

from types import MappingProxyType

import ipywidgets as W

from ... import charts
from ...errors import DataError
from ...nomenclature import PASCAL, QUANTITIES, number, with_limits
from ...paste.mixed import Mixed
from ...paste.recipe import REWETTING, Ingredient, Recipe, dry_basis, rewetting_water, wet_basis
from ...paste.water import WaterLaw, readings_with_limits
from ...sampling import limits_of_spread
from ...units import g
from ...workbook.asked import PROPERTIES, ROWS
from ...workbook.asked_of_recipe import DRY_BASIS, READ_ON, WEIGHED, WET_BASIS
from ...workbook.of_paste import counted, measured_density, unfit_air
from ...workbook.whence import origin_in
from ..page.elements import Message, details, paragraph, result, section, table
from ..page.fields import Grid, Values, lacking
from ..page.freshness import Answer
from ..page.layout import beside
from ..page.machine_controls import buttons_whence, under
from ..page.machine_words import WHENCE_OF
from ..page.number_field import NotKnown
from ..page.page_words import in_words
from ..page.pictures import MovingPicture
from ..page.placed import PlacedMessage
from ..page.rests_on import EXACT, OF_PAGE
from ..page.typed_numbers import Bounds, Refused
from .asking import asked_of, limits_in
from .desk import UNKNOWN, Room, Step
from .planned import Came
from .words import CAUTIONS, both_bases, cautions, law_words, no_paste, recipe_rows, sheet_rows, uncounted_words

NO_CORRECTION = "What to add cannot be said."
READ = "yield stresses at two water contents or more"
_INGREDIENT, _READING = (ROWS["recipe", name] for name in ("ingredient", "reading"))
INGREDIENTS = tuple(one.label for one in _INGREDIENT.values())
READINGS = (_READING["water_content"].words, _READING["yield_stress"].label)
OF_INGREDIENTS = {one.label: Bounds(one.low, one.high) for one in _INGREDIENT.values() if one.is_number}
SUCH = {one.label: one.example for one in _INGREDIENT.values() if one.is_number}
_STRESS = Bounds(_READING["yield_stress"].low, _READING["yield_stress"].high)
SUCH_READ = dict(zip(READINGS, (one.example for one in _READING.values()), strict=True))
OF_READINGS = {  # by the basis of the water content
    basis: dict(zip(READINGS, (Bounds(*water), _STRESS), strict=True)) for basis, water in READ_ON.items()
}
BATCH = asked_of("recipe", "batch") | asked_of("properties", "air_content")
TESTS = asked_of("recipe", "reading_error")
CORRECT = asked_of("recipe", "paste_there", "water_in_it", "yield_stress_now", "yield_stress_wanted", "premix_moisture")
AGAIN = asked_of("recipe", "dried_parts", "moisture_left")


def _on_line(law, field):
    """Refuse a water content at which the line gives a yield stress that no paste has."""
    stress = float(law.line(field.value))
    if not _STRESS.hold(stress):
        raise DataError(no_paste(field.words, field.value, law, _STRESS.low if stress < _STRESS.low else _STRESS.high))


class RecipePanel(Room):
    """Batch sheet, water law, correction and re-wetting; the `Mixed` paste is handed on to other rooms."""

    table, asked, waits = "recipe", BATCH | TESTS | CORRECT | AGAIN, False

    elsewhere = MappingProxyType({"air_content": "properties"})

    def __init__(self, workbook, *downstream):
        self.downstream, self.came = downstream, Came()
        self.forget()
        super().__init__(workbook)

    def forget(self):
        """Hold no paste, no batch and no correction."""
        self.mixed = self.found = self.weighed = None
        self.doubt = ""

    def sections(self):
        """Return recipe, readings, correction, and what comes of them."""
        named = {"texts": 1, "words": "the ingredients", "bounds": OF_INGREDIENTS, "examples": SUCH}
        self.ingredients = Grid("Ingredients", INGREDIENTS, 3, self.refresh, **named)
        read = {"words": READ, "bounds": OF_READINGS[DRY_BASIS], "examples": SUCH_READ}
        self.readings = Grid("Readings", READINGS, 4, self.refresh, **read)
        self.given = self.choice("masses")
        self.basis = self.choice("basis", self._other_basis)
        self.water = self.slider("water_content", 0.2, 2.0, 0.005)
        self.origin = buttons_whence(self.workbook.plan, self.table, self._other_origin)
        self.headline, self.sheet, self.facts, self.law_said, self.add, self.again = (Answer() for _ in range(6))
        self.picture = MovingPicture("Yield stress against water content", 420)
        self.wrong_mix, self.wrong_line, self.wrong_batch, self.wrong_again = (PlacedMessage(self) for _ in range(4))
        self.caution = Message()
        said = "".join(map(paragraph, cautions(*CAUTIONS)))
        self.measured = W.VBox(
            [], layout=W.Layout(width="100%")
        )  # a place as wide as the pictures, for the probe of the page
        answers = W.VBox(
            [self.measured, self.picture, self.headline, self.add, self.law_said, self.message, self.rests]
        )
        return [
            beside(
                self.water, answers,
                section("Correct a batch", self._own(CORRECT), self.wrong_batch),  # beside the picture that shows it
                section(
                    "Recipe", self.given, self.ingredients, self._own(BATCH), self.caution, self.wrong_mix, self.sheet, self.facts,
                    under(WHENCE_OF[self.table], self.origin), W.HTML(f"<div role='note'>{said}</div>"),
                ),
                section("Water and stiffness", self.basis, self.readings, self._own(TESTS), self.wrong_line),
            ),
            section("Use dried parts again", beside(self._own(AGAIN), self.again, self.wrong_again)),
        ]  # fmt: skip

    def _own(self, asked):
        return W.VBox(self.laid(*asked), layout=W.Layout(width="100%"))

    def _other_origin(self):
        for room in (self, *self.downstream):
            room.show_rests()

    def _other_basis(self):
        self.readings.bounds = OF_READINGS[self.basis.value]
        self.readings.tell()  # a water content that was refused may be one on the other basis

    @property
    def steps(self):
        """What is worked through after a change."""
        at, read, water = self.fields, (self.readings, self.fields["reading_error"]), self.water
        return [
            # what moves with the slider comes first
            Step(self._show_line, (water, *read), (self.add,), self.wrong_line),
            Step(self._doubt_air),
            Step(self._mix, self.hands_on, (self.headline,), self.wrong_mix),
            Step(self._weigh, (self.ingredients, water, at["batch"]), (self.sheet,), self.wrong_mix),
            Step(self._mean, (self.ingredients, water, at["air_content"]), (self.facts,), self.wrong_mix),
            Step(self._reuse, (water, at["dried_parts"], at["moisture_left"]), (self.again,), self.wrong_again),
        ]

    @property
    def hands_on(self):
        """What must be known before a paste is handed on."""
        return self.ingredients, self.water, self.readings, self.fields["reading_error"], self.fields["air_content"]

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
        return readings_with_limits(water, stress, self.fields["reading_error"].value / 100)

    def rows(self):
        """Return the rows of what the results rest on."""
        fields, rows, origin = super().rows(), [], origin_in(self.workbook.plan, self.table)
        for grid, given in ((self.ingredients, self.came.ingredients), (self.readings, self.came.readings)):
            typed = grid.typed()
            limits = self._limits() if grid is self.readings else [EXACT] * len(typed)
            rows += [
                [f"{grid.title}, row {place + 1}", words, ends, OF_PAGE if grid.says(place, given) else origin]
                for (place, words), ends in zip(typed, limits, strict=True)
            ]
        water = fields[:1] if self.water.holds and not self.water.refused else []
        return [*water, *rows, *fields[len(water) :]]

    def _limits(self):
        """Return the 95 % limits of each reading in words; nothing of those that are not known."""
        try:
            tests = self.tests()
        except DataError:
            return [""] * len(self.readings.typed())
        return [f"{number(one.low)} to {number(one.high)} Pa" for one in tests.itertuples()]

    # --- what is shown ------------------------------------------------------------------------------------------

    def _line(self):
        """Return the line through the readings, and these."""
        tests = self.tests()
        return WaterLaw.fit(tests.water, tests.stress, self.fields["reading_error"].value / 100), tests

    def _law(self):
        """Return the line through the readings, these, and the yield stress at the water content with its limits [Pa]."""
        law, tests = self._line()
        _on_line(law, self.water)
        return law, tests, tuple(map(float, law.line_band(self.water.value)))

    def _at_water(self):
        """Return the recipe of the fields, and refuse its water content where a line through readings does."""
        try:
            law, _ = self._line()
        except DataError:  # what is weighed needs no line
            return self.recipe()
        _on_line(law, self.water)
        return self.recipe()

    def limits_of(self, key):
        """Return the limits of the air as they are typed with it, read or usual, in words."""
        if key != "air_content":
            return ""
        field, one = self.fields[key], self.workbook.plan.properties.get(key) if self.fields[key].holds else None
        one = one or counted(self.workbook).get((PROPERTIES, key))
        spread = QUANTITIES[key].spread if one is None or one.spread is None else one.spread
        return limits_in(field.unit, field.value, *limits_of_spread(field.value, spread)) if field.value else ""

    def _doubt_air(self):
        self.doubt = unfit_air(self.workbook)
        self.caution.complain(self.doubt)

    def _mix(self):
        recipe, air, law = self.recipe(), self.fields["air_content"].value / 100, self._law()[0]
        mixed = Mixed(recipe, air, law, measured_density(self.workbook))
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
            law, tests, *self._to_correct(at), self.found, water, self.subtitle, self.page, self.width
        ))  # fmt: skip
        self.add.value = said
        scatter = "" if self.found else law.scatter  # else it stands among what the correction says
        self.law_said.value = paragraph(" ".join([law_words(law, len(tests), (water, *stresses)), scatter]).rstrip())

    @staticmethod
    def _to_correct(at):
        """Return the batch there is, its water and its stress, and the stress wanted; None for what is not known."""
        try:
            return (at["water_in_it"], at["yield_stress_now"]), at["yield_stress_wanted"]
        except NotKnown:
            return None, None

    def _correction(self, law, at):
        """Return what to add to the batch of the fields, or None where nothing will do, and HTML that says so."""
        self.wrong_batch.complain("")
        try:
            unknown = lacking(self.fields[key] for key in CORRECT)
            if unknown:
                self._missing += unknown
                return None, paragraph(UNKNOWN.format("; ".join(unknown)))
            stresses = {"stress_now": at["yield_stress_now"], "stress_wanted": at["yield_stress_wanted"]}
            held = {"water_content": at["water_in_it"], "premix_moisture": at["premix_moisture"] / 100}
            _on_line(law, self.fields["water_in_it"])
            found = law.correction(at["paste_there"] * g, **held, **stresses)
        except DataError as error:
            said = in_words(error)
            self._said.append(said)
            if not isinstance(error, Refused):
                self.wrong_batch.blame(said)
            return None, paragraph(f"{NO_CORRECTION} {said}")
        return found, result(str(found))

    def _weigh(self):
        recipe = self._at_water()
        sheet = self.weighed = recipe.batch_sheet(self.fields["batch"].value * g)
        head = ["ingredient", "weigh [g]", "dry [g]", "water [g]"]
        forgot = uncounted_words(recipe, self.mixed.law if self.mixed else None)
        said = table(head, sheet_rows(sheet), "Batch sheet: weigh, and what of it is dry or water")
        self.sheet.value = f"<div class='wrapped'>{said}</div>{paragraph(forgot)}"

    def _mean(self):
        mixed = Mixed(self._at_water(), self.fields["air_content"].value / 100, None, measured_density(self.workbook))
        facts = recipe_rows(mixed, self.doubt)
        means = "What the recipe means"
        self.facts.value = details(means, table(["", "value", "unit", "note"], facts, means))

    def _reuse(self):
        self._at_water()
        mass, left = self.fields["dried_parts"].value, self.fields["moisture_left"].value / 100
        if dry_basis(left) > self.water.value:
            raise DataError(
                f"Moisture still in the dried parts, {100 * left:g} % on the wet basis, is more than the paste is to hold, u = {self.water.value:g} "
                f"({100 * wet_basis(self.water.value):.1f} % on the wet basis). Correct one of them."
            )
        water = float(rewetting_water(mass * g, left, self.water.value)) / g
        said = f"Add {water:.0f} g of water to {mass:.0f} g of dried parts to come back to u = {self.water.value:.3f}."
        self.again.value = result(said) + paragraph(REWETTING)
