"""What a limit is: a value, the least or the most it may be, and what to do when it is not.

A new limit is one file with one class: its name, label, unit, formula, source and remedy, and `value(case)` with
`low(case)` or `high(case)`. The margin, the words and its place in every map follow from that. Margins are ratios, by
their ln: a margin of 0.1 is a factor exp(0.1) = 1.105 of room, whatever the unit.
"""

import warnings
from abc import ABC, abstractmethod
from collections.abc import Callable
from typing import Any, ClassVar

import numpy as np

from ..errors import DataError
from ..hints import Numbers
from ..nomenclature import marked, number, with_decimals, written
from ..part.job import FIBRE, PRINT
from ..sampling import SURE
from .case import Case
from .measuring import how_to_measure

BOTH = (PRINT, FIBRE)
"""Kinds of job of a limit that asks the extruder alone."""
MOST_DIGITS = 6  # of a factor of room so near 1 that fewer would say that there is none
MOST_ROOM = 1000.0  # factor of room beyond which its number tells nothing: by formulae that are some ten per cent off
ALIKE = 1e-3  # of the ln of room: a margin that differs more between laws rests on what tells them apart


def room_of(margin: Numbers) -> Numbers:
    """Return a margin as the factor of room that it is: 1 on the line, below 1 broken [-]."""
    return np.exp(margin)


def _room_told(margin, digits, before=""):
    """Return a margin as a factor of room, with what stands before its number; one that is too large or too small to mean anything by its bound."""
    if abs(margin) > np.log(MOST_ROOM):
        return (
            f"more than {before}{with_decimals(MOST_ROOM)}"
            if margin > 0
            else f"less than {before}{with_decimals(1 / MOST_ROOM)}"
        )
    told = (number(room_of(margin), more) for more in range(digits, MOST_DIGITS + 1))
    return before + next((text for text in told if text != "1"), "1")


def room_in_words(margin: float, digits: int = 3) -> str:
    """Return a margin as a factor of room in words."""
    if np.isinf(margin):
        return "any factor"
    return _room_told(margin, digits, "a factor ")


HEAT_CAPACITY = (
    "no bench test gives it: 4180 J/(kg·K) for each share of water by mass, 1500 of solids, 2400 of glycerol"
)
"""How the heat capacity of a paste is had where it is not known; from memory."""


FOR_THE_NEXT = " for the next batch"
"""What the room of a hard limit is of: what is not known is kept free, so that it is none of a best value."""


