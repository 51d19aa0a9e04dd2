"""The Herschel-Bulkley tube relation in the form of a text on non-Newtonian flow, and its two limits.

Source     Chhabra and Richardson, Non-Newtonian Flow and Applied Rheology, ch. 3.
Kind       published (form), exact (limits), independent (number)
Trust      M: form recalled from memory, then recomputed by a second route; D: 1.976023e-8 m3/s, two
           computations agree, no print.
Agreement  half a unit of the last place of 1.976023e-8; limits 1e-12.
"""

import numpy as np
import pytest

import rheokit as rk
from rheokit.units import kPa, mm

PASTE = rk.HerschelBulkley(yield_stress=200.0, consistency=80.0, flow_index=0.4)


def textbook_flow(tau_w, tau_y, consistency, n, radius):
    """Return Q [m3/s], as the book has it: πR³ n (τ_w/K)^(1/n) (1-φ)^((n+1)/n) [(1-φ)²/(3n+1) +
    2φ(1-φ)/(2n+1) + φ²/(n+1)].
    """
    phi = tau_y / tau_w
    bracket = (1 - phi) ** 2 / (3 * n + 1) + 2 * phi * (1 - phi) / (2 * n + 1) + phi**2 / (n + 1)
    return np.pi * radius**3 * n * (tau_w / consistency) ** (1 / n) * (1 - phi) ** ((n + 1) / n) * bracket


def test_flow_through_a_short_tube():
    """200 Pa, 80 Pa s^n, 0.4, R 0.5 mm, L 10 mm, 40 kPa -> 1.976023e-8 m3/s."""
    tube = rk.Nozzle(rk.Cylinder(diameter=1 * mm, length=10 * mm))
    assert tube.flow_rate(PASTE, 40 * kPa) == pytest.approx(1.976023e-8, abs=0.5e-14)
    assert tube.pressure_drop(PASTE, 1.976023e-8) == pytest.approx(40 * kPa, rel=2e-7)


def test_textbook_form():
    tau_w = np.array([201.0, 250.0, 500.0, 1000.0, 20000.0])
    expected = textbook_flow(tau_w, 200.0, 80.0, 0.4, radius=1.0) * 4 / np.pi
    np.testing.assert_allclose(PASTE.apparent_shear_rate(tau_w), expected, rtol=1e-12)


def test_index_of_one_is_buckingham_and_reiner():
    """8V/D = (τ_w/μ) (1 - 4φ/3 + φ⁴/3)."""
    law = rk.HerschelBulkley(yield_stress=200.0, consistency=1.7, flow_index=1.0)
    tau_w = np.array([250.0, 500.0, 1000.0, 20000.0])
    phi = 200.0 / tau_w
    np.testing.assert_allclose(law.apparent_shear_rate(tau_w), tau_w / 1.7 * (1 - 4 * phi / 3 + phi**4 / 3), rtol=1e-11)


def test_no_yield_stress_is_the_power_law():
    """τ_w = K ((3n+1)/4n γ̇_a)^n."""
    law = rk.HerschelBulkley(yield_stress=0.0, consistency=80.0, flow_index=0.4)
    rates = np.array([1e-6, 1.0, 1e5])
    np.testing.assert_allclose(law.wall_shear_stress(rates), 80 * (2.2 / 1.6 * rates) ** 0.4, rtol=1e-12)
