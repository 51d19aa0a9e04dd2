"""What a kind of bench test asks of a folder, read off the fields of its record; a new kind needs nothing here."""

from dataclasses import MISSING, fields
from functools import cache
from typing import NamedTuple

from ..bench.base import BenchTest, quantity_of
from ..bench.described import REQUIRED, Unstated
from ..nomenclature import QUANTITIES, Quantity

READING_KEYS = ("file", "sheet", "separator", "decimal")
TEST_KEYS = (
    *(
        "kind",
        *READING_KEYS,
        "apparatus",
        "batch",
        "label",
        "uncertainty",
        "error",
        "model_error",
        "model_error_reason",
    ),
    *("ambient_pressure", "unusual", "note"),
)
"""Keys that every [[test]] may hold."""
ABSOLUTE = Quantity("p", "Pa", "pressure of the air around, for absolute pressures")


class Item(NamedTuple):
    """A number that a folder gives: its quantity, whether it must be given, may be zero, and its value if it is not."""

    quantity: Quantity
    required: bool
    positive: bool = True
    default: float | None = None


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

    def header_names(self) -> list[str]:
        """Return every name that a header of its file may have."""
        other = [name for target in self.columns for way in self.ways.get(target, ()) for name in way.inputs]
        return [*self.columns, *other, "uncertainty", "relative_uncertainty"]

    def dimension_names(self) -> list[str]:
        """Return every name of a dimension that its apparatus or its [[test]] may hold."""
        other = [name for target in self.dimensions for way in self.ways.get(target, ()) for name in way.inputs]
        lent = sorted(self.given() - self.dimensions.keys())  # for its columns alone, such as a density
        return [*self.dimensions, *other, *lent, *(["nozzle", "bore", "length"] if self.nozzle else [])]

    def given(self) -> set[str]:
        """Return the dimensions that its ways need besides its own, such as the density of a caught mass."""
        return {name for ways in self.ways.values() for way in ways for name in way.given}

    def quantity(self, name: str) -> Quantity:
        """Return the quantity of a dimension, a column or an input of a way."""
        item = self.dimensions.get(name) or self.columns.get(name)
        if item:
            return item.quantity
        inputs = {k: q for ways in self.ways.values() for way in ways for k, q in way.inputs.items()}
        return inputs.get(name) or QUANTITIES[name]

    @property
    def shares(self) -> dict[str, Unstated]:
        """Dimensions whose standard uncertainty the record itself holds, an `Unstated` by name."""
        named = [name for name in self.dimensions if f"{name}_uncertainty" in self.kind.__dataclass_fields__]
        plain = {name: Unstated(f"{name}_uncertainty", False, 0.0, "") for name in named}
        return plain | (dict(self.kind.assembly.uncertainties) if self.kind.assembly else {})


@cache
def form_of(kind: type[BenchTest]) -> Form:
    """Return the `Form` of a kind of bench test, a subclass of `BenchTest`."""
    assembly, known = kind.assembly, kind.__dataclass_fields__
    covered = assembly.fields if assembly else ()
    dimensions, columns, choices = {}, {}, {}
    common = {f.name for f in fields(BenchTest)}
    for f in fields(kind):
        held = f.name.endswith("_uncertainty") and (f.metadata or f.name not in common)
        if "column" in f.metadata:
            columns[f.name] = Item(quantity_of(kind, f.name), f.default is MISSING, f.metadata["positive"])
        elif f.name in covered or f.name in common or (held and _base_of(f.name, known, assembly)):
            continue
        elif "dimension" in f.metadata:
            required = f.default is MISSING
            default = None if required else f.default
            dimensions[f.name] = Item(quantity_of(kind, f.name), required, f.metadata["positive"], default)
        else:
            choices[f.name] = f
    if assembly:
        for name, default in assembly.dimensions.items():
            required = default is REQUIRED
            dimensions[name] = Item(QUANTITIES[name], required, False, None if required else default)
    return Form(kind, dimensions, columns, choices, dict(kind.ways), bool(assembly and assembly.nozzle))


def _base_of(name, known, assembly):
    base = name.removesuffix("_uncertainty")
    return base in known or bool(assembly and base in assembly.uncertainties)
