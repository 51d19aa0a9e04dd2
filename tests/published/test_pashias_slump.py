"""Slump of a cylinder against the fifty-cent rheometer.

Source     Pashias, Boger, Summers and Glenister, Journal of Rheology 40 (1996) 1179: s' = 1 - 2t'(1 - ln
           2t'), t' = τ_y/(ρ g H).
Kind       published
Trust      M: formula recalled from memory, then recomputed by the direct integral over layers (below).
Agreement  half a unit of the last printed place.

Their 2 is Tresca's; rheokit has √3, von Mises. The same slump is reached with a yield stress 2/√3 times
theirs, and so it is entered here.
"""

import numpy as np
import pytest

import rheokit as rk
from rheokit.units import STANDARD_GRAVITY, mm

CYLINDER = rk.CylinderSlump(height=100 * mm, diameter=100 * mm, density=1200.0, slump=[30 * mm])
WEIGHT = 1200.0 * STANDARD_GRAVITY * 100 * mm
TABLE = [(0.05, 0.66974), (0.1, 0.47811), (0.2, 0.23348), (0.3, 0.09350)]


def law(tresca_yield_stress):
    return rk.HerschelBulkley(yield_stress=2 / np.sqrt(3) * tresca_yield_stress, consistency=50.0, flow_index=0.4)


def layer_integral(stress):
    """Return s' by thinning every layer below the depth that still stands, by the trapezium rule; `stress`
    is t'.
    """
    depth = np.linspace(0.0, 1.0, 400_001)
    return 1 - np.trapezoid(np.minimum(2 * stress / np.maximum(depth, 1e-300), 1.0), depth)


@pytest.mark.parametrize(("stress", "slump"), TABLE)
def test_slump(stress, slump):
    assert CYLINDER.predict(law(stress * WEIGHT), {}) / CYLINDER.height == pytest.approx([slump], abs=5e-6)


@pytest.mark.parametrize(("stress", "slump"), TABLE)
def test_direct_integral_over_layers(stress, slump):
    assert layer_integral(stress) == pytest.approx(slump, abs=5e-6)
    assert CYLINDER.predict(law(stress * WEIGHT), {}) / CYLINDER.height == pytest.approx(
        [layer_integral(stress)], abs=1e-9
    )


@pytest.mark.parametrize(("stress", "slump"), TABLE[:3])
def test_yield_stress_from_the_slump(stress, slump):
    """The exact inverse, inside the window of 10 to 80 % of the height."""
    test = rk.CylinderSlump(height=100 * mm, diameter=100 * mm, density=1200.0, slump=[slump * 100 * mm])
    assert test.yield_stresses() == pytest.approx([2 / np.sqrt(3) * stress * WEIGHT], rel=5e-5)
