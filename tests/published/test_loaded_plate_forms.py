"""A loaded plate: the thin form common in texts, and what it leaves out.

Source     Covey and Stanmore, Journal of Non-Newtonian Fluid Mechanics 8 (1981) 249: F/πR² = C τ_y + (2/3) m
           τ_y R/h.
Kind       published (form), independent (C by a slab integral)
Trust      M: form recalled from memory; D: C by the integral over the gap below, no print.
Agreement  1e-9; the over-reading of the thin form to its printed place (2.04 h/R).
"""

import numpy as np
import pytest

import rheokit as rk
from rheokit.units import mL

LAW = rk.HerschelBulkley(yield_stress=700.0, consistency=100.0, flow_index=0.4)


def mean_pressure(wall_friction, slenderness):
    """Return F/(πR² τ_y) at R/h, the radial stress at the rim averaged over the gap: √3 mean of √(1 - (m
    2z/h)²).
    """
    nodes, weights = np.polynomial.legendre.leggauss(200)
    angle = np.arcsin(wall_friction) if wall_friction else 0.0
    shear = np.sin(
        angle * (nodes + 1) / 2
    )  # τ_rz/τ_y from the middle plane to the plate, taken as equal steps of its arcsine
    if wall_friction:
        mean = np.sum(weights / 2 * np.sqrt(1 - shear**2) * np.cos(angle * (nodes + 1) / 2) * angle) / wall_friction
    else:
        mean = 1.0
    return np.sqrt(3) * mean + 2 / 3 * wall_friction * slenderness


@pytest.mark.parametrize("wall_friction", [0.0, 0.4, 0.7, 1.0])
@pytest.mark.parametrize("force", [15.0, 60.0])
def test_force_balance(wall_friction, force):
    volume = 8 * mL
    plate = rk.LoadedPlate(volume=volume, force=force, radius=[0.05], wall_friction=wall_friction)
    radius = plate.predict(LAW, {})[0]
    slenderness = radius * np.pi * radius**2 / volume
    assert force / (np.pi * radius**2 * LAW.yield_stress) == pytest.approx(
        mean_pressure(wall_friction, slenderness), rel=1e-9
    )


def test_thin_form_over_reads():
    """3 F Ω/(2π² R⁵) is too high by 1 + 2.04 h/R on rough plates."""
    volume, radius = 8 * mL, 0.035
    plate = rk.LoadedPlate(volume=volume, force=30.0, radius=[radius])
    thin = 3 * 30.0 * volume / (2 * np.pi**2 * radius**5)
    gap = volume / (np.pi * radius**2)
    assert (thin / plate.yield_stresses()[0] - 1) * radius / gap == pytest.approx(2.04, abs=5e-3)
