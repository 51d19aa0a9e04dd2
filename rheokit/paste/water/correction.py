"""What to add to a batch that came out too stiff or too soft, with an interval for all that is not known exactly."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ...brief import brief
from ...errors import DataError
from ...hints import Numbers
from ...inputs import in_si, not_negative, positive
from ...nomenclature import QUANTITIES, between, number, numbers, written
from ...origins import NOT_IDENTIFIED, NOT_TO_BE_USED
from ...units import g
from ..recipe import dry_basis
from .amounts import premix

if TYPE_CHECKING:
    from .law import WaterLaw

FIRST_SHARE = 2 / 3
"""Share of a correction to add before the next test [-]; common practice, no source."""

ASSUMED_SPREAD = 0.2
"""Standard deviation of ln of one yield stress, where neither it nor the law's readings tell: 0.15 for a loaded plate
to 0.25 for a slump [-]; common practice, no source."""

LEAST_SPREAD = 0.15
"""The least that is assumed of one yield stress [-]: a few readings on a line by chance do not make a test that good;
common practice, no source."""

ROUNDING = 1e-9
"""Of a water content that was turned from one basis into the other [-]."""

OFF = 3.0
"""Standard deviations of reading and line together beyond which a batch is not the paste of the law [-]."""


class Correction(NamedTuple):
    """What to add to a batch [kg] with its 95 % interval, how much of it first, and the water content aimed at [-].

    The interval is of the mass that makes the yield stress of the batch the one wanted. Below 0 the batch may be past
    it already. `extrapolated` says that the law was not fitted to the water contents asked for, `doubts` hold this and
    whatever else speaks against the number, each a sentence.
    """

    what: str
    mass: float
    low: float
    high: float
    first: float
    water_content: float
    water_low: float
    water_high: float
    by: str
    extrapolated: bool = False
    doubts: tuple = ()

    def __repr__(self):
        return brief(self, low="mass", high="mass", first="mass")

    def __str__(self):
        return " ".join([self._amount(), *self.doubts])

    @property
    def in_grams(self) -> tuple[str, ...]:
        """Mass and its limits as text, in grams with the decimals that the interval deserves."""
        return numbers(*(mass / g for mass in (self.mass, self.low, self.high)))

    def _amount(self):
        amount, low, high = self.in_grams
        less = "any amount" if np.isinf(self.low) else f"{low.removeprefix('-')} g"
        low = "nothing, for it may be right already," if self.low <= 0 else low
        high = "no limit, for the slope may be nothing" if np.isinf(self.high) else f"{high} g"
        if not self.mass:
            return (
                f"The batch reads as wanted: add nothing. It may hold {less} of water too much or lack {high} of it "
                f"(95 %, by {self.by})."
            )
        return (
            f"Add {amount} g of {self.what} in all (95 % {low} to {high}, by {self.by}). Add {written(self.first, 'g', 2)} of it first, "
            "mix, rest and test as before, then work out again what is left."
        )


def corrected(
    law: WaterLaw,
    mass: Numbers,
    water_content: Numbers,
    stress_now: Numbers,
    stress_now_spread: float | None,
    stress_wanted: Numbers,
    premix_moisture: Numbers,
) -> Correction:
    """Return the `Correction` of a batch; the arguments are those of ``WaterLaw.correction``."""
    if law.low is None:
        raise DataError(
            "WaterLaw.correction: the slope has no interval; give low and high with it, or fit three readings."
        )
    _one_each(mass=mass, water_content=water_content, stress_wanted=stress_wanted, premix_moisture=premix_moisture)
    now, ends, tied, by = _stress_there_is(law, stress_now, stress_now_spread, water_content)
    positive("WaterLaw.correction", yield_stress=stress_wanted)
    fall = float(np.log(now / stress_wanted))
    change, low, high = _changes(law, fall, ends, tied)
    water = fall >= 0

    def needed(change):
        if water:
            return mass / (1 + water_content) * change
        endless = water_content + change <= dry_basis(premix_moisture)
        return np.inf if endless else premix(mass, water_content, change, premix_moisture)

    positive("WaterLaw.correction", mass=mass)
    not_negative("WaterLaw.correction", water_content=water_content)
    best, limits = needed(change), sorted((needed(low), needed(high)))
    if np.isinf(best):
        aim = water_content + change
        if aim <= 0:
            raise DataError(
                "WaterLaw.correction: more than all the water of the batch would have to leave it, which no dry premix can bring about; start "
                "a new batch, or check both yield stresses and the water content."
            )
        raise DataError(
            f"WaterLaw.correction: the batch would have to come down to water_content = {number(aim)}, which the dry premix cannot bring "
            "it to; dry the premix, or start a new batch."
        )
    beyond = outside(law, water_content, water_content + change)
    off = "" if stress_now is None else _off(law, water_content, now, ends)
    of_line = law.doubts if stress_now is None else ()
    return Correction(  # type: ignore[call-arg]  # three and four numbers are handed over in a row
        "water" if water else "dry premix",
        *map(float, (best, *limits, FIRST_SHARE * best)),  # type: ignore[arg-type]
        *(float(water_content + one) for one in (change, low, high)),
        by,
        bool(beyond or of_line),
        tuple(filter(None, [_doubted(stress_now), beyond, *of_line, off, law.scatter])),
    )


def _doubted(read):
    """Return in a sentence what an interval itself says against its value; empty where it says nothing."""
    said, extrapolated = getattr(read, "comment", ""), getattr(read, "extrapolated", False)
    if not extrapolated and NOT_TO_BE_USED not in said and NOT_IDENTIFIED not in said:
        return ""
    words = [extrapolated and "extrapolated", said.removesuffix(".")]
    return f"Of the yield stress given: {'; '.join(filter(None, words))}."


def _one_each(**given):
    for name, value in given.items():
        if np.ndim(value):
            raise DataError(f"WaterLaw.correction: {name} = {value!r:.40} is not one number; ask batch by batch.")


def outside(law: WaterLaw, *asked: Numbers) -> str:
    """Return in a sentence that water contents are not those of the fit; empty where they are, or it is not known."""
    low, high = law.water_range or (-np.inf, np.inf)
    if low - ROUNDING <= min(asked) <= max(asked) <= high + ROUNDING:
        return ""
    ends = between(low, high, digits=4)
    way = (
        f"u = {number(asked[0], 4)}"
        if asked[0] == asked[-1]
        else f"From u = {number(asked[0], 4)} to {number(asked[-1], 4)}"
    )
    return f"{way} is outside the water contents the slope was fitted to, {ends}: extrapolated."


def _off(law, water_content, now, ends):
    """Return in a sentence that a reading is far off the law beyond both errors; empty where it is not, or no law says."""
    if law.intercept is None:
        return ""
    off = float(np.log(now / law.line(water_content)))
    away = np.hypot(law.breadth or 0.0, water_content - (law.centre or 0.0))
    line = (law.high - law.slope) * away
    if abs(off) <= OFF / law.normal * np.hypot(line, ends[off < 0]):
        return ""
    return (
        f"The reading is {number(np.exp(off), 2)} times what the law gives at this water content: check the basis (dry or wet) "
        "and the test."
    )


def _stress_there_is(law, read, spread, water_content):
    """Return the yield stress [Pa], half widths of its ln down and up, whether tied to the slope, and words."""
    by = "the slope's interval and that of the yield stress"
    if read is None:
        now, low, _ = law.line_band(water_content)
        return (
            now,
            (np.log(now / low),) * 2,
            water_content - law.centre,
            f"{by} of the same line{law.there and f' at {law.there}'}",
        )
    interval = all(hasattr(read, end) for end in ("value", "low", "high"))
    if NOT_IDENTIFIED in getattr(read, "comment", "") and np.all(np.isnan(read.value)):
        raise DataError(
            f"WaterLaw.correction: stress_now has no value: {read.comment}. Give a yield stress read of this batch, in Pa."
        )
    now, *ends = (_stress(one) for one in ((read.value, read.low, read.high) if interval else (read,)))
    by += " just read"
    if spread is None and interval:
        low, high = ends
        if not low <= now <= high:
            raise DataError(
                f"WaterLaw.correction: stress_now = {now:.6g} Pa is not within its interval, {low:.6g} to {high:.6g} Pa."
            )
        return now, (np.log(now / low), np.log(high / now)), 0.0, f"{by}, {between(low, high, 'Pa')}"
    said, half = "", 0.0
    if spread is None and law.reading_spread is None:
        spread, said = ASSUMED_SPREAD, ", assumed"
    elif spread is None:
        alike = law.reading_spread > 0.999 * LEAST_SPREAD
        spread, half = max(law.reading_spread, LEAST_SPREAD), law.reach * law.reading_spread
        own = written(law.reading_spread, "%", 2)
        own = f"{own} was stated of the readings of the law" if law.spread_stated else f"the law's own scatter by {own}"
        as_law = " as was stated of the readings of the law" if law.spread_stated else " as the readings of the law"
        said = as_law if alike else f", as is usual of a test ({own})"
    not_negative("WaterLaw.correction", relative_uncertainty=spread)
    by = (
        f"{by}, {written(spread, '%', 2)}{said}"
        if spread
        else "the slope's interval alone: the yield stress is taken as exact"
    )
    return now, (max(half, law.normal * spread),) * 2, 0.0, by


def _stress(value):
    """Return one yield stress [Pa]; a quantity with a unit is converted."""
    stress = in_si("WaterLaw.correction", "stress_now", value, QUANTITIES["yield_stress"])
    if np.ndim(stress):
        raise DataError(
            f"WaterLaw.correction: stress_now = {value!r:.40} is not one number; give the yield stress in Pa, and how well "
            "it is known as stress_now_spread (0.15 for 15 %), or an interval with value, low and high."
        )
    positive("WaterLaw.correction", yield_stress=stress)
    return float(stress)


def _changes(law, fall, halves, away):
    """Return the change of water content [-] for a fall of ln stress [-], with Fieller's limits.

    `halves` are the half widths of the fall, down and up; `away` is how far the batch lies from the centre of the
    line that gave both, 0 where the yield stress was read apart.
    """
    steep, flat = law.high - law.slope, law.slope - law.low
    found = []
    for way, half, slope_half in zip((-1, 1), halves, (steep, flat) if fall >= 0 else (flat, steep), strict=True):
        lead, rest = law.slope**2 - slope_half**2, fall**2 - half**2
        middle = fall * law.slope + away * slope_half**2
        root = middle**2 - lead * rest
        endless = lead <= 0 and (rest <= 0 or (way > 0) == (fall >= 0))
        found.append(way * np.inf if endless else (middle + way * np.sqrt(max(root, 0.0))) / lead)
    return fall / law.slope, *found
