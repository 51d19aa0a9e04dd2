"""Docstrings, records and laws agree with the one table of quantities."""

import importlib
import inspect
import pkgutil
import re
from dataclasses import fields

import pytest

import rheokit
from rheokit.bench import KINDS
from rheokit.laws import LAWS
from rheokit.nomenclature import QUANTITIES, symbol, unit

ROOMS = (
    "roots", "sampling", "laws", "flow", "part", "machine", "paste", "fibre", "bench", "fitting", "corrections", "limits", "regions", "planning",
)  # fmt: skip
OWN_MEANING = {  # names that stand for something narrower where they are used, with the same unit
    "pressure_drop", "flow_rate", "length", "diameter", "wall_shear_stress", "time", "stroke", "temperature",
}  # fmt: skip


def modules():
    for room in ROOMS:
        module = importlib.import_module(f"rheokit.{room}")
        yield module
        for inner in pkgutil.walk_packages(getattr(module, "__path__", []), f"rheokit.{room}."):
            yield importlib.import_module(inner.name)


def things():
    """Return (name, object) of every public class, method and function."""
    for module in modules():
        for name, thing in vars(module).items():
            if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
                continue
            yield f"{module.__name__}.{name}", thing
            if inspect.isclass(thing):
                for inner, method in vars(thing).items():
                    if not inner.startswith("_") and (inspect.isfunction(method) or isinstance(method, classmethod)):
                        yield f"{module.__name__}.{name}.{inner}", method


THINGS = dict(things())


def entries(text):
    """Return (name, type, description) of every entry under Parameters and Returns of a numpydoc docstring."""
    for section in re.findall(
        r"(?:Parameters|Returns)\n\s*-+\n(.*?)(?:\n\s*\n\s*[A-Z]\w+\n\s*-+|\Z)", text, flags=re.S
    ):
        lines = inspect.cleandoc("\n" + section).splitlines()
        name = kind = None
        description = []
        for line in [*lines, "end : end"]:
            if line and not line.startswith(" "):
                if name:
                    yield name, kind, " ".join(description)
                name, _, kind = (part.strip() for part in line.partition(":"))
                description = []
            else:
                description.append(line.strip())


@pytest.mark.parametrize("name", THINGS)
def test_public_things_have_docstrings_and_numbers_have_units(name):
    thing = THINGS[name]
    text = inspect.getdoc(thing) or ""
    method_of_a_contract = name.count(".") == 4 and thing.__doc__ is None
    assert text or method_of_a_contract, f"{name} has no docstring"
    for entry, kind, description in entries(inspect.cleandoc(thing.__doc__ or "")):
        if re.search(r"\b(float|array|ndarray)", kind) and "callable" not in kind:
            for one in entry.split(", "):
                found = re.findall(r"\[([^\]]+)\]", description)
                told = found or (["as read"] if "unit read" in description or "in the unit" in description else [])
                assert told, f"{name}: {one} has no unit"
                known = QUANTITIES.get(one)
                if known and len(found) == 1:
                    assert plain(found[0]) == plain(known.unit), (
                        f"{name}: {one} is in {found[0]}, elsewhere in {known.unit}"
                    )


def plain(text):
    """Return a unit text without its typography."""
    return text.translate(str.maketrans("³²·ⁿ", "32 n")).replace(" ", "").replace("^", "")


@pytest.mark.parametrize("name", LAWS)
def test_laws_use_the_symbols_of_the_table(name):
    for parameter, about in LAWS[name].parameters().items():
        if parameter in QUANTITIES:
            assert (about.symbol, about.unit) == (symbol(parameter), unit(parameter))


@pytest.mark.parametrize("kind", KINDS)
def test_columns_of_records_stand_in_the_table(kind):
    for f in fields(KINDS[kind]):
        if "column" in f.metadata or "dimension" in f.metadata:
            assert f.metadata["quantity"] or f.name in QUANTITIES, f.name


def test_the_table_is_complete_and_unambiguous():
    for name, about in QUANTITIES.items():
        assert about.symbol, name
        assert about.unit, name
        assert about.meaning, name
    assert rheokit.nomenclature.unit("yield_stress") == "Pa"


def test_a_name_that_is_none_is_answered_with_those_near_it():
    with pytest.raises(
        KeyError, match="'apparent_rate' is no quantity of the nomenclature; near it: apparent_shear_rate"
    ):
        symbol("apparent_rate")
