"""Capillary: pressure against flow, or flow against pressure, through one nozzle."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..errors import DataError
from ..flow.channel import Channel, Slip, in_a_row
from ..things import a
from .base import BenchTest, column, dimension, nuisance
from .described import FLOW_WAYS, NOZZLE

CAPILLARY_ARTEFACTS = (
    "wall slip: flow at wall stresses below yield, results that depend on the bore; use three bores",
    "end effects: stress from short nozzles too high; use two lengths of one bore",
    "trapped air: slow rows read before the pressure is steady; wait, or leave them out",
    "liquid migration: pressure climbs through the stroke at constant flow",
    "needle gauges are nominal: measure the bore, 1 % of it is 4 % of the flow and more",
)
NO_PRIOR = np.inf


@dataclass(frozen=True, kw_only=True, eq=False)
class PressureRun(BenchTest):
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
    end_correction : {"formula", "fitted"}
        Take the end loss from the formula, or fit it as a length of land shared by the apparatus. Fitting needs two
        lengths of one bore and a straight last segment.
    slip : {"none", "fitted"}
        Fit a slip velocity V_s = β max(0, τ_w - τ_s) shared by the apparatus. Needs two bores, better three.
    bore_uncertainty : float
        Standard uncertainty of the bore as a share of it; a nuisance parameter of this nozzle. [-]
    """

    kind: ClassVar[str] = "pressure run"
    theory: ClassVar[bool] = False
    default_model_error: ClassVar[float] = 0.05
    formula: ClassVar[str] = "Δp = 4 τ_w(Q) (L/D) + converging flow, or 4 τ_w (L/D + e)"
    source: ClassVar[str] = (
        "ISO 11443 (principle; not read for this project); Bagley (1957) for e, Mooney (1931) for slip"
    )
    example: ClassVar[tuple] = (
        Example(
            given={
                "yield_stress": 640.0,
                "consistency": 190.0,
                "flow_index": 0.45,
                "bore": 2.1e-3,
                "length": 0.019,
                "barrel_diameter": 0.0213,
                "read": "pressure",
                "flow_rate": (1.7e-8, 9e-8),
            },
            expected={"pressure": (64818.3959, 99682.1650)},
            source=(
                "in 18 digits: 4*0.019/0.0021*tau_w and a step 0.0213 to 0.0021 by the converging-flow formula at 90 degrees; "
                "wall stress from 4/tau_w^3 int (s + 640)^2 (s/190)^(1/0.45) ds, term by term"
            ),
        ),
        Example(
            given={
                "yield_stress": 640.0,
                "consistency": 190.0,
                "flow_index": 0.45,
                "bore": 2.1e-3,
                "length": 0.019,
                "read": "flow_rate",
                "pressure": (83000.0,),
            },
            expected={"flow_rate": (7.03259207e-8,)},
            source=(
                "by hand: pi*0.0021^3/32 times the apparent rate at 83000*0.0021/(4*0.019); "
                "rate from 4/tau_w^3 int (s + 640)^2 (s/190)^(1/0.45) ds, term by term"
            ),
        ),
    )
    artefacts: ClassVar[tuple] = CAPILLARY_ARTEFACTS
    assembly: ClassVar[object] = NOZZLE
    ways: ClassVar[dict] = {"flow_rate": FLOW_WAYS}

    nozzle: object
    flow_rate: np.ndarray = column()
    pressure: np.ndarray = column()
    read: str = "pressure"
    inlet_diameter: float | None = dimension(None)
    end_correction: str = "formula"
    slip: str = "none"
    bore_uncertainty: float = 0.0

    def __post_init__(self):
        super().__post_init__()
        check_run(self, ("pressure", "flow_rate"))
        self.nozzle.parts(self.inlet_diameter)

    @property
    def reads(self):  # noqa: D102
        return self.read

    @classmethod
    def usual_model_error(cls, tests):
        """Return 0.05 where two lengths of one bore tell the end loss from the wall, else 0.10 [-]; common practice."""
        pairs = {(float(t.nozzle.bore), float(sum(s.length for s in t.nozzle.segments))) for t in tests}
        return cls.default_model_error if len(pairs) > len({bore for bore, _ in pairs}) else 0.10

    def own_nuisances(self):  # noqa: D102
        return run_nuisances(self)

    def channel(self, found):
        """Return the `Channel` for values of the nuisance parameters."""
        nozzle, end, slip = run_parts(self, self.nozzle, found)
        return Channel(nozzle=nozzle, inlet_diameter=self.inlet_diameter, end_correction=end, slip=slip)

    @property
    def alike(self):  # noqa: D102
        return runs_alike(self, self.nozzle, self.inlet_diameter)

    @classmethod
    def expected_together(cls, tests, law, nuisance):  # noqa: D102
        return run_readings(tests, law, nuisance)

    def expected(self, law, nuisance):  # noqa: D102
        return run_readings([self], law, nuisance)[0]

    def pressures(self, nuisance):
        """Return the pressure [Pa] that was set or read."""
        return self.pressure

    def reading_at(self, pressure, nuisance):
        """Return the reading [Pa] at a pressure [Pa]."""
        return pressure

    def rough_curve(self):  # noqa: D102
        return rough_curve(self.nozzle, self.flow_rate, self.pressure)

    def shear_rates(self, law):  # noqa: D102
        return wall_rates(law, self.nozzle, self.flow_rate)

    def curve_points(self, law, nuisance):  # noqa: D102
        return self.channel(nuisance).curve_points(law, self.flow_rate, self.pressure)


