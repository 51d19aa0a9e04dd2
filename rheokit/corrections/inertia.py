"""Inertia: what it costs to bring the paste to its speed in the bore, as a share of the pressure that was read."""

import numpy as np

from ..inputs import judged_number
from .readings import Runs, rows_of, runs_of

KINETIC = 1.12
"""Kinetic correction of a parabolic profile over ρ U², the most of any that thins (Hagenbach 1860, Couette 1890, from memory). [-]"""
SOURCE = "Hagenbach (1860) and Couette (1890), from memory"


def kinetic_share(runs: Runs, density: float) -> tuple[float, float] | None:
    """Return the least and the greatest share of the paste's pressure that inertia takes in capillary and syringe readings [-].

    1.12 ρ U² over the pressure read less friction, U the mean velocity in the bore; of a thinning paste it is less. None where there is no such
    reading.

    Parameters
    ----------
    runs : Bench, or sequence of PressureRun and ForceRun
    density : float
        Of the paste with its air. [kg/m3]

    Examples
    --------
    10 mm3/s of 1200 kg/m3 through 1 mm at 50 kPa: U = 12.73 mm/s, 1.12*1200*0.01273^2 = 0.218 Pa, by hand.

    >>> import rheokit as rk
    >>> nozzle = rk.Nozzle(rk.Cylinder(diameter=1e-3, length=0.02))
    >>> run = rk.PressureRun(nozzle=nozzle, flow_rate=[10e-9], pressure=[50e3], read="pressure")
    >>> least, most = kinetic_share([run], 1200.0)
    >>> f"{most * 50e3:.3f} Pa"
    '0.218 Pa'
    """
    density = float(judged_number("kinetic_share", "density", density, "density"))
    frame, _ = rows_of(runs_of(runs, "kinetic_share"))
    if not len(frame):
        return None
    velocity = 4 * frame.flow_rate / (np.pi * frame.diameter**2)
    shares = KINETIC * density * velocity**2 / np.maximum(_of_paste(frame), 1e-9)
    return float(shares.min()), float(shares.max())


def _of_paste(frame):
    """Return the pressure of the paste in readings [Pa]: what was read less the friction of the plunger."""
    return np.maximum(frame.pressure - frame.get("friction_pressure", 0.0), 0.0)


WARMS = 3.0e6
"""Heat that warms a volume of wet paste by a kelvin, the least that is usual; common practice, no source. [J/(m3 K)]"""
ADIABATIC = "Δp/(ρ c), Δp less the friction of the plunger, all work kept as heat; energy balance"


def most_warming(runs: Runs, density: float | None = None, heat_capacity: float | None = None) -> float | None:
    """Return by how much friction in the nozzle warms the paste at most, on the mean over its section [K].

    Every pascal of the pressure read less friction becomes heat, and none leaves through the walls: Δp/(ρ c); what the plunger rubs warms the
    barrel. Near the wall it may be warmer. None where there is no such reading.

    Parameters
    ----------
    runs : Bench, or sequence of PressureRun and ForceRun
    density, heat_capacity : float, optional
        Of the paste [kg/m3], [J/(kg K)]; without both of them `WARMS` is taken.

    Examples
    --------
    50 kPa in 1200 kg/m3 of 2500 J/(kg K): 50e3/3e6 = 0.0167 K, by hand.

    >>> import rheokit as rk
    >>> nozzle = rk.Nozzle(rk.Cylinder(diameter=1e-3, length=0.02))
    >>> run = rk.PressureRun(nozzle=nozzle, flow_rate=[10e-9], pressure=[50e3], read="pressure")
    >>> f"{most_warming([run], 1200.0, 2500.0):.4f}"
    '0.0167'
    """
    frame, _ = rows_of(runs_of(runs, "most_warming"))
    if not len(frame):
        return None
    held = WARMS if density is None or heat_capacity is None else float(density) * float(heat_capacity)
    return float(np.max(_of_paste(frame))) / held
