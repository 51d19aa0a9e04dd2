"""What is known of a paste beside its law, as fields of a plan: below an empty one stands what the readings tell, which then counts."""

from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress

import ipywidgets as W

from ...errors import DataError
from ...origins import FITTED, ORIGINS, STATED
from ...paste.material import Material
from ...workbook import ASKED, Assumed, Entry, Plan, Workbook
from ...workbook.asked import PROPERTIES
from ...workbook.of_paste import known_of, typed_over
from .accessible import name as named
from .bound import bound, saving_of
from .elements import show
from .fields import choice
from .hearing import hear
from .number_field import NumberField

TITLE = "What is known of the paste"
WHENCE = {
    "not said": "",
    **{"from a table" if word == "table" else word: word for word in ORIGINS if word not in (FITTED, STATED)},
}
"""Where a number of a paste comes from, as a page says it, and the word for it of `origins`."""


class PasteFields(W.VBox):
    """Fields of properties of a paste, each with where it comes from once there is a number.

    Parameters
    ----------
    plan : Plan
    names : iterable of str
        Of properties.
    read : mapping of str to Assumed
        What counts while a field is empty.
    changed : callable
        Called without arguments after every change.

    Attributes
    ----------
    fields : dict of str to NumberField
    whence : dict of str to Dropdown
    """

    def __init__(
        self, plan: Plan, names: Iterable[str], read: Mapping[str, Assumed], changed: Callable[[], object]
    ) -> None:
        self.fields, self.whence = {}, {}
        for name in names:
            asked = ASKED[PROPERTIES][name]
            field = NumberField(
                asked.label,
                asked.example,
                asked.low,
                asked.high,
                None,
                said_of(asked, read.get(name)),
                above=True,
                begin=None,
            )
            self.fields[name] = bound(field, plan, PROPERTIES, name)
            self.whence[name] = bind_whence(whence_of(field), plan, name)
            field.heard(changed)
            hear(self.whence[name], changed)
        pairs = [one for name in self.fields for one in (self.fields[name], self.whence[name])]
        super().__init__(pairs, layout=W.Layout(width="100%", padding="0 0 8px 12px"))

    def refuse(self) -> None:
        """Raise what the first field refuses that holds what cannot be."""
        for field in self.fields.values():
            if field.holds:
                field.read()


def whence_of(field: NumberField) -> W.Dropdown:
    """Return the choice where the number of a field comes from, shown while it holds one."""
    control = named(choice("it is", list(WHENCE.items())), f"where it comes from: {field.words}")
    show(control, bool(field.holds))
    field.heard(lambda: show(control, bool(field.holds)))
    return control


def bind_whence(control: W.Dropdown, plan: Plan, name: str) -> W.Dropdown:
    """Put where a property comes from into its choice, write each change back, and return the choice."""
    told = plan.origin(name)
    word = told.partition(":")[0].strip()
    if told and word not in WHENCE.values():  # stays until another is chosen
        control.options = [*WHENCE.items(), (STATED, told)]
        word = told
    control.value = word
    hear(control, lambda: saving_of(plan).put_origin(name, control.value))
    return control


def said_of(asked: Entry, one: Assumed | None) -> str:
    """Return what stands below an empty field: what counts in its place and where that comes from, or what stays open."""
    if one is None:
        return f"Not known: {asked.without}."
    return f"Empty: {one.written_as(asked)} counts, {one.origin}."


class KnownPaste:
    """A paste as a page knows it: that of a workbook, or a material with what a plan says typed over it.

    Attributes
    ----------
    material : Material or None
        None where no law could be fitted.
    workbook : Workbook or None
        Whose paste it is.
    """

    def __init__(self, plan: Plan, material: Material | None) -> None:
        self.workbook: Workbook | None = None
        self._plan, self._given, self.material = plan, material, material

    @property
    def read(self) -> Mapping[str, Assumed]:
        """What is known of it where nothing is typed."""
        if self.workbook:
            return read_for_page(self.workbook)
        return known_of(self._given) if self._given else {}

    @property
    def limits(self) -> Mapping[str, tuple[float, float]]:
        """The 95 % limits [SI] of what is told with them, by name."""
        return limits_told(self.workbook) if self.workbook else {}

    def renew(self) -> None:
        """Take the paste as it is known now; as it was, where what is typed of it cannot be, which its field says."""
        with suppress(DataError):
            if self._given is not None:
                self.material = self.workbook.material if self.workbook else typed_over(self._given, self._plan)


def read_for_page(workbook: Workbook) -> Mapping[str, Assumed]:
    """Return what the readings of a workbook tell of its paste; nothing where they cannot be read, which is said elsewhere."""
    try:
        return workbook.read.known
    except DataError:
        return {}


def limits_told(workbook: Workbook) -> Mapping[str, tuple[float, float]]:
    """Return the 95 % limits [SI] of what follows from the recipe of a workbook, by name, as the page of the recipe has them."""
    try:
        return {name: one.limits for name, one in workbook.given.items() if one.limits}
    except DataError:  # which is said elsewhere
        return {}


__all__ = ["TITLE", "KnownPaste", "PasteFields", "bind_whence", "limits_told", "read_for_page", "said_of", "whence_of"]
