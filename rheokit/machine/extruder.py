"""Barrel, plunger, nozzle and drive: force and pressure to run, and the least that will start.

Takes a law, knows no fit. All pressures are gauge pressures at the plunger face.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from ..brief import brief
from ..errors import DataError
from ..flow.budget import Part, budget_table
from ..flow.channel import Channel, Slip
from ..flow.nozzles import Nozzle
from ..flow.segments import WIDEST, Cylinder, apparent_rate
from ..hints import Numbers, Table
from ..inputs import guarded, judging, positive, require, settled
from ..laws import FlowLaw, Shifted
from ..things import a
from ..units import in_metres
from .cautions import CAUTIONS
from .drives import Drive
from .lower_bound import BREAK_LOOSE, NO_YIELD_STRESS, RIGID, STATIC, lower_bound

CAUTION = CAUTIONS["barrel"]
UNRATED = 100e3
"""The most for a barrel without a printed rating, by screw or hand [Pa]; common practice, no source."""
OF_THE_RATING = 0.5
"""The share of a printed rating that is used; common practice, no source [-]."""


class Stiffer(NamedTuple):
    """What a stiffer batch changes, as ratios: the flow at the same pressure, the pressure at the same flow [-]."""

    flow_ratio: Numbers
    pressure_ratio: Numbers


@dataclass(frozen=True, kw_only=True, eq=False)
class Extruder:
    """A filled barrel with a plunger behind and a nozzle in front.

    Parameters
    ----------
    barrel_diameter : float or array-like
        Bore of the barrel. [m]
    fill_length : float or array-like
        Length of barrel filled with paste, to the step face; it falls as the plunger moves. [m]
    nozzle : Nozzle
    plunger_friction : float or array-like
        Gliding friction, measured with an empty barrel at the same speed. [N]
    barrel_drag : float or array-like
        Share of the no-slip wall stress that the barrel wall carries: 1 no slip, 0 greased or slipping freely. [-]
    drive : ScrewDrive, AirDrive or HandDrive, optional
        What pushes the plunger.
    pressure_rating : float or array-like, optional
        The rating printed on the barrel, at the temperature at hand; None: it carries none. [Pa]
    break_loose_friction : float or array-like, optional
        Peak friction of the plunger at the start. [N]
    compliance : float or array-like, optional
        Volume that barrel and plunger give way by per pressure; squeeze the sealed barrel full of water. Where it is not
        given it is at least 0, and lag, ooze and retraction are lower bounds. [m3/Pa]
    slip : Slip, optional
        Slip at the wall of the land, as a pressure run measures it. The nozzle must then end in a Cylinder.
    apparatus : str
        What the bench that read this extruder calls it: a fit then lends it what it knows of that apparatus.
    """

    barrel_diameter: Numbers
    fill_length: Numbers
    nozzle: Nozzle
    plunger_friction: Numbers = 0.0
    barrel_drag: Numbers = 1.0
    drive: Drive | None = None
    pressure_rating: Numbers | None = None
    break_loose_friction: Numbers | None = None
    compliance: Numbers = RIGID
    slip: Slip | None = None
    apparatus: str = ""

    __repr__ = brief

    def __post_init__(self):
        if self.compliance is None:
            object.__setattr__(self, "compliance", RIGID)
        a("Nozzle", "Extruder", "nozzle", self.nozzle)
        if self.slip is not None:
            a("Slip", "Extruder", "slip", self.slip)
        with settled(self):
            rated = {} if self.pressure_rating is None else {"pressure_rating": self.pressure_rating}
            positive("Extruder", barrel_diameter=self.barrel_diameter, **rated)
            wide = "wider than any barrel rheokit knows"
            in_metres("Extruder", "barrel_diameter", self.barrel_diameter, WIDEST, wide)
            self.nozzle.parts(self.barrel_diameter)  # says so if the nozzle is wider than the barrel
            if self.slip is not None and self.channel.land is None:
                raise DataError(
                    "Extruder: slip is measured on a straight land, but the last segment of this nozzle is a taper; end it "
                    "in a Cylinder, however short, or leave slip out."
                )
            if self.drive is not None and not hasattr(self.drive, "available_force"):
                raise TypeError(f"Extruder: {self.drive!r} is no drive; give a ScrewDrive, an AirDrive or a HandDrive.")
        if self.break_loose_friction is not None and judging():  # a fit or a map may move one of the two alone
            _peak("Extruder", self.break_loose_friction, self.plunger_friction)

    @property
    def area(self) -> Numbers:
        """Section of the barrel [m2]."""
        return np.pi * np.square(self.barrel_diameter) / 4

    @cached_property
    def channel(self) -> Channel:
        """The `Channel` from the plunger face to the tip."""
        return Channel(nozzle=self.nozzle, inlet_diameter=self.barrel_diameter, slip=self.slip,
                       barrel_length=self.fill_length, barrel_drag=self.barrel_drag)  # fmt: skip

    @property
    def parts(self) -> list[Part]:
        """Every part of the pressure budget, the barrel first."""
        parts = self.nozzle.parts(self.barrel_diameter)
        if self.slip is not None:
            wall = parts[-1]

            def with_slip(law, flow_rate):
                return wall.pressure_drop(law, flow_rate) - self.channel.slip_relief(law, flow_rate)

            parts[-1] = Part(f"{wall.name} with slip", f"{wall.model}; slip velocity", with_slip, wall.start_factor)
        if not np.any(np.greater(self.fill_length, 0)):
            return parts
        barrel = Cylinder(diameter=self.barrel_diameter, length=np.maximum(self.fill_length, 1e-9))
        model = "shear flow along the barrel wall times the barrel drag factor"
        return [Part(f"barrel: {barrel.size}, wall", model, self._barrel_loss, self._barrel_factor), *parts]

    @property
    def _barrel_factor(self):
        return self.barrel_drag * 4 * self.fill_length / self.barrel_diameter

    def _barrel_loss(self, law, flow_rate):
        return self._barrel_factor * law.wall_shear_stress(apparent_rate(flow_rate, self.barrel_diameter))

    # --- while it runs ------------------------------------------------------------------------------------------

    @guarded
    def pressure(self, law: FlowLaw, flow_rate: Numbers) -> Numbers:
        """Return the pressure at the plunger face.

        Parameters
        ----------
        law : FlowLaw
        flow_rate : array-like
            Volume flow. [m3/s]

        Returns
        -------
        pressure : float or ndarray
            Barrel drag, converging flow and nozzle, less what slip relieves; plunger friction is not in it. [Pa]
        """
        nozzle = self.nozzle.pressure_drop(law, flow_rate, inlet_diameter=self.barrel_diameter)
        return self._barrel_loss(law, flow_rate) + nozzle - self.channel.slip_relief(law, flow_rate)

    @guarded
    def plunger_force(self, law: FlowLaw, flow_rate: Numbers) -> Numbers:
        """Return the force [N] on the plunger that keeps a flow [m3/s] going: pressure times section, and friction."""
        return self.pressure(law, flow_rate) * self.area + self.plunger_friction

    @guarded
    def flow_rate(self, law: FlowLaw, plunger_force: ArrayLike) -> Numbers:
        """Return the flow [m3/s] that a force [N] on the plunger keeps going: 0 where it is too weak to start."""
        pressure = (np.asarray(plunger_force, float) - self.plunger_friction) / self.area
        return self.channel.flow_rate(law, pressure)

    @guarded
    def flow_at(self, law: FlowLaw) -> Numbers:
        """Return the flow [m3/s] that the drive keeps going at its own constant pressure or force (air, hand)."""
        if getattr(self.drive, "controls", None) != "pressure":
            given = "no drive" if self.drive is None else f"a {type(self.drive).__name__}, which sets the flow itself"
            raise DataError(
                f"Extruder.flow_at: the extruder has {given}; give it an AirDrive or a HandDrive, or ask "
                "flow_rate(law, plunger_force)."
            )
        return self.flow_rate(law, self.drive.available_force(self.area))

    @guarded
    def flow_sensitivity(self, law: FlowLaw, flow_rate: ArrayLike) -> Numbers:
        """Return d ln Q / d ln p [-] at a flow [m3/s]: by how many % it follows 1 % of pressure at the plunger face.

        1 for a Newtonian liquid, 1/n far above yield, growing without end towards the start pressure.
        """
        up, down = (self.channel.pressure_drop(law, np.multiply(flow_rate, np.exp(step))) for step in (1e-3, -1e-3))
        return (2e-3 / np.log(up / down))[()]

    @guarded(factor="stress_factor")
    def stiffer(self, law: FlowLaw, factor: Numbers, flow_rate: Numbers) -> Stiffer:
        """Return what a batch does whose every stress is higher by a factor, in an extruder set up at a flow.

        Parameters
        ----------
        law : FlowLaw
            Of the usual batch.
        factor : array-like
            1.05 for a batch 5 % stiffer. [-]
        flow_rate : array-like
            Flow with the usual batch. [m3/s]

        Returns
        -------
        Stiffer
            Ratio of the flows at the same pressure (air) and of the pressures at the same flow (screw). [-]
        """
        batch, channel = Shifted(law, stress_factor=factor), self.channel
        usual = channel.pressure_drop(law, flow_rate)
        return Stiffer(channel.flow_rate(batch, usual) / flow_rate, channel.pressure_drop(batch, flow_rate) / usual)

    @property
    def pressure_limit(self) -> Numbers:
        """The most that the barrel may bear at the plunger face [Pa].

        Half the printed rating; 100 kPa by screw or hand where none is printed, and with compressed gas then nothing.
        """
        if self.pressure_rating is not None:
            return OF_THE_RATING * self.pressure_rating
        return 0.0 if getattr(self.drive, "compressed_gas", False) else UNRATED

    @property
    def blocked_pressure(self) -> Numbers | None:
        """What the drive makes at the plunger face when the tip is blocked [Pa]; None without a drive."""
        return None if self.drive is None else self.drive.available_force(self.area) / self.area

    # --- at rest ------------------------------------------------------------------------------------------------

    @property
    def start_factor(self) -> Numbers:
        """Start pressure at the plunger face over the yield stress [-]."""
        return sum(part.start_factor for part in self.parts)

    @guarded
    def start_pressure(self, law: FlowLaw, static_yield_stress: Numbers | None = None) -> Numbers:
        """Return the pressure [Pa] at the plunger face below which nothing shears (see `start_force`).

        Where the land slips, paste creeps out below it: see `ooze_pressure`.
        """
        at_rest = law.yield_stress if static_yield_stress is None else static_yield_stress
        return lower_bound(at_rest * self.start_factor, "Pa", _unread(law, static_yield_stress))

    @guarded
    def start_force(
        self, law: FlowLaw, static_yield_stress: Numbers | None = None, break_loose_friction: Numbers | None = None
    ) -> Numbers:
        """Return the force on the plunger below which nothing starts.

        Parameters
        ----------
        law : FlowLaw
            Its (dynamic) yield stress is used where no static one is given.
        static_yield_stress : array-like, optional
            Yield stress at the start of flow, after the actual rest. [Pa]
        break_loose_friction : array-like, optional
            Peak friction of the plunger at the start; the extruder's own, or else the gliding friction, where it is not
            given. [N]

        Returns
        -------
        start_force : float or ndarray
            Without both of the two the number is a lower bound, and its text says why. [N]
        """
        if break_loose_friction is not None:
            _peak("Extruder.start_force", break_loose_friction, self.plunger_friction)
        loose = self.break_loose_friction if break_loose_friction is None else break_loose_friction
        friction = self.plunger_friction if loose is None else loose
        force = self.start_pressure(law, static_yield_stress) * self.area + friction
        reasons = _unread(law, static_yield_stress) + [BREAK_LOOSE] * (loose is None)
        return lower_bound(force, "N", reasons)

    @guarded
    def ooze_pressure(self, law: FlowLaw) -> Numbers:
        """Return the pressure [Pa] at the plunger face down to which paste oozes from a stopped extruder.

        The start pressure with the dynamic yield stress, where the wall of the land, if it slips, holds no more than the
        slip threshold. The barrel holds its share `barrel_drag` of the yield stress: that factor stands for slip there.
        """
        return self.channel.pressure_drop(law, 0.0)

    @guarded
    def budget(self, law: FlowLaw, flow_rate: ArrayLike) -> Table:
        """Return a DataFrame of the pressure at the plunger face, one row a part, with its share and its model."""
        return budget_table(self.parts, law, flow_rate)


def _unread(law, static_yield_stress):
    """Return why a start by the yield stress of a law is a lower bound: it says nothing of a paste at rest."""
    if static_yield_stress is not None:
        return []
    return [STATIC if np.any(law.yield_stress) else NO_YIELD_STRESS]


def _peak(where, peak, gliding):
    why = f"is below plunger_friction, {np.max(gliding):g} N, and the peak at the start never is; check which is which"
    require(where, "break_loose_friction", peak, np.greater_equal(peak, gliding), why)
