"""Candidates as they were ranked: what each is expected to leave of an interval, which cannot be told apart, and the table of them."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..fitting.predictions import Interval
from ..frames import Frame
from ..hints import Table
from . import reading_advice as words
from .candidate import Candidate
from .foreseen import Foreseen

HELPS = 0.1  # of the width: a reading that takes off less is not worth its work
TIE = 0.03  # of the width, by which seeds differ with so many draws: readings that are nearer cannot be told apart
TWO = 2.0  # standard errors of a difference, below which it is chance

COLUMNS = [
    "candidate", "expected_width", "present_width", "expected_low", "expected_high", "unit", "narrowing", "minutes", "narrowing_per_minute",
    "place", "as_good_as_best", "reading", "exposes", "needs", "doubt", "caution",
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
    may_widen: bool = False
    needs: str = ""
    too_few: bool = False

    @property
    def stands_apart(self) -> bool:
        """Whether it is named though what it leaves is not foretold: it tells of what is open, or too few draws agree with it."""
        return self.tells_open or self.too_few

    @property
    def shows(self) -> str:
        """What it would show that the readings so far do not, in words; "" where it repeats them, or where nothing is known of it."""
        return "; ".join(filter(None, [words.SHOWS_OPEN if self.tells_open else "", self.candidate.shows]))

    @property
    def repeats(self) -> bool:
        """Whether it shows nothing new: what was foreseen of it repeats what was read."""
        return not self.shows and self.foreseen is not None

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
        return tuple(one.candidate for one in self.ranked[1:] if first is not None and self.tied(first, one))

    def tied(self, first: Ranked, other: Ranked) -> bool:
        """Return whether two candidates cannot be told apart: by chance, or since their expected widths are nearer than 3 % of the present one."""
        return cannot_be_told(first, other) or bool(abs(self.narrowing(first) - self.narrowing(other)) <= TIE)

    @cached_property
    def places(self) -> tuple[str, ...]:
        """Place of each candidate: "1"; "1 =" where it shares it with those that cannot be told from the first of them; "apart"
        where what it leaves cannot be foretold though it tells much, "" where it is not known.
        """  # noqa: D205
        found: list[int] = []
        for order, one in enumerate(self.ranked):
            first = found[-1] if found else 0
            found.append(first if order and self.tied(self.ranked[first], one) else order)
        return tuple(
            f"{place + 1}{' =' * (found.count(place) > 1)}"
            if one.foreseen is not None
            else words.APART * self.is_apart(one)
            for place, one in zip(found, self.ranked, strict=True)
        )

    def is_apart(self, one: Ranked) -> bool:
        """Return whether a candidate has no place among the others, since what it leaves cannot be foretold."""
        return one.foreseen is None and not self.needed and (one.stands_apart or bool(one.candidate.untold))

    @property
    def exposing(self) -> Ranked | None:
        """The candidate that could best show that the law or a theory is wrong; None where all repeat what was read."""
        able = [one for one in self.ranked if one.candidate.shows and not one.candidate.untold]
        return max(able, key=lambda one: (one.apart, -np.nan_to_num(one.share, nan=1.0)), default=None)

    @property
    def exposes(self) -> Candidate | None:
        """The candidate of `exposing`."""
        return self.exposing.candidate if self.exposing else None

    @cached_property
    def table(self) -> Table:
        """One line a candidate, best first: DataFrame of candidate, expected_width, present_width, expected_low and expected_high in the
        unit of the answer, unit, narrowing (share of the width [-]), minutes, narrowing_per_minute [1/min], place
        (shared by those that cannot be told apart), as_good_as_best, reading (what is expected), exposes, needs (tools that nothing
        read so far was made with), doubt, caution.
        """  # noqa: D205
        rows = []
        for one, place in zip(self.ranked, self.places, strict=True):
            low, high = self.expected(one)
            narrowing = self.narrowing(one)
            candidate, tied = one.candidate, one is self.ranked[0] or one.candidate in self.as_good
            told = words.reading_words(candidate, one.foreseen)
            rows.append(
                [candidate.name, high - low, self.width, low, high, self.unit, narrowing, candidate.minutes, narrowing / candidate.minutes,
                 place, bool(tied), told, one.shows, one.needs, one.doubt, " ".join(words.cautions_of([one]))]
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
        if one.may_widen:  # by how much is not known
            return self.width
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


def cannot_be_told(first: Ranked, other: Ranked) -> bool:
    """Return whether two candidates leave the same width, as far as the simulation tells."""
    if first.foreseen is None or other.foreseen is None:
        return first.foreseen is None and other.foreseen is None and first.tells_open == other.tells_open
    apart = other.foreseen.shares - first.foreseen.shares
    error = np.std(apart) / np.sqrt(len(apart))
    return bool(abs(np.mean(apart)) <= max(TIE, TWO * error))
