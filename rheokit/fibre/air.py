"""The one course that every thread takes in an air: its temperature against a time that knows neither diameter nor speed.

dT/dt = -G(T)/τ_c, G = (T - T_a) + (h_fg(T)/1090)[a_w ρ_v(T) - RH ρ_v(T_a)]: what a thread loses to the air by convection and
by evaporation goes with the same heat transfer, which stands in τ_c alone. θ(T) = ∫ dT/G from 95 °C down is time over τ_c.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from ..hints import Numbers
from ..inputs import guarded, require
from ..part.drying.air import HEAT_PER_VAPOUR, latent_heat, vapour_density
from ..roots import increasing_root
from ..units import ZERO_CELSIUS
from .curves import Curve

HOTTEST = 368.15
"""Where the course begins: no thread is hotter [K]."""
NEAREST = 1e-3  # to its settled temperature, where the course ends [K]
STEPS = 256, 48  # of the course, even in ln(T - T_eq), of few airs and of many
NODES = (
    256,
    24,
)  # of the setting along it, even in the square root of its time, of few draws and of many: 1e-4, and mostly 6e-4
MANY = 1000  # rows of a table from which on they are the many, as on a map whose axes are both the air's
KEPT = 8  # courses, for whoever asks again: a map is worked in blocks of draws, which share their air
WATER_ACTIVITY = 0.98
"""Of a gel [-]; from memory."""


def heat_lost(temperature: Numbers, air_temperature: Numbers, in_air: Numbers, water_activity: Numbers) -> Numbers:
    """Return G [K], what a thread at a temperature [K] loses over its heat transfer; `in_air` is the air's vapour [kg/m3]."""
    vapour = water_activity * vapour_density(temperature) - in_air
    return temperature - air_temperature + latent_heat(temperature) / HEAT_PER_VAPOUR * vapour


@guarded
def settled_temperature(
    *, air_temperature: Numbers, relative_humidity: Numbers, water_activity: Numbers = WATER_ACTIVITY
) -> Numbers:
    """Return the temperature that a wet thread takes in the end: near the wet bulb, well below the air.

    Parameters
    ----------
    air_temperature : float or array-like
        [K]
    relative_humidity : float or array-like
        [-]
    water_activity : float or array-like
        Of the thread. [-]

    Returns
    -------
    temperature : float or ndarray
        Where convection brings what evaporation takes. [K]
    """
    air, humidity, activity = np.broadcast_arrays(
        *(np.asarray(one, float) for one in (air_temperature, relative_humidity, water_activity))
    )
    in_air = vapour_density(air, humidity)

    def excess(temperature):
        return heat_lost(np.clip(temperature, ZERO_CELSIUS, HOTTEST), air, in_air, activity)

    freezes = np.maximum(excess(np.full(air.shape, ZERO_CELSIUS)), 0.0)
    require(
        "settled_temperature", "air_temperature", air, freezes <= 0, "is so cold and dry that the thread would freeze"
    )
    return increasing_root(excess, air, step=4.0, tolerance=1e-10)[()]


def few_or_many(counts: tuple[int, int], rows: int) -> int:
    """Return how many steps a table of so many rows has."""
    return counts[rows > MANY]


class Course:
    """Temperature [K] against scaled time [-] in an air; rows of the shape of the air's own numbers.

    Parameters
    ----------
    air_temperature : float or array-like
        [K]
    relative_humidity : float or array-like
        [-]
    water_activity : float or array-like
        Of the thread. [-]
    """

    def __init__(self, air_temperature: Numbers, relative_humidity: Numbers, water_activity: Numbers) -> None:
        given = dict(
            air_temperature=air_temperature, relative_humidity=relative_humidity, water_activity=water_activity
        )
        self.settled = np.asarray(settled_temperature(**given), float)
        air, humidity, activity = (
            np.broadcast_to(np.asarray(one, float), self.settled.shape)[..., None] for one in given.values()
        )
        self.span = np.log((HOTTEST - self.settled) / NEAREST)
        x = np.linspace(0.0, 1.0, 2 * few_or_many(STEPS, self.settled.size) + 1) * self.span[..., None]
        above = (HOTTEST - self.settled[..., None]) * np.exp(-x)
        lost = heat_lost(self.settled[..., None] + above, air, vapour_density(air, humidity), activity)
        self.curve = Curve.summed(self.span[..., None] * above / lost)

    @property
    def end(self) -> Numbers:
        """The scaled time [-] from which on it has settled."""
        return self.curve.end

    def time_at(self, temperature: Numbers) -> Numbers:
        """Return the scaled time [-] at which a temperature [K] is reached: the end where it is settled or colder."""
        above = np.maximum(np.subtract(temperature, self.settled), NEAREST)
        return self.curve.at(np.clip(np.log((HOTTEST - self.settled) / above) / self.span, 0.0, 1.0))

    def temperature_at(self, time: Numbers) -> np.ndarray:
        """Return the temperature [K] at scaled times [-], along one more trailing axis than the rows have."""
        settled, end, span = (np.asarray(one)[..., None] for one in (self.settled, self.end, self.span))
        x = self.curve.lifted.reached(np.clip(time, 1e-12, end * (1 - 1e-14)))
        return settled + (HOTTEST - settled) * np.exp(-x * span)

    def along(self, rows: int) -> tuple[np.ndarray, np.ndarray]:
        """Return temperature [K] and the derivative of scaled time by y [-], even in y = (time/end)^(1/2), nodes and middles.

        There are fewer of them where many rows are to be tabulated along them.
        """
        y = np.linspace(0.0, 1.0, 2 * few_or_many(NODES, rows) + 1)
        end = np.asarray(self.end)[..., None]
        return self.temperature_at(end * y**2), 2 * end * y


def course(air_temperature: ArrayLike, relative_humidity: ArrayLike, water_activity: ArrayLike) -> Course:
    """Return the `Course` in an air [K], [-] of a thread of a water activity [-], the same one again where it was just asked for."""
    given = (np.asarray(one, float) for one in (air_temperature, relative_humidity, water_activity))
    return _kept(*((one.tobytes(), one.shape) for one in given))


@lru_cache(maxsize=KEPT)
def _kept(*given):
    return Course(*(np.frombuffer(data).reshape(shape) for data, shape in given))
