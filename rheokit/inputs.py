"""What a public entry makes of the numbers it is given: refused, converted to SI, or doubted, by name, value and unit.

Every number has a name of the nomenclature, and with it its unit, where it is possible and where it is likely.
`guarded` wraps a function, `settled` stands around the conditions of a record. What is called from inside a guarded function
has had its numbers judged, and is let through; so is work under `trusted`: fits and maps, whose numbers are their own.
`positive`, `not_negative`, `share` and `require` are a formula's own conditions, and always hold.
"""

from __future__ import annotations

import inspect
import sys
import warnings
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import MISSING, fields
from functools import wraps
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, TypeVar, overload

import numpy as np
from numpy.typing import ArrayLike

from .errors import PACKAGE, DataError, NotIdentifiedWarning, UnlikelyWarning, warn_outside
from .hints import Numbers
from .nomenclature import QUANTITIES, si_unit_meaning
from .nomenclature.likely import as_given, impossible, unlikely
from .sampling import moves
from .things import a

if TYPE_CHECKING:
    from .laws.base import FlowLaw
    from .nomenclature import Quantity

F = TypeVar("F", bound=Callable)
AS_NAMED: Mapping[str, str] = MappingProxyType({})
_JUDGED = ContextVar("numbers already judged", default=False)


# --- who is judged ------------------------------------------------------------------------------------------------


@contextmanager
def trusted() -> Iterator[None]:
    """Let numbers through unjudged, NaN too: for work inside rheokit whose numbers nobody typed."""
    token = _JUDGED.set(True)
    try:
        yield
    finally:
        _JUDGED.reset(token)


def judging() -> bool:
    """Return whether numbers given just now are judged."""
    return not _JUDGED.get()


@overload
def guarded(function: F) -> F: ...
@overload
def guarded(*, endless: Collection[str] = (), of_law: bool = False, **other_names: str) -> Callable[[F], F]: ...
def guarded(function=None, *, endless=(), of_law=False, **other_names):
    """Let a public function look at its numbers before it computes with them, and warn of them after.

    A parameter is a number if its name, or the one given for it here, stands in the nomenclature. None is taken where it
    is the default, and so is an infinite number, or where a parameter is named `endless`. A function `of_law` is a law's own.
    """
    if function is None:
        return lambda inner: guarded(inner, endless=endless, of_law=of_law, **other_names)
    known, law_at = [], 0 if of_law else None
    for place, (name, parameter) in enumerate(inspect.signature(function).parameters.items()):
        about = QUANTITIES.get(other_names.get(name, name))
        law_at = place if name == "law" else law_at
        if about is not None:
            at = place if parameter.kind is parameter.POSITIONAL_OR_KEYWORD else sys.maxsize
            known.append((at, name, about, np.inf if name in endless else parameter.default))
    title = function.__qualname__.removesuffix(".__init__")

    @wraps(function)
    def with_judged(*args, **kwargs):
        if _JUDGED.get():
            return function(*args, **kwargs)
        if law_at is not None and not of_law and (law_at < len(args) or "law" in kwargs):
            a("FlowLaw", title, "law", args[law_at] if law_at < len(args) else kwargs["law"])
        args, doubts = list(args), []
        given = [(args, at, *rest) if at < len(args) else (kwargs, rest[0], *rest) for at, *rest in known]
        given = [one for one in given if one[0] is args or one[1] in kwargs]
        index = next((holder[key] for holder, key, name, *_ in given if name == "flow_index"), None)
        for holder, key, name, about, default in given:
            holder[key] = _judge(title, name, holder[key], about, default, doubts, index)
        try:
            with trusted():
                result = function(*args, **kwargs)
        except DataError:
            raise
        except ValueError:
            if apart := _apart(title, {name: holder[key] for holder, key, name, *_ in given}):
                raise DataError(apart) from None
            raise
        warn_of(title, doubts)
        if law_at is not None:
            _warn_of_arbitrary(title, function, args, kwargs, law_at)
        return result

    return with_judged


def _warn_of_arbitrary(title, function, args, kwargs, law_at):
    """Warn whoever computes with the law of a fit whose readings leave it open, if the result rests on what is open."""
    if sys._getframe(2).f_code.co_filename.startswith(PACKAGE):  # rheokit says so where it shows it
        return
    law = args[law_at] if law_at < len(args) else kwargs.get("law")
    words = getattr(law, "left_open", "")
    if not words:
        return
    args = [law.alike if one is law else one for one in args]
    kwargs = {name: law.alike if one is law else one for name, one in kwargs.items()}
    with trusted(), warnings.catch_warnings(action="ignore"), np.errstate(all="ignore"):
        try:
            open_ones = moves(function(*args, **kwargs))
        except (TypeError, ValueError):  # no number, so that nothing says how much of it rests on what is open
            open_ones = True
    if np.any(open_ones):
        _say_open(title, words, 4)


