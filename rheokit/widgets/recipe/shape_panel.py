"""Will the part stand while it is printed: wall, foot and bridges, and which of them comes first."""

import ipywidgets as W

from ... import charts
from ...part.printing import RING
from ...planning import Standing, leaned
from ...units import kPa, minute, mm
from ...workbook.asked_of_recipe import LEANED, TESTED
from ..page.elements import Message, details, is_shown, paragraph, result, section, show, table
from ..page.fields import Values
from ..page.freshness import Answer
from ..page.layout import beside
from ..page.pictures import MovingPicture
from .desk import Room, Step, asked_of
from .words import fails, standing_rows, standing_words

FIELDS = asked_of(
    "shape", "ring_radius", "rise_speed", "static_ratio", "modulus", "modulus_water", "leaned", "build_up_rate", "build_up_time",
    "line", "span",
)  # fmt: skip
LINE = ("line", "span")  # what the numbers ask for beside the wall
CREEP = (
    "These heights are for the time of printing. Below its yield stress a paste still creeps: let a test wall stand for as long as "
    "the part will. The 95 % limits hold the line through the readings, the modulus, the static ratio, the lean of real walls, "
    "the error of both theories and the spread from batch to batch."
)


class ShapePanel(Room):
    """Stack height against time, buckling and bridges."""

    table, asked = "shape", FIELDS

    def __init__(self, changed):
        self.standing, self._changed = None, changed
        super().__init__()

    def sections(self):
        """Return the wall, its material, and whether it stands."""
        self.shape = self.choice("shape")
        self.source = self.choice("stiffness_from")
        self.height = self.slider("height", 2.0, 300.0, 1.0)
        self.wall = self.slider("wall", 0.4, 20.0, 0.1, self._widen)
        self.headline, self.numbers, self.wrong = Answer(), Answer(), Message()
        self.picture = MovingPicture("Height of the part against time", 500)
        fields = list(self.fields.values())
        answers = W.VBox(
            [
                self.headline,
                self.picture,
                self.numbers,
                W.HTML(details("What these heights hold for", paragraph(CREEP))),
                self.rests,
            ]
        )
        others = [self.shape, *fields[:3], self.source, *fields[3:], self.wrong]
        return [self.message, section("Will it stand?", beside(W.VBox([self.height, self.wall]), answers, *others))]

    def forget(self):
        """Hold no part."""
        self.standing = None

    @property
    def steps(self):
        """What is worked through after a change."""
        asked = tuple(field for key, field in self.fields.items() if key not in LINE and is_shown(field))
        asked, line = (*self.sliders, *asked), tuple(self.fields[key] for key in LINE)
        return [
            Step(self._show_height, asked, (self.headline,), self.wrong),
            Step(self._tabulate, line, (self.numbers,), self.wrong),
        ]

    def _widen(self):
        self.refresh()
        self._changed()

    def show_asked(self):
        """Show the fields that count."""
        shown = {"ring_radius": self.shape.value == RING, "leaned": self.source.value == LEANED}
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
        rested = {
            "build_up_rate": at["build_up_rate"],
            "build_up_time": at["build_up_time"] * minute,
            "static_ratio": at["static_ratio"],
        }
        material = mixed.material(told.pop("properties") | rested, **told)
        return Standing.of_line(
            material, diameter or wall, at["rise_speed"] * mm / minute, part_height=self.height.value * mm, wall_width=wall,
            shape=shape, ring_radius=at["ring_radius"] * mm if shape == RING else None, span=span,
        )  # fmt: skip

    def _doubt(self):
        """Return in a sentence that the paste is not one of those that were read; empty where it is."""
        tested = [self.fields["modulus_water"].value] if self.source.value == TESTED else []
        return self.mixed.law.outside(self.mixed.recipe.water_content, *tested)

    def _show_height(self):
        standing = self.described()
        self.picture.move(charts.drawn_stack_height(
            float(standing.case.rise_speed), standing.job.part_height, standing.carried(), standing.leans, fails(standing),
            self.subtitle, self.page, self.width,
        ))  # fmt: skip
        self.headline.value = result(" ".join(filter(None, [standing_words(standing), self._doubt()])))
        self.standing = standing

    def _tabulate(self):
        rows = standing_rows(self.described(self.fields["line"].value * mm, self.fields["span"].value * mm))
        title = f"Heights and bridges at u = {self.mixed.recipe.water_content:.3f} (dry basis)"
        inside = table(["", "value", "95 % interval", "unit", "note"], rows, title)
        self.numbers.value = details("Every height and bridge in numbers", inside)
