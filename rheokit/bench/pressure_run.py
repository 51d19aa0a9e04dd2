"""Capillary: pressure against flow, or flow against pressure, through one nozzle."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import ClassVar, Self

import numpy as np

from ..checking import Example
from ..flow.nozzles import Nozzle
from ..hints import Numbers
from ..laws import FlowLaw
from ..things import a
from .base import Values, column, dimension
from .described import NOZZLE
from .run import WORKED, Run


@dataclass(frozen=True, kw_only=True, eq=False)
class PressureRun(Run):
    """Pressure and flow through one nozzle (several lengths and bores: one record each, one apparatus).

    Parameters
    ----------
    nozzle : Nozzle
    flow_rate : array-like, shape (N,)
        Volume flow. [m3/s]
    pressure : array-like, shape (N,)
        Gauge pressure at the inlet of the nozzle, or in the barrel in front of its step. [Pa]
    read : {"pressure", "flow_rate"}
        Which of the two was read; the other was set.
    inlet_diameter : float, optional
        Of the barrel in front: the step into the nozzle then counts, by the converging-flow formula. [m]
    pressure_rating : float, optional
        Printed on what holds the pressure; it moves no number of a fit, and judges whether it may bear what was read. [Pa]
    end_correction, slip, bore_uncertainty
        As in every `Run`.
    """

    kind = "pressure run"
    default_model_error = 0.05
    usual_minutes, usual_scatter = 8.0, 0.03
    formula = "Δp = 4 τ_w(Q) (L/D) + converging flow, or 4 τ_w (L/D + e)"
    source = "ISO 11443 (principle; not read for this project); Bagley (1957) for e, Mooney (1931) for slip"
    example = (
        Example(
            given=WORKED | {"barrel_diameter": 0.0213, "read": "pressure", "flow_rate": (1.7e-8, 9e-8)},
            expected={"pressure": (64818.3959, 99682.1650)},
            source=(
                "in 18 digits: 4*0.019/0.0021*tau_w and a step 0.0213 to 0.0021 by the converging-flow formula at 90 degrees; "
                "wall stress from 4/tau_w^3 int (s + 640)^2 (s/190)^(1/0.45) ds, term by term"
            ),
        ),
        Example(
            given=WORKED | {"read": "flow_rate", "pressure": (83000.0,)},
            expected={"flow_rate": (7.03259207e-8,)},
            source=(
                "by hand: pi*0.0021^3/32 times the apparent rate at 83000*0.0021/(4*0.019); "
                "rate from 4/tau_w^3 int (s + 640)^2 (s/190)^(1/0.45) ds, term by term"
            ),
        ),
    )
    tools = ("pressure gauge", "scale", "ruler", "timer")
    usual: ClassVar[dict] = {"bore": 2e-3, "length": 20e-3, "read": "pressure", "flow_rate": (10e-9, 100e-9)}
    protocol = (
        "Drive paste from a barrel with a printed rating through a nozzle such as {bore} by {length}, bore and length measured. Set "
        "five gauge pressures or more, the least as low as still gives a flow, wait each time until the flow is steady, and catch what comes "
        "out on the scale for a known time. Repeat with a nozzle of the same bore and another length."
    )
    assembly = NOZZLE
    drives = "pressure"

    nozzle: Nozzle = field()  # type: ignore[misc]  # other kinds have none
    pressure: np.ndarray = column()
    read: str = "pressure"
    inlet_diameter: float | None = dimension(None)  # type: ignore[misc]  # other kinds have that of their barrel
    pressure_rating: float | None = dimension(None)  # type: ignore[misc]  # other kinds have that of their extruder

    def __post_init__(self):
        a("Nozzle", self.name, "nozzle", self.nozzle)
        super().__post_init__()
        self.nozzle.parts(self.inlet_diameter)

    @classmethod
    def usual_model_error(cls, tests: Sequence[Self]) -> float:
        """Return 0.05 where two lengths of one bore tell the end loss from the wall, else 0.10 [-]; common practice."""
        pairs = {(float(t.nozzle.bore), float(sum(s.length for s in t.nozzle.segments))) for t in tests}
        return cls.default_model_error if len(pairs) > len({bore for bore, _ in pairs}) else 0.10

    def pressures(self, nuisance: Values) -> Numbers:  # noqa: D102
        return self.pressure

    def reading_at(self, pressure: Numbers, nuisance: Values) -> Numbers:  # noqa: D102
        return pressure

    def curve_points(self, law: FlowLaw, nuisance: Values) -> tuple[Numbers, Numbers]:  # noqa: D102
        return self.channel(nuisance).curve_points(law, self.flow_rate, self.pressure)