def runs_alike(run, nozzle, inlet_diameter):
    """Return what runs must have in common for one search to predict them all."""
    return run.read, run.end_correction, run.slip, inlet_diameter is None, *map(type, nozzle.segments)


def run_readings(runs, law, nuisance):
    """Return the readings that a law gives, an array for each of several runs that are alike: one search for all."""
    channels, counts = [run.channel(nuisance) for run in runs], [len(run.flow_rate) for run in runs]
    channel = channels[0] if len(runs) == 1 else Channel.joined(channels, counts)
    ends = np.cumsum(counts)[:-1]
    if runs[0].read == "flow_rate":
        found = channel.flow_rate(law, in_a_row([run.pressures(nuisance) for run in runs], counts))
        return np.split(found, ends, axis=-1)
    pressure = channel.pressure_drop(law, in_a_row([run.flow_rate for run in runs], counts))
    parts = np.split(pressure, ends, axis=-1)
    return [run.reading_at(part, nuisance) for run, part in zip(runs, parts, strict=True)]


def check_run(run, readable):
    """Refuse a run whose choices do not go together."""
    kind, name = ("Nozzle", "nozzle") if hasattr(run, "nozzle") else ("Extruder", "extruder")
    a(kind, run.name, name, getattr(run, name))
    faults = []
    if run.read not in readable:
        faults.append(f"read = {run.read!r}; it must be one of {', '.join(map(repr, readable))}")
    if run.end_correction not in ("formula", "fitted"):
        faults.append(f"end_correction = {run.end_correction!r}; it must be 'formula' or 'fitted'")
    if run.slip not in ("none", "fitted"):
        faults.append(f"slip = {run.slip!r}; it must be 'none' or 'fitted'")
    nozzle = run.nozzle if hasattr(run, "nozzle") else run.extruder.nozzle
    if (run.slip == "fitted" or run.end_correction == "fitted") and Channel(nozzle=nozzle).land is None:
        faults.append("its last segment is a taper; slip and end correction can be fitted on a straight land only")
    if not 0 <= run.bore_uncertainty < 0.5:
        faults.append(f"bore_uncertainty = {run.bore_uncertainty:g}; it is a share of the bore, e.g. 0.01 for 1 %")
    if faults:
        raise DataError(f"{run.name}: " + "; ".join(faults) + ".")


def bore_key(nozzle):
    """Return the key of the bore factor of a nozzle: lands of one size are one tip."""
    return f"bore_factor[{nozzle.segments[-1].size}]"


def run_nuisances(run):
    """Return the nuisance parameters of the nozzle of a run: bore, end correction, slip."""
    nozzle = run.nozzle if hasattr(run, "nozzle") else run.extruder.nozzle
    found = {}
    if run.bore_uncertainty:
        found[bore_key(nozzle)] = nuisance("bore_factor", 1.0, run.bore_uncertainty, logarithmic=True)
    if run.end_correction == "fitted":
        found[run.shared("end_correction")] = nuisance("end_correction", 1.0, NO_PRIOR, high=200.0)
    if run.slip == "fitted":
        found[run.shared("slip_coefficient")] = nuisance("slip_coefficient", 1e-7, NO_PRIOR, logarithmic=True)
        found[run.shared("slip_threshold")] = nuisance("slip_threshold", 100.0, NO_PRIOR, high=1e5)
    return found


def run_parts(run, nozzle, found):
    """Return nozzle, end correction and slip of a run for values of the nuisance parameters."""
    if run.bore_uncertainty:
        factor = found.get(bore_key(nozzle), 1.0)
        nozzle = nozzle.with_bore(nozzle.bore * factor) if np.ndim(factor) or factor != 1.0 else nozzle
    end = found.get(run.shared("end_correction"), 1.0) if run.end_correction == "fitted" else None
    if run.slip != "fitted":
        return nozzle, end, None
    coefficient = found.get(run.shared("slip_coefficient"), 1e-7)
    return nozzle, end, Slip(coefficient=coefficient, threshold=found.get(run.shared("slip_threshold"), 100.0))


def rough_curve(nozzle, flow_rate, pressure):
    """Return (apparent rates [1/s], wall stresses [Pa]) as if the narrowest segment carried all of the pressure."""
    length = sum(s.length for s in nozzle.segments if s.outlet_diameter == nozzle.bore)
    return 32 * flow_rate / (np.pi * nozzle.bore**3), np.maximum(pressure, 1e-9) * nozzle.bore / (4 * length)


def wall_rates(law, nozzle, flow_rate):
    """Return the true shear rates [1/s] at the wall of the bore."""
    return law.shear_rate(law.wall_shear_stress(32 * flow_rate / (np.pi * nozzle.bore**3)))
