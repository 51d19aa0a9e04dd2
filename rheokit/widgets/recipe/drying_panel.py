"""What the part will measure when it is dry, how long that takes, and how unevenly it dries."""

import ipywidgets as W

from ... import charts
from ...errors import DataError
from ...part.drying import room_fluxes, weighed_fluxes
from ...part.shrinkage import stated_shrinkage
from ...units import ZERO_CELSIUS, mm
from ..page.elements import Message, is_shown, paragraph, result, section, show, table
from ..page.fields import Values, choice
from ..page.freshness import Answer
from ..page.number_field import SlidingNumber
from ..page.page_words import silent
from ..page.pictures import MovingPicture
from .desk import Room, Step, beside_each_other
from .words import PER_HOUR, cautions, drying_rows, drying_words, scale_rows

STILL, FAN, PLATE = "still room air", "a fan", "a wet plate weighed beside it"
CONVECTIONS = {STILL: (3.5, 3.0, 4.0), FAN: (15.0, 10.0, 25.0), PLATE: None}  # W/(m² K); common practice, no source
BOTH, ONE = "both faces", "one face"
TO_CALIBRATE = "not known; the index is then for calibration"
SIZES = {
    "length": ("length wanted when dry [mm]", 60.0, 0.1, 2000.0),
    "width": ("width wanted when dry [mm]", 60.0, 0.1, 2000.0),
    "tall": ("height wanted when dry [mm]", 30.0, 0.1, 2000.0),
    "shrinkage_xy": ("shrinkage in plane S_xy [%]", 8.0, 0.0, 80.0, "not known; pastes usually 6 to 15"),
    "shrinkage_z": ("shrinkage in height S_z [%]", 11.0, 0.0, 80.0),
    "points": ("standard uncertainty of a shrinkage, points [%]", 0.5, 0.0, 20.0),
    "dry_solids": ("solids in the dry part φ_d, by volume [-]", 0.53, 0.01, 1.0),
}
AIR = {
    "temperature": ("temperature of the room [°C]", 22.0, 1.0, 60.0),
    "flux": ("water lost from the plate [g/(m²·h)]", 60.0, 0.1, 5000.0),
    "leaves": ("water the air leaves in it u_e, dry basis [-]", 0.08, 0.0, 5.0),
    "final": ("water wanted in the end u_f, dry basis [-]", 0.15, 0.001, 10.0),
    "diffusivity": ("diffusivity of the water D_e [10⁻¹⁰ m²/s]", 3.0, 0.01, 1000.0),
    "cracked": ("crack index at which walls cracked, 0: not known [-]", 0.0, 0.0, 1000.0, TO_CALIBRATE),
}
TOO_MUCH = "The shrinkage with its uncertainty reaches 100 %; give S in % of the wet length, and a smaller uncertainty."
ON_WET = "Shrinkage is counted on the wet length: (wet - dry)/wet. The factor multiplies that axis of the drawing."


