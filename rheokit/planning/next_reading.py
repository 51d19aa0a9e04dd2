"""Which reading to take next: the candidates of a bench, ranked by how much each is expected to narrow an answer."""

import warnings
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from ..errors import DataError
from ..fitting import FitResult
from ..fitting.predictions import Interval
from ..frames import Frame
from ..hints import OfLaw, Table
from ..inputs import trusted
from ..machine.extruder import Extruder
from ..progress import step
from ..sampling import MOVED
from ..things import a, called
from . import reading_advice as words
from .candidate import Candidate
from .candidates import as_candidates, candidates_of
from .foreseen import FEWEST, Foreseen, Outlook
from .rivals import Rival, rivals_of, told_apart

HELPS = 0.1  # of the width: a reading that takes off less is not worth its work
TIE = 0.03  # of the width, by which seeds differ with so many draws: readings that are nearer cannot be told apart
TWO = 2.0  # standard errors of a difference, below which it is chance

COLUMNS = [
    "candidate", "expected_width", "present_width", "expected_low", "expected_high", "unit", "narrowing", "minutes", "narrowing_per_minute",
    "as_good_as_best", "reading", "exposes", "doubt", "caution",
]  # fmt: skip


@dataclass(frozen=True, eq=False)
class Ranked:
    """A candidate, what it is expected to leave (None where that cannot be said), and why it cannot or is doubtful."""

    candidate: Candidate
    foreseen: Foreseen | None
    doubt: str = ""
    tells_open: bool = False
    apart: float = 0.0
    rival: str = ""

    @property
    def share(self) -> float:
        """Expected width over the present one [-], 1 where the simulation finds no less; NaN where it is not known."""
        return min(self.foreseen.share, 1.0) if self.foreseen else np.nan


