"""Controls that hold what a plan says, and write each change of theirs into it at once.

A page made of a workbook says `plan_field(plan, "nozzle", "bore", self.changed)` for a number, and `bound(self.law, plan, "fit", "law")`, or
`bound(self.fields, plan, "nozzle")` for controls that are named as the entries are. What could not be saved is told beside the picker (`saving_of(plan).told`).
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any
from weakref import WeakKeyDictionary

import ipywidgets as W

from ...errors import DataError
from ...reading.faults import shown
from ...workbook import ASKED, Plan
from .hearing import hear
from .number_field import NumberField
from .typed_numbers import as_in_field, with_its_unit

YES, NO = "yes", "no"
_SAVING: WeakKeyDictionary[Plan, "Saving"] = WeakKeyDictionary()


class Saving:
    """What is written into a plan from a page; what the disk would not take is kept until one decides.

    Attributes
    ----------
    told : callable
        Called with the error after a save that failed, with None after one that did not.
    changed : callable
        Called without arguments after every change.
    """

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._unsaved: dict[tuple[str, str], Callable[[], object]] = {}
        self.told: Callable[[Exception | None], object] = _raised
        self.changed: Callable[[], object] = lambda: None

    def put(self, table: str, key: str, text: str) -> None:
        """Write an entry."""
        self._do((table, key), lambda: self._plan.put(table, key, text))

    def put_list(self, table: str, key: str, texts: Iterable[str]) -> None:
        """Write a list of texts."""
        texts = list(texts)
        self._do((table, key), lambda: self._plan.put_list(table, key, texts))

    def put_rows(self, table: str, key: str, rows: Sequence[Mapping[str, str]]) -> None:
        """Write rows, each by the names of its columns."""
        self._do((table, key), lambda: self._plan.put_rows(table, key, rows))

    def put_property(self, name: str, value: str, origin: str, spread: float | None = None) -> None:
        """Write what is assumed of the paste."""
        self._do(("properties", name), lambda: self._plan.put_property(name, value, origin, spread))

    def put_origin(self, name: str, origin: str) -> None:
        """Write where what is assumed of the paste comes from."""
        self._do(("origin", name), lambda: self._plan.put_origin(name, origin))

    def _do(self, place, act):
        self._unsaved.pop(place, None)  # the last change comes last
        self._unsaved[place] = act
        try:
            act()
            self.save()
        except (DataError, OSError) as error:
            self.told(error)
        self.changed()

    def save(self) -> None:
        """Save the plan; every change is then on the disk."""
        self._plan.save()
        self._unsaved.clear()
        self.told(None)

    @property
    def waits(self) -> bool:
        """Whether something was changed here that is not on the disk."""
        return bool(self._unsaved)

    def take_theirs(self) -> None:
        """Read the plan again as another window left it; what it did not take is given up."""
        self._plan.reread()
        self._unsaved.clear()
        self.told(None)

    def keep_mine(self) -> None:
        """Write what was changed here over what another window left, whose other entries stay."""
        self._plan.reread()
        for act in self._unsaved.values():
            act()
        self.save()


def _raised(error):
    if error is not None:
        raise error


def saving_of(plan: Plan) -> Saving:
    """Return what saves a plan: one and the same for all of a page."""
    if plan not in _SAVING:
        _SAVING[plan] = Saving(plan)
    return _SAVING[plan]


def bound(control: Any, plan: Plan, table: str, key: str = "") -> Any:
    """Put what a plan says into a control, write each change back, and return the control.

    Parameters
    ----------
    control : NumberField, Dropdown, ToggleButtons, Checkbox, Text, or dict of them by key
        One that is refused what is typed into it, or names what it cannot hold, changes nothing.
    plan : Plan
    table, key : str
        Its entry; of a dict each is bound to the entry that is called as it is.
    """
    if isinstance(control, Mapping):
        return {name: bound(one, plan, table, name) for name, one in control.items()}
    typed, said = control, plan.text(table, key)
    if isinstance(control, NumberField):
        typed, said = control.text, as_in_field(said, control.unit)
    _put(typed, said, plan, table, key)
    if isinstance(control, NumberField):
        control.turn = 0  # it is as it was
    saving = saving_of(plan)

    def heard():
        if isinstance(control, NumberField) and control.refused:
            return  # which it says itself; the plan holds what was taken last
        text = _text(control)
        if text != plan.text(table, key):
            saving.put(table, key, text)

    hear(typed, heard)
    return control


def asked_field(table: str, key: str) -> NumberField:
    """Return the field of a number of a plan, empty: it may be not known, and says what that leaves open."""
    asked = ASKED[table][key]
    bounds, hint = (asked.example, asked.low, asked.high), f"Not known: {asked.without}."
    return NumberField(asked.label, *bounds, None, hint, or_0=asked.or_0, above=True, begin=None)


def plan_field(plan: Plan, table: str, key: str, changed: Callable[[], object]) -> NumberField:
    """Return the field of a number, bound to its entry; `changed` is called without arguments after each change is saved."""
    field = bound(asked_field(table, key), plan, table, key)
    field.heard(changed)
    return field


def _put(control, text, plan, table, key):
    if isinstance(control, W.Checkbox):
        control.value = text == YES if text else control.value
    elif isinstance(control, W.Dropdown | W.ToggleButtons):
        values = {str(value): value for _, value in control._options_full}
        if text in values:
            control.value = values[text]
        elif text:
            there = ", ".join(filter(None, values))
            fault = DataError(f"plan.toml, [{table}], {key} = {shown(text)} is none of {there}; choose one.")
            saving_of(plan).told(fault)
    else:
        control.value = text


def _text(control):
    if isinstance(control, NumberField):
        return with_its_unit(control.holds, control.unit)
    if isinstance(control.value, bool):
        return YES if control.value else NO
    return str(control.value).strip()
