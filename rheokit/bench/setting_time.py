"""Setting time: how long a liquid takes to set at temperatures below its gel point."""

from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..machine.cautions import CAUTIONS
from ..nomenclature import QUANTITIES, Quantity, number, written
from ..sampling import by_scatter, widened
from .base import column, dimension
from .measured import FARTHEST, Property
from .property_test import PropertyTest

BELOW = 10.0  # K below the gel point, at which a setting time is told
EXPONENT = 2.0, 0.3
"""Exponent where the temperatures do not tell it better, and its standard deviation [-]; common practice, no source."""


@dataclass(frozen=True, kw_only=True, eq=False)
class SettingTime(PropertyTest):
    """Times until a liquid no longer flows, held at temperatures below its gel point.

    Parameters
    ----------
    gel_temperature : float
        As an inverted tube tells it. [K]
    temperature : array-like, shape (N,)
        At which it was held; two or more of them tell the exponent. [K]
    setting_time : array-like, shape (N,)
        From the moment it had the temperature until it no longer flowed. [s]

    Notes
    -----
    t = t_10 (10 K/(T_gel - T))^p, a straight line of ln t: a local rule between the temperatures measured. Where they tell p no better than
    to 0.3, p = 2 ± 0.3 is taken. The gel point is taken as stated: both limits hold for that gel point alone, and their origin says what
    1 K more makes of them. Drawn with the gel point's own error, times to set at 10 to 15 °C held in 0.92 to 0.97 of 300 invented benches read
    at 20 to 30 °C; near the temperatures read they are told too wide.
    """

    kind = "setting time"
    reads = "setting_time"
    gives = ("setting_time", "setting_exponent")
    of_paste = ("water_content", "age")
    serves = ("gel",)
    default_model_error = 0.2
    usual_scatter = 0.15
    formula = "ln t = ln t_10 + p ln[10 K/(T_gel - T)]"
    source = "common practice, no source: a power of the kelvins below the gel point"
    example = (
        Example(
            given={
                "gel_temperature": 305.65,
                "temperature": (303.15, 299.15, 292.65, 292.65),
                "setting_time": (97.0, 14.6, 3.6, 3.9),
            },
            expected={
                "setting_time": 6.2771983,
                "spread of setting_time": 0.0490418871,
                "setting_exponent": 1.9731113,
                "spread of setting_exponent": 0.0331766094,
            },
            source=(
                "straight line of ln t against x = ln[10/(305.65 - T)] in 25 digits: residual sd 0.0403113 with 2 degrees of freedom, times "
                "4.3026527/1.9599640, over sqrt(sum (x - mean)^2) for the slope; both ends of the line for x = 0"
            ),
        ),
        Example(
            given={"gel_temperature": 305.65, "temperature": 299.15, "setting_time": (17.0, 19.0, 16.0)},
            expected={
                "setting_time": 7.30467472,
                "spread of setting_time": 0.170013855,
                "setting_exponent": 2.0,
                "spread of setting_exponent": 0.15,
            },
            source=(
                "by hand: exp(mean ln t - 2 x), x = ln(10/6.5); sqrt((sd of ln t)^2/3*(4.3026527/1.9599640)^2 + (0.3 x)^2); 0.3/2"
            ),
        ),
    )
    artefacts = (
        "a wide sample takes longer to cool than to set: a straw 2 mm wide has the temperature of its bath after three seconds, 6 mm after half a minute",
        "a gel that is stirred while it sets, sets later: tilt it, and do not shake",
        "what touches the cold wall sets first: it is set when the middle no longer moves",
    )
    tools = ("tube", "thermometer", "water bath", "timer")
    usual: ClassVar[dict] = {"gel_temperature": 306.15, "temperature": (302.15, 296.15)}
    usual_readings = ((20.0, 3.0), (200.0, 30.0))
    protocol = (
        "Draw warm liquid into a thin clear straw, close its end, and dip it into a water bath of a temperature well below the gel point, such as "
        "{temperature} for a gel point of {gel_temperature}. Tilt it every few seconds and note when its middle no longer moves. Make three at each "
        "of two temperatures or more, as cold as the thread will be and as near the gel point as patience allows."
    )
    caution = f"Draw it up with a bulb or a syringe, never with the mouth. {CAUTIONS['hot gel']}"

    gel_temperature: float = dimension()
    temperature: np.ndarray = column(positive=False)
    setting_time: np.ndarray = column(quantity=Quantity("t", "s", "time until it no longer flows", (0.05, 1e6)))

    def faults(self) -> list[str]:  # noqa: D102
        wrong = self.temperature >= self.gel_temperature
        if not wrong.any():
            return self._reversed()
        found, gel = (written(float(one), "K") for one in (self.temperature[wrong][0], self.gel_temperature))
        return [
            f"temperature = {found} in {self.rows_where(wrong)} is not below gel_temperature, {gel}, so it never sets there; leave such rows out, "
            "or check the unit of either"
        ]

    def _reversed(self):
        """Return in words that the times do not fall with the cold, by more than the usual errors explain."""
        exponent, _, usual, *_ = self._slope()
        apart = (EXPONENT[0] - exponent) / np.hypot(usual, EXPONENT[1])
        if not (apart > FARTHEST and exponent < QUANTITIES["setting_exponent"].likely[0]):
            return []
        ends = (int(np.argmin(self.temperature)), int(np.argmax(self.temperature)))
        cold, warm = (f"{written(self.setting_time[k], 's')} at {written(self.temperature[k], 'K')}" for k in ends)
        return [
            f"it set in {cold} and in {warm}, and colder must set faster; are the times swapped, or was it not yet as cold as its bath?"
        ]

    def _slope(self):
        """Return p as a straight line has it, its error and the usual one, the size of an error, and what the line was laid through.

        Both errors are infinite at one temperature.
        """
        below = np.log(BELOW / (self.gel_temperature - self.temperature))
        told = np.log(self.setting_time)
        weights = self._weights
        middle = np.sum(weights * below) / np.sum(weights)
        spread = float(np.sum(weights * (below - middle) ** 2))
        height = np.sum(weights * told) / np.sum(weights)
        several = spread > 1e-12 * np.sum(weights)
        slope = float(np.sum(weights * (below - middle) * (told - height)) / spread) if several else EXPONENT[0]
        left = told - height - slope * (below - middle)
        size = self._size(weights, left, 1 + several)
        error, usual = (one / np.sqrt(spread) if several else np.inf for one in (size, self._usual_size))
        return slope, error, usual, size, (weights, below, told, middle, height)

    @property
    def _line(self):
        """Whole of the fit: (ln t_10, p), their standard deviations, and whether p was told by the readings."""
        slope, error, usual, size, (weights, below, told, middle, height) = self._slope()
        # `usual` and not `error` says whether p is told: small errors by chance would be picked
        if told_well := bool(usual <= EXPONENT[1] and slope > 2 * error):
            exponent = slope
        else:
            (exponent, error), size = EXPONENT, self._size(weights, told - height - EXPONENT[0] * (below - middle), 1)
        start = height - exponent * middle
        doubt = np.hypot(size / np.sqrt(np.sum(weights)), error * middle)
        return start, exponent, doubt, error, told_well

    @property
    def _usual_size(self):
        """Standard deviation of a reading of weight 1 that is to be expected."""
        return 1.0 if self.error_is_known and not self.rounding_alone else self.usual_scatter

    @property
    def _weights(self):
        """How much each reading counts: one over the variance of its ln where that was stated, else alike."""
        if not self.error_is_known or self.rounding_alone:
            return np.ones(len(self.setting_time))
        return (self.setting_time / self.reading_errors) ** 2

    def _size(self, weights, left, parameters):
        """Return the standard deviation of a reading of weight 1 from what a line leaves of it."""
        free, squares = len(left) - parameters, float(np.sum(weights * left**2))
        stated = self.error_is_known and not self.rounding_alone
        if not stated and (free < 1 or squares <= 1e-18 * free):
            return self.usual_scatter
        size, freedom = by_scatter(squares, free, stated)
        seen = size * widened(freedom)
        return (
            seen if stated or free > 1 else max(seen, self.usual_scatter)
        )  # one to spare may lie on the line by chance

    def properties(self) -> dict[str, Property]:
        """Return the time to set 10 K below the gel point [s] and its exponent [-]."""
        start, exponent, doubt, error, told = self._line
        temperatures = len(np.unique(self.temperature))
        origin = f"{self.name}, {len(self.setting_time)} reading{'s' * (len(self.setting_time) > 1)} at {temperatures} temperature{'s' * (temperatures > 1)}"
        if not told:
            origin += f"; the exponent {number(EXPONENT[0])} ± {EXPONENT[1]:g} is usual, these readings tell none"
        warmer = replace(self, gel_temperature=self.gel_temperature + 1.0)._line
        origin += f"; for a gel point of {written(self.gel_temperature, 'K')}: 1 K more makes them {written(np.exp(warmer[0]), 's')} and {number(warmer[1])}"
        return {
            "setting_time": Property(float(np.exp(start)), float(np.hypot(doubt, self.model_error)), origin),
            "setting_exponent": Property(float(exponent), float(error / exponent), origin),
        }
