"""What a kind of bench test asks of a folder, read off the fields of its record; a new kind needs nothing here."""

from dataclasses import MISSING, fields
from functools import cache
from typing import NamedTuple

from ..bench.base import BenchTest, quantity_of
from ..bench.described import Unstated
from ..laws.condition_words import CONDITIONS
from ..nomenclature import QUANTITIES, Quantity

TEST_KEYS = (
    *("kind", "file", "sheet", "separator", "decimal", "apparatus", "batch", "label"),
    *("columns", "ignore", "thousands", "rows", "runs", "branch"),
    *CONDITIONS,
    *("uncertainty", "error", "model_error", "model_error_reason", "ambient_pressure", "unusual", "note"),
)
"""Keys that every [[test]] may hold."""
UNCERTAINTIES = ("uncertainty", "relative_uncertainty")
"""Columns that every file may hold, and what the `uncertainty` of a [[test]] states for all rows."""
NOZZLE = ("nozzle", "bore", "length")  # keys of a nozzle: its segments, or the bore and length of one


class Item(NamedTuple):
    """A number that a folder gives: its quantity, whether it must be given, may be zero, and its value if it is not."""

    quantity: Quantity
    required: bool
    positive: bool = True
    default: float | None = None

    @classmethod
    def of(cls, quantity, default, positive):
        """Return the item of a default, `MISSING` where it must be given."""
        required = default is MISSING
        return cls(quantity, required, positive, None if required else default)


class Form(NamedTuple):
    """A kind of test as a folder describes it.

    `dimensions` stand in its apparatus or its [[test]], `columns` in its file, `choices` in its [[test]]; `ways` are
    other ways to give a dimension or a column, `nozzle` says that it takes one.
    """

    kind: type
    dimensions: dict
    columns: dict
    choices: dict
    ways: dict
    nozzle: bool

    def required_columns(self):
        """Return the columns that its file must hold, or what gives them."""
        return [name for name, item in self.columns.items() if item.required]

    def header_names(self):
        """Return every name that a header of its file may have."""
        return [*self.columns, *self._inputs(self.columns), *UNCERTAINTIES]

    def dimension_names(self):
        """Return every name of a dimension that its apparatus or its [[test]] may hold."""
        lent = sorted(self.given() - self.dimensions.keys())  # for its columns alone, such as a density
        return [*self.dimensions, *self._inputs(self.dimensions), *lent, *(NOZZLE if self.nozzle else ())]

    def _inputs(self, targets):
        return [name for target in targets for name in self.names_for(target)[1:]]

    def names_for(self, target):
        """Return the name of a dimension or a column, and those of the inputs of other ways to give it."""
        return (target, *(name for way in self.ways.get(target, ()) for name in way.inputs))

    def in_words(self, target, words=str):
        """Return the name of a dimension or a column, and what gives it otherwise, such as ``mass and time``."""
        ways = self.ways.get(target, ())
        return [words(target), *(" and ".join(map(words, way.inputs)) for way in ways)]

    def groups(self):
        """Return for each dimension the keys that may state it; "nozzle" for the nozzle with its bore."""
        found = {name: self.names_for(name) for name in self.dimensions}
        found |= {name: (name,) for name in self.given() if name not in found}
        return found | ({"nozzle": NOZZLE} if self.nozzle else {})

    def given(self):
        """Return the dimensions that its ways need besides its own, such as the density of a caught mass."""
        return {name for ways in self.ways.values() for way in ways for name in way.given}

    def idle(self, inputs):
        """Return what counts for no column, such as a carrier's mass beside loads that hold it; a density serves other tests too.

        `inputs` has the names of the columns that give another one, by its name.
        """
        ways = [(target, way) for target in self.columns for way in self.ways.get(target, ())]
        used = {name for target, way in ways if tuple(way.inputs) == inputs.get(target) for name in way.given}
        return {name for _, way in ways for name in way.given} - used - self.dimensions.keys() - {"density"}

    def divisors(self):
        """Return the inputs of its ways by which the first one is divided, such as a number of drops."""
        return {name for ways in self.ways.values() for way in ways for name in list(way.inputs)[1:]}

    def quantity(self, name):
        """Return the quantity of a dimension, a column or an input of a way."""
        item = self.dimensions.get(name) or self.columns.get(name)
        if item:
            return item.quantity
        inputs = {k: q for ways in self.ways.values() for way in ways for k, q in way.inputs.items()}
        return inputs.get(name) or QUANTITIES[name]

    @property
    def shares(self):
        """Dimensions whose standard uncertainty the record itself holds, an `Unstated` by name."""
        known, usual = self.kind.__dataclass_fields__, self.kind.assembly.unstated if self.kind.assembly else {}
        names = [name for name in (*self.dimensions, "bore") if f"{name}_uncertainty" in known]
        return {name: usual.get(name, Unstated()) for name in names}


@cache
def form_of(kind):
    """Return the `Form` of a kind of bench test, a subclass of `BenchTest`."""
    assembly, dimensions, columns, choices = kind.assembly, {}, {}, {}
    others = {f.name for f in fields(BenchTest)}.union(assembly.fields if assembly else ())
    for f in fields(kind):
        if "column" in f.metadata:
            columns[f.name] = Item.of(quantity_of(kind, f.name), f.default, f.metadata["positive"])
        elif f.name in others or f.name.endswith("_uncertainty"):  # common to all, or stated with its dimension
            continue
        elif "dimension" in f.metadata:
            dimensions[f.name] = Item.of(quantity_of(kind, f.name), f.default, f.metadata["positive"])
        else:
            choices[f.name] = f
    for name, default in assembly.dimensions.items() if assembly else ():
        dimensions[name] = Item.of(QUANTITIES[name], default, positive=False)
    return Form(kind, dimensions, columns, choices, dict(kind.ways), assembly is not None)