class DryingPanel(Room):
    """Drying time in two stages, scale factors and crack index; `wall` returns the thickness of the wall [m]."""

    asked = SIZES | AIR

    def __init__(self, wall):
        self._wall, self.drying = wall, None
        super().__init__()

    def sections(self):
        """Return sizes and air, and what comes of them."""
        self.air = choice("drying by", CONVECTIONS, self.refresh)
        self.faces = choice("the wall dries from", (BOTH, ONE), self.refresh)
        self.humidity = SlidingNumber("Humidity of the room [%]", 50.0, 5.0, 99.0, 1.0, self.refresh)
        self.sliders = (self.humidity,)
        self.headline, self.scaled, self.numbers, self.factors = (Answer() for _ in range(4))
        self.picture = MovingPicture("Water in the part while it dries", 460)
        self.outline = MovingPicture("As drawn and when dry", 400)
        self.wrong_sizes, self.wrong_air = Message(), Message()
        said = "".join(map(paragraph, cautions("mould", "dust")))
        sizes, air = ([self.fields[key] for key in asked] for asked in (SIZES, AIR))
        return [
            self.message,
            section("What will it measure when dry?", beside_each_other([*sizes, self.wrong_sizes], [self.scaled, self.outline]), self.factors),
            section("Drying", beside_each_other(
                [self.air, *air[:2], self.faces, *air[2:], self.wrong_air], [self.humidity, self.headline, self.rests, self.picture]
            ), self.numbers, W.HTML(f"<div role='note'>{said}</div>")),
        ]  # fmt: skip

    @property
    def steps(self):
        """What is worked through after a change."""
        sizes = tuple(self.fields[key] for key in SIZES)
        air = (self.fields[key] for key in AIR if key != "cracked" and is_shown(self.fields[key]))
        return [
            Step(self._show_drying, (self.fields["dry_solids"], *air), (self.headline,), self.wrong_air),
            Step(self._scale, sizes, (self.scaled,), self.wrong_sizes),
            Step(self._tabulate),
        ]

    def show_asked(self):
        """Show what the drying air asks for."""
        show(self.fields["flux"], self.air.value == PLATE)
        for control in (self.fields["temperature"], self.humidity):
            show(control, self.air.value != PLATE)

    def described(self):
        """Return the wall of the fields."""
        at = Values(self.fields)
        if self.air.value == PLATE:
            fluxes = weighed_fluxes(at["flux"] * PER_HOUR)
        else:
            room = at["temperature"] + ZERO_CELSIUS, self.humidity.value / 100
            fluxes = room_fluxes(*room, CONVECTIONS[self.air.value])
        return self.mixed.wall(
            fluxes=fluxes, dry_solids=at["dry_solids"], equilibrium_water=at["leaves"], final_water=at["final"],
            depth=self._wall() / (2 if self.faces.value == BOTH else 1), diffusivity=at["diffusivity"] * 1e-10,
        )  # fmt: skip

    @property
    def _where(self):
        """What the hours hold for."""
        return "as the plate stood" if self.air.value == PLATE else "in the open"

    def _show_drying(self):
        drying = self.described()
        look = {"subtitle": self.subtitle, "page": self.page, "width": self.beside}
        self.picture.move(charts.drawn_drying_water(drying.times, **drying.waters, **look))
        wall = f"A wall {self._wall() / mm:.1f} mm thick, drying from {self.faces.value}."
        self.headline.value = result(f"{wall} {drying_words(drying, self._where)}")
        self.drying = drying

    @silent()  # what is unlikely is within the bounds of its field
    def _scale(self):
        at = Values(self.fields)
        plane, up = (stated_shrinkage(at[key] / 100, at["points"] / 100) for key in ("shrinkage_xy", "shrinkage_z"))
        if max(plane.high, up.high) >= 1:
            raise DataError(TOO_MUCH)
        packed = self.mixed.packed(at["dry_solids"])
        dry = [at[key] * mm for key in ("length", "width", "tall")]
        along, across = factors = plane.scale.value, up.scale.value
        self.outline.move(charts.drawn_drawn_and_dry((dry[0], dry[2]), factors, self.page, self.beside))
        drawn = (size * factor for size, factor in zip(dry, (along, along, across), strict=True))
        drawn, wanted = (" × ".join(f"{size / mm:.1f}" for size in sizes) for sizes in (drawn, dry))
        said = f"Scale the drawing by {along:.3f} in x and y and by {across:.3f} in z: draw {drawn} mm to get {wanted} mm dry."
        self.scaled.value = result(said)
        head = ["axis", "shrinkage [%]", "factor [-]", "95 % interval [-]", "dry [mm]", "draw [mm]"]
        sizes = dict(zip(("length (x)", "width (y)", "height (z)"), dry, strict=True))
        rows = scale_rows(sizes, (plane, plane, up), packed)
        self.factors.value = table(head, rows, "Scale factors for the drawing") + paragraph(ON_WET)

    def _tabulate(self):
        cracked = self.fields["cracked"]
        rows = drying_rows(self.described(), self._where, cracked.value if cracked.holds else 0.0)
        self.numbers.value = table(["", "value", "limits", "unit", "note"], rows, "Drying of the wall")
