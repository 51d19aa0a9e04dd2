"""What two lengths or Bagley's plot find row by row, wall stress and end correction with their limits, beside what the fitted law expects."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ..bench.base import BenchTest
from ..bench.run import Run
from ..laws.base import FlowLaw
from ..sampling import SURE
from .base import Correction

OF_ENDS = ("two lengths", "Bagley")  # corrections by name that take out the ends


class EndLoss(NamedTuple):
    """One level of flow: its runs and rows, apparent rate [1/s], then value, low and high of wall stress [Pa] and end correction [-].

    `expected` is the end correction by the fitted law and the formula of the ends, the drag of the barrel in it [-]. Limits are of 95 %, NaN
    where no error is known.
    """

    runs: str
    rows: str
    rate: float
    stress: tuple[float, float, float]
    end: tuple[float, float, float]
    expected: float


def end_losses(correction: Correction, tests: Sequence[BenchTest], law: FlowLaw | None) -> tuple[EndLoss, ...]:
    """Return what a correction of the ends finds, a level of flow each; none where it is not analysable.

    Parameters
    ----------
    correction : Correction
        Of `two_lengths` or `bagley`.
    tests : sequence of BenchTest
        That it is of.
    law : FlowLaw or None
        As fitted: what it expects is of nominal dimensions, without slip; None where the readings leave it open.
    """
    if not correction.analysable or correction.name not in OF_ENDS:
        return ()
    runs = {test.name: test for test in tests if isinstance(test, Run)}
    found = []
    for row in correction.table.itertuples():
        run = runs.get(str(row.runs).partition("; ")[0])
        expected = np.nan if run is None or law is None else end_length(run, law, row.flow_rate)
        stress, end = (
            (value, value - SURE * size, value + SURE * size)
            for value, size in (
                (row.wall_shear_stress, row.wall_shear_stress_uncertainty),
                (row.end_correction, row.end_correction_uncertainty),
            )
        )
        found.append(EndLoss(str(row.runs), str(row.row), float(row.apparent_shear_rate), stress, end, float(expected)))
    return tuple(found)


def slip_span(correction: Correction) -> tuple[float, float, float, float] | None:
    """Return the least and the greatest slip velocity of Mooney's plot, and the least and the greatest of their 95 % limits [m/s]; else None."""
    if not correction.analysable or "slip_velocity" not in correction.table:
        return None
    table = correction.table
    low, high = (table[f"slip_velocity_{end}"] for end in ("low", "high"))
    return tuple(map(float, (table.slip_velocity.min(), table.slip_velocity.max(), low.min(), high.max())))  # type: ignore[return-value]


def end_length(run: Run, law: FlowLaw, flow_rate: float) -> float:
    """Return what a law and the formula of the ends expect beside the wall of the land, as a length of it in diameters [-].

    The pressure at a flow [m3/s] less 4 τ_w L/D of the narrowest part, over 4 τ_w; NaN where that part is no straight land.
    """
    land = run.channel({}).land
    if land is None:
        return float("nan")
    stress = law.wall_shear_stress(32 * flow_rate / (np.pi * land.diameter**3))
    pressure = run.channel({}).pressure_drop(law, flow_rate)
    return float(np.ravel(pressure / (4 * stress) - land.length / land.diameter)[0])