def doubt_open(title: str, law: FlowLaw) -> None:
    """Warn of a law that its readings leave open, where whoever gave it stands outside rheokit."""
    if not sys._getframe(2).f_code.co_filename.startswith(PACKAGE) and (words := getattr(law, "left_open", "")):
        _say_open(title, words, 4)


def _say_open(title, words, level):
    words = f"{title}: this law is one of many that its readings cannot tell apart; {words}."
    warnings.warn(words, NotIdentifiedWarning, stacklevel=level)


@contextmanager
def settled(
    record: Any, quantities: Mapping[str, Quantity] | None = None, where: str = "", **other_names: str
) -> Iterator[None]:
    """Put the numbers of a frozen record in order, as `guarded` does, around the conditions of its own.

    `quantities` holds a `Quantity` by the name of a field; by default the nomenclature's, for the names of the fields or
    those given here or in `KNOWN_AS` of its class. The warning comes last, when nothing was refused.
    """
    if _JUDGED.get():
        yield
        return
    if quantities is None:
        quantities = _known(record, **other_names)
    where, doubts = where or type(record).__name__, list[str]()
    index = record.flow_index if "flow_index" in quantities else None
    for name, about in quantities.items():
        default = type(record).__dataclass_fields__[name].default
        default = inspect.Parameter.empty if default is MISSING else default
        value = _judge(where, name, getattr(record, name), about, default, doubts, index)
        object.__setattr__(record, name, value)
    with trusted():
        yield
    warn_of(where, doubts)


def _known(record, **other_names):
    """Return the `Quantity` of each field of a record that stands in the nomenclature, by its name."""
    names = {f.name: f.name for f in fields(record)} | getattr(type(record), "KNOWN_AS", {}) | other_names
    return {name: QUANTITIES[known] for name, known in names.items() if known in QUANTITIES}


def judged_number(where: str, name: str, value: Any, quantity: str) -> Numbers:
    """Return one value in SI, judged by a quantity of the nomenclature: for numbers that no field or parameter is."""
    if _JUDGED.get():
        return value
    doubts: list[str] = []
    value = _judge(where, name, value, QUANTITIES[quantity], inspect.Parameter.empty, doubts)
    warn_of(where, doubts)
    return value


# --- how one number is judged -------------------------------------------------------------------------------------


def _judge(where, name, value, about, default, doubts, flow_index=None):
    """Return a value in SI; refuse what cannot be, and add to the doubts what no bench has."""
    if value is None and default is None:
        return None
    value = in_si(where, name, value, about, flow_index)
    number = np.asarray(value, float)
    if isinstance(default, float) and np.isinf(default):  # as its default says, endless can be meant
        number = number[number < np.inf] if not np.isnan(number).any() else number
    if not number.size:
        return value
    low, high = number.min(), number.max()
    least, most = about.possible
    if not (np.isfinite(low) and np.isfinite(high)):
        wrong = number[~np.isfinite(number)].flat[0] if number.ndim else number
        raise DataError(f"{where}: {name} = {as_given(wrong, about)} is no finite number; give {_it(about)}.")
    if low < least or high > most:
        worst = low if low < least else high
        raise DataError(f"{where}: {name} = {as_given(worst, about)} {impossible(worst, about)}.")
    if doubt := unlikely(low if low < about.likely[0] else high, about):
        doubts.append(f"{name} = {doubt}")
    return value


def in_si(
    where: str, name: str, value: Any, about: Quantity, flow_index: ArrayLike | None = None
) -> Numbers | np.floating:
    """Return a number or array in the SI unit of a `Quantity`; refuse what is no number or measures something else.

    A quantity with a unit (whatever has `to` and `magnitude`, as those of pint) is converted.
    """
    if isinstance(value, list | tuple) and any(hasattr(one, "magnitude") for one in value):
        return np.array([in_si(where, name, one, about, flow_index) for one in value], float)
    if hasattr(value, "magnitude") and hasattr(value, "to"):
        return _converted(where, name, value, about, flow_index)
    if isinstance(value, int | np.floating | float) and not isinstance(value, bool):
        return value
    try:
        array = np.asarray(value)
        kind = array.dtype.kind
        if kind == "O" and any(one is None or isinstance(one, str | bytes | bool) for one in array.flat):
            kind = "U"
        number = np.asarray(array, float) if kind in "fiuO" and not np.ma.is_masked(value) else None
    except (TypeError, ValueError):
        number = None
    if number is None:
        raise DataError(f"{where}: {name} = {value!r:.40} is no number; give {_it(about)}.")
    return number if number.ndim else number[()]


