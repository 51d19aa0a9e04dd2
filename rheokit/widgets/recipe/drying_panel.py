"""What the part will measure when it is dry, how long that takes, and how unevenly it dries."""

from contextlib import suppress
from types import MappingProxyType

import ipywidgets as W

from ... import charts
from ...errors import DataError
from ...nomenclature import number, with_unit
from ...part.drying import room_fluxes, weighed_fluxes
from ...part.drying.wall import DIFFUSES
from ...part.shrinkage import stated_shrinkage
from ...units import ZERO_CELSIUS, mm
from ...workbook.asked_of_recipe import BOTH, FAN, PLATE, STILL
from ...workbook.of_paste import SHRINKS, shrinkages
from ..page.elements import details, is_shown, paragraph, result, section, show, table
from ..page.fields import Values
from ..page.freshness import Answer
from ..page.layout import beside
from ..page.page_words import silent
from ..page.pictures import MovingPicture
from ..page.placed import PlacedMessage
from .asking import asked_of, limits_in
from .desk import Room, Step
from .words import PER_HOUR, drying_rows, drying_words, scale_rows

CONVECTIONS = {STILL: (3.5, 3.0, 4.0), FAN: (15.0, 10.0, 25.0), PLATE: None}  # W/(m² K); common practice, no source
SIZES = (
    asked_of("drying", "length", "width", "height")
    | asked_of("properties", *SHRINKS)
    | asked_of("drying", "shrinkage_error")
)
AIR = (
    asked_of("drying", "temperature", "plate_flux", "dry_solids", "water_left_by_air", "water_in_the_end")
    | asked_of("properties", "diffusivity") | asked_of("drying", "cracked")
)  # fmt: skip
TOO_MUCH = "The shrinkage with its uncertainty reaches 100 %; give S in % of the wet length, and a smaller uncertainty."
THEIR_OWN = "Empty: each counts with its own, {} in plane and {} in height."
ON_WET = "Shrinkage is counted on the wet length: (wet - dry)/wet. The factor multiplies that axis of the drawing."


