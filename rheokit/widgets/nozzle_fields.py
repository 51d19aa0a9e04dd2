"""Controls for a nozzle, its barrel, its drive, the paste and the print, and the extruder and job they describe."""

from dataclasses import replace

import ipywidgets as W
import numpy as np

from ..drives import AirDrive, HandDrive, ScrewDrive
from ..errors import DataError
from ..nomenclature import symbol
from ..origins import TYPED
from ..printing import PrintJob
from ..units import kPa, mm
from .accessible import name
from .force_panel import described_extruder
from .hearing import hear
from .machine_rows import known_rows
from .parts import column, number_field, paragraph
from .rests_on import OF_PAGE, SET, field_row

SCREW, AIR, HAND = "screw", "air", "hand"
UNRATED, PRINTED = "none", "printed"
MEASURED, UNKNOWN = "measured", "not known"
LENGTH, HALF_ANGLE = "length", "half angle"
NOZZLE = {
    "bore": ("bore at the tip D [mm]", 1.6),
    "inlet": ("inlet of the nozzle D_in [mm]", 4.0),
    "taper": ("taper [mm] or [°], 0 mm: none", 10.0),
    "land": ("straight land L [mm], 0: none", 8.0),
}
BARREL = {
    "barrel": ("bore of the barrel D_0 [mm]", 26.7),
    "fill": ("filled barrel length L_f [mm]", 60.0),
    "friction": ("gliding friction F_f [N]", 8.0),
    "loose": ("break-loose friction F_b [N]", 12.0),
    "rating": ("rating printed on it p_r [kPa]", 1000.0),
}
DRIVE = {
    "torque": ("torque of the motor M [N·m]", 0.3),
    "lead": ("lead of the screw l [mm]", 2.0),
    "efficiency": ("efficiency of the screw η_s [-]", 0.25),
    "air": ("pressure at the regulator [kPa]", 200.0),
    "hand": ("most asked of the hand [N]", HandDrive.force),
}
PASTE = {
    "ratio": ("static over dynamic stress r [-]", 1.3),
    "air_content": ("air in the paste ε_a [%]", 3.0),
    "layer": ("layer height h [mm]", 1.0),
    "line": ("line width w [mm]", 2.0),
}
OF_DRIVE = {SCREW: ("torque", "lead", "efficiency"), AIR: ("air",), HAND: ("hand",)}
SPEED = 15.0  # mm/s to begin with
MINE = "Machine and part are mine: I have checked every number"
LEAST_ANGLE = 0.5  # degrees; a flatter taper is given by its length


def taper_length(inlet, bore, half_angle):
    """Return the length [mm] of a taper between two diameters [mm] by its half angle [degrees]."""
    if not LEAST_ANGLE <= half_angle < 90:
        raise DataError(
            f"half angle of the taper = {half_angle:g}°: it lies between axis and wall, {LEAST_ANGLE:g}° to below 90°; for "
            "an abrupt end give the taper by its length, 0 mm."
        )
    return (inlet - bore) / 2 / np.tan(np.radians(half_angle))


