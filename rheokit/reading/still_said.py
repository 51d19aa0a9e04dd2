"""What is stated anew, with as much of what was typed as still says it."""

from collections.abc import Mapping, Sequence
from typing import Any

from ..bench.base import BenchTest
from ..errors import DataError
from .dimensions import DIAMETERS
from .forms import NOZZLE, Form
from .guards import doubt_spread
from .stated import as_typed, stated_number, uncertainty_name
from .typing_out import uncertainty_texts
from .uncertainties import size_of


def typed_dimensions(
    data: Mapping[str, Any], entry: Mapping[str, Any], groups: Mapping[str, Sequence[str]]
) -> dict[str, Any]:
    """Return what a bench.toml states of the dimensions of a [[test]], by key: the test before its apparatus and its specimen."""
    found = {k: v for k, v in data.get("specimen", {}).items() if k == "density"}
    lent = data.get("apparatus", {}).get(entry.get("apparatus"), {})
    for table in (lent, entry):
        for group in groups.values():
            if any(key in table for key in group):
                bore_alone = group == NOZZLE and "nozzle" not in table  # which leaves the length
                gone = ("nozzle",) if bore_alone else group
                found = {k: v for k, v in found.items() if k not in gone}
                found |= {k: table[k] for k in group if k in table}
    return found


def still_said(form: Form, key: str, typed: Any, text: Any, blank: str | None, held: str | None = None) -> Any:
    """Return the text of a dimension, or of all segments of a nozzle; `blank` stands for what was not typed, `held` names what holds it."""
    if isinstance(text, list):
        alike = isinstance(typed, list) and [t.keys() for t in typed] == [t.keys() for t in text]
        pairs = zip(typed, text, strict=True) if alike else ((dict.fromkeys(new, blank), new) for new in text)
        return [{k: still_said(form, k, old[k], new[k], blank, "bore") for k in new} for old, new in pairs]
    share, by_gauge = form.shares.get(held or key), key == "bore" or key in DIAMETERS

    def says(candidate):
        try:
            one, other = (stated_number(t, form.quantity(key).unit, by_gauge=by_gauge) for t in (candidate, text))
        except (DataError, KeyError):
            return False
        if share is None:  # the record does not hold it, so it is as it was
            return one.value == other.value and not doubt_spread(key, one.value, one.uncertainty)
        return one.value == other.value and one.spread_as(share) == other.spread_as(share)

    return as_typed(typed, text, says)


def still_said_uncertainties(test: BenchTest, form: Form, typed: list[str]) -> list[str]:
    """Return the texts of the `uncertainty` of a test, those that still hold as they were typed and where they stood."""
    new, unit = uncertainty_texts(test), form.quantity(test.reads).unit
    old = {uncertainty_name(text, unit): text for text in typed}

    def says(name, text):
        try:
            of, size, _ = size_of(text, form, test.reads)
        except DataError:
            return False
        return of == (test.reads if name == "uncertainty" else name) and size == getattr(test, name)

    names = [*(name for name in old if name in new), *(name for name in new if name not in old)]
    return [old[name] if name in old and says(name, old[name]) else new[name] for name in names]
