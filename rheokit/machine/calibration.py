"""What really comes out: flow factor from caught masses, and the line that flow lays."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import ClassVar, NamedTuple

import numpy as np

from ..brief import brief
from ..checking import Check
from ..errors import DataError
from ..hints import Numbers
from ..inputs import guarded, positive, require, settled
from ..nomenclature import number, with_limits, written
from ..part.shape import line_section, speed_ratio, width_of_flow
from ..sampling import LEVEL

CATCHES, SPREAD, SHORTEST = 3, 0.03, 30.0
"""Fewest catches [-], largest relative standard deviation [-] and shortest catch [s]; common practice, no source."""


class FlowFactor(NamedTuple):
    """The factor [-] on the flow setting that brings out the wanted mass, with the ends of its interval."""

    value: float
    low: float
    high: float


class LaidLine(NamedTuple):
    """A line: its section [m2] and width [m], and the mean speed in the bore over the print speed [-]."""

    section: Numbers
    width: Numbers
    speed_ratio: Numbers


@dataclass(frozen=True, kw_only=True, eq=False)
class FlowCalibration:
    """Masses caught at one flow setting.

    Parameters
    ----------
    masses : array-like, shape (N,)
        Each a catch of the same time; three or more. [kg]
    time : float
        Of one catch, 60 s is usual. [s]
    density : float
        Of the paste with its air. [kg/m3]
    flow_rate : float
        That was set. [m3/s]
    started_after : float, optional
        From the start of the drive to the start of the first catch. [s]
    steady_after : float, optional
        From the start of the drive to steady flow: the lag and five times the time constant of the rise. [s]
    relative_uncertainty : float
        Standard, common to all catches: density, clock and scale. [-]
    level : float
        Confidence of the interval. [-]
    """

    KNOWN_AS: ClassVar[Mapping[str, str]] = MappingProxyType(
        {"masses": "caught_mass", "started_after": "time", "steady_after": "time", "level": "confidence_level"}
    )

    masses: np.ndarray
    time: float
    density: float
    flow_rate: float
    started_after: float | None = None
    steady_after: float | None = None
    relative_uncertainty: float = 0.01
    level: float = LEVEL

    __repr__ = brief

    def __post_init__(self):
        if not np.size(self.masses):
            raise DataError("FlowCalibration: no masses; catch the paste for 60 s, three times, and weigh it.")
        with settled(self):
            masses = np.array(self.masses, float).ravel()
            masses.setflags(write=False)
            object.__setattr__(self, "masses", masses)
            positive("FlowCalibration", mass=masses, time=self.time, density=self.density, flow_rate=self.flow_rate)
            why = "must be between 0 and 1; 0.95 is 95 %"
            require("FlowCalibration", "confidence_level", self.level, 0 < self.level < 1, why)

    @property
    def wanted_mass(self) -> float:
        """Mass of one catch if the flow were as set [kg]."""
        return self.density * self.flow_rate * self.time

    @property
    def caught_mass(self) -> float:
        """Mean of the catches [kg]."""
        return float(self.masses.mean())

    @property
    def real_flow_rate(self) -> float:
        """Flow that came out [m3/s]."""
        return self.caught_mass / (self.density * self.time)

    @property
    def relative_spread(self) -> float:
        """Standard deviation of the catches over their mean [-]; nan of one catch."""
        return float(self.masses.std(ddof=1) / self.caught_mass) if self.masses.size > 1 else np.nan

    @cached_property
    def factor(self) -> FlowFactor:
        """The factor on the flow setting, with its interval [-]: see `FlowFactor`.

        The t interval of the mean of the catches, and what is common to them, in quadrature. One catch has no interval:
        its ends are nan, and a check says so.
        """
        from scipy.special import ndtri, stdtrit

        value, count = self.wanted_mass / self.caught_mass, self.masses.size
        if count < 2:
            return FlowFactor(value, np.nan, np.nan)
        repeats = stdtrit(count - 1, (1 + self.level) / 2) * self.relative_spread / np.sqrt(count)
        spread = np.exp(np.hypot(repeats, ndtri((1 + self.level) / 2) * self.relative_uncertainty))
        return FlowFactor(value, value / spread, value * spread)

    @cached_property
    def checks(self) -> tuple[Check, ...]:
        """What was asked of the catches: a tuple of `Check`."""
        count, spread, early = self.masses.size, self.relative_spread, self._early
        start, steady = ("not stated" if one is None else one for one in (self.started_after, self.steady_after))
        unasked = "Not judged: state steady_after and started_after." if self.steady_after is None else ""
        enough, alike, long = count >= CATCHES, bool(spread <= SPREAD), self.time >= SHORTEST
        return (
            Check("catches enough?", count, CATCHES, enough, "" if enough else FEW),
            Check("catches alike?", spread, SPREAD, alike, "" if alike else self._unlike),
            Check("catch long enough?", self.time, SHORTEST, long, "" if long else SHORT),
            Check("caught in steady flow?", start, steady, not early, early or unasked),
        )

    @property
    def trusted(self) -> bool:
        """Whether every check passed."""
        return all(check.passed for check in self.checks)

    @property
    def corrected_flow_rate(self) -> float:
        """The flow to set so that the wanted one comes out [m3/s].

        Raises
        ------
        DataError
            If a check failed: a factor from such catches would carry their fault into every line.
        """
        if not self.trusted:
            raise DataError(f"FlowCalibration: {self.verdict} The factor alone is in `factor`.")
        return self.factor.value * self.flow_rate

    @property
    def verdict(self) -> str:
        """The factor in words, or why it is not to be used."""
        if self.trusted:
            return f"Multiply the flow setting by {with_limits(*self.factor, before='')}."
        failed = " ".join(check.comment for check in self.checks if not check.passed)
        return f"Do not correct the flow by {number(self.factor.value)} yet. {failed}"

    @guarded
    def line(self, print_speed: float, layer_height: float, diameter: float) -> LaidLine:
        """Return the `LaidLine` of the flow that came out, at a print speed [m/s], layer height [m] and bore [m]."""
        section = self.real_flow_rate / print_speed
        width = width_of_flow(self.real_flow_rate, print_speed, layer_height)
        return LaidLine(section, width, speed_ratio(section, diameter))

    # --- words --------------------------------------------------------------------------------------------------

    @property
    def _unlike(self):
        if self.masses.size < 2:
            return "One catch says nothing of the scatter."
        return (
            f"The catches differ by {written(self.relative_spread, '%', 2)} (standard deviation; {number(100 * SPREAD)} % is "
            "usual): look for air, lumps, or a flow that still rises."
        )

    @property
    def _early(self):
        if self.started_after is None or self.steady_after is None:
            return "" if self.steady_after is None else "State started_after: the flow needs time to become steady."
        if self.started_after >= self.steady_after:
            return ""
        return (
            f"The first catch began after {written(self.started_after, 's')}, but the flow is steady only after "
            f"{written(self.steady_after, 's')}: wait, and catch again."
        )


FEW = f"Catch at least {CATCHES} times."
SHORT = f"Catch for at least {SHORTEST:g} s: start and stop of a short catch weigh too much."


@guarded
def planned_line(
    width: Numbers, layer_height: Numbers, print_speed: Numbers, diameter: Numbers
) -> tuple[Numbers, Numbers]:
    """Return the flow that a line needs, and the speed ratio that follows.

    Parameters
    ----------
    width, layer_height : float or array-like
        Of the line. [m]
    print_speed : float or array-like
        [m/s]
    diameter : float or array-like
        Bore. [m]

    Returns
    -------
    flow_rate : float or ndarray
        Section times print speed. [m3/s]
    speed_ratio : float or ndarray
        Mean speed in the bore over the print speed; outside 0.7 to 1.25 the line is dragged or heaped (common practice,
        no source). [-]
    """
    section = line_section(width, layer_height)
    return section * print_speed, speed_ratio(section, diameter)
