"""Spread of a known volume to a thin pancake, and what a slightly larger cone does to it.

Source     Roussel and Coussot, Journal of Rheology 49 (2005) 705: τ_y = 225 ρ g Ω²/(128 π² R⁵). Abrams cone
           of 100/200/300 mm: probsee.com/p/Slump_test "12 inches (300 mm) high with a 4-inch (100 mm) top";
           102/203/305 mm: dictionarycentral.com.
Kind       published
Trust      spread M: recalled from memory, the coefficient recomputed from h² = 2 τ_y (R - r)/(ρ g) (below);
           cones V: dimensions read in stored text, volumes computed.
Agreement  1e-9 for the coefficient; the printed places for the cones (5.4978 l, 5.775 l, 10 %).
"""

import numpy as np
import pytest

import rheokit as rk
from rheokit.units import STANDARD_GRAVITY, L, mL, mm

DENSITY = 1850.0


def radius(volume, yield_stress):
    """Return the predicted radius [m] without the correction for surface tension."""
    test = rk.Spread(volume=volume, density=DENSITY, radius=[0.1], rim_tension=0.0)
    return test.predict(rk.HerschelBulkley(yield_stress=yield_stress, consistency=5.0, flow_index=0.5), {})[0]


@pytest.mark.parametrize("yield_stress", [2.0, 15.0, 60.0])
def test_volume_under_the_profile(yield_stress):
    """∫ 2πr h dr over the pancake of the predicted radius is the volume poured: h² = 2 τ_y (R - r)/(ρ g), by
    Gauss's rule.
    """
    volume = 300 * mL
    edge = radius(volume, yield_stress)
    nodes, weights = np.polynomial.legendre.leggauss(20)
    u = (nodes + 1) / 2  # r = R (1 - u²) takes the root out of the profile
    height = np.sqrt(2 * yield_stress * edge / (DENSITY * STANDARD_GRAVITY)) * u
    poured = np.sum(weights / 2 * 2 * np.pi * edge * (1 - u**2) * height * 2 * edge * u)
    assert poured == pytest.approx(volume, rel=1e-9)


def test_coefficient():
    edge = radius(300 * mL, 15.0)
    assert edge**5 == pytest.approx(
        225 * DENSITY * STANDARD_GRAVITY * (300 * mL) ** 2 / (128 * np.pi**2 * 15.0), rel=1e-9
    )


def test_rim_correction_lowers_the_yield_stress_by_a_known_amount():
    """τ_y = 225 ρ g Ω²/(128 π² R⁵) - λ R²/Ω, λ = 0.005 N/m; M."""
    volume, edge = 100 * mL, 0.11
    with_rim = rk.Spread(volume=volume, density=DENSITY, radius=[edge]).yield_stresses()
    without = rk.Spread(volume=volume, density=DENSITY, radius=[edge], rim_tension=0.0).yield_stresses()
    assert without - with_rim == pytest.approx([0.005 * edge**2 / volume], rel=1e-9)


def frustum_volume(top_diameter, bottom_diameter, height):
    r, s = top_diameter / 2, bottom_diameter / 2
    return np.pi * height / 3 * (r * r + r * s + s * s)


def test_inch_cone_holds_five_percent_more_and_reads_ten_percent_more():
    metric, inch = frustum_volume(100 * mm, 200 * mm, 300 * mm), frustum_volume(102 * mm, 203 * mm, 305 * mm)
    assert metric == pytest.approx(5.4978 * L, abs=0.5e-4 * L)
    assert inch == pytest.approx(5.775 * L, abs=0.5e-3 * L)
    read = [
        rk.Spread(volume=volume, density=DENSITY, radius=[0.3], rim_tension=0.0).yield_stresses()[0]
        for volume in (metric, inch)
    ]
    assert read[1] / read[0] == pytest.approx(1.10, abs=5e-3)
