"""Slump of a frustum of a cone.

Source     Schowalter and Christensen, Journal of Rheology 42 (1998) 865; α = r_top/(r_base - r_top) = 1, c =
           2 (Tresca).
Kind       published
Trust      M: recalled from memory, then recomputed by the direct integral over layers (below).
Agreement  half a unit of the last printed place, and 1e-6 to the integral.

Their 2 is Tresca's; rheokit has √3, von Mises. The same slump is reached with a yield stress 2/√3 times
theirs, and so it is entered here.
"""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

import rheokit as rk
from rheokit.units import STANDARD_GRAVITY, mm

HEIGHT, DENSITY = 60 * mm, 1900.0
WEIGHT = DENSITY * STANDARD_GRAVITY * HEIGHT
CONE = rk.FrustumSlump(height=HEIGHT, top_diameter=30 * mm, bottom_diameter=60 * mm, density=DENSITY, slump=[20 * mm])
TABLE = [(0.02, 0.7990), (0.05, 0.5953), (0.1, 0.3513), (0.2, 0.0737)]


def law(tresca_yield_stress):
    return rk.HerschelBulkley(yield_stress=2 / np.sqrt(3) * tresca_yield_stress, consistency=50.0, flow_index=0.4)


def layer_integral(stress):
    """Return s': below the depth where weight over area reaches 2 t', each layer dz thins to 2 t' dz over
    that stress.
    """

    def borne(z):  # weight above over area, in units of ρ g H; radius 1 + z from top to foot
        return ((1 + z) ** 3 - 1) / (3 * (1 + z) ** 2)

    z0 = brentq(lambda z: borne(z) - 2 * stress, 1e-9, 1.0)
    return 1 - z0 - quad(lambda z: 2 * stress / borne(z), z0, 1.0, epsabs=1e-13, epsrel=1e-13)[0]


@pytest.mark.parametrize(("stress", "slump"), TABLE)
def test_slump(stress, slump):
    assert CONE.predict(law(stress * WEIGHT), {}) / HEIGHT == pytest.approx([slump], abs=5e-5)


@pytest.mark.parametrize(("stress", "slump"), TABLE)
def test_direct_integral_over_layers(stress, slump):
    assert layer_integral(stress) == pytest.approx(slump, abs=5e-5)
    assert CONE.predict(law(stress * WEIGHT), {}) / HEIGHT == pytest.approx([layer_integral(stress)], rel=1e-6)


@pytest.mark.parametrize(("stress", "slump"), TABLE[1:3])
def test_yield_stress_from_the_slump(stress, slump):
    test = rk.FrustumSlump(
        height=HEIGHT, top_diameter=30 * mm, bottom_diameter=60 * mm, density=DENSITY, slump=[slump * HEIGHT]
    )
    assert test.yield_stresses() == pytest.approx([2 / np.sqrt(3) * stress * WEIGHT], rel=5e-4)
