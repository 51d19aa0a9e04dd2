"""Surface tension: what the skin of strand and rim carries, as a share of what drives the paste, which no test's theory counts."""

from collections.abc import Sequence

import numpy as np

from ..bench.base import BenchTest
from ..bench.loaded_plate import LoadedPlate
from ..bench.run import Run
from ..inputs import judged_number
from .readings import rows_of, runs_of

SOURCE = "Young and Laplace, from memory"


def capillary_share(tests: Sequence[BenchTest], surface_tension: float) -> dict[str, float]:
    """Return the greatest share that surface tension takes of what drives capillary and syringe runs, and loaded plates, by kind [-].

    Of a run 2 γ/D, the pressure within a strand as wide as the bore, over the pressure read less friction; of a plate 2 γ/h, the most that a
    meniscus across the gap pulls or pushes, over the load per area. Others count it in their theory, or stand large against it.

    Parameters
    ----------
    tests : sequence of BenchTest
    surface_tension : float
        Of the paste against air. [N/m]

    Examples
    --------
    0.05 N/m at a bore of 1 mm: 2*0.05/0.001 = 100 Pa, of 50 kPa 0.002, by hand.

    >>> import rheokit as rk
    >>> nozzle = rk.Nozzle(rk.Cylinder(diameter=1e-3, length=0.02))
    >>> run = rk.PressureRun(nozzle=nozzle, flow_rate=[10e-9], pressure=[50e3], read="pressure")
    >>> capillary_share([run], 0.05)
    {'pressure run': 0.002}
    """
    tension = float(judged_number("capillary_share", "surface_tension", surface_tension, "surface_tension"))
    found: dict[str, float] = {}
    for test in tests:
        share = _of_run(test, tension) if isinstance(test, Run) else None
        if isinstance(test, LoadedPlate):
            share = np.max(2 * tension / test.gap(test.radius) * np.pi * test.radius**2 / test.force)
        if share is not None:
            found[test.kind] = max(found.get(test.kind, 0.0), float(share))
    return found


def _of_run(run, tension):
    frame, _ = rows_of(runs_of([run], "capillary_share"))
    if not len(frame):
        return None
    left = np.maximum(frame.pressure - frame.get("friction_pressure", 0.0), 1e-9)
    return np.max(2 * tension / frame.diameter / left)
