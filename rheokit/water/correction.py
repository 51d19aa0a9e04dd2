"""What to add to a batch that came out too stiff or too soft, with an interval for all that is not known exactly."""

from typing import NamedTuple

import numpy as np

from ..errors import DataError
from ..inputs import not_negative, positive
from ..recipe import dry_basis
from .amounts import premix

FIRST_SHARE = 2 / 3
"""Share of a correction to add before the next test [-]; common practice, no source."""

ASSUMED_SPREAD = 0.2
"""Standard deviation of ln of one yield stress, where neither it nor the law's readings tell: 0.15 for a loaded plate
to 0.25 for a slump [-]; common practice, no source."""


class Correction(NamedTuple):
    """What to add to a batch [kg] with its 95 % interval, how much of it first, and the water content aimed at [-].

    The interval is of the mass that makes the yield stress of the batch the one wanted. Below 0 the batch may be past
    it already.
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

    def __str__(self):
        amount, low, high, first = (f"{1e3 * mass:.3g}" for mass in (self.mass, self.low, self.high, self.first))
        low = "nothing, for it may be right already," if self.low <= 0 else low
        high = "no limit, for the slope may be nothing" if np.isinf(self.high) else f"{high} g"
        if not self.mass:
            less = "any amount" if np.isinf(self.low) else f"{-1e3 * self.low:.3g} g"
            return (
                f"The batch reads as wanted: add nothing. It may hold {less} of water too much or lack {high} of it "
                f"(95 %, by {self.by})."
            )
        return (
            f"Add {amount} g of {self.what} in all (95 % {low} to {high}, by {self.by}). Add {first} g of it first, "
            "mix, rest and test as before, then work out again what is left."
        )


def corrected(law, mass, water_content, stress_now, stress_now_spread, stress_wanted, premix_moisture):
    """Return the `Correction` of a batch; the arguments are those of ``WaterLaw.correction``."""
    if law.low is None:
        raise DataError(
            "WaterLaw.correction: the slope has no interval; give low and high with it, or fit three readings."
        )
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
        raise DataError(
            f"WaterLaw.correction: the batch would have to come down to water_content = {water_content + change:.3g}"
            ", which the dry premix cannot bring it to; dry the premix, or start a new batch."
        )
    return Correction(
        "water" if water else "dry premix",
        *map(float, (best, *limits, FIRST_SHARE * best)),
        *(float(water_content + one) for one in (change, low, high)),
        by,
    )


def _stress_there_is(law, read, spread, water_content):
    """Return the yield stress [Pa], half widths of its ln down and up, whether tied to the slope, and words."""
    normal = law.normal
    by = "the slope's interval and that of the yield stress"
    if read is None:
        now, low, _ = law.band(water_content)
        return now, (np.log(now / low),) * 2, water_content - law.centre, f"{by} of the same line"
    now = getattr(read, "value", read)
    positive("WaterLaw.correction", yield_stress=now)
    by += " just read"
    if spread is None and hasattr(read, "low"):
        positive("WaterLaw.correction", yield_stress=(read.low, read.high))
        return (
            now,
            (np.log(now / read.low), np.log(read.high / now)),
            0.0,
            f"{by}, {read.low:.3g} to {read.high:.3g} Pa",
        )
    said = ""
    if spread is None:
        spread = ASSUMED_SPREAD if law.reading_spread is None else law.reading_spread
        said = ", assumed" if law.reading_spread is None else " as the readings of the law"
    not_negative("WaterLaw.correction", relative_uncertainty=spread)
    by = (
        f"{by}, {100 * spread:.2g} %{said}"
        if spread
        else "the slope's interval alone: the yield stress is taken as exact"
    )
    return now, (normal * spread,) * 2, 0.0, by


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
