"""What pushes the plunger: a screw, air or a hand; how strong each is, what it holds constant, and how it can hurt.

A screw holds the flow, and the pressure follows the paste; air and a hand hold the pressure, and the flow follows it.
`screws` gives the efficiency of a screw of which only the thread and its friction are known.
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from ..brief import brief
from ..errors import DataError
from ..hints import Numbers
from ..inputs import guarded, settled
from ..units import ATMOSPHERE, in_metres
from .screws import lead_angle, lowering_torque, raising_torque, screw_efficiency

__all__ = [
    "CONSIDERABLE", "EASY", "GREAT", "AirDrive", "Drive", "HandDrive", "ScrewDrive", "lead_angle", "lowering_torque",
    "raising_torque", "screw_efficiency", "stored_energy",
]  # fmt: skip


def _positive(drive, **values):
    for name, (value, unit) in values.items():
        if not np.all(np.asarray(value, float) > 0):
            raise DataError(f"{type(drive).__name__}: {name} = {np.min(value):g} {unit} must be a positive number.")


@dataclass(frozen=True, kw_only=True, eq=False)
class ScrewDrive:
    """A motor that pushes through a screw: it holds the flow.

    Parameters
    ----------
    torque : float or array-like
        Of the motor, at the speed it runs. [N·m]
    lead : float or array-like
        Travel of the nut in one turn of the screw: pitch times starts. [m]
    efficiency : float or array-like
        Share of the work that reaches the plunger, see `screw_efficiency`. [-]
    gear_ratio : float or array-like
        Turns of the motor to one of the screw. [-]
    """

    controls = "flow"
    compressed_gas = False
    hazards = ("barrel", "tip", "pinch", "stall")

    torque: Numbers
    lead: Numbers
    efficiency: Numbers
    gear_ratio: Numbers = 1.0

    __repr__ = brief

    def __post_init__(self):
        with settled(self):
            _positive(self, torque=(self.torque, "N·m"), lead=(self.lead, "m"), gear_ratio=(self.gear_ratio, "-"))
            _positive(self, efficiency=(self.efficiency, "-"))
            if np.any(np.greater(self.efficiency, 1)):
                raise DataError(f"ScrewDrive: efficiency = {np.max(self.efficiency):g} is a share and cannot exceed 1.")
            in_metres("ScrewDrive", "lead", self.lead, 0.1, "longer than any screw's")

    @property
    def force(self) -> Numbers:
        """Force at which the motor stalls [N]: 2π M e G / lead."""
        return 2 * np.pi * self.torque * self.efficiency * self.gear_ratio / self.lead

    @guarded
    def torque_for(self, force: ArrayLike) -> Numbers:
        """Return the torque [N·m] of the motor that a force [N] on the plunger takes."""
        return np.asarray(force, float)[()] * self.lead / (2 * np.pi * self.efficiency * self.gear_ratio)

    @guarded
    def available_force(self, barrel_area: ArrayLike) -> Numbers:
        """Return the greatest force [N] on the plunger of a barrel of a section [m2]: the same for each."""
        return self.force


@dataclass(frozen=True, eq=False)
class AirDrive:
    """Air from a regulator on the plunger: it holds the pressure.

    Parameters
    ----------
    pressure : float or array-like
        Gauge pressure at the regulator. [Pa]
    """

    controls = "pressure"
    compressed_gas = True
    hazards = ("barrel", "tip", "stored gas")
    KNOWN_AS = MappingProxyType({"pressure": "drive_pressure"})

    pressure: Numbers

    __repr__ = brief

    def __post_init__(self):
        with settled(self):
            _positive(self, pressure=(self.pressure, "Pa"))

    @guarded
    def available_force(self, barrel_area: ArrayLike) -> Numbers:
        """Return the force [N] on the plunger of a barrel of a section [m2]: pressure times section."""
        return self.pressure * np.asarray(barrel_area, float)[()]


EASY, CONSIDERABLE, GREAT = 12.0, 38.0, 64.0
GRADES = ((EASY, "easy"), (CONSIDERABLE, "considerable"), (GREAT, "great"))
"""Force by hand [N] up to which the effort is called so; beyond the last nothing could be injected."""


@dataclass(frozen=True, eq=False)
class HandDrive:
    """A thumb on the plunger: it holds the pressure, more or less.

    Parameters
    ----------
    force : float or array-like
        The most that is asked of the hand; 38 N is where the effort begins to be called great. Beyond 64 N, which no
        hand injects with, limits hold it to 64 N. [N]

    Notes
    -----
    Grades: Robinson et al. 2020 (force and effort in injections by hand; R² 0.89 between them): easy below 12 N,
    considerable to 38 N, great to 64 N, beyond that not injectable. Hands differ. Every page and every limit takes
    its words from here.
    """

    BANDS = f"easy to {EASY:g} N, considerable to {CONSIDERABLE:g} N, great to {GREAT:g} N, then not injectable"

    controls = "pressure"
    compressed_gas = False
    hazards = ("barrel", "tip", "hand")
    KNOWN_AS = MappingProxyType({"force": "hand_force"})

    force: Numbers = CONSIDERABLE

    __repr__ = brief

    def __post_init__(self):
        with settled(self):
            _positive(self, force=(self.force, "N"))

    @guarded
    def available_force(self, barrel_area: ArrayLike) -> Numbers:
        """Return the force [N] on the plunger of a barrel of a section [m2]: the same for each."""
        return self.force

    @staticmethod
    @guarded
    def grade(force: float) -> str:
        """Return in words how hard a force [N] is to push by hand."""
        return next((word for most, word in GRADES if force <= most), "not injectable")

    @classmethod
    def effort(cls, force: float) -> str:
        """Return in words how hard a force [N] is to push by hand, with the forces between which it is called so."""
        ends = [0.0, *(most for most, _ in GRADES)]
        place = sum(force > most for most in ends[1:])
        if place == len(GRADES):
            return f"{cls.grade(force)}: above {GREAT:g} N"
        return f"{cls.grade(force)} effort: {ends[place]:g} to {ends[place + 1]:g} N"


Drive: TypeAlias = ScrewDrive | AirDrive | HandDrive
"""What pushes a plunger."""


@guarded
def stored_energy(gas_volume: Numbers, pressure: Numbers, atmospheric_pressure: Numbers = ATMOSPHERE) -> Numbers:
    """Return the work that compressed gas does against the air when a barrel opens.

    Parameters
    ----------
    gas_volume : array-like
        Volume of the gas as it is, compressed. [m3]
    pressure : array-like
        Gauge pressure. [Pa]
    atmospheric_pressure : array-like
        [Pa]

    Returns
    -------
    energy : float or ndarray
        Isothermal expansion to the pressure of the air, less the work that pushes the air away. [J]
    """
    absolute = np.asarray(pressure, float) + atmospheric_pressure
    ratio = absolute / atmospheric_pressure
    return (absolute * gas_volume * (np.log(ratio) - 1 + 1 / ratio))[()]
