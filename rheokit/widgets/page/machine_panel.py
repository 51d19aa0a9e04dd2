"""Machine and part of a plan as fields: barrel, nozzle, drive, and what is printed; an empty one is not known.

A page makes `MachinePanel(plan, self.changed)`, shows it beside its picture and calls `panel.refuse()` before it asks the plan
what it describes. A group is made when it is first opened.
"""

from collections.abc import Callable, Container, Iterable, Mapping, Sequence
from contextlib import suppress

import ipywidgets as W

from ...errors import DataError
from ...flow.segments import taper_angle, taper_length
from ...part.job import FIBRE, PRINT
from ...units import degree, mm
from ...workbook import ASKED, Assumed, Plan, shelf
from ...workbook.entry import NONE
from ...workbook.of_rig import OF_RIG
from . import machine_words as words
from .bound import asked_field, bound, saving_of
from .elements import is_shown, show
from .hearing import hear
from .layout import Fold
from .machine_controls import Either, buttons, buttons_whence, under
from .number_field import NotKnown, NumberField
from .page_words import silent
from .paste_fields import said_of
from .typed_numbers import as_in_field, with_its_unit

OPEN = (words.NOZZLE, words.BARREL)
LEFT_OPEN = "left open"
OF_FIBRE = (words.NOZZLE, words.BARREL, words.DRIVE)
OF_PRINT = (*OF_FIBRE, words.PART, words.WALLS, words.ERRORS)
OF_FORCE = {PRINT: (words.NOZZLE, words.BARREL, words.PART), FIBRE: (words.NOZZLE, words.BARREL, words.FLOW)}
"""What a force is computed of, by the kind of job."""


