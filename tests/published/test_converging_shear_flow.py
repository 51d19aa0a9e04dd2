"""Shear flow in cones: the power-law and Newtonian closed forms, and Cogswell's shear term.

Source     Power-law cone by lubrication (from memory); Newtonian cone (derived); Cogswell's shear term as
           printed in International Journal of Bioprinting 11(4) 2025 p. 320 Eq. III (article.accscience.com,
           .../page328.html).
Kind       exact, published
Trust      cones M/D: from memory, equal to the slice integral below; Cogswell V: read in stored text ("where
           gamma is calculated by 4Q/pi(d2/2)^3"; the closing bracket falls so that γ̇ = 4Q/πr³).
Agreement  half a unit of the last place of 24837.894 Pa; identities 1e-12; slices 1e-8.
"""

import numpy as np
import pytest

import rheokit as rk
from rheokit.units import mm

CONE = rk.Cone(inlet_diameter=4 * mm, outlet_diameter=0.4 * mm, length=20 * mm)
FLOW = 2 * mm**3
TANGENT = (4 * mm - 0.4 * mm) / 2 / (20 * mm)


def test_power_law_cone():
    """Δp = 2K/(3n tan θ) ((3n+1)Q/nπ)^n (R_2^-3n - R_1^-3n): 150 Pa s^n, 0.35, 2 mm3/s -> 24837.894 Pa."""
    assert CONE.pressure_drop(rk.PowerLaw(consistency=150.0, flow_index=0.35), FLOW) == pytest.approx(
        24837.894, abs=5e-4
    )


def test_power_law_cone_in_slices():
    law = rk.PowerLaw(consistency=150.0, flow_index=0.35)
    edges = 2 * mm * np.exp(np.linspace(0, np.log(0.1), 20_001))
    middle = np.sqrt(edges[:-1] * edges[1:])
    slices = 2 / TANGENT * law.wall_shear_stress(4 * FLOW / (np.pi * middle**3)) * np.log(edges[:-1] / edges[1:])
    assert CONE.pressure_drop(law, FLOW) == pytest.approx(np.sum(slices), rel=1e-8)


def test_newtonian_cone():
    """Δp = 8 μ Q/(3π tan θ) (R_2^-3 - R_1^-3)."""
    expected = 8 * 3.0 * FLOW / (3 * np.pi * TANGENT) * ((0.2 * mm) ** -3 - (2 * mm) ** -3)
    assert CONE.pressure_drop(rk.Newtonian(viscosity=3.0), FLOW) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("n", [0.2, 0.35, 0.8])
def test_cogswell_shear_term_is_on_the_apparent_rate(n):
    """2C γ̇^n/(3n tan θ) [1 - (d2/d1)^3n] holds with C on the apparent rate, C = K ((3n+1)/4n)^n."""
    consistency = 150.0
    rate = 4 * FLOW / (np.pi * (0.2 * mm) ** 3)
    printed = 2 * consistency * rate**n / (3 * n * TANGENT) * (1 - 0.1 ** (3 * n))
    factor = ((3 * n + 1) / (4 * n)) ** n
    with_c = rk.PowerLaw(consistency=consistency / factor, flow_index=n)
    assert CONE.pressure_drop(with_c, FLOW) == pytest.approx(printed, rel=1e-12)
    with_k = rk.PowerLaw(consistency=consistency, flow_index=n)
    assert CONE.pressure_drop(with_k, FLOW) / printed == pytest.approx(factor, rel=1e-12)


def test_taking_cogswells_constant_for_the_consistency_costs_14_percent():
    n, consistency = 0.35, 150.0
    rate = 4 * FLOW / (np.pi * (0.2 * mm) ** 3)
    printed = 2 * consistency * rate**n / (3 * n * TANGENT) * (1 - 0.1 ** (3 * n))
    missed = CONE.pressure_drop(rk.PowerLaw(consistency=consistency, flow_index=n), FLOW) / printed - 1
    assert missed == pytest.approx(0.14, abs=5e-3)
