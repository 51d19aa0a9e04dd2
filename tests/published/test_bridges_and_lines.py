"""Bridges of a printed lattice, and the stress that carries a layer.

Source     Smay, Cesarano and Lewis, Langmuir 18 (2002) 5429: G' ≥ 1.4 w s⁴ D. τ_0 = ρ g h/√3 for a layer.
Kind       published, and exact: the coefficient of the beam.
Trust      M: recalled, not read; recomputed by a second route.
Agreement  half a unit of the last printed place, 0.05 of 1.4: the beam gives 25/18 = 1.389.
"""

from fractions import Fraction

import pytest

from rheokit.part.shape import SPAN_STIFFNESS, sag_stress, stiff_span
from rheokit.units import STANDARD_GRAVITY as GRAVITY


def test_coefficient_of_the_beam():
    """Mid sag 5 w L⁴/384 E I of a round beam, simply supported, below D/20 with E = 3 G."""
    sag = Fraction(5, 384) * Fraction(1, 4) * 64  # over ρ g L⁴/(E D²): A/I = (π D²/4)/(π D⁴/64)
    coefficient = sag * 20 / 3
    assert coefficient == Fraction(25, 18)
    assert pytest.approx(float(coefficient), rel=9e-3) == SPAN_STIFFNESS
    assert pytest.approx(1.4, abs=1e-12) == SPAN_STIFFNESS


def test_span_of_a_lattice():
    """The formula turned round: 1.4 w s⁴ D = G' at the span that is returned."""
    modulus, density, diameter = 25e3, 1110.0, 1.6e-3
    slenderness = stiff_span(modulus, density, diameter) / diameter
    assert 1.4 * density * GRAVITY * slenderness**4 * diameter == pytest.approx(modulus / 3)


def test_stress_that_carries_a_layer():
    assert sag_stress(2000.0, 0.01) == pytest.approx(2000 * 9.81 * 0.01 / 3**0.5)
