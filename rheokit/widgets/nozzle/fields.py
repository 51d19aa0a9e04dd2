"""Controls for a nozzle, its barrel, its drive, the paste and the print, and the extruder and job they describe."""

from dataclasses import replace

import ipywidgets as W

from ...errors import DataError
from ...flow.segments import taper_angle
from ...flow.segments import taper_length as length_of_taper
from ...machine.drives import AirDrive, HandDrive, ScrewDrive
from ...origins import TYPED
from ...part.printing import PrintJob
from ...units import degree, kPa, mm
from ..page.accessible import name
from ..page.elements import Message, column, is_shown, paragraph, show
from ..page.extruder_fields import described_extruder
from ..page.fields import Values
from ..page.hearing import hear
from ..page.machine_rows import known_rows
from ..page.number_field import SlidingNumber, fields_of, say_together
from ..page.rests_on import OF_PAGE, SET, field_row
from . import words

SCREW, AIR, HAND = "screw", "air", "hand"
UNRATED, PRINTED = "none", "printed"
MEASURED, UNKNOWN = "measured", "not known"
LENGTH, HALF_ANGLE = "length", "half angle"
OF_DRIVE = {SCREW: ("torque", "lead", "efficiency"), AIR: ("air",), HAND: ("hand",)}
SPEED = 15.0  # mm/s to begin with
LEAST_SPEED, MOST_SPEED = SPEED * 10**-1.2, SPEED * 10**0.8  # mm/s; the slider falls on what it begins with


def taper_length(inlet, bore, half_angle):
    """Return the length [mm] of a taper between two diameters [mm] by its half angle [degrees]."""
    if not words.LEAST_ANGLE <= half_angle < 90:
        raise DataError(
            f"half angle of the taper = {half_angle:g}°: it lies between axis and wall, {words.LEAST_ANGLE:g}° to below 90°; for "
            "an abrupt end give the taper by its length, 0 mm."
        )
    return length_of_taper(inlet, bore, half_angle * degree)