@dataclass(frozen=True, eq=False)
class NextReading:
    """Readings that could be taken next, ranked by how much each is expected to narrow the answer to a question.

    Attributes
    ----------
    today : Interval
        The answer as it stands, with its 95 % limits.
    ranked : tuple of Ranked
        The candidates, the one that narrows most first.
    unit : str
        Of the answer.
    left : tuple of str
        What the interval rests on that these readings leave as it is, in words.
    needed : str
        What the answer lacks to have a limit at all; "" where nothing.
    drawn_width : float
        Width of the middle 95 of 100 joint draws, in the unit of the answer.
    stamp : str
        What every number of the fit must carry; "" where its checks passed.
    """

    today: Interval
    ranked: tuple[Ranked, ...]
    unit: str
    left: tuple[str, ...]
    needed: str = ""
    drawn_width: float = np.nan
    stamp: str = ""

    @property
    def width(self) -> float:
        """Present width of the 95 % interval, in the unit of the answer; infinite where an end is open."""
        return float(self.today.high - self.today.low)

    @property
    def records(self) -> tuple[Candidate, ...]:
        """The candidates in the order of the table, each with its records."""
        return tuple(one.candidate for one in self.ranked)

    @property
    def best(self) -> Candidate | None:
        """The candidate that is expected to narrow most; None where none would help."""
        return self.ranked[0].candidate if self.helps else None

    @property
    def helps(self) -> bool:
        """Whether the first candidate narrows enough to be worth its work, or gives an answer where there is none."""
        if not self.ranked:
            return False
        first = self.ranked[0]
        return first.tells_open if self.needed else bool(self.narrowing(first) >= HELPS)

    @cached_property
    def as_good(self) -> tuple[Candidate, ...]:
        """Candidates that cannot be told from the first by what was simulated."""
        first = self.ranked[0] if self.ranked else None
        return tuple(one.candidate for one in self.ranked[1:] if first is not None and cannot_be_told(first, one))

    @property
    def exposing(self) -> Ranked | None:
        """The candidate that could best show that the law or a theory is wrong; None where all repeat what was read."""
        able = [one for one in self.ranked if one.candidate.shows]
        return max(able, key=lambda one: (one.apart, -np.nan_to_num(one.share, nan=1.0)), default=None)

    @property
    def exposes(self) -> Candidate | None:
        """The candidate of `exposing`."""
        return self.exposing.candidate if self.exposing else None

    @cached_property
    def table(self) -> Table:
        """One line a candidate, best first: DataFrame of candidate, expected_width, present_width, expected_low and expected_high in the
        unit of the answer, unit, narrowing (share of the width [-]), minutes, narrowing_per_minute [1/min], as_good_as_best, reading (what is
        expected), exposes, doubt, caution.
        """  # noqa: D205
        rows = []
        for one in self.ranked:
            low, high = self.expected(one)
            narrowing = self.narrowing(one)
            candidate, tied = one.candidate, one is self.ranked[0] or one.candidate in self.as_good
            told = words.reading_words(candidate, one.foreseen)
            rows.append(
                [candidate.name, high - low, self.width, low, high, self.unit, narrowing, candidate.minutes, narrowing / candidate.minutes,
                 bool(tied), told, candidate.shows, one.doubt, " ".join(candidate.cautions)]
            )  # fmt: skip
        table = Frame(rows, columns=COLUMNS, index=range(1, len(rows) + 1))
        table.index.name = "order"
        table.attrs["said"] = str(self)
        return table

    def expected_width(self, one: Ranked) -> float:
        """Return the width that a candidate is expected to leave, in the unit of the answer; NaN where that is not known.

        That of the weighed draws, which fits with simulated readings bear out; where it takes little off the draws it takes little off the
        interval of the fit, which beside a bound is another one than theirs.
        """
        if not np.isfinite(self.width) or not self.width > 0 or not self.drawn_width > 0:
            return float(one.share * self.drawn_width)
        return float(one.share * self.drawn_width * (self.width / self.drawn_width) ** (one.share**4))

    def narrowing(self, one: Ranked) -> float:
        """Return the share of the present width that a candidate is expected to take off [-]; NaN where that is not known."""
        whole = self.width if np.isfinite(self.width) and self.width > 0 else self.drawn_width
        return float(max(1 - self.expected_width(one) / whole, 0.0)) if one.foreseen is not None else np.nan

    def expected(self, one: Ranked) -> tuple[float, float]:
        """Return the ends of an interval such as a candidate is expected to leave, in the unit of the answer; NaN where that is not known."""
        if one.foreseen is None:
            return np.nan, np.nan
        middle, half = (one.foreseen.low + one.foreseen.high) / 2, self.expected_width(one) / 2
        shift = max(0.0, half - middle) if middle > 0 and self.today.low >= 0 else 0.0
        return middle - half + shift, middle + half + shift

    @property
    def said(self) -> str:
        """What to take next in a sentence or two, without `stamp` and `cautions`, which must stand beside it."""
        return words.sentence(self)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What can hurt where any of the candidates is taken, each sentence once."""
        return words.cautions_of(self.ranked)

    def __str__(self) -> str:
        named = [one for one in self.ranked if one.candidate is self.best or one is self.exposing]
        careful = words.cautions_of(named)
        return " ".join(filter(None, [self.stamp, self.said, *(["Caution:", *careful] if careful else [])]))

    __repr__ = __str__


def next_reading(
    fit: FitResult,
    question: OfLaw,
    candidates: Iterable[Any] | None = None,
    extruder: Extruder | None = None,
    batch: str = "median",
    unit: str = "",
    seed: int = 0,
) -> NextReading:
    """Return which reading to take next for a question: the candidates, ranked by the width of the interval that each is expected to leave.

    Parameters
    ----------
    fit : FitResult
        Of the readings there are.
    question : callable
        As in `FitResult.interval`: it takes a law, or a law and the `extruder`, and returns one number.
    candidates : sequence, optional
        Records such as `LoadedPlate` or `FlowCurve`, whose readings count as guesses alone; a tuple of records is read together.
        Without them: slower, faster and repeated readings on the apparatus that was read, a land of another length, the tests of the
        yield stress that were not made and suit it, other temperatures, water contents and ages of a law that depends on them, and
        a batch more where three or more were read.
    extruder : Extruder, optional
        As in `FitResult.interval`.
    batch : {"median", "next"}
        As in `FitResult.interval`.
    unit : str
        SI unit of the answer, for words.
    seed : int
        Of the simulation.

    Returns
    -------
    NextReading
        As text it is a sentence: what to take next, and the interval that is expected; or that nothing cheap will help, and what is left.

    Raises
    ------
    DataError
        If the question gives no number, no candidate is left, or the readings do not carry joint draws.

    Notes
    -----
    The expected width is the mean over 240 simulated readings of each candidate, each from a truth of the joint draws with scatter, errors of
    theory and of apparatus: the 95 % interval of all draws, weighed by how well they agree with it, as a share of the interval without. It holds
    if the law and the errors are as the fit has them, which no reading that repeats others can show: so the table names what each exposes.
    How a reading scatters that was never made, its theory's error and its minutes are common practice, no source.

    Examples
    --------
    >>> import rheokit as rk
    >>> curve = rk.FlowCurve(shear_rate=[20, 40, 80, 160], shear_stress=[1310, 1500, 1750, 2110], relative_uncertainty=0.03, model_error=0.05)
    >>> found = rk.next_reading(rk.fit(rk.HerschelBulkley, curve), lambda law: law.yield_stress, unit="Pa")
    >>> found.best.name
    'yield stress by a loaded plate'
    """
    a("FitResult", "next_reading", "fit", fit)
    if not callable(question):
        raise TypeError(
            f"next_reading: question is {called(question)}; give a function of a law, such as lambda law: law.yield_stress."
        )
    given = candidates_of(fit, batch) if candidates is None else as_candidates(fit, candidates)
    if not given:
        raise DataError("next_reading: no candidate is left for this bench; give some with candidates=.")
    step("the interval as it stands")
    with warnings.catch_warnings(action="ignore"):
        today = fit.interval(question, extruder=extruder, batch=batch)
        if np.ndim(today.value):
            raise DataError(
                "next_reading: the question gives an array; ask for one number, such as the force at one speed."
            )
        needed = fit.missing(question, extruder) or (fit.needed if np.isnan(today.value) else "")
        if needed:
            return _of_open(fit, today, given, unit, needed)
        outlook = Outlook(fit, question, extruder, batch, seed)
        found = []
        for place, candidate in enumerate(given, 1):
            step(f"candidate {place} of {len(given)}: {candidate.name}")
            open_too = bool(fit.unidentified) and _tells_open(fit, candidate)
            found.append(Ranked(candidate, None, words.OPEN_TOO, True) if open_too else _foreseen(outlook, candidate))
        step("laws that go as near")
        others = rivals_of(fit)
        found = [_against(outlook, others, one) for one in found]
    found.sort(key=lambda one: np.nan_to_num(one.share, nan=np.inf))
    width = outlook.width
    return NextReading(today, tuple(found), unit, words.left_of(outlook, batch), drawn_width=width, stamp=fit.stamp)


def cannot_be_told(first: Ranked, other: Ranked) -> bool:
    """Return whether two candidates leave the same width, as far as the simulation tells."""
    if first.foreseen is None or other.foreseen is None:
        return first.foreseen is None and other.foreseen is None and first.tells_open == other.tells_open
    apart = other.foreseen.shares - first.foreseen.shares
    error = np.std(apart) / np.sqrt(len(apart))
    return bool(abs(np.mean(apart)) <= max(TIE, TWO * error))


def _foreseen(outlook: Outlook, candidate: Candidate) -> Ranked:
    try:
        with trusted():
            found = outlook.foresee(candidate.tests)
    except DataError as fault:
        return Ranked(candidate, None, str(fault).removeprefix("next_reading: "))
    hangs = words.of_new_batch(found) if outlook.adds_a_batch(candidate.tests) else ""
    return Ranked(candidate, found, "; ".join(filter(None, [words.ROUGH if found.effective < FEWEST else "", hangs])))


def _against(outlook: Outlook, others: tuple[Rival, ...], one: Ranked) -> Ranked:
    """Return a candidate with how far other laws that go as near the readings differ there."""
    if one.foreseen is None or not others:
        return one
    apart, rival = told_apart(outlook.fit, others, one.candidate.tests, one.foreseen)
    return Ranked(one.candidate, one.foreseen, one.doubt, one.tells_open, apart, rival)


def _tells_open(fit, candidate):
    """Return whether a candidate reads otherwise of laws that the readings so far cannot tell apart."""
    moved = False
    with trusted(), np.errstate(all="ignore"):
        stack = fit.alike
        law = fit.problem.law_class(
            **{name: np.asarray(value)[..., None] for name, value in fit.problem.law_values(stack).items()}
        )
        values = {key: np.asarray(value)[:, None] for key, value in fit.problem.nuisance_values(stack).items()}
        for test in candidate.tests:
            read = np.broadcast_to(test.predict(law, values), (len(stack), len(test.readings)))
            moved |= bool(np.any(np.ptp(read, axis=0) > MOVED * np.max(np.abs(read), axis=0)))
    return moved


def _of_open(fit, today, given, unit, needed):
    """Return the candidates of a question without an answer: those first that tell laws apart which the readings do not."""
    found = []
    for candidate in given:
        moved = _tells_open(fit, candidate)
        found.append(Ranked(candidate, None, words.OPEN_TOLD if moved else words.OPEN_NOT_TOLD, moved))
    found.sort(key=lambda one: (not one.tells_open, one.candidate.minutes))
    return NextReading(today, tuple(found), unit, (), needed, stamp=fit.stamp)
