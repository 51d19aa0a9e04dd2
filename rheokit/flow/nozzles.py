"""The nozzle that segments make: flow to pressure and back, start pressure, budget by parts.

A segment knows its shear flow; a nozzle adds what converging flow costs in its tapers and at its steps.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from ..brief import brief
from ..errors import DataError
from ..hints import Numbers, Table
from ..inputs import guarded
from ..laws.base import FlowLaw
from ..nomenclature import written
from .budget import Part, budget_table, flow_at_pressure
from .converging import WORTH_A_WORD, converging_part, outside_range, warn_outside_range
from .segments import Cone, Cylinder, Segment, narrowing

__all__ = ["Cone", "Cylinder", "Nozzle", "Segment"]

SAME = 1e-9  # diameters that differ by less than this share of them are one diameter, differently rounded
SHEAR = "shear flow, closed form or quadrature"
SHEAR_FORMULA = "Δp = 4 L τ_w/D, 32 Q/(π D³) = (4/τ_w³) ∫ τ² γ̇(τ) dτ"
"""Pressure of a straight wall by shear flow, in print: the integral of Weissenberg and Rabinowitsch (from memory), from 0 to the stress at the wall."""


@dataclass(frozen=True, init=False, eq=False)
class Nozzle:
    """Segments in flow order; steps down between them are abrupt contractions, steps up are refused.

    Parameters
    ----------
    *segments : Cylinder or Cone
        From the barrel to the tip.

    Examples
    --------
    >>> from rheokit.laws.newtonian import Newtonian
    >>> needle = Nozzle(Cylinder(diameter=0.84e-3, length=25e-3))
    >>> needle.pressure_drop(Newtonian(viscosity=1.0), 12e-9)  # Hagen-Poiseuille: 128 η L Q / π D⁴
    np.float64(24550.7)
    """

    segments: tuple[Segment, ...]

    __repr__ = brief

    def __init__(self, *segments: Segment) -> None:
        """Join segments in flow order."""
        if not segments:
            raise DataError("Nozzle: no segment was given; a nozzle needs at least one Cylinder or Cone.")
        for segment in segments:
            if not all(hasattr(segment, name) for name in ("inlet_diameter", "outlet_diameter", "pressure_drop")):
                raise TypeError(f"Nozzle: {segment!r} is not a segment; give Cylinder or Cone objects in flow order.")
        for before, after in pairwise(segments):
            if np.any(np.asarray(after.inlet_diameter) > np.asarray(before.outlet_diameter) * (1 + SAME)):
                raise DataError(
                    f"Nozzle: a step up from {written(np.min(before.outlet_diameter), 'm', 6)} to "
                    f"{written(np.max(after.inlet_diameter), 'm', 6)}. rheokit computes narrowing flow only; give the segments in "
                    "flow order, from the barrel to the tip."
                )
        object.__setattr__(self, "segments", tuple(segments))

    @property
    def bore(self) -> Numbers:
        """Diameter at the tip [m]."""
        return self.segments[-1].outlet_diameter

    @property
    def inlet_diameter(self) -> Numbers:
        """Diameter at the wide end [m]."""
        return self.segments[0].inlet_diameter

    @guarded(diameter="bore")
    def with_bore(self, diameter: ArrayLike) -> Nozzle:
        """Return the nozzle with another diameter [m] at the tip.

        Every end that has the bore takes the new one. An end that is narrower than a wider bore is opened to it, as the
        drill that opens a tip opens what stands in its way: a step up never arises.
        """

        def new(end):
            return diameter if np.allclose(end, self.bore, rtol=SAME, atol=0.0) else np.maximum(end, diameter)

        return Nozzle(*(s.with_ends(new(s.inlet_diameter), new(s.outlet_diameter)) for s in self.segments))

    @guarded
    def parts(self, inlet_diameter: Numbers | None = None) -> list[Part]:
        """Return every part of the budget, in flow order, each a `Part`; `inlet_diameter` is the barrel's [m]."""
        parts, wide = [], self.inlet_diameter if inlet_diameter is None else inlet_diameter
        if np.any(np.less(wide, np.asarray(self.inlet_diameter) * (1 - SAME))):
            raise DataError(
                f"Nozzle: its inlet, {written(np.max(self.inlet_diameter), 'm', 6)}, is wider than the barrel in front of it, "
                f"{written(np.min(wide), 'm', 6)}; rheokit computes narrowing flow only."
            )
        kinds = [segment.called for segment in self.segments]
        for place, segment in enumerate(self.segments, 1):
            narrow = segment.inlet_diameter
            if np.any(np.greater(wide, np.asarray(narrow) * (1 + SAME))):
                name = f"step {narrowing(wide, narrow)}"
                parts.append(converging_part(name, wide, narrow))
            several = f" {place}" if kinds.count(segment.called) > 1 else ""  # of one, "taper 1" would promise another
            name = f"{segment.called}{several}: {segment.size}"
            parts.append(Part(f"{name}, wall", SHEAR, segment.pressure_drop, segment.start_factor))
            if isinstance(segment, Cone) and np.any(np.greater(segment.inlet_diameter, segment.outlet_diameter)):
                ends = (segment.inlet_diameter, segment.outlet_diameter)
                parts.append(converging_part(f"{name}, converging", *ends, segment.half_angle))
            wide = segment.outlet_diameter
        return parts

    @guarded
    def pressure_drop(self, law: FlowLaw, flow_rate: Numbers, inlet_diameter: Numbers | None = None) -> Numbers:
        """Return the pressure that drives a flow through the nozzle.

        Parameters
        ----------
        law : FlowLaw
            Its parameters may be arrays of draws.
        flow_rate : array-like
            Volume flow. [m3/s]
        inlet_diameter : array-like, optional
            Diameter of the barrel in front of the nozzle; the step from it into the first segment then counts. [m]

        Returns
        -------
        pressure_drop : float or ndarray
            Gauge pressure at the inlet, the tip being open. At no flow it is the start pressure. [Pa]

        Warns
        -----
        ModelRangeWarning
            If a converging part of 1 % or more leaves the range its formula was fitted for.
        """
        parts = self.parts(inlet_diameter)
        losses = [part.pressure_drop(law, flow_rate) for part in parts]
        total = sum(losses)
        for part, loss in zip(parts, losses, strict=True):
            if part.contraction and np.any(loss > WORTH_A_WORD * total):
                warn_outside_range(part.name, outside_range(law, flow_rate, *part.contraction))
        return total

    @guarded
    def start_factor(self, inlet_diameter: Numbers | None = None) -> Numbers:
        """Return the start pressure over the yield stress [-]."""
        return sum((part.start_factor for part in self.parts(inlet_diameter)), 0.0)

    @guarded
    def start_pressure(self, law: FlowLaw, inlet_diameter: Numbers | None = None) -> Numbers:
        """Return the pressure [Pa] below which nothing flows: the limit of `pressure_drop` as the flow goes to zero."""
        return law.yield_stress * self.start_factor(inlet_diameter)

    @guarded
    def flow_rate(self, law: FlowLaw, pressure_drop: Numbers, inlet_diameter: Numbers | None = None) -> Numbers:
        """Return the flow [m3/s] that a pressure [Pa] drives: 0 at and below the start pressure."""
        parts = self.parts(inlet_diameter)

        def lost(flow_rate):
            return sum(part.pressure_drop(law, flow_rate) for part in parts)

        return flow_at_pressure(lost, np.asarray(pressure_drop, float), self.start_pressure(law, inlet_diameter))

    @guarded
    def budget(self, law: FlowLaw, flow_rate: Numbers, inlet_diameter: Numbers | None = None) -> Table:
        """Return a DataFrame, one row a part: pressure_drop [Pa], its share [-], the model. The rows sum to the total."""
        return budget_table(self.parts(inlet_diameter), law, flow_rate)