class NozzleFields:
    """The controls, and what they describe; `changed` is called without arguments after every change.

    They begin with a static ratio and an air content [-], the latter None where it is not known.
    """

    def __init__(self, changed, static_ratio, air_content):
        self._changed = changed
        self.fields = fields_of(words.NOZZLE | words.BARREL | words.DRIVE | words.PASTE, None)
        self.together, self.of_line = Message(), Message()
        self.fields["ratio"].value = round(static_ratio, 2)
        if air_content is not None:
            self.fields["air_content"].value = round(100 * air_content, 1)
        self._of_paste = {"ratio": "static_ratio"} | ({} if air_content is None else {"air_content": "air_content"})
        self._begun = {key: field.value for key, field in self.fields.items()}
        self._other_way = None, None, None  # the taper as typed the other way, its example, what the fields held then
        layout = W.Layout(width="auto", max_width="640px")
        self.mine = W.Checkbox(value=False, description=words.MINE, indent=False, layout=layout)
        self.by = _choice("taper given by", [LENGTH, HALF_ANGLE])
        self.rated = _choice("pressure rating", [PRINTED, UNRATED])
        self.drive = _choice("drive", [SCREW, AIR, HAND])
        self.aired = _choice("air in the paste", [MEASURED, UNKNOWN], MEASURED if air_content is not None else UNKNOWN)
        called = f"P{words.SPEED[1:]}"
        self.speed = SlidingNumber(words.SPEED, SPEED, LEAST_SPEED, MOST_SPEED, 0.02, logarithmic=True, called=called)
        self.stiffness = SlidingNumber("stiffness [× fitted]", 1.0, 0.5, 2.0, 0.05, called="Stiffness [× fitted]")
        for field in (*self.fields.values(), self.speed, self.stiffness):
            field.heard(self._change)
        for control in (self.rated, self.drive, self.aired, self.mine):
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
        at, air = self.fields, _under("air in the paste", self.aired)
        by, rated = _under("taper given by", self.by), _under("pressure rating", self.rated)
        barrel, (ratio, *paste) = ([at[key] for key in asked] for asked in (words.BARREL, words.PASTE))
        groups = {
            "Nozzle": [at["bore"], at["inlet"], at["land"], by, at["taper"], self.together],
            "Barrel": [*barrel[:-1], rated, at["rating"]],
            "Drive": [self.drive, *(at[key] for key in words.DRIVE)],
            "Paste and print": [ratio, air, *paste, self.of_line],
        }
        return [
            column(W.HTML(f"<div class='caption'>{paragraph(title)}</div>"), *controls, share="1 1 310px")
            for title, controls in groups.items()
        ]

    def described(self):
        """Return the extruder and the print job of the fields, in SI."""
        return self._extruder(), self._job()

    def _extruder(self):
        at = Values(self.fields)  # those that are not shown are not asked
        taper = at["taper"]
        if self.by.value == HALF_ANGLE:
            taper = taper_length(at["inlet"], at["bore"], taper) if taper < words.ABRUPT else 0.0
        size = {key: at[key] for key in ("bore", "inlet", "land", "barrel", "fill", "friction")}
        return replace(
            described_extruder(taper=taper, **size),
            drive=self._described_drive(at),
            pressure_rating=at["rating"] * kPa if self.rated.value == PRINTED else None,
            break_loose_friction=at["loose"],
        )

    def _job(self):
        high, wide = self.fields["layer"].value, self.fields["line"].value
        job = PrintJob(print_speed=self.speed.value * mm, layer_height=high * mm, line_width=wide * mm)
        if job.flow_rate(self.fields["bore"].value * mm) <= 0:
            raise DataError(
                f"Layer height h {high:g} mm is too high for line width w {wide:g} mm: nothing is left of the section of a line "
                "with round sides. Make the layers lower or the lines wider."
            )
        return job

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
                rows.append(field_row(field, field.words, self._begun[key], origin))
        known.setdefault("barrel_drag", words.NO_SLIP)
        rows += [*known.values(), field_row(self.speed, self.speed.words, SPEED, self._example)]
        if self.stiffness.value != 1:
            rows.append(field_row(self.stiffness, self.stiffness.words, None, SET))
        return rows

    def examples(self, known=()):
        """Return the words of machine and part whose numbers are still the examples of this page, but for what is known."""
        if self.mine.value:
            return []
        besides = {*self._of_paste, *(["friction"] if "plunger_friction" in known else [])}
        begun = [field for key, field in self._shown if key not in besides and field.stands_at(self._begun[key])]
        begun += [self.speed] if self.speed.stands_at(SPEED) else []
        return [field.words.partition(" [")[0] for field in begun]

    @property
    def _shown(self):
        return [(key, field) for key, field in self.fields.items() if is_shown(field)]

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
        air = at["air_content"].value / 100 if self.aired.value == MEASURED else None
        paste = replace(paste, static_ratio=at["ratio"].value, air_content=air)
        return paste.stiffer(self.stiffness.value)

    def _change(self):
        self._show_asked()
        say_together(self.together, self._extruder)
        say_together(self.of_line, self._job)
        self._changed()

    def _show_asked(self):
        """Show the fields of the chosen drive, and the rating where one is printed."""
        for kind, keys in OF_DRIVE.items():
            for key in keys:
                show(self.fields[key], kind == self.drive.value)
        show(self.fields["rating"], self.rated.value == PRINTED)
        show(self.fields["air_content"], self.aired.value == MEASURED)

    def _convert(self):
        """Keep the taper as it is when it is given in the other way; what was typed in that way stands there again."""
        taper, other = self.fields["taper"], words.BY_ANGLE if self.by.value == HALF_ANGLE else words.BY_LENGTH
        typed, begun = taper.text.value, self._begun["taper"]
        before, its_example, held = self._other_way
        back = held == self._held()  # nothing was typed since
        example = taper.stands_at(begun)
        try:
            bore = self.fields["bore"].value
            ends = max(self.fields["inlet"].value, bore), bore
            if self.by.value == HALF_ANGLE:
                same = taper_angle(*ends, taper.value) / degree
            else:
                same = length_of_taper(*ends, taper.value * degree)
            same = round(float(same), 2)
        except DataError:  # one of them is refused: no number in one unit may stand there as one in the other
            same = None
        taper.describe(*other)
        if example:
            self._begun["taper"] = its_example if back else same
        if back:
            taper.text.value = before
        else:
            taper.value = same
        self._other_way = typed, begun, self._held()
        if taper.text.value == typed:
            self._change()

    def _held(self):
        return [self.fields[key].text.value for key in ("bore", "inlet", "taper")]


def _choice(words, options, chosen=None):
    """Return buttons of which one is chosen: JupyterLab takes letters and arrows from a drop-down, but not Space."""
    control = W.ToggleButtons(options=options, value=chosen or options[0], style={"button_width": "auto"})
    return name(control, words)


def _under(words, control):
    return W.HBox([W.HTML(paragraph(words), layout=W.Layout(flex="0 0 120px")), control])