class DryingPanel(Room):
    """Drying time in two stages, scale factors and crack index; `wall` is the field of its thickness."""

    table, asked = "drying", SIZES | AIR
    elsewhere = MappingProxyType(dict.fromkeys((*SHRINKS, "diffusivity"), "properties"))

    def __init__(self, workbook, wall):
        self.wall = wall
        self.forget()
        super().__init__(workbook)

    def sections(self):
        """Return sizes and air, and what comes of them."""
        self.air = self.choice("dried_by")
        self.faces = self.choice("faces")
        self.humidity = self.slider("humidity", 5.0, 99.0, 1.0)
        self.headline, self.scaled, self.numbers, self.factors = (Answer() for _ in range(4))
        self.picture = MovingPicture("Water in the part while it dries", 460)
        self.outline = MovingPicture("As drawn and when dry", 400)
        self.wrong_sizes, self.wrong_air = PlacedMessage(self), PlacedMessage(self)
        sizes, air = (self.laid(*asked) for asked in (SIZES, AIR))
        dry = W.VBox([self.scaled, self.outline, self.factors])
        hours = W.VBox([self.headline, self.picture, self.numbers, self.message, self.rests])
        return [
            section("What will it measure when dry?", beside(W.VBox(sizes[:3]), dry, *sizes[3:], self.wrong_sizes)),
            section("Drying", beside(
                W.VBox([self.humidity, self.air]), hours, *air[:2], self.faces, *air[2:], self.wrong_air,
            )),
        ]  # fmt: skip

    def forget(self):
        """Hold no wall that dries, and no factors."""
        self.drying = self.scales = None

    @property
    def steps(self):
        """What is worked through after a change."""
        air = [self.wall, *self.sliders, *(self.fields[key] for key in AIR if key != "cracked")]
        air = filter(is_shown, air)
        return [
            Step(self._show_drying, tuple(air), (self.headline,), self.wrong_air),
            *self.alone,
            Step(self._tabulate, wrong=self.wrong_air),
        ]

    @property
    def alone(self):
        """What to draw, which asks for shrinkage and sizes alone."""
        error = self.fields["shrinkage_error"]
        asked = (
            self.fields[key] for key in SIZES if self.fields[key] is not error or error.holds or not self._own_errors
        )
        return [Step(self._scale, tuple(asked), (self.scaled,), self.wrong_sizes)]

    @property
    def _own_errors(self):
        """Standard uncertainty of each shrinkage [-], by key, where each has its own."""
        known = shrinkages(self.workbook)
        own = {key: one.value * one.spread for key, one in known.items() if one.spread is not None}
        return own if own.keys() == set(SHRINKS) else {}

    def say_known(self):
        """Say below every empty field what counts in its place; one uncertainty does not stand for two shrinkages."""
        super().say_known()
        field = self.fields["shrinkage_error"]
        if (own := self._own_errors) and not field.holds:
            errors = (with_unit(number(100 * own[key], 2), "%") for key in SHRINKS)
            field.say_while_empty(THEIR_OWN.format(*errors))

    def show_asked(self):
        """Show what the drying air asks for."""
        show(self.fields["plate_flux"], self.air.value == PLATE)
        for control in (self.fields["temperature"], self.humidity):
            show(control, self.air.value != PLATE)

    def described(self):
        """Return the wall of the fields."""
        at = Values(self.fields)
        if self.air.value == PLATE:
            fluxes = weighed_fluxes(at["plate_flux"] * PER_HOUR)
        else:
            room = at["temperature"] + ZERO_CELSIUS, self.humidity.value / 100
            fluxes = room_fluxes(*room, CONVECTIONS[self.air.value])
        return self.mixed.wall(
            fluxes=fluxes, dry_solids=at["dry_solids"], equilibrium_water=at["water_left_by_air"], final_water=at["water_in_the_end"],
            depth=self._thick / (2 if self.faces.value == BOTH else 1), diffusivity=at["diffusivity"] * 1e-10,
        )  # fmt: skip

    @property
    def _thick(self):
        """Thickness of the wall [m]."""
        return self.wall.value * mm

    @property
    def _where(self):
        """What the hours hold for."""
        return "as the plate stood" if self.air.value == PLATE else "in the open"

    def _show_drying(self):
        drying = self.described()
        look = {"subtitle": self.subtitle, "page": self.page, "width": self.width}
        self.picture.move(charts.drawn_drying_water(drying.times, **drying.waters, **look))
        wall = f"A wall {self._thick / mm:.1f} mm thick, drying from {self.faces.value}."
        self.headline.value = result(f"{wall} {drying_words(drying, self._where)}")
        self.drying = drying

    @silent()  # as `_scale`
    def limits_of(self, key):
        """Return the limits of what shrinks and of how fast water moves, as they are computed with."""
        field, error = self.fields.get(key), self.fields["shrinkage_error"]
        value = field.value if field and field.holds else field and field.instead
        if key in SHRINKS and not error.refused and (error.holds or self._own_errors):
            found = self._shrinkage(key)
            return limits_in(field.unit, value, 100 * found.low, 100 * found.high) if found.high > found.low else ""
        return limits_in(field.unit, value, value / DIFFUSES, value * DIFFUSES) if key == "diffusivity" else ""

    def _shrinkage(self, key):
        """Return the shrinkage of an axis, with its own uncertainty, else with that of both."""
        value = self.fields[key].value / 100
        error = self._own_errors.get(key)
        return stated_shrinkage(value, self.fields["shrinkage_error"].value / 100 if error is None else error)

    @silent()  # what is unlikely is within the bounds of its field
    def _scale(self):
        at = Values(self.fields)
        plane, up = map(self._shrinkage, SHRINKS)
        if max(plane.high, up.high) >= 1:
            raise DataError(TOO_MUCH)
        packed = None
        if self.mixed is not None and self.fields["dry_solids"].is_known:
            with suppress(DataError):  # which the hours say; what to draw asks for it only to compare
                packed = self.mixed.packed(at["dry_solids"])
        dry = [at[key] * mm for key in ("length", "width", "height")]
        self.scales = plane.scale, up.scale
        along, across = factors = tuple(one.value for one in self.scales)
        self.outline.move(charts.drawn_drawn_and_dry((dry[0], dry[2]), factors, self.page, self.width))
        drawn = (size * factor for size, factor in zip(dry, (along, along, across), strict=True))
        drawn, wanted = (" × ".join(f"{size / mm:.1f}" for size in sizes) for sizes in (drawn, dry))
        said = f"Scale the drawing by {along:.3f} in x and y and by {across:.3f} in z: draw {drawn} mm to get {wanted} mm dry."
        self.scaled.value = result(said)
        head = ["axis", "shrinkage [%]", "factor [-]", "95 % interval [-]", "dry [mm]", "draw [mm]"]
        sizes = dict(zip(("length (x)", "width (y)", "height (z)"), dry, strict=True))
        rows = scale_rows(sizes, (plane, plane, up), packed)
        inside = table(head, rows, "Scale factors for the drawing") + paragraph(ON_WET)
        self.factors.value = details("Scale factors in numbers", inside)

    def _tabulate(self):
        cracked = self.fields["cracked"]
        rows = drying_rows(self.described(), self._where, cracked.value if cracked.holds else 0.0)
        inside = table(["", "value", "limits", "unit", "note"], rows, "Drying of the wall")
        self.numbers.value = details("Drying in numbers", inside)