class MachinePanel(W.VBox):
    """The groups of fields of a machine and a print.

    Parameters
    ----------
    plan : Plan
    changed : callable
        Called without arguments after every change.
    besides : container of (str, str)
        Entries, by table and key, that the page asks for elsewhere.
    opened : iterable of str
        Titles of the groups that are open at once; those that were left open the last time, where the paste was on a page before.
    offered : sequence of str
        Titles of the groups that there are: a fibre's have no line and no wall.
    counts : callable, optional
        Returns what of the machine the readings know, which counts where its field is empty.

    Attributes
    ----------
    fields : dict of (str, str) to NumberField
        By table and key, of the groups made so far.
    groups : dict of str to Fold
    """

    def __init__(
        self, plan: Plan, changed: Callable[[], object], besides: Container[tuple[str, str]] = (),
        opened: Iterable[str] = OPEN, offered: Sequence[str] = OF_PRINT, counts: Callable[[], Mapping[str, Assumed]] = dict,
    ) -> None:  # fmt: skip
        def heard():
            self.say_what_counts()
            changed()

        self._counts = counts
        self.plan, self._changed, self._besides, self._is_fibre = plan, heard, besides, words.PART not in offered
        self.fields: dict[tuple[str, str], NumberField] = {}
        self.controls: dict[str, W.Widget] = {}
        makers = {
            words.NOZZLE: self._nozzle, words.BARREL: self._barrel, words.DRIVE: self._drive,
            words.PART: self._line, words.WALLS: self._walls, words.ERRORS: self._errors, words.FLOW: self._flow,
        }  # fmt: skip
        self.groups = {title: Fold(title, self._column(makers[title])) for title in offered}
        for title in self._left_open(opened):
            self.groups[title].unfold()
        for group in self.groups.values():
            hear(group.opener, self._note_open)
        super().__init__(list(self.groups.values()), layout=W.Layout(width="100%"))

    def refuse(self) -> None:
        """Raise what the first field refuses that holds what cannot be."""
        for field in self.fields.values():
            if field.holds and is_shown(field):
                field.read()

    def say_what_counts(self) -> None:
        """Say below empty fields of the barrel what the readings know, which counts, or what is left out."""
        known: Mapping[str, Assumed] = {}
        with suppress(DataError), silent():  # too little is typed, or it cannot or hardly be, which is said elsewhere
            known = self._counts()
        for key in OF_RIG:
            if field := self.fields.get(("machine", key)):
                field.say_while_empty(said_of(ASKED["machine"][key], known.get(key)))

    def _left_open(self, otherwise):
        known = shelf.remembered(LEFT_OPEN, {})
        left = known.get(str(self.plan.place)) if isinstance(known, dict) else None
        return otherwise if left is None else [title for title in left if title in self.groups]

    def _note_open(self):
        """Remember which groups are open, for the next page of this paste."""
        if self.plan.folder.is_dir():
            known = shelf.remembered(LEFT_OPEN, {})
            left = [title for title, group in self.groups.items() if group.is_open]
            shelf.remember(LEFT_OPEN, (known if isinstance(known, dict) else {}) | {str(self.plan.place): left})

    @staticmethod
    def _column(make):
        return lambda: W.VBox(
            [one for one in make() if one is not None], layout=W.Layout(width="100%", padding="0 0 8px 12px")
        )

    # --- groups -------------------------------------------------------------------------------------------------

    def _nozzle(self):
        taper = Either(
            "taper", [words.LENGTH, words.HALF_ANGLE], self._two("nozzle", "taper_length", "taper_half_angle"),
            self.plan, "nozzle", self._other_taper, self._changed,
        )  # fmt: skip
        self.controls["taper"] = taper.way
        bore, inlet, land = (self._field("nozzle", key) for key in ("bore", "inlet_diameter", "land_length"))
        return [bore, inlet, land, taper, self._field("nozzle", "outer_diameter") if self._is_fibre else None]

    def _barrel(self):
        keys = ("barrel_diameter", "fill_length", "plunger_friction", "break_loose_friction")
        more = ("barrel_drag", "compliance")
        fields = [*self._each("machine", keys), *self._rating(), *self._each("machine", more)]
        self.say_what_counts()
        return [*fields, self._whence("machine")]

    def _rating(self):
        """Return the choice whether a rating is printed, and its field; the plan says "none" where none is."""
        held = self.plan.text("machine", "pressure_rating")
        rated = buttons("pressure rating", [words.PRINTED, NONE], NONE if held == NONE else None)
        field = self._made("machine", "pressure_rating")
        field.text.value = "" if held == NONE else as_in_field(held, field.unit)

        def put():
            text = NONE if rated.value == NONE else with_its_unit(field.holds, field.unit)
            show(field, rated.value == words.PRINTED)
            if not field.refused and text != self.plan.text("machine", "pressure_rating"):
                saving_of(self.plan).put("machine", "pressure_rating", text)

        put()
        for hears in (put, self._changed):
            hear(rated, hears)
            field.heard(hears)
        self.controls["rating"] = rated
        return [under("rating printed on the barrel", rated), field]

    def _drive(self):
        kind = buttons("drive", [(words.NOT_KNOWN, ""), *((one, one) for one in words.OF_DRIVE)])
        bound(kind, self.plan, "drive", "kind")
        of = {one: self._each("drive", keys) for one, keys in words.OF_DRIVE.items()}

        def turn():
            for one, fields in of.items():
                for field in fields:
                    show(field, one == kind.value)

        turn()
        for hears in (turn, self._changed):
            hear(kind, hears)
        self.controls["drive"] = kind
        return [kind, *(field for fields in of.values() for field in fields)]

    def _line(self):
        speed = self._each("print", ("print_speed",))
        pairs = []
        for what, key in (("layer height", "layer_height"), ("line width", "line_width")):
            ways, two = [words.MILLIMETRES, words.SHARE], self._two("print", key, f"{key}_to_bore")
            either = Either(what, ways, two, self.plan, "print", self._other_size, self._changed)
            self.controls[key] = either.way
            pairs.append(either)
        heated = self._each("print", ("barrel_temperature", "nozzle_temperature"))
        return [*speed, *pairs, *heated, self._whence("job")]

    def _flow(self):
        return [*self._each("fibre", ("throughput", "barrel_temperature")), self._whence("job")]

    def _walls(self):
        shape = buttons("shape of the wall", [(words.NOT_KNOWN, ""), *((one, one) for one in words.SHAPES)])
        bound(shape, self.plan, "print", "shape")
        hear(shape, self._changed)
        self.controls["shape"] = shape
        keys = ("part_height", "wall_width", "ring_radius", "path_length", "span", "longest_lag", "drying_flux")
        return [under("shape of the wall", shape), *self._each("print", keys)]

    def _errors(self):
        return self._each("print", ("layer_height_error", "speed_error", "bore_error", "temperature_error"))

    # --- their controls -----------------------------------------------------------------------------------------

    def _made(self, table, key):
        self.fields[table, key] = asked_field(table, key)
        return self.fields[table, key]

    def _field(self, table, key):
        """Return a field bound to its entry, or None where the page asks for it elsewhere."""
        if (table, key) in self._besides:
            return None
        field = bound(self._made(table, key), self.plan, table, key)
        field.heard(self._changed)
        return field

    def _each(self, table, keys):
        return [field for key in keys if (field := self._field(table, key)) is not None]

    def _two(self, table, *keys):
        return {key: self._made(table, key) for key in keys}

    def _whence(self, what):
        """Return the choice where the numbers of a table come from, under its words."""
        control = self.controls[f"{what} origin"] = buttons_whence(self.plan, what, self._changed)
        return under(words.WHENCE_OF[what], control)

    # --- the same in another way --------------------------------------------------------------------------------

    def _other_taper(self, key):
        """Return the half angle [°] of a taper by its length, or its length [mm] by its half angle."""
        bore, inlet = (self._known("nozzle", one) for one in ("bore", "inlet_diameter"))
        ends, value = (max(inlet, bore), bore), self._known("nozzle", key)
        return taper_angle(*ends, value) / degree if key == "taper_length" else taper_length(*ends, value) / mm

    def _other_size(self, key):
        """Return a size of the line over the bore [-], or in mm."""
        bore, value = self._known("nozzle", "bore"), self._known("print", key)
        return value * bore / mm if key.endswith("_to_bore") else value / bore

    def _known(self, table, key):
        value = self.plan.value(table, key)
        if value is None:
            raise NotKnown(ASKED[table][key].label)
        return value