def _converted(where, name, value, about, flow_index):
    text = about.unit.translate(str.maketrans({"·": "*", "²": "**2", "³": "**3"}))
    if "ⁿ" in text:
        text = text.replace("ⁿ", f"**{float(np.mean(1.0 if flow_index is None else flow_index))!r}")
    try:
        found = value.to("dimensionless" if text == "-" else text)
    except Exception:  # each unit library raises errors of its own
        measures = "" if about.unit == "-" else f", {about.unit}"
        raise DataError(
            f"{where}: {name} = {str(value)[:40]} is in another dimension than {name}{measures}: that is "
            f"{si_unit_meaning(about.unit).split(':')[0]}."
        ) from None
    number = np.asarray(found.magnitude, float)
    return number if number.ndim else float(number)


def doubtful(record: Any) -> list[str]:
    """Return what of a frozen record's numbers no bench has, in words; empty where all are likely."""
    found = []
    for name, about in _known(record).items():
        value = getattr(record, name)
        if isinstance(value, float | int | np.floating) and (doubt := unlikely(value, about)):
            found.append(f"{name.replace('_', ' ')} = {doubt}")
    return found


def warn_of(where: str, doubts: Sequence[str]) -> None:
    """Warn once of everything that is doubted, at the line outside rheokit that gave it."""
    if doubts:
        said = f"{where}: {'; '.join(doubts)}. It is computed with as it stands: check value and unit."
        warn_outside(said, UnlikelyWarning)


def _it(about):
    return "a plain one" if about.unit == "-" else f"it in {about.unit}"


# --- what a formula asks for --------------------------------------------------------------------------------------


def positive(where: str, known_as: Mapping[str, str] = AS_NAMED, /, **quantities: ArrayLike) -> None:
    """Raise `DataError` unless every value of every named quantity is above 0 and finite.

    `known_as` says which quantity of the nomenclature a name is, where it is no name there.
    """
    for name, value in quantities.items():
        about = QUANTITIES[known_as.get(name, name)]
        number = np.asarray(in_si(where, name, value, about), float)
        _refuse(where, name, number, (number > 0) & (number < np.inf), "must be above 0 and finite", about)


def not_negative(where: str, **quantities: ArrayLike) -> None:
    """Raise `DataError` unless every value of every named quantity is 0 or above, and finite."""
    for name, value in quantities.items():
        number = _numbers(where, name, value)
        _refuse(where, name, number, (number >= 0) & (number < np.inf), "must not be negative, and must be finite")


def share(where: str, known_as: Mapping[str, str] = AS_NAMED, /, **quantities: ArrayLike) -> None:
    """Raise `DataError` unless every value of every named quantity is from 0 to 1; `known_as` as for `positive`."""
    for name, value in quantities.items():
        about = QUANTITIES[known_as.get(name, name)]
        number = np.asarray(in_si(where, name, value, about), float)
        _refuse(where, name, number, (number >= 0) & (number <= 1), "must be from 0 to 1; give 8 % as 0.08", about)


def require(where: str, name: str, value: ArrayLike, holds: ArrayLike, why: str, known_as: str = "") -> None:
    """Raise `DataError` naming the first value of a quantity for which a condition does not hold, and why it must.

    `known_as` as for `positive`, of the one name.
    """
    _refuse(where, name, np.asarray(value, float), holds, why, QUANTITIES[known_as or name])


def one_number(where: str, **quantities: ArrayLike) -> None:
    """Raise `DataError` unless every named quantity is one number: for what is computed of one case at a time."""
    for name, value in quantities.items():
        if np.ndim(value):
            raise DataError(
                f"{where}: {name} has shape {np.shape(value)}; give one number, and ask for each of several in turn."
            )


def _apart(where, given):
    """Return which two arrays by name do not fit each other, in words; empty where all do."""
    shapes = {name: np.shape(value) for name, value in given.items() if np.ndim(value)}
    for place, (name, shape) in enumerate(shapes.items()):
        for other, its in list(shapes.items())[:place]:
            try:
                np.broadcast_shapes(shape, its)
            except ValueError:
                return (
                    f"{where}: {other} with shape {its} and {name} with shape {shape} do not fit each other; give one number or "
                    "as many of the one as of the other."
                )
    return ""


def _numbers(where, name, value):
    return np.asarray(in_si(where, name, value, QUANTITIES[name]), float)


def _refuse(where, name, number, holds, why, about=None):
    if np.all(holds):
        return
    shape = np.broadcast_shapes(number.shape, np.shape(holds))
    worst = np.broadcast_to(number, shape)[~np.broadcast_to(holds, shape)].flat[0]
    raise DataError(f"{where}: {name} = {as_given(worst, about or QUANTITIES[name])} {why}.")
