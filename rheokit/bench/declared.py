"""How a bench test declares its dimensions, its columns and what it shares with others, and what can be wrong with them."""

from dataclasses import MISSING, field, fields
from functools import wraps
from typing import NamedTuple

import numpy as np

from ..errors import DataError
from ..inputs import in_si, judging, trusted, warn_of
from ..nomenclature import ANY, QUANTITIES, Quantity
from ..nomenclature.likely import as_given, unlikely_column


class Nuisance(NamedTuple):
    """A quantity that readings share and the law does not hold, with its prior.

    `middle` and `spread` are mean and standard deviation of a normal prior, or with `logarithmic` the median and the
    standard deviation of the logarithm. An infinite spread is no prior: the readings must fix it. `cure` says in words what
    would settle it where they do not.
    """

    symbol: str
    unit: str
    meaning: str
    middle: float
    spread: float
    low: float = 0.0
    high: float = np.inf
    logarithmic: bool = False
    cure: str = "another test of it, or a value stated"

    @property
    def ends(self) -> tuple[float, float]:
        """The least and the greatest value that it can have, in its unit: limits that say nothing."""
        return self.low, self.high


def nuisance(name, middle, spread, **more):
    """Return a `Nuisance` under a name of the nomenclature."""
    about = QUANTITIES[name]
    return Nuisance(about.symbol, about.unit, about.meaning, middle, spread, **more)


class Shared(str):
    """The key of a nuisance parameter: the name of its quantity, and what shares it (an apparatus, a tip, a batch, a kind).

    It is equal to its text, ``name[what shares it]``, which stands in tables and is what a person types.
    """

    name: str
    of: str | None

    def __new__(cls, name, of=None):
        """Make the text of both."""
        key = super().__new__(cls, name if of is None else f"{name}[{of}]")
        key.name, key.of = name, of
        return key


class Passage(NamedTuple):
    """What grains must pass or fill at its narrowest: in words, its width [m], and whether it is a bore."""

    words: str
    width: float
    is_bore: bool = False


def dimension(default=MISSING, positive=True, quantity=None):
    """Declare a number of the apparatus or the specimen.

    Its symbol, unit and meaning are the nomenclature's for the field's name, or a `Quantity` given here.
    """
    return field(default=default, metadata={"dimension": True, "positive": positive, "quantity": quantity})


def column(default=MISSING, positive=True, quantity=None):
    """Declare a column of readings or settings, shape (N,); symbol, unit and meaning as for a `dimension`."""
    return field(default=default, metadata={"column": True, "positive": positive, "quantity": quantity})


def choice(*options, default=""):
    """Declare one of several words; with the empty default it must be given."""
    return field(default=default, metadata={"options": options})


def quantity_of(test, name):
    """Return the `Quantity` of a field of a bench test: its own, or the nomenclature's."""
    own = test.__dataclass_fields__[name].metadata.get("quantity")
    if own is None and name not in QUANTITIES:
        raise DataError(
            f"{test.kind}: the field {name} is not in the nomenclature; declare it with "
            "quantity=Quantity(symbol, unit, meaning)."
        )
    return own or QUANTITIES[name]


def numbers_of(test):
    """Return the `Quantity` of every field of a bench test that holds a number, by name, with where it is likely."""
    found = {}
    for name, f in test.__dataclass_fields__.items():
        if name in ("uncertainty", "relative_uncertainty"):
            read = quantity_of(test, test.reads) if test.reads in test.__dataclass_fields__ else QUANTITIES["spread"]
            unit = read.unit if name == "uncertainty" else "-"
            likely = ANY if name == "uncertainty" else QUANTITIES[name].likely
            found[name] = Quantity("u", unit, "standard uncertainty of a reading", likely)
        elif "column" in f.metadata or "dimension" in f.metadata:
            about, known = quantity_of(test, name), QUANTITIES.get(name)
            same = known is not None and about.likely == ANY and known.unit == about.unit
            found[name] = about._replace(likely=known.likely, column=known.column) if same else about
        elif name in QUANTITIES and isinstance(f.default, float):
            found[name] = QUANTITIES[name]
    return found


