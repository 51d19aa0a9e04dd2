"""Will the part stand while it is printed: wall, foot and bridges, and which of them comes first."""

import ipywidgets as W

from ... import charts
from ...part.printing import LONG, RING, STRAIGHT
from ...planning import Standing, leaned
from ...units import kPa, minute, mm
from ..page.elements import Message, is_shown, paragraph, result, section, show, table
from ..page.fields import Values, choice
from ..page.freshness import Answer
from ..page.number_field import SlidingNumber
from ..page.pictures import MovingPicture
from .desk import Room, Step, beside_each_other
from .words import fails, standing_rows, standing_words

TESTED, LEANED = "a test of the material", "a test wall that leaned"
FIELDS = {
    "radius": ("radius of the ring R [mm]", 25.0, 0.5, 500.0),
    "rise": ("rise speed of the part [mm/min]", 6.0, 0.01, 1000.0),
    "ratio": ("static over dynamic yield stress r [-]", 1.23, 1.0, 20.0, "not known; usually 1 to 2.3"),
    "modulus": ("Young's modulus E [kPa]", 25.0, 0.01, 1e5),
    "modulus_water": ("measured at water content u, dry basis [-]", 1.045, 0.001, 20.0),
    "leaned": ("height at which the test wall leaned [mm]", 14.5, 0.1, 1000.0),
    "build_up": ("growth of the static yield stress A_t [Pa/s]", 0.15, 0.0, 100.0, "not known; 0 is the safe side"),
    "rest": ("longest rest it was measured over t_b [min]", 10.0, 0.0, 10000.0, "not known; 0 with no growth"),
    "bore": ("diameter of the line [mm]", 1.6, 0.1, 50.0),
    "span": ("bridge wanted between supports [mm]", 8.0, 0.0, 1000.0),
}
LINE = ("bore", "span")  # what the numbers ask for beside the wall
CREEP = (
    "These heights are for the time of printing. Below its yield stress a paste still creeps: let a test wall stand for as long as "
    "the part will. The 95 % limits hold the line through the readings, the modulus, the static ratio, the lean of real walls, "
    "the error of both theories and the spread from batch to batch."
)


class ShapePanel(Room):
    """Stack height against time, buckling and bridges."""

    asked = FIELDS

    def __init__(self, changed):
        self.standing, self._changed = None, changed
        super().__init__()

    def sections(self):
        """Return the wall, its material, and whether it stands."""
        self.shape = choice("shape", (STRAIGHT, LONG, RING), self.refresh)
        self.source = choice("stiffness from", (TESTED, LEANED), self.refresh)
        self.height = SlidingNumber("Height printed [mm]", 40.0, 2.0, 300.0, 1.0, self.refresh)
        self.wall = SlidingNumber("Wall thickness [mm]", 2.0, 0.4, 20.0, 0.1, self._widen)
        self.sliders = self.height, self.wall
        self.headline, self.numbers, self.wrong = Answer(), Answer(), Message()
        self.picture = MovingPicture("Height of the part against time", 500)
        fields = list(self.fields.values())
        asked = [self.shape, *fields[:3], self.source, *fields[3:], self.wrong]
        return [
            self.message,
            section("Will it stand?", beside_each_other(
                asked, [self.height, self.wall, self.headline, self.rests, self.picture]
            ), self.numbers, W.HTML(paragraph(CREEP))),
        ]  # fmt: skip

    @property
    def steps(self):
        """What is worked through after a change."""
        asked = tuple(field for key, field in self.fields.items() if key not in LINE and is_shown(field))
        line = tuple(self.fields[key] for key in LINE)
        return [
            Step(self._show_height, asked, (self.headline,), self.wrong),
            Step(self._tabulate, line, (self.numbers,), self.wrong),
        ]

    def _widen(self):
        self.refresh()
        self._changed()

    def show_asked(self):
        """Show the fields that count."""
        shown = {"radius": self.shape.value == RING, "leaned": self.source.value == LEANED}
        shown["modulus"] = shown["modulus_water"] = self.source.value == TESTED
        for key, wanted in shown.items():
            show(self.fields[key], wanted)

    def described(self, diameter=None, span=None):
        """Return the part of the fields, of the paste at its water content; bridges ask for a line of a diameter and a span [m]."""
        at, mixed, wall = Values(self.fields), self.mixed, self.wall.value * mm
        shape = self.shape.value
        if self.source.value == LEANED:
            told = leaned(at["leaned"] * mm, wall, mixed.density, shape)
        else:
            factor = float(mixed.law.line_factor(at["modulus_water"], mixed.water_content))
            told = {"properties": {"modulus": at["modulus"] * kPa * factor}}
        rested = {"build_up_rate": at["build_up"], "build_up_time": at["rest"] * minute, "static_ratio": at["ratio"]}
        material = mixed.material(told.pop("properties") | rested, **told)
        return Standing.of_line(
            material, diameter or wall, at["rise"] * mm / minute, part_height=self.height.value * mm, wall_width=wall,
            shape=shape, ring_radius=at["radius"] * mm if shape == RING else None, span=span,
        )  # fmt: skip

    def _doubt(self):
        """Return in a sentence that the paste is not one of those that were read; empty where it is."""
        tested = [self.fields["modulus_water"].value] if self.source.value == TESTED else []
        return self.mixed.law.outside(self.mixed.recipe.water_content, *tested)

    def _show_height(self):
        standing = self.described()
        self.picture.move(charts.drawn_stack_height(
            float(standing.case.rise_speed), standing.job.part_height, standing.carried(), standing.leans, fails(standing),
            self.subtitle, self.page, self.beside,
        ))  # fmt: skip
        self.headline.value = result(" ".join(filter(None, [standing_words(standing), self._doubt()])))
        self.standing = standing

    def _tabulate(self):
        rows = standing_rows(self.described(self.fields["bore"].value * mm, self.fields["span"].value * mm))
        title = f"Heights and bridges at u = {self.mixed.recipe.water_content:.3f} (dry basis)"
        self.numbers.value = table(["", "value", "95 % interval", "unit", "note"], rows, title)
