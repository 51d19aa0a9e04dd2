"""A run: what every bench test is that pushes paste through a nozzle, and reads pressure or force against flow."""

from abc import abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from ..errors import DataError
from ..flow.channel import Channel, Slip, in_a_row
from ..flow.converging import outside_range
from ..flow.nozzles import Nozzle
from ..hints import Numbers
from ..laws import FlowLaw
from ..machine.cautions import CAUTIONS
from .base import BenchTest, Nuisance, Passage, Shared, Values, column, nuisance
from .described import FLOW_WAYS

NO_PRIOR = np.inf
WORKED = {"yield_stress": 640.0, "consistency": 190.0, "flow_index": 0.45, "bore": 2.1e-3, "length": 0.019}
"""Law and land of the worked examples of every run."""
WORTH_A_WORD = 0.01  # share of the pressure, below which a contraction outside the range of its formula changes nothing


def bore_key(nozzle: Nozzle) -> Shared:
    """Return the key of the bore factor of a nozzle: lands of one size are one tip."""
    return Shared("bore_factor", nozzle.segments[-1].size)


@dataclass(frozen=True, kw_only=True, eq=False)
class Run(BenchTest):
    """Flow through one nozzle, and what drives it; one of the two was set and the other read.

    A kind of run has a `nozzle` and an `inlet_diameter`, as fields or as properties of its extruder.

    Parameters
    ----------
    flow_rate : array-like, shape (N,)
        Volume flow. [m3/s]
    read : str
        Which column was read: the flow, or what drives it.
    end_correction : {"formula", "fitted"}
        Take the end loss from the formula, or fit it as a length of land shared by the apparatus. Fitting needs two
        lengths of one bore and a straight last segment.
    slip : {"none", "fitted"}
        Fit a slip velocity V_s = β max(0, τ_w - τ_s) shared by the apparatus. Needs two bores, better three.
    bore_uncertainty : float
        Standard uncertainty of the bore as a share of it; a nuisance parameter of this nozzle. [-]
    """

    theory = False
    serves = ("paste", "liquid", "gel")
    artefacts: ClassVar[tuple] = (
        "wall slip: flow at wall stresses below yield, results that depend on the bore; use three bores",
        "end effects: stress from short nozzles too high; use two lengths of one bore",
        "trapped air: slow rows read before the pressure is steady; wait, or leave them out",
        "liquid migration: pressure climbs through the stroke at constant flow",
        "needle gauges are nominal: measure the bore, 1 % of it is 4 % of the flow and more",
    )
    ways: ClassVar[dict] = {"flow_rate": FLOW_WAYS}
    caution = CAUTIONS["barrel"]
    drives: ClassVar[str] = ""  # the column that drives the flow
    inlet_diameter: ClassVar[Numbers | None] = None  # of the barrel in front [m]; None where there is none

    flow_rate: np.ndarray = column()
    read: str = ""
    end_correction: str = "formula"
    slip: str = "none"
    bore_uncertainty: float = 0.0

    def __post_init__(self):
        """Refuse choices that do not go together."""
        super().__post_init__()
        faults, readable = [], (self.drives, "flow_rate")
        if self.read not in readable:
            faults.append(f"read = {self.read!r}; it must be one of {', '.join(map(repr, readable))}")
        if self.end_correction not in ("formula", "fitted"):
            faults.append(f"end_correction = {self.end_correction!r}; it must be 'formula' or 'fitted'")
        if self.slip not in ("none", "fitted"):
            faults.append(f"slip = {self.slip!r}; it must be 'none' or 'fitted'")
        if (self.slip == "fitted" or self.end_correction == "fitted") and Channel(nozzle=self.nozzle).land is None:
            faults.append("its last segment is a taper; slip and end correction can be fitted on a straight land only")
        if not 0 <= self.bore_uncertainty < 0.5:
            faults.append(f"bore_uncertainty = {self.bore_uncertainty:g}; it is a share of the bore, e.g. 0.01 for 1 %")
        if faults:
            raise DataError(f"{self.name}: " + "; ".join(faults) + ".")

    @property
    def reads(self) -> str:  # type: ignore[override]  # noqa: D102
        return self.read

    @property
    def passage(self) -> Passage:  # noqa: D102
        return Passage("bore", float(np.min(self.nozzle.bore)), is_bore=True)

    @abstractmethod
    def pressures(self, nuisance: Values) -> Numbers:
        """Return the pressure [Pa] that drives the flow, where it was set or read, for values of the nuisance parameters."""

    @abstractmethod
    def reading_at(self, pressure: Numbers, nuisance: Values) -> Numbers:
        """Return the reading of what drives, in its unit, at a pressure [Pa]."""

    def own_nuisances(self) -> dict[Shared, Nuisance]:
        """Return those of the nozzle: bore, end correction, slip."""
        found = {}
        if self.bore_uncertainty:
            found[bore_key(self.nozzle)] = nuisance("bore_factor", 1.0, self.bore_uncertainty, logarithmic=True)
        if self.end_correction == "fitted":
            found[self.shared("end_correction")] = nuisance("end_correction", 1.0, NO_PRIOR, high=200.0)
        if self.slip == "fitted":
            cure = "runs through three bores, or a value stated"
            found[self.shared("slip_coefficient")] = nuisance(
                "slip_coefficient", 1e-7, NO_PRIOR, logarithmic=True, cure=cure
            )
            found[self.shared("slip_threshold")] = nuisance("slip_threshold", 100.0, NO_PRIOR, high=1e5, cure=cure)
        return found

    def channel(self, found: Values) -> Channel:
        """Return the `Channel` for values of the nuisance parameters."""
        nozzle, end, slip = self.nozzle, None, None
        factor = found.get(bore_key(nozzle), 1.0) if self.bore_uncertainty else 1.0
        if np.ndim(factor) or factor != 1.0:
            nozzle = nozzle.with_bore(nozzle.bore * factor)
        if self.end_correction == "fitted":
            end = found.get(self.shared("end_correction"), 1.0)
        if self.slip == "fitted":
            coefficient = found.get(self.shared("slip_coefficient"), 1e-7)
            slip = Slip(coefficient=coefficient, threshold=found.get(self.shared("slip_threshold"), 100.0))
        return Channel(
            nozzle=nozzle, inlet_diameter=self.inlet_diameter, end_correction=end, slip=slip, **self._barrel(found)
        )

    def _barrel(self, found):
        """Return what the `Channel` has in front of the nozzle, by name; nothing by default."""
        return {}

    @property
    def alike(self) -> tuple | None:  # noqa: D102
        choices = self.read, self.end_correction, self.slip, self.inlet_diameter is None
        return (*choices, *map(type, self.nozzle.segments))

    @classmethod
    def expected_together(cls, tests: Sequence[Self], law: FlowLaw, nuisance: Values) -> Sequence[Numbers]:
        """Return the readings that a law gives of runs that are alike, an array each: one search for all."""
        channels, counts = [run.channel(nuisance) for run in tests], [len(run.flow_rate) for run in tests]
        channel = channels[0] if len(tests) == 1 else Channel.joined(channels, counts)
        ends = np.cumsum(counts)[:-1]
        if tests[0].read == "flow_rate":
            found = channel.flow_rate(law, in_a_row([run.pressures(nuisance) for run in tests], counts))
            return np.split(found, ends, axis=-1)
        pressure = channel.pressure_drop(law, in_a_row([run.flow_rate for run in tests], counts))
        parts = np.split(pressure, ends, axis=-1)
        return [run.reading_at(part, nuisance) for run, part in zip(tests, parts, strict=True)]

    def expected(self, law: FlowLaw, nuisance: Values) -> Numbers:  # noqa: D102
        return self.expected_together([self], law, nuisance)[0]

    def rough_curve(self) -> tuple[np.ndarray, np.ndarray]:
        """Return (apparent rates [1/s], wall stresses [Pa]) as if the narrowest segment carried all of the pressure."""
        nozzle = self.nozzle
        length = sum(s.length for s in nozzle.segments if s.outlet_diameter == nozzle.bore)
        stress = np.maximum(self._rough_pressure(), 1e-9) * nozzle.bore / (4 * length)
        return 32 * self.flow_rate / (np.pi * nozzle.bore**3), stress

    def _rough_pressure(self):
        return self.pressures({})

    def shear_rates(self, law: FlowLaw) -> np.ndarray:
        """Return the true shear rates [1/s] at the wall of the bore."""
        return np.asarray(law.shear_rate(law.wall_shear_stress(32 * self.flow_rate / (np.pi * self.nozzle.bore**3))))

    def out_of_range(self, law: FlowLaw) -> dict[str, float]:
        """Return which contractions leave the range of the converging-flow formula: in words, each with the most of the pressure it takes [-].

        Those that cost little do not count.
        """
        if self.end_correction == "fitted":
            return {}
        parts = self.nozzle.parts(self.inlet_diameter)
        lost = np.array(
            [np.broadcast_to(part.pressure_drop(law, self.flow_rate), self.flow_rate.shape) for part in parts]
        )
        shares = np.max(lost / np.maximum(lost.sum(axis=0), 1e-300), axis=1)
        return {
            f"{part.name}: {', '.join(words)}": float(share)
            for part, share in zip(parts, shares, strict=True)
            if part.contraction and share > WORTH_A_WORD
            if (words := outside_range(law, self.flow_rate, *part.contraction))
        }