def settled_first(post_init):
    """Wrap the checks of a bench test: numbers are turned into SI before, and doubted after; once, by the outermost."""

    @wraps(post_init)
    def in_order(test):
        if not judging():
            return post_init(test)
        quantities = numbers_of(test)
        for name, about in quantities.items():
            value = getattr(test, name)
            if value is not None or test.__dataclass_fields__[name].default is not None:
                object.__setattr__(test, name, in_si(test.name, name, value, about))
        with trusted():
            post_init(test)
        warn_of(
            test.name,
            [f"{name} = {words}" for name, about in quantities.items() if (words := _doubt(test, name, about))],
        )

    return in_order


def _doubt(test, name, about):
    value = getattr(test, name)
    if value is None or not np.size(value):
        return ""
    column = "column" in test.__dataclass_fields__[name].metadata
    return unlikely_column(value, about if column else about._replace(column=0.0))


def frozen(values):
    """Return a read-only copy of an array."""
    values = np.array(values)
    values.flags.writeable = False
    return values


def dimension_fault(f, value, unit):
    """Return what is wrong with the value of a dimension, as a list of at most one fault."""
    low = np.min(value)
    if np.all(np.isfinite(value)) and (low > 0 or (low == 0 and not f.metadata["positive"])):
        return []
    return [f"{f.name} = {low:g} {unit} must be {'positive' if f.metadata['positive'] else 'zero or more'}"]


def column_faults(test, name, values):
    """Return what is wrong with the values of a column of a bench test, as a list of at most one fault."""
    unit = quantity_of(test, name).unit
    if not np.all(np.isfinite(values)):
        place = int(np.flatnonzero(~np.isfinite(values))[0])
        return [f"{name} in {test.rows_where(place)} is {values[place]} {unit}; leave out rows that were not read"]
    if name == "run" and np.any(broken := values % 1 != 0):
        place = int(np.flatnonzero(broken)[0])
        return [f"run in {test.rows_where(place)} is {values[place]:g}; it numbers the runs, so write a whole number"]
    if test.general or not test.__dataclass_fields__[name].metadata["positive"]:
        return []
    in_logarithms = name == test.reads and test.in_logarithms
    wrong = np.flatnonzero(values <= 0 if in_logarithms else values < 0)
    if not len(wrong):
        return []
    rows, shown = test.rows_where(wrong), ", ".join(f"{values[i]:g}" for i in wrong[:5])
    remedy = f"keep the others with .where(test.{name} > 0)"
    if in_logarithms and not np.any(values < 0):
        remedy = f"give uncertainty= in {unit}, or the least that could be seen with censored=-1"
    return [f"{name} is not positive in {len(wrong)} of {len(values)} rows ({rows}: {shown} {unit}); {remedy}"]


def uncertainty_faults(name, value, count):
    """Return what is wrong with a standard uncertainty of `count` readings, as a list of faults."""
    faults = []
    if value.ndim and value.shape != (count,):
        faults.append(f"{name} has shape {value.shape}; give one number or {count}")
    if not np.all(value > 0):
        faults.append(f"{name} = {np.min(value):g} must be positive; leave it out if it is not known")
    return faults


def stated_faults(test):
    """Return what is wrong with the errors that are stated of a bench test's theory and apparatus, as a list of faults."""
    faults = []
    for f in fields(test):
        about, value = QUANTITIES.get(f.name), getattr(test, f.name)
        if about is None or not isinstance(f.default, float) or "dimension" in f.metadata:
            continue
        if not 0 <= np.min(value) <= np.max(value) < np.inf:
            faults.append(f"{f.name} = {as_given(np.min(value), about)} must be zero or more, and finite")
    return faults
