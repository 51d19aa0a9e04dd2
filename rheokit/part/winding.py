"""A fibre to be drawn and wound: flow, speed, gap, temperatures, bath, and how far they are missed."""

from dataclasses import dataclass

import numpy as np

from ..brief import brief
from ..errors import DataError
from ..hints import Numbers
from ..inputs import guarded, not_negative, positive, require, settled, share
from ..units import ZERO_CELSIUS
from .drying.air import FROZEN
from .job import FIBRE, Job, heated

ABOVE_ZERO = (
    "throughput",
    "winding_speed",
    "gap",
    "nozzle_temperature",
    "barrel_temperature",
    "air_temperature",
    "bath_temperature",
    "dry_diameter",
    "pause",
    "needle_outer_diameter",
    "longest_lag",
)
WET = ("nozzle_temperature", "barrel_temperature", "air_temperature")


@dataclass(frozen=True, kw_only=True, eq=False)
class FibreJob(Job):
    """A fibre and the way it is drawn: out of a nozzle, over a gap in air, through a bath or not, onto a drum.

    Parameters
    ----------
    throughput : float or array-like
        Flow through the nozzle. [m3/s]
    winding_speed : float or array-like
        Speed of the drum's surface. [m/s]
    gap : float or array-like
        Way in the air, from the nozzle to the surface of the bath or, without a bath, to the drum. [m]
    nozzle_temperature : float or array-like, optional
        Of the wall of a heated nozzle along its whole length; None: a bare needle in the air. [K]
    barrel_temperature : float or array-like
        Of the paste in the barrel. [K]
    air_temperature : float or array-like
        [K]
    relative_humidity : float or array-like
        [-]
    draught : float or array-like
        Speed of the air across the fibre: 0.05 to 0.15 in a room; 0 is on the safe side. [m/s]
    bath_length : float or array-like
        Way through the bath; 0: none. [m]
    bath_temperature : float or array-like, optional
        [K]
    dry_diameter : float or array-like, optional
        That is wanted. [m]
    dry_diameter_tolerance : float
        Share by which it may be missed. [-]
    held : bool
        True where it dries on the drum, held at its length; False where it dries loose and shortens.
    pause : float or array-like, optional
        Longest time for which the flow stops. [s]
    needle_outer_diameter : float or array-like, optional
        [m]
    longest_lag : float, optional
        Longest wait between the start of the drive and the flow that the job allows. [s]
    temperature_error : float
        Standard deviation of the temperature at which the paste leaves the nozzle. [K]
    flow_error, speed_error, bore_error : float
        Relative standard deviations of flow, winding speed and bore. [-]
    """

    kind = FIBRE

    throughput: Numbers
    winding_speed: Numbers
    gap: Numbers
    nozzle_temperature: Numbers | None = None
    barrel_temperature: Numbers = 333.15
    air_temperature: Numbers = 295.15
    relative_humidity: Numbers = 0.5
    draught: Numbers = 0.0
    bath_length: Numbers = 0.0
    bath_temperature: Numbers | None = None
    dry_diameter: Numbers | None = None
    dry_diameter_tolerance: Numbers = 0.1
    held: bool = True
    pause: Numbers | None = None
    needle_outer_diameter: Numbers | None = None
    longest_lag: Numbers | None = None
    temperature_error: Numbers = 1.0
    flow_error: Numbers = 0.03
    speed_error: Numbers = 0.01
    bore_error: Numbers = 0.01

    __repr__ = brief

    def __post_init__(self):
        heated("FibreJob", self)
        with settled(self):
            given = {name: value for name in ABOVE_ZERO if (value := getattr(self, name)) is not None}
            positive("FibreJob", **given)
            not_negative("FibreJob", draught=self.draught, bath_length=self.bath_length)
            share("FibreJob", relative_humidity=self.relative_humidity)
            for name in WET:
                if (value := given.get(name)) is not None:
                    require("FibreJob", name, value, np.greater_equal(value, ZERO_CELSIUS), FROZEN)
        if self.bath_temperature is None and self.has_bath:
            raise DataError("FibreJob: a bath needs its bath_temperature [K].")

    @property
    def has_bath(self) -> bool:
        """Whether the fibre goes through a bath."""
        return bool(np.any(np.greater(self.bath_length, 0)))

    @guarded
    def flow_rate(self, bore: Numbers) -> Numbers:
        """Return the throughput [m3/s], whatever the bore [m] is."""
        return self.throughput