class Limit(ABC):
    """One thing that must not be exceeded, or must be reached.

    Attributes
    ----------
    name, label, unit : str
        A key, what is limited in words, and its SI unit.
    jobs : tuple of {"print", "fibre"}
        Kinds of job that it is asked of.
    width : float
        Where it is above 0, a margin of 1 is so much room, and margins are differences: of a temperature. [its unit]
    model_error : float
        Standard deviation of the ln of the value for the formula's own error; in widths where it has one. [-]
    error_name : str
        Limits of one error name err together (three limits of one pressure are wrong at once); its own name by default.
    hard : bool
        True where breaking it can hurt someone: never averaged, held at the 97.5 % value.
    advice : bool
        True where leaving it is no failure, but makes the prediction an extrapolation.
    needs : tuple of str
        Properties of the paste without which it cannot be judged.
    strength : bool
        True where it rests on the yield stress: a law without one leaves it open, but of a gel, which above its gel point has
        none.
    of_flow : bool
        True where it rests on how the paste flows as it leaves the nozzle.
    formula, source, remedy, caution : str
    remedies : tuple of str
        What to do where the value is too little, and where it is too much, if these differ; `remedy` says both.
    """

    name: ClassVar[str] = ""
    label: ClassVar[str] = ""
    unit: ClassVar[str] = "-"
    jobs: ClassVar[tuple[str, ...]] = (PRINT,)
    width: ClassVar[float] = 0.0
    model_error: ClassVar[float] = 0.0
    error_name: ClassVar[str] = ""
    hard: ClassVar[bool] = False
    advice: ClassVar[bool] = False
    needs: ClassVar[tuple] = ()
    strength: ClassVar[bool] = False
    of_flow: ClassVar[bool] = False
    formula: ClassVar[str] = ""
    source: ClassVar[str] = ""
    remedy: ClassVar[str] = ""
    remedies: ClassVar[tuple[str, ...]] = ()
    caution: ClassVar[str] = ""
    to_judge: ClassVar[str] = ""  # what to do where it cannot be judged, if no test of the paste tells it

    def asked(self, case: Case) -> bool:
        """Return whether a job of its kind raises this question at all: no bridge, no limit on bridges."""
        return True

    def concerns(self, case: Case) -> bool:
        """Return whether the case raises this question: its kind of job, and this job."""
        return case.job.kind in self.jobs and self.asked(case)

    def unknown(self, case: Case) -> list[str]:
        """Return the names of the properties that are not known and must be before anything is computed."""
        unknown = [name for name in self.needs if getattr(case.paste, name) is None]
        if self.strength and case.paste.gel_temperature is None and not case.has_strength:
            unknown.append("yield_stress")
        if self.of_flow:
            unknown += [name for name in case.lacks_heat if name not in unknown]
        return unknown

    def to_judge_it(self, case: Case) -> str:
        """Return what to do where it cannot be judged: the tests that measure what is not known."""
        return self.to_judge or how_to_measure(self.unknown(case)) or self.remedy

    def lacks(self, case: Case) -> str:
        """Return in words what is not known and must be before anything is computed; empty where everything is."""
        unknown = self.unknown(case)
        told = f" ({HEAT_CAPACITY})" if "heat_capacity" in unknown else ""
        return f"{', '.join(unknown)} not known{told}" if unknown else ""

    def missing(self, case: Case) -> str:
        """Return in words why it cannot be judged, what is lacking or not identified; empty where it can."""
        return self.lacks(case) or (case.not_identified if self.rests_on_open(case) else "")

    def rests_on_open(self, case: Case) -> bool:
        """Return whether its margin differs between laws that the readings behind the case cannot tell apart."""
        margin = self._margin_alike(case)
        if margin is None:
            return False
        with np.errstate(all="ignore"):
            return bool(np.any(~np.isfinite(margin)) or np.any(np.ptp(margin, axis=0) > ALIKE))

    def broken_anyway(self, case: Case) -> bool:
        """Return whether it rests on what the readings leave open, and every law that they leave open breaks it."""
        return not self.lacks(case) and self.rests_on_open(case) and bool(np.all(self._margin_alike(case) < 0))

    def least_broken(self, case: Case) -> tuple[float, ...]:
        """Return value, low and high of a limit broken anyway, NaN where laws differ in them, and the margin of the law that breaks it least."""
        found = []
        for part in (self.value, self.low, self.high):
            given = np.asarray(np.nan if (x := quietly(part, case.alike)) is None else x, float).ravel()
            found.append(float(given[0]) if np.allclose(given, given[0], atol=0.0) else float("nan"))
        return *found, float(np.max(self._margin_alike(case)))

    def _margin_alike(self, case):
        """Return the margin with each law that the readings cannot tell apart, along the first axis; None where none counts."""
        alike = case.alike
        if alike is None or not self.concerns(case):
            return None
        margin = np.asarray(quietly(self.margin, alike), float)
        return margin if margin.ndim == 3 else None  # without that axis no law is in it, as in a regulator's pressure

    def left_open(self, case: Case) -> str:
        """Return in words why it is judged in part only; empty where it is judged as a whole."""
        return ""

    def judges(self, case: Case) -> bool:
        """Return whether it is asked and can be judged."""
        return self.concerns(case) and not self.missing(case)

    def remark(self, case: Case) -> str:
        """Return what to say in brackets after the numbers of a case."""
        return self.left_open(case)

    def underlies(self, case: Case) -> bool:
        """Return whether it is broken in a case so that little else means anything: it is then told before any that hurts nobody."""
        return False

    def remedy_for(self, case: Case) -> str:
        """Return what to do in a case that breaks it, or comes nearest to."""
        return marked(self.remedies[self.nears_high(case)] if self.remedies else self.remedy)

    def nears_high(self, case: Case) -> bool:
        """Return whether the value of a case is too much, or nearer to it than to too little."""
        found = (quietly(part, case) for part in (self.value, self.low, self.high))
        value, low, high = (None if one is None else float(np.mean(one)) for one in found)
        return low is None or (high is not None and low * high < value**2)

    def caution_for(self, case: Case) -> str:
        """Return what to say beside the number of a case."""
        return self.caution

    @abstractmethod
    def value(self, case: Case) -> Numbers:
        """Return what is limited, in the limit's unit."""

    def exact_part(self, case: Case) -> Numbers | None:
        """Return what of the value the model error does not touch, in the limit's unit: the friction in a force."""
        return 0.0

    def low(self, case: Case) -> Numbers | None:
        """Return the least it may be, or None."""
        return None

    def high(self, case: Case) -> Numbers | None:
        """Return the most it may be, or None."""
        return None

    def allowance(self, case: Case) -> Numbers:
        """Return what a hard limit keeps free for what is not known, as ln of the value [-]; 0 for others."""
        if not self.hard or case.errors:
            return 0.0
        return case.kept_free.get(self.name, SURE * np.hypot(self.error(case), case.stress_spread))

    def error(self, case: Case) -> Numbers:
        """Return the model error of a case [-]: the usual one, or what the case knows leaves of it."""
        return self.model_error

    def drawn_error(self, case: Case, normals: Callable | None = None) -> Numbers:
        """Return the ln of the factor by which the value is off, drawn where normals are given (see `margin`) [-]; else 0."""
        error = self.error(case)
        return error * normals(self.error_name or self.name) if normals and np.any(error) else 0.0

    def margin(self, case: Case, normals: Callable | None = None) -> Numbers:
        """Return the ln of how far the value is inside its bounds: positive inside, negative broken, 0 on the line.

        A ratio, not a difference: 0.1 is a factor exp(0.1) = 1.105 of room. Of a limit with a `width` it is the difference,
        in widths.

        Parameters
        ----------
        case : Case
        normals : callable, optional
            Name to standard normals, shape (count, 1, 1): the model error is then drawn, else left out.

        Returns
        -------
        margin : float or ndarray
            The smaller of ln(high/value) and ln(value/low), or of (high - value)/width and (value - low)/width. [-]
        """
        value, low, high = self.value(case), self.low(case), self.high(case)
        if low is None and high is None:
            raise DataError(f"Limit {self.name}: neither low nor high is given.")
        error = self.drawn_error(case, normals)
        if self.width:
            above = None if low is None else (value - low) / self.width + error
            below = None if high is None else (high - value) / self.width - error
            return _least(above, below)
        exact = self.exact_part(case)
        if np.any(error) and np.any(exact):
            grown = np.exp(error)  # a column: two operations a value
            value, error = value * grown + exact * (1 - grown), 0.0
        # the bounds are small arrays: one logarithm and one difference a value
        with np.errstate(divide="ignore", invalid="ignore"):
            log_value = np.log(value)
            above = None if low is None else log_value - (np.log(low) - error)
            below = None if high is None else (np.log(high) - error - self.allowance(case)) - log_value
        return _least(above, below)

    def room(self, margin: float, digits: int = 3) -> str:
        """Return a margin of this limit in words: a factor of room, or a difference with its unit."""
        if not self.width:
            return room_in_words(margin, digits)
        if np.isinf(margin):
            return "any amount"
        return written(margin * self.width, "temperature_difference" if self.unit == "K" else self.unit, digits)

    def times(self, margin: float, digits: int = 3) -> str:
        """Return a margin of this limit as in a table: how many times the value fits into what is allowed, or a difference with its unit."""
        if self.width or np.isinf(margin):
            return self.room(margin, digits)
        return f"{_room_told(margin, digits)} times{FOR_THE_NEXT if self.hard else ''}"

    def __repr__(self):
        return f"<limit {self.name}: {self.label}>"


def _least(above, below):
    return below if above is None else above if below is None else np.minimum(above, below)


def quietly(ask: Callable[[Case], Any], case: Case) -> Any:
    """Return what is asked of laws far beyond any paste, without a warning of it."""
    with warnings.catch_warnings(action="ignore"), np.errstate(all="ignore"):
        return ask(case)
