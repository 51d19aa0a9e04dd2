"""The glass capillary viscometer of a food rheology text.

Source     Steffe, Rheological Methods in Food Process Engineering, 2nd ed., Eq. 2.98-2.99 p. 126
           (fliphtml5.com/lnym/cadr/, "136"): μ/ρ = k t, k = π g h R⁴/(8 L V).
Kind       exact
Trust      V: formula read in stored text ("k = ghpiR4 [2.99] 8L V"), identity with Hagen and Poiseuille
           checked.
Agreement  1e-12.
"""

import numpy as np
import pytest

import rheokit as rk
from rheokit.units import mL, mm


@pytest.mark.parametrize("viscosity", [0.9e-3, 25e-3])
def test_efflux_time_of_a_glass_capillary(viscosity):
    radius, length, head, volume, density, gravity = 0.3 * mm, 90 * mm, 110 * mm, 4 * mL, 1040.0, 9.81
    constant = np.pi * gravity * head * radius**4 / (8 * length * volume)
    time = viscosity / density / constant
    tube = rk.Cylinder(diameter=2 * radius, length=length)
    driven_by = tube.pressure_drop(rk.Newtonian(viscosity=viscosity), volume / time)
    assert driven_by == pytest.approx(density * gravity * head, rel=1e-12)
