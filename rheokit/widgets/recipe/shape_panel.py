"""Will the part stand while it is printed: wall, foot and bridges, and which of them comes first."""

from types import MappingProxyType

import ipywidgets as W

from ... import charts
from ...errors import DataError
from ...limits.lean import LEANED
from ...nomenclature import cells
from ...part.printing import RING
from ...paste.properties import limits_of_property
from ...sampling import limits_of_spread
from ...workbook.asked import ASKED
from ...workbook.asked_of_recipe import LEANED as BY_WALL
from ...workbook.asked_of_recipe import TESTED
from ...workbook.made import NotKnownYet, filled_rows
from ...workbook.of_paste import counted
from ...workbook.standing import standing_of, standing_of_bench
from ...workbook.whence import origin_in, origin_of
from ..page.elements import details, is_shown, paragraph, result, section, show, table
from ..page.freshness import Answer
from ..page.layout import beside
from ..page.pictures import MovingPicture
from ..page.placed import PlacedMessage
from .asking import asked_of, limits_in
from .desk import Room, Step
from .words import fails, standing_rows, standing_words

STIFF, RESTED = ("modulus",), ("static_ratio", "build_up_rate", "build_up_time", "water_content")
DRAWN = (*STIFF, *RESTED[:3])  # with their spreads
BRIDGE = ("bore", "span")  # what the numbers ask for beside the wall
FIELDS = (
    asked_of("print", "ring_radius") | asked_of("shape", "rise_speed") | asked_of("properties", *STIFF) | asked_of("shape", "modulus_water", "leaned")
    | asked_of("properties", *RESTED) | asked_of("nozzle", "bore") | asked_of("print", "span")
)  # fmt: skip
OF_BENCH = "Of the paste that was tested, as notebooks 2 and 3 have it: no recipe is typed."
NO_GROWTH = "How fast it rises is not known: its foot counts as fresh, the safe side."
NO_COURSE = "Not drawn over time: it needs the rise speed of the part."
TAKEN = {
    "static_ratio": f"not known: {ASKED['properties']['static_ratio'].without}",
    "modulus_water": "not known: taken as that of the paste that was tested",
    "rise_speed": "not known: the foot counts as fresh, the safe side",
}
"""What counts in the place of empty fields for the paste that was tested, as in notebooks 2 and 3."""
NO_LAW = "readings of the paste, in notebook 1"
CREEP = (
    "These heights are for the time of printing. Below its yield stress a paste still creeps: let a test wall stand for as long as "
    "the part will. The 95 % limits hold the line through the readings, the modulus, the static ratio, the lean of real walls, "
    "the error of both theories and how far the next batch lies off those read."
)


