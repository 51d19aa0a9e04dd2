"""Power-law and Bingham pipe flow of a chemical engineering text.

Source     Coulson and Richardson, Chemical Engineering vol. 1: Example 3.10 p. 127, Example 3.11 p. 129;
           Solutions to the Problems: 3.29 and 3.30 p. 42, and the annular flow of p. 58.
Kind       published (examples and solutions), independent (plug share)
Trust      S: examples as transcribed in a worked-example companion, page not seen; V: 3.29, 3.30 and p. 58
           read in stored text of the source (minus signs of p. 58 restored, the text layer loses them); D:
           no print, two computations agree.
Agreement  half a unit of the last printed place; identities 1e-12.
"""

import numpy as np
import pytest

import rheokit as rk
from rheokit.units import mm

POWER_LAW = rk.PowerLaw(consistency=10.0, flow_index=0.2)
BINGHAM = rk.Bingham(yield_stress=14.345, plastic_viscosity=0.1505)
RADIUS, LENGTH = 20 * mm, 200.0


def axis_velocity(law, pressure):
    """Return the velocity on the axis [m/s] of the pipe of Example 3.10: R/τ_w ∫ γ̇ dτ, by the trapezium
    rule.
    """
    stress = np.linspace(0.0, pressure * RADIUS / (2 * LENGTH), 200_001)
    return np.trapezoid(law.shear_rate(stress), stress) * RADIUS / stress[-1]


def test_two_laws_through_the_same_two_points():
    """Example 3.10, S: 15.85 and 21.87 Pa at 10 and 50 1/s; Bingham 0.1505 Pa s and 14.345 Pa."""
    for rate, stress in ((10.0, 15.85), (50.0, 21.87)):
        assert POWER_LAW.shear_stress(rate) == pytest.approx(stress, abs=5e-3)
        assert BINGHAM.shear_stress(rate) == pytest.approx(stress, abs=5e-3)
    rates = np.array([10.0, 50.0])
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=[15.85, 21.87], uncertainty=0.005)
    law = rk.fit(rk.Bingham, curve).law
    assert law.plastic_viscosity == pytest.approx(0.1505, abs=5e-5)
    assert law.yield_stress == pytest.approx(14.345, abs=5e-4)


def test_pressure_for_one_metre_a_second_on_the_axis():
    """Example 3.10, S: r 20 mm, l 200 m, 1 m/s on the axis -> 6.26e5 Pa. Mean over axis velocity is
    (n+1)/(3n+1).
    """
    n = POWER_LAW.flow_index
    flow = np.pi * RADIUS**2 * 1.0 * (n + 1) / (3 * n + 1)
    pressure = rk.Cylinder(diameter=2 * RADIUS, length=LENGTH).pressure_drop(POWER_LAW, flow)
    assert pressure == pytest.approx(6.26e5, abs=0.005e5)
    assert axis_velocity(POWER_LAW, pressure) == pytest.approx(1.0, abs=1e-6)


def test_bingham_axis_velocity():
    """Example 3.10, S, a documented disagreement: the formula gives 0.61 m/s; the companion prints 0.68 (it
    adds array elements).
    """
    velocity = axis_velocity(BINGHAM, 6.26e5)
    assert velocity == pytest.approx(0.61, abs=5e-3)
    assert abs(velocity - 0.68) > 0.05


def test_flow_ratio_at_one_apparent_viscosity():
    """Example 3.11, S: n 1/3, equal viscosity at 1000 1/s, 25 mm x 20 m, 1e5 Pa -> 0.065.

    The viscosity itself, 0.1 Pa s, is not in the transcription of the answer: recalled from memory (M); the
    printed ratio agrees.
    """
    viscosity, n = 0.1, 1 / 3
    pipe = rk.Nozzle(rk.Cylinder(diameter=25 * mm, length=20.0))
    thinning = rk.PowerLaw(consistency=viscosity * 1000 ** (1 - n), flow_index=n)
    ratio = pipe.flow_rate(thinning, 1e5) / pipe.flow_rate(rk.Newtonian(viscosity=viscosity), 1e5)
    assert ratio == pytest.approx(0.065, abs=5e-4)


def test_square_law_fluid():
    """Solution 3.29, V: Q = (2π/7) (Δp/2kl)^(1/2) a^(7/2) for τ = k γ̇²."""
    k, a, length, pressure = 0.3, 4 * mm, 0.7, 2e4
    pipe = rk.Nozzle(rk.Cylinder(diameter=2 * a, length=length))
    expected = 2 * np.pi / 7 * np.sqrt(pressure / (2 * k * length)) * a**3.5
    assert pipe.flow_rate(rk.PowerLaw(consistency=k, flow_index=2.0), pressure) == pytest.approx(expected, rel=1e-10)


def test_fluid_just_held_in_an_open_tube():
    """Solution 3.30, V: τ_y = ρ g d/4, "2000 x 9.81 x 0.3/4 = 1472" N/m2: the tube's own weight is the start
    pressure.
    """
    density, gravity, diameter, length = 2000.0, 9.81, 0.3, 1.7
    tenth = rk.Cylinder(diameter=diameter / 10, length=length / 10)  # 4L/D is the same; no nozzle is 300 mm wide
    weight = density * gravity * length
    law = rk.Bingham(yield_stress=1.0, plastic_viscosity=1.0)
    for factor in (tenth.start_factor, tenth.pressure_drop(law, 0.0)):
        assert weight / factor == pytest.approx(1472, abs=0.5 + 1e-9)  # 1471.5 before rounding


@pytest.mark.parametrize("plug", [0.05, 0.3, 0.62, 0.9])
def test_flow_outside_the_plug(plug):
    """Solution p. 58, V: the sheared annulus carries 2πR³τ_w/μ times 1/8 - X/6 - X²/4 + X⁴/8 + X³/2 - X⁴/3,
    X = τ_y/τ_w.
    """
    tau_y, viscosity = 40.0, 0.7
    tau_w = tau_y / plug
    whole = rk.Bingham(yield_stress=tau_y, plastic_viscosity=viscosity).apparent_shear_rate(tau_w) / 4  # Q/πR³
    core = plug**2 * tau_w / (2 * viscosity) * (1 - plug) ** 2  # plug area times its velocity, over πR³
    bracket = 1 / 8 - plug / 6 - plug**2 / 4 + plug**4 / 8 + plug**3 / 2 - plug**4 / 3
    assert whole - core == pytest.approx(2 * tau_w / viscosity * bracket, rel=1e-12)


def test_plug_that_carries_half_of_the_flow():
    """Derived, D: τ_y/τ_w = 0.62100."""
    plug = 0.62100
    law = rk.Bingham(yield_stress=plug, plastic_viscosity=1.0)
    core = plug**2 / 2 * (1 - plug) ** 2
    slope = 3.3  # of ln share against ln plug, near there: half a unit of the last place is 8e-6 of the plug
    assert core / (law.apparent_shear_rate(1.0) / 4) == pytest.approx(0.5, rel=slope * 8e-6)
