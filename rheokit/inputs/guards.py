"""Who is judged: functions, records and single numbers whose arguments a person may have typed."""

from __future__ import annotations

import inspect
import sys
import warnings
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import MISSING
from functools import wraps
from typing import TYPE_CHECKING, Any, TypeVar, overload

import numpy as np

from ..errors import PACKAGE, DataError, NotIdentifiedWarning
from ..hints import Numbers
from ..nomenclature import QUANTITIES
from ..sampling import moves
from ..things import a
from .judged import judged, known_quantities, warn_of

if TYPE_CHECKING:
    from ..laws.base import FlowLaw
    from ..nomenclature import Quantity

F = TypeVar("F", bound=Callable)
_JUDGED = ContextVar("numbers already judged", default=False)


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
            holder[key] = judged(title, name, holder[key], about, default, doubts, index)
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
        quantities = known_quantities(record, **other_names)
    where, doubts = where or type(record).__name__, list[str]()
    index = record.flow_index if "flow_index" in quantities else None
    for name, about in quantities.items():
        default = type(record).__dataclass_fields__[name].default
        default = inspect.Parameter.empty if default is MISSING else default
        value = judged(where, name, getattr(record, name), about, default, doubts, index)
        object.__setattr__(record, name, value)
    with trusted():
        yield
    warn_of(where, doubts)


def judged_number(where: str, name: str, value: Any, quantity: str) -> Numbers:
    """Return one value in SI, judged by a quantity of the nomenclature: for numbers that no field or parameter is."""
    if _JUDGED.get():
        return value
    doubts: list[str] = []
    value = judged(where, name, value, QUANTITIES[quantity], inspect.Parameter.empty, doubts)
    warn_of(where, doubts)
    return value


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