class ShapePanel(Room):
    """Stack height against time, buckling and bridges."""

    table, asked = "shape", FIELDS
    elsewhere = MappingProxyType(
        dict.fromkeys(("part_height", "wall_width", "shape", "ring_radius", "span"), "print")
        | dict.fromkeys((*STIFF, *RESTED), "properties") | {"bore": "nozzle"}
    )  # fmt: skip

    def __init__(self, workbook, changed):
        self.standing, self.lacking, self._changed = None, [], changed
        super().__init__(workbook)

    def sections(self):
        """Return the wall, its material, and whether it stands."""
        self.shape = self.choice("shape")
        self.source = self.choice("stiffness_from")
        self.height = self.slider("part_height", 2.0, 300.0, 1.0)
        self.wall = self.slider("wall_width", 0.4, 20.0, 0.1, self._widen)
        self.headline, self.numbers, self.wrong = Answer(), Answer(), PlacedMessage(self)
        self.picture = MovingPicture("Height of the part against time", 500)
        answers = W.VBox(
            [
                self.headline,
                self.picture,
                self.numbers,
                self.message,
                W.HTML(details("What these heights hold for", paragraph(CREEP))),
                self.rests,
            ]
        )
        stiff = self.laid(*STIFF, "modulus_water", "leaned")
        others = [
            self.shape,
            *self.laid("ring_radius", "rise_speed"),
            self.source,
            *stiff,
            *self.laid(*RESTED, *BRIDGE),
            self.wrong,
        ]
        return [section("Will it stand?", beside(W.VBox([self.height, self.wall]), answers, *others))]

    @property
    def offered(self):
        """What is said below an empty field while the paste that was tested is shown."""
        return TAKEN if self.mixed is None and self.standing is not None else {}

    def forget(self):
        """Hold no part."""
        self.standing, self.lacking = None, []

    @property
    def alone(self):
        """Whether the paste that was tested stands, where there is no recipe."""
        return (Step(self._show_bench, (), (self.headline,), self.wrong),)

    def rows(self):
        """Return the rows of what the heights rest on: of the fields, and the density that counts."""
        rows = super().rows()
        if self.standing is None:
            return rows
        material = self.standing.material
        value, spread = float(material.paste.density), material.spread("density")
        shown, limits, unit = cells(value, *limits_of_spread(value, spread), "density")
        return [
            *rows,
            [ASKED["properties"]["density"].words, f"{shown} {unit}", f"{limits} {unit}", self._whence_of_density()],
        ]

    def _whence_of_density(self):
        """Return where the density comes from that counts: of the paste that was tested, or of the ingredients."""
        plan = self.workbook.plan
        if self.mixed is None:
            return self.standing.material.origin("density")
        if self.mixed.measured is None:
            return origin_in(plan, "recipe")
        if "density" in plan.properties:
            return origin_of(plan.origin("density"))
        return counted(self.workbook)["properties", "density"].origin

    @property
    def steps(self):
        """What is worked through after a change."""
        unasked = (*BRIDGE, "water_content")
        asked = (field for key, field in self.fields.items() if key not in unasked and is_shown(field))
        asked, line = (*self.sliders, *asked), tuple(self.fields[key] for key in BRIDGE)
        return [
            Step(self._show_height, asked, (self.headline,), self.wrong),
            Step(self._tabulate, line, (self.numbers,), self.wrong),
        ]

    def _widen(self):
        self.refresh()
        self._changed()

    def show_asked(self):
        """Show the fields that count."""
        shown = {"ring_radius": self.shape.value == RING, "leaned": self.source.value == BY_WALL}
        shown["modulus"] = self.source.value == TESTED
        for key, wanted in shown.items():
            show(self.fields[key], wanted)
        if "modulus" in self.whence:
            show(self.whence["modulus"], shown["modulus"] and bool(self.fields["modulus"].holds))

    def described(self, bridging=False):
        """Return the part of the plan, of the paste at its water content; `bridging` as `standing_of`."""
        return standing_of(self.workbook, self.mixed, bridging)

    def limits_of(self, key):
        """Return the limits of what is drawn of the paste while it stands: typed, read or usual."""
        field = self.fields.get(key)
        value = field.value if field and field.holds else field and field.instead
        if key == "leaned":
            spread = LEANED
        elif key in DRAWN and self.standing is not None:
            spread = self.standing.material.spread(key)
        else:
            return ""
        return limits_in(field.unit, value, *limits_of_property(key, value, spread)) if value and spread else ""

    def _doubt(self):
        """Return in a sentence that the paste is not one of those that were read; empty where it is."""
        return self.mixed.law.outside(self.mixed.recipe.water_content, self.fields["modulus_water"].value)

    def _show_height(self):
        self._show(self.described(), self._doubt())

    def _show(self, standing, *more):
        if standing.job.path_length is None:
            self.picture.leave_out(NO_COURSE)
            more = (NO_GROWTH, *more)
        else:
            self.picture.move(charts.drawn_stack_height(
                float(standing.case.rise_speed), standing.job.part_height, standing.carried(), standing.leans, fails(standing),
                self.subtitle, self.page, self.width, standing.foot,
            ))  # fmt: skip
        self.headline.value = result(" ".join([standing_words(standing), *filter(None, more)]))
        self.standing = standing

    def _show_bench(self):
        """Show of the paste that was tested what stands, where no recipe is typed; hold what is missing for that."""
        if not filled_rows(self.workbook.plan, "ingredient"):
            self._try_bench()
        self.say_known()  # what is taken in the place of empty fields, now that it is shown or not

    def _try_bench(self):
        try:
            self._show(standing_of_bench(self.workbook), OF_BENCH)
            self.message.complain("")
            return
        except NotKnownYet as unknown:
            self.lacking = [ASKED[table][key].words for table, key in unknown.entries]
        except DataError:  # readings that cannot be fitted are told by the page of the fit
            self.lacking = [NO_LAW]
        self.picture.clear()
        self._say_lacking()

    def _tabulate(self):
        rows = standing_rows(self.described(bridging=True))
        whose = "by the ingredients" if self.mixed.measured is None else "as measured"
        density = f"density {self.mixed.density:.0f} kg/m³ {whose}"
        title = f"Heights and bridges at u = {self.mixed.recipe.water_content:.3f} (dry basis), {density}"
        inside = table(["", "value", "95 % interval", "unit", "note"], rows, title)
        self.numbers.value = details("Every height and bridge in numbers", inside)
