"""Flow through a barrel and a nozzle with slip, barrel drag and end loss: what extruder, pressure and force runs share.

Where the tip is a straight land, its wall stress is the unknown: the flow is then explicit in it (shear flow, and slip
where that is fitted), so pressure to flow costs one root search and not one inside another. Barrel drag is a factor on the
no-slip wall stress: slip fitted in the land does not act in the barrel a second time.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from types import MappingProxyType
from typing import ClassVar

import numpy as np
from numpy.typing import ArrayLike

from ..brief import brief
from ..hints import Numbers
from ..inputs import guarded, settled
from ..laws.base import FlowLaw
from ..roots import increasing_root
from .budget import flow_at_pressure
from .nozzles import Nozzle
from .segments import Cylinder, apparent_rate

SLIGHT = 0.02  # share of the pressure below which a barrel does not matter to what a law says of a flow
AS_READ = 1.02  # factor by which a rate may miss those that were read, and counts as one of them


def in_a_row(values: Sequence, counts: Sequence[int]) -> Numbers | None:
    """Return values of several records, each a number or an array of shape (..., N_i), as one array (..., sum of N_i)."""
    first = values[0]
    one_of_all = all(one is first for one in values) and np.shape(first)[-1:] in ((), (1,))
    if first is None or one_of_all or len(values) == 1:
        return first
    stacks = np.broadcast_shapes(*(np.shape(one)[:-1] for one in values))
    return np.concatenate([np.broadcast_to(one, (*stacks, n)) for one, n in zip(values, counts, strict=True)], axis=-1)


@dataclass(frozen=True, kw_only=True, eq=False)
class Slip:
    """Slip velocity at a wall, V_s = β max(0, τ_w - τ_s): coefficient [m/(Pa·s)] and threshold [Pa]."""

    KNOWN_AS: ClassVar[Mapping[str, str]] = MappingProxyType(
        {"coefficient": "slip_coefficient", "threshold": "slip_threshold"}
    )

    coefficient: Numbers
    threshold: Numbers

    __repr__ = brief

    def __post_init__(self):
        with settled(self):
            pass

    @guarded
    def velocity(self, wall_shear_stress: Numbers) -> Numbers:
        """Return the slip velocity [m/s] at a wall shear stress [Pa]."""
        return self.coefficient * np.maximum(wall_shear_stress - self.threshold, 0.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class Channel:
    """A nozzle behind an optional barrel, with an optional end correction of its land and slip at its wall.

    Parameters
    ----------
    nozzle : Nozzle
        Its last segment must be a Cylinder where `end_correction` or `slip` is given.
    inlet_diameter : float or None
        Of the barrel: the step into the nozzle then counts. [m]
    end_correction : array-like or None
        End loss as a length of land, L/D, instead of the converging-flow formula. [-]
    slip : Slip or None
    barrel_length, barrel_drag : array-like
        Filled length [m] and the share of the wall stress it carries [-].
    """

    nozzle: Nozzle
    inlet_diameter: Numbers | None = None
    end_correction: Numbers | None = None
    slip: Slip | None = None
    barrel_length: Numbers = 0.0
    barrel_drag: Numbers = 1.0

    __repr__ = brief

    @classmethod
    def joined(cls, channels: Sequence[Channel], counts: Sequence[int]) -> Channel:
        """Return one channel whose numbers are those of several, as many rows each as `counts` says.

        All have segments of the same kinds, and each has a barrel, end correction and slip, or none has.
        """

        def whole(records, names):
            return {name: in_a_row([getattr(one, name) for one in records], counts) for name in names}

        def one_of(records):
            return type(records[0])(**whole(records, [f.name for f in fields(records[0])]))

        segments = map(one_of, zip(*(channel.nozzle.segments for channel in channels), strict=True))
        slip = channels[0].slip and one_of([channel.slip for channel in channels])
        names = ("inlet_diameter", "end_correction", "barrel_length", "barrel_drag")
        return cls(nozzle=Nozzle(*segments), slip=slip, **whole(channels, names))

    @cached_property
    def land(self) -> Cylinder | None:
        """The straight last segment, or None."""
        last = self.nozzle.segments[-1]
        return last if isinstance(last, Cylinder) else None

    @cached_property
    def _parts(self):
        """Every part of the nozzle's budget but the wall of the land."""
        step = self.inlet_diameter is not None and self.end_correction is None
        # a trial bore may outgrow a barrel that is hardly wider: then there is no step left between them
        wide = np.maximum(self.inlet_diameter, self.nozzle.inlet_diameter) if step else None
        parts = self.nozzle.parts(wide)
        return parts if self.land is None else parts[:-1]

    def _upstream(self, law, flow_rate):
        """Return the pressure [Pa] lost in all but the wall of the land."""
        lost = sum(part.pressure_drop(law, flow_rate) for part in self._parts)
        if np.any(np.greater(self.barrel_length, 0)):
            lost = lost + self._barrel_loss(law, flow_rate)
        return lost

    def _barrel_loss(self, law, flow_rate):
        stress = self.barrel_drag * law.wall_shear_stress(
            apparent_rate(flow_rate, self.inlet_diameter)
        )  # drag: slip there
        return 4 * self.barrel_length / self.inlet_diameter * stress

    def wall_stress(self, law: FlowLaw, flow_rate: ArrayLike) -> Numbers:
        """Return the stress [Pa] at the wall of the land at a flow [m3/s], some of which may be slip."""
        diameter = self.land.diameter
        rate = apparent_rate(flow_rate, diameter)
        if self.slip is None:
            return law.wall_shear_stress(rate)
        floor = np.minimum(self.slip.threshold, law.yield_stress)
        most = law.wall_shear_stress(rate)  # without slip

        def miss(y):
            stress = floor + np.exp(y)
            total = law.apparent_shear_rate(stress) + 8 * self.slip.velocity(stress) / diameter
            return np.log(np.maximum(total, 1e-300) / np.maximum(rate, 1e-300))

        start = np.log(np.maximum(most - floor, 1e-9 * most) + 1e-300)
        start = np.broadcast_to(start, np.broadcast_shapes(np.shape(start), np.shape(miss(start))))
        return floor + np.exp(increasing_root(miss, start, step=0.5, tolerance=1e-11))

    def widest_wall(self, law: FlowLaw, flow_rate: ArrayLike, pressure: Numbers | None = None) -> Numbers:
        """Return the diameter [m] of the widest wall whose shear rate must have been read, at a flow [m3/s] that a pressure [Pa] drives.

        That of the barrel, where it carries a share `SLIGHT` of the pressure; else where the nozzle begins: a gel without a yield
        stress leaves so little in its barrel that a law several times off there moves the pressure by less than the theory's error.
        """
        narrow = self.nozzle.inlet_diameter
        if not np.any(np.greater(self.barrel_length, 0)):
            return narrow
        whole = self.pressure_drop(law, flow_rate) if pressure is None else pressure
        return np.where(self._barrel_loss(law, flow_rate) >= SLIGHT * whole, self.inlet_diameter, narrow)[()]

    def wall_rates(self, law: FlowLaw, flow_rate: float) -> Numbers:
        """Return the shear rates [1/s] at the widest wall that counts (`widest_wall`) and in the bore, without slip, at a flow [m3/s]."""
        ends = np.array([self.widest_wall(law, flow_rate), self.nozzle.bore], float)
        return law.shear_rate(law.wall_shear_stress(apparent_rate(flow_rate, ends)))

    def slip_relief(self, law: FlowLaw, flow_rate: ArrayLike) -> Numbers:
        """Return the pressure [Pa] by which slip relieves the wall of the land at a flow [m3/s]."""
        if self.slip is None:
            return 0.0
        rate = apparent_rate(flow_rate, self.land.diameter)
        return self.land_factor * (law.wall_shear_stress(rate) - self.wall_stress(law, flow_rate))

    def pressure_drop(self, law: FlowLaw, flow_rate: ArrayLike) -> Numbers:
        """Return the pressure [Pa] at the plunger face, or at the inlet, that drives a flow [m3/s]."""
        lost = self._upstream(law, flow_rate)
        return lost if self.land is None else lost + self.land_factor * self.wall_stress(law, flow_rate)

    @cached_property
    def land_factor(self) -> Numbers:
        """Pressure lost along the land, with its end correction, over its wall stress [-]."""
        ends = 0.0 if self.end_correction is None else self.end_correction
        return 4 * (self.land.length / self.land.diameter + ends)

    def curve_points(self, law: FlowLaw, flow_rate: ArrayLike, pressure_drop: ArrayLike) -> tuple[Numbers, Numbers]:
        """Return (true wall rates [1/s], wall stresses [Pa]) in the land for measured flows and pressures.

        The loss upstream and the rate correction are the law's; only the stress carries the measured pressure.
        """
        if self.land is None:
            return np.empty(0), np.empty(0)
        stress = (pressure_drop - self._upstream(law, flow_rate)) / self.land_factor
        predicted = self.wall_stress(law, flow_rate)
        return law.shear_rate(predicted), np.broadcast_to(stress, np.shape(predicted))

    def flow_rate(self, law: FlowLaw, pressure_drop: ArrayLike) -> Numbers:
        """Return the flow [m3/s] that a pressure [Pa] drives: 0 where it is too weak to start.

        The unknown is what the wall stress of the land has above the stress at which it starts to flow; for a law that must
        search for its rate at a stress, and where the land is sheared, it is the shear rate at the wall.
        """
        target = np.asarray(pressure_drop, float)
        if self.land is None:
            start = self._upstream(law, 0.0)
            return flow_at_pressure(lambda q: self.pressure_drop(law, q), target, start)
        floor = law.yield_stress if self.slip is None else np.minimum(self.slip.threshold, law.yield_stress)
        section = np.pi * np.power(self.land.diameter, 3) / 32

        def flow(rate, stress):
            slipping = 0.0 if self.slip is None else 8 * self.slip.velocity(stress) / self.land.diameter
            return section * (rate + slipping)

        def total(flow, stress):
            return self._upstream(law, flow) + self.land_factor * stress

        rest = total(0.0, floor)
        shape = np.broadcast_shapes(np.shape(rest), np.shape(flow(*2 * (law.shear_stress(1.0),))), target.shape)
        target, rest = np.broadcast_to(target, shape), np.broadcast_to(rest, shape)
        flowing = target > rest
        goal = np.log(np.where(flowing, target - rest, 1.0))
        start = goal - np.log(self.land_factor)  # were all of what drives it lost in the land
        if (
            law.searches_rate
        ):  # a plug that only slips has no rate at its wall: there the stress is searched for as ever
            sheared = target > total(flow(0.0, law.yield_stress), law.yield_stress)
            stress = np.where(sheared & flowing, floor + np.exp(start), law.shear_stress(1.0))
            start = np.where(sheared, np.log(law.shear_rate(stress)), start)

        def state(y):
            if not law.searches_rate:
                stress = floor + np.exp(y)
                return law.apparent_shear_rate(stress), stress
            rate, stress = law.flow_at_wall_rate(np.exp(np.where(sheared, y, 0.0)))
            plug = np.minimum(floor + np.exp(np.where(sheared, 0.0, y)), law.yield_stress)
            return np.where(sheared, rate, 0.0), np.where(sheared, stress, plug)

        def miss(y):
            rate, stress = state(y)
            above = total(flow(rate, stress), stress) - rest
            return np.where(flowing, np.log(np.maximum(above, 1e-300)) - goal, 0.0)

        y = increasing_root(miss, start, step=0.5, tolerance=1e-11, slope=1.0)
        return np.where(flowing, flow(*state(y)), 0.0)[()]
