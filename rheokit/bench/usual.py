"""The usual way to make a bench test: its apparatus, and the readings to expect there of a law or of a paste."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ..checking import Example
from ..flow.nozzles import Cylinder, Nozzle
from ..hints import Numbers
from ..inputs import trusted
from ..laws import FlowLaw
from ..nomenclature import QUANTITIES, Quantity, between, written
from .base import BenchTest, quantity_of
from .property_test import PropertyTest


@trusted()
def usual_record(kind: type[BenchTest], readings: ArrayLike | None = None) -> BenchTest:
    """Return the record of a kind with its `usual` dimensions and settings.

    Parameters
    ----------
    kind : type
        A subclass of `BenchTest`.
    readings : array-like, optional
        In the unit read; without them usual ones, or those of the first worked example, repeated.
    """
    given: dict[str, Any] = dict(kind.usual)
    for target, ways in kind.ways.items():
        for way in ways:
            if set(way.inputs) <= set(given):
                inputs = {name: given.pop(name) for name in way.inputs}
                given[target] = way.compute(**inputs, **{name: given[name] for name in way.given})
    if kind.assembly is not None:
        found = {name: given.pop(name, plain) for name, plain in kind.assembly.dimensions.items()}
        found["nozzle"] = Nozzle(Cylinder(diameter=given.pop("bore"), length=given.pop("length")))
        given |= kind.assembly.build(found)
    reads = given.get("read", kind.reads)
    if readings is None and issubclass(kind, PropertyTest):
        readings = np.atleast_1d(kind.usual_readings[0])
    elif readings is None:
        worked = [kind.example] if isinstance(kind.example, Example) else kind.example
        known = next(one.expected[reads] for one in worked if reads in one.expected)
        readings = np.resize(known, max(np.size(value) for value in [0, *given.values()]))
    return kind(**given | {reads: readings})


@trusted()
def usual_readings(kind: type[BenchTest], law: FlowLaw) -> np.ndarray:
    """Return the readings that a law gives on the usual apparatus of a kind, in the unit read, shape (N,)."""
    record = usual_record(kind)
    first = np.broadcast_to(record.expected(law, {}), record.readings.shape)
    return usual_record(kind, first).predict(law)  # whether it sees the static one rests on the reading


@trusted()
def usual_properties(kind: type[PropertyTest]) -> dict[str, tuple[float, float]]:
    """Return what the `usual_readings` of a kind give, the least and the most [SI] by property."""
    found = [usual_record(kind, np.atleast_1d(end)).properties() for end in kind.usual_readings]
    return {name: tuple(sorted(one[name].value for one in found)) for name in found[0]}  # type: ignore[misc]


def protocol_of(kind: type[BenchTest]) -> str:
    """Return how a test is made, with the numbers of its usual apparatus."""
    return kind.protocol.format(**{name: _shown(value, _quantity(kind, name)) for name, value in kind.usual.items()})


def _quantity(kind: type[BenchTest], name: str) -> Quantity:
    if name in kind.__dataclass_fields__ and not isinstance(kind.usual[name], str):
        return quantity_of(kind, name)
    return QUANTITIES.get(name, QUANTITIES["spread"])


def _shown(value: Numbers | str, about: Quantity) -> str:
    if isinstance(value, str):
        return value
    return written(value, about) if np.ndim(value) == 0 else between(np.min(value), np.max(value), about)