class NozzleFields:
    """The controls, and what they describe.

    Parameters
    ----------
    changed : callable
        Called without arguments after every change.
    static_ratio : float
        To begin with. [-]
    air_content : float or None
        To begin with; None: not known. [-]
    """

    def __init__(self, changed, static_ratio, air_content):
        self._changed = changed
        asked = NOZZLE | BARREL | DRIVE | PASTE
        self.fields = {key: number_field(words, value) for key, (words, value) in asked.items()}
        self.fields["ratio"].value = round(static_ratio, 2)
        if air_content is not None:
            self.fields["air_content"].value = round(100 * air_content, 1)
        self._of_paste = {"ratio": "static_ratio"} | ({} if air_content is None else {"air_content": "air_content"})
        self._begun = {key: field.value for key, field in self.fields.items()}
        self.mine = W.Checkbox(
            value=False, description=MINE, indent=False, layout=W.Layout(width="auto", max_width="640px")
        )
        for key in ("efficiency", "ratio", "torque"):
            self.fields[key].step = 0.05
        self.by = _choice("taper given by", [LENGTH, HALF_ANGLE])
        self.rated = _choice("pressure rating", [PRINTED, UNRATED])
        self.drive = _choice("drive", [SCREW, AIR, HAND])
        self.aired = _choice("air in the paste", [MEASURED, UNKNOWN], MEASURED if air_content is not None else UNKNOWN)
        usual = np.log10(SPEED)  # a step of the slider falls on it
        self.speed = W.FloatLogSlider(SPEED, base=10, min=usual - 1.2, max=usual + 0.8, step=0.02, readout_format=".3g")
        self.stiffness = W.FloatSlider(1.0, min=0.5, max=2.0, step=0.05, readout_format=".2f")
        for slider, words in (
            (self.speed, f"print speed {symbol('print_speed')} [mm/s]"),
            (self.stiffness, "stiffness [× fitted]"),
        ):
            slider.description, slider.style = words, {"description_width": "165px"}
            slider.layout = W.Layout(width="auto", max_width="640px")
            name(slider, words[0].upper() + words[1:])
        for control in (
            *self.fields.values(),
            self.rated,
            self.drive,
            self.aired,
            self.mine,
            self.speed,
            self.stiffness,
        ):
            hear(control, self._change)
        hear(self.by, self._convert)
        self._show_asked()

    @property
    def sliders(self):
        """What is moved most, to stand above the pictures, and whose machine it is."""
        return W.VBox([self.speed, self.stiffness, self.mine])

    @property
    def columns(self):
        """The other controls, in groups."""
        f = self.fields
        groups = (
            ("Nozzle", [f["bore"], f["inlet"], f["land"], _under("taper given by", self.by), f["taper"]]),
            (
                "Barrel",
                [f["barrel"], f["fill"], f["friction"], f["loose"], _under("pressure rating", self.rated), f["rating"]],
            ),
            ("Drive", [self.drive, *(f[key] for key in DRIVE)]),
            (
                "Paste and print",
                [f["ratio"], _under("air in the paste", self.aired), *(f[key] for key in PASTE if key != "ratio")],
            ),
        )
        return [
            column(W.HTML(f"<div class='caption'>{paragraph(title)}</div>"), *controls, share="1 1 310px")
            for title, controls in groups
        ]

    def described(self):
        """Return the extruder and the print job of the fields, in SI."""
        at = {key: field.value for key, field in self.fields.items()}
        taper = at["taper"]
        if self.by.value == HALF_ANGLE:
            taper = taper_length(at["inlet"], at["bore"], taper)
        size = {key: at[key] for key in ("bore", "inlet", "land", "barrel", "fill", "friction")}
        extruder = replace(
            described_extruder(taper=taper, **size),
            drive=self._described_drive(at),
            pressure_rating=at["rating"] * kPa if self.rated.value == PRINTED else None,
            break_loose_friction=at["loose"],
        )
        job = PrintJob(print_speed=self.speed.value * mm, layer_height=at["layer"] * mm, line_width=at["line"] * mm)
        return extruder, job

    def rows(self, material, draws):
        """Return what of the page a verdict rests on: words, value, limits and origin of every field that counts.

        What the readings behind the material know of the machine stands in place of what was typed.
        """
        known, rows = known_rows(material, self.described()[0], draws), []
        for key, field in self._shown:
            if key == "friction" and "plunger_friction" in known:
                rows.append(known.pop("plunger_friction"))
            else:
                origin = material.origin(self._of_paste[key]) if key in self._of_paste else self._example
                rows.append(field_row(field, self._words(key), self._begun[key], origin))
        slips = ["drag of the barrel wall", "1", "taken as exact", "assumed: the paste does not slip in the barrel"]
        known.setdefault("barrel_drag", slips)
        rows += [*known.values(), field_row(self.speed, self.speed.description, SPEED, self._example)]
        if self.stiffness.value != 1:
            rows.append(field_row(self.stiffness, self.stiffness.description, None, SET))
        return rows

    def examples(self, known=()):
        """Return the words of machine and part whose numbers are still the examples of this page, but for what is known."""
        if self.mine.value:
            return []
        names = [
            self._words(key).partition(" [")[0]
            for key, field in self._shown
            if key not in self._of_paste
            and field.value == self._begun[key]
            and not (key == "friction" and "plunger_friction" in known)
        ]
        return [*names, *([f"print speed {symbol('print_speed')}"] if self.speed.value == SPEED else [])]

    @property
    def _shown(self):
        return [(key, field) for key, field in self.fields.items() if field.layout.display != "none"]

    def _words(self, key):
        if key == "taper":
            return f"taper, {self.by.value} [{'°' if self.by.value == HALF_ANGLE else 'mm'}]"
        return (NOZZLE | BARREL | DRIVE | PASTE)[key][0]

    @property
    def _example(self):
        """Where a number comes from that is still the example of this page."""
        return TYPED if self.mine.value else OF_PAGE

    def _described_drive(self, at):
        if self.drive.value == SCREW:
            return ScrewDrive(torque=at["torque"], lead=at["lead"] * mm, efficiency=at["efficiency"])
        return AirDrive(pressure=at["air"] * kPa) if self.drive.value == AIR else HandDrive(force=at["hand"])

    def of_paste(self, paste):
        """Return a paste as stiff, as rested and as aerated as the fields say."""
        at = self.fields
        if at["ratio"].value < 1:
            raise DataError(
                f"static over dynamic stress = {at['ratio'].value:g} cannot be below 1: rest does not soften a paste."
            )
        if at["air_content"].value >= 100:
            raise DataError(f"air in the paste = {at['air_content'].value:g} % must be below 100 %.")
        air = at["air_content"].value / 100 if self.aired.value == MEASURED else None
        paste = replace(paste, static_ratio=at["ratio"].value, air_content=air)
        return paste.stiffer(self.stiffness.value)

    def _change(self):
        self._show_asked()
        self._changed()

    def _show_asked(self):
        """Show the fields of the chosen drive, and the rating where one is printed."""
        for kind, keys in OF_DRIVE.items():
            for key in keys:
                self.fields[key].layout.display = None if kind == self.drive.value else "none"
        self.fields["rating"].layout.display = None if self.rated.value == PRINTED else "none"
        self.fields["air_content"].layout.display = None if self.aired.value == MEASURED else "none"

    def _convert(self):
        """Keep the taper as it is when it is given in the other way."""
        half = (self.fields["inlet"].value - self.fields["bore"].value) / 2
        taper = self.fields["taper"]
        example = taper.value == self._begun["taper"]
        if self.by.value == HALF_ANGLE:
            taper.value = round(float(np.degrees(np.arctan2(max(half, 0.0), taper.value))), 2)
        elif LEAST_ANGLE <= taper.value < 90:
            taper.value = round(float(max(half, 0.0) / np.tan(np.radians(taper.value))), 2)
        if example:
            self._begun["taper"] = taper.value
        self._changed()


def _choice(words, options, chosen=None):
    """Return buttons of which one is chosen: JupyterLab takes letters and arrows from a drop-down, but not Space."""
    control = W.ToggleButtons(options=options, value=chosen or options[0], style={"button_width": "auto"})
    return name(control, words)


def _under(words, control):
    return W.HBox([W.HTML(paragraph(words), layout=W.Layout(flex="0 0 120px")), control])
