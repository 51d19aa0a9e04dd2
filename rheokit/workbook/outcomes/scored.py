"""How predictions fared, quantity by quantity, in numbers and in sentences."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from ...nomenclature import capital, number
from ...sampling import LEVEL
from ...scoring import LEAST, THIN, Ratio, Reliability, Share, batch_named, ratio, reliability, share
from .outcome import Outcome
from .quantities import QUANTITIES

INDEPENDENT = "Outcomes of one batch err together"
NOTHING = "Nothing that was predicted has come out yet: type what came out."


@dataclass(frozen=True)
class Score:
    """The outcomes of one quantity that count.

    Parameters
    ----------
    quantity : str
    outcomes : tuple of Outcome
        With what came out.
    """

    quantity: str
    outcomes: tuple[Outcome, ...]

    def __repr__(self) -> str:
        return self.words

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.outcomes)

    @property
    def batches(self) -> int:
        """Of how many batches they are as far as that is told; one where it is not."""
        return max(len({*self._named} - {""}), 1)

    @property
    def _named(self):
        return [batch_named(one.batch) for one in self.outcomes]

    @property
    def is_claim(self) -> bool:
        """Whether it comes true or not, and is no number."""
        return self.outcomes[0].is_claim

    @property
    def is_invented(self) -> bool:
        """Whether any of it rests on invented numbers."""
        return any(one.invented for one in self.outcomes)

    @cached_property
    def inside(self) -> Share:
        """How many of the observed numbers lie in their 95 % intervals."""
        return share(sum(one.is_inside for one in self.outcomes), self.count)

    @cached_property
    def ratio(self) -> Ratio:
        """What was observed over what was predicted."""
        every = self.outcomes
        value, observed, low, high = (
            [getattr(one, name) for one in every] for name in ("value", "observed", "low", "high")
        )
        return ratio(value, observed, low, high, [one.batch for one in every])

    @cached_property
    def reliability(self) -> Reliability:
        """How the probabilities fared."""
        return reliability([one.probability for one in self.outcomes], [one.came for one in self.outcomes])

    # --- in words -----------------------------------------------------------------------------------------------

    @property
    def words(self) -> str:
        """All that is to be said of it."""
        said = self._of_chances if self.is_claim else self._of_numbers
        first = f"{capital(self.quantity)}{', INVENTED numbers' if self.is_invented else ''}:"
        return " ".join([first, *filter(None, [*said, self._of_batches, self.thin])])

    @property
    def _of_numbers(self):
        held = self.inside
        low, high = (number(100 * one, 2) for one in (held.low, held.high))
        said = f"{held.held} of {held.of} observed lie in their 95 % interval ({number(100 * held.value, 2)} %; 95 % {low} to {high} %)."
        off = ""
        if held.high < LEVEL:
            off = "That is fewer than intervals of 95 % hold: the predictions are more certain than they may be, or the paste is another."
        return said, off, self._of_ratio

    @property
    def _of_ratio(self):
        found = self.ratio
        if found.high == float("inf"):
            return "Whether all are off by one factor is not known: needs three outcomes, of one batch or of three."
        limits = f"95 % {number(found.low)} to {number(found.high)}"
        if found.of_batches:
            told = f"Observed over predicted: {number(found.value)} ({limits})."
            if not found.is_systematic:
                return f"{told} No factor that all are off by is shown."
            return f"{told} A systematic factor, {_room(found)}: a measured factor of {number(found.value)} on the model is offered, not applied."
        whose, all_, others = self._alone
        told = f"Observed over predicted, {whose}: {number(found.value)} ({limits}, which hold {others} and not the model: another batch may be off otherwise)."
        if not found.is_systematic:
            return f"{told} No factor that all of these are off by is shown."
        if not self._told:
            return f"{told} {all_} are off by a factor, {_room(found)}; their batches are not told, and it takes three to tell a factor on the model."
        tells = (
            "an outcome of another batch tells (three tell a factor on the model)"
            if self.batches == 1
            else "three batches tell"
        )
        return f"{told} {all_} are off by a factor, {_room(found)}; whether others are, {tells}."

    @property
    def _told(self):
        """Names of the batches that are told, as typed first."""
        return {
            name: one.batch for one, name in zip(reversed(self.outcomes), reversed(self._named), strict=True) if name
        }

    @property
    def _alone(self):
        """Return in words which outcomes count where not the means of batches do, all of them, and what their limits hold."""
        if not self._told:
            return "of batches that are not told", "All of these", "those batches alone"
        most = max(sorted(self._told), key=self._named.count)
        if self.batches == 1 and "" not in self._named:
            return "of one batch", "All of this batch", "it alone"
        typed = " ".join(self._told[most].split())
        return f"of the {self._named.count(most)} of batch {typed}", f"All of batch {typed}", "it alone"

    @property
    def _of_chances(self):
        if self.count < LEAST:
            return (f"{self._came}. How reliable the probabilities are is told from {LEAST} outcomes on.",)
        found, whole = self.reliability, self.reliability.whole
        low, high = round(whole.low * whole.of), round(whole.high * whole.of)
        right = f"right probabilities would bring {low} to {high} (95 %)"
        side = "Fewer" if whole.observed < whole.low else "More"
        off = "" if whole.is_inside else f"{side} came true than was predicted."
        score, expected, *ends = map(number, (found.brier, found.expected, found.low, found.high))
        band = "inside" if found.is_inside else "not all inside"
        meant = "" if found.is_inside else ": the probabilities are not reliable"
        return (
            f"{self._came}, predicted {number(100 * whole.predicted, 2)} % on average; {right}.",
            off,
            f"Brier score {score}; right probabilities would have {expected} (95 % {ends[0]} to {ends[1]}), and lower is better.",
            f"The shares are {band} their common 95 % band{meant}.",
        )

    @property
    def _came(self):
        came = sum(bool(one.came) for one in self.outcomes)
        return f"{came} of {self.count} came true"

    @property
    def _of_batches(self):
        if self.count < 2 or self.batches == self.count:
            return ""
        blank = self._named.count("")
        told = f"{self.count - blank} outcomes are of {self.batches} {'batch' if self.batches == 1 else 'batches'}"
        unknown = f"; the batch of the other {blank} is not told (they count in no factor)" if blank else ""
        which = "their batch is not told" if blank == self.count else told + unknown
        return f"{INDEPENDENT}, and {which}: shares and bands claim more than they know."

    @property
    def thin(self) -> str:
        """What is said of few outcomes; nothing of enough."""
        return (
            f"Thin: {self.count} {'outcome' if self.count == 1 else 'outcomes'}; it takes {THIN} to say something."
            if self.count < THIN
            else ""
        )


def _room(found):
    return (
        "which lies within what each prediction left open" if found.was_open else "more than the predictions left open"
    )


def scored(outcomes: Iterable[Outcome]) -> tuple[Score, ...]:
    """Return the score of every quantity of which something came out, in their order."""
    known = [one for one in outcomes if one.is_scored]
    groups = ((quantity, tuple(one for one in known if one.quantity == quantity)) for quantity in QUANTITIES)
    return tuple(Score(quantity, found) for quantity, found in groups if found)
