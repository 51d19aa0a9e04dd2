"""Tube and cone against plain quadrature, for any paste.

Kind       independent
Agreement  1e-8 for flow indices from 0.12 to 1.1; against mpmath in 30 digits for a few fixed pastes.

The second route shares nothing with the package: γ̇ = ((τ - τ_y)/K)^(1/n) written out, tanh-sinh sums over
the stress, bisection for the wall stress, tanh-sinh sums over the radius.
"""

import mpmath
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import rheokit as rk

STEP = 0.06
_T = STEP * np.arange(-70, 71)
NODES = 1 / (1 + np.exp(-np.pi * np.sinh(_T)))  # of 0 to 1, crowded at both ends
WEIGHTS = STEP * np.pi * np.cosh(_T) * NODES / (1 + np.exp(np.pi * np.sinh(_T)))

DECADES = st.floats(-6.0, 5.0).map(lambda power: 10.0**power)  # apparent rates [1/s]
PASTES = st.builds(
    rk.HerschelBulkley,
    yield_stress=st.one_of(st.just(0.0), st.floats(-3.0, 4.699).map(lambda power: 10.0**power)),
    consistency=st.floats(-2.0, 4.0).map(lambda power: 10.0**power),
    flow_index=st.floats(0.12, 1.1),
)


def ln_apparent_rate(ln_excess, tau_y, consistency, n):
    """Return ln of 4/τ_w³ ∫ τ² γ̇ dτ from yield to wall, for ln(τ_w - τ_y) of shape (k,)."""
    excess = np.exp(ln_excess)[:, None]
    shape = np.sum(WEIGHTS * (tau_y + excess * NODES) ** 2 * NODES ** (1 / n), axis=1)
    ln_wall_rate = (ln_excess - np.log(consistency)) / n
    return np.log(4 * shape) + ln_wall_rate + ln_excess - 3 * np.log(tau_y + excess[:, 0])


def wall_stress(rates, tau_y, consistency, n):
    """Return the wall stress at each apparent rate, by bisection in ln(τ_w - τ_y)."""
    low, high = np.full(rates.shape, -200.0), np.full(rates.shape, 60.0)
    for _ in range(60):
        middle = (low + high) / 2
        short = ln_apparent_rate(middle, tau_y, consistency, n) < np.log(rates)
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return tau_y + np.exp((low + high) / 2)


def triple(law):
    return law.yield_stress, law.consistency, law.flow_index


@settings(max_examples=100)
@given(law=PASTES, rate=DECADES)
def test_tube(law, rate):
    expected = wall_stress(np.array([rate]), *triple(law))[0]
    assert law.wall_shear_stress(rate) == pytest.approx(expected, rel=1e-8)


@settings(max_examples=100)
@given(law=PASTES, ln_excess=st.floats(-12.0, 6.0))
def test_flow_at_a_wall_stress(law, ln_excess):
    """The wall stress lies a share of e^-12 to e^6 above yield; its own rounding is counted against the
    flow.
    """
    scale = law.yield_stress or law.consistency
    tau_w = law.yield_stress + scale * np.exp(ln_excess)
    excess = tau_w - law.yield_stress
    found = law.apparent_shear_rate(tau_w)
    expected = ln_apparent_rate(np.array([np.log(excess)]), *triple(law))[0]
    assert np.log(found) == pytest.approx(expected, abs=1e-8)


@settings(max_examples=40)
@given(law=PASTES, rate=DECADES, ln_ratio=st.floats(-9.0, np.log(3.0)).map(np.exp))
def test_cone(law, rate, ln_ratio):
    """Diameter ratios from 1.0001 to 20; the rate is that of the narrow end."""
    outlet, length = 0.4e-3, 9e-3
    inlet = outlet * np.exp(ln_ratio)
    flow = np.pi * outlet**3 / 4 * rate
    radius = outlet + (inlet - outlet) * NODES
    stress = wall_stress(4 * flow / (np.pi * radius**3), *triple(law))
    expected = np.sum(WEIGHTS * 2 * stress / radius) * length  # ∫ 2 τ_w/R dz, z evenly along R
    cone = rk.Cone(inlet_diameter=2 * inlet, outlet_diameter=2 * outlet, length=length)
    assert cone.pressure_drop(law, flow) == pytest.approx(expected, rel=1e-8)


@pytest.mark.parametrize("n", [0.12, 0.38, 1.1])
@pytest.mark.parametrize("rate", [1e-6, 3.0, 1e5])
def test_tube_in_thirty_digits(n, rate):
    tau_y, consistency = 650, 210
    tau_w = rk.HerschelBulkley(yield_stress=tau_y, consistency=consistency, flow_index=n).wall_shear_stress(rate)
    with mpmath.workdps(30):

        def miss(ln_excess):
            wall = tau_y + mpmath.exp(ln_excess)
            integral = mpmath.quad(
                lambda tau: tau**2 * ((tau - tau_y) / consistency) ** (1 / mpmath.mpf(n)), [tau_y, wall]
            )
            return mpmath.log(4 * integral / wall**3 / rate)

        start = mpmath.log(max(float(tau_w) - tau_y, 1e-9))
        expected = tau_y + mpmath.exp(mpmath.findroot(miss, (start, start + 0.1), tol=1e-16))
    assert tau_w == pytest.approx(float(expected), rel=1e-12)
