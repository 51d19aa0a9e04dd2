"""What holds for any Herschel-Bulkley paste in a tube or a taper: limits, scaling, seams, shapes.

Kind       exact
Agreement  said beside each property; flow index 0.05 to 1.5, yield stress 0 to 50 kPa, apparent rates 1e-6
           to 1e5 1/s.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import rheokit as rk


def decades(low, high):
    return st.floats(low, high).map(lambda power: 10.0**power)


YIELD_STRESSES = st.one_of(st.just(0.0), decades(-3.0, 4.699))
CONSISTENCIES = decades(-2.0, 4.0)
INDICES = st.floats(0.05, 1.5)
RATES = decades(-6.0, 5.0)
RATIOS = st.floats(1.001, 20.0)  # of diameters
PASTES = st.builds(rk.HerschelBulkley, yield_stress=YIELD_STRESSES, consistency=CONSISTENCIES, flow_index=INDICES)
OUTLET = 0.4e-3  # radius [m]


def flow_at(rate, radius=OUTLET):
    """Return the flow [m3/s] at an apparent rate [1/s]."""
    return np.pi * radius**3 / 4 * rate


@given(tau_y=YIELD_STRESSES, viscosity=CONSISTENCIES, rate=RATES, ratio=RATIOS)
def test_index_of_one_is_bingham(tau_y, viscosity, rate, ratio):
    """1e-12; and Bingham's wall stress satisfies Buckingham and Reiner's relation."""
    general = rk.HerschelBulkley(yield_stress=tau_y, consistency=viscosity, flow_index=1.0)
    bingham = rk.Bingham(yield_stress=tau_y, plastic_viscosity=viscosity)
    tau_w = bingham.wall_shear_stress(rate)
    assert general.wall_shear_stress(rate) == pytest.approx(tau_w, rel=1e-12)
    assert general.shear_stress(rate) == pytest.approx(tau_y + viscosity * rate, rel=1e-12)
    ends = (flow_at(rate), ratio * OUTLET, OUTLET)
    assert general.cone_stress_integral(*ends) == pytest.approx(bingham.cone_stress_integral(*ends), rel=1e-12)
    plug = tau_y / tau_w
    if plug < 0.9:  # nearer to 1 the textbook bracket has no digits left
        assert tau_w / viscosity * (1 - 4 * plug / 3 + plug**4 / 3) == pytest.approx(rate, rel=1e-10)


@given(consistency=CONSISTENCIES, n=INDICES, rate=RATES, ratio=RATIOS)
def test_no_yield_stress_is_the_power_law(consistency, n, rate, ratio):
    """1e-11, with the power-law formulae written out."""
    law = rk.HerschelBulkley(yield_stress=0.0, consistency=consistency, flow_index=n)
    tau_w = consistency * ((3 * n + 1) / (4 * n) * rate) ** n
    assert law.wall_shear_stress(rate) == pytest.approx(tau_w, rel=1e-11)
    assert law.apparent_shear_rate(tau_w) == pytest.approx(rate, rel=1e-11)
    integral = tau_w / (3 * n) * -np.expm1(-3 * n * np.log(ratio))
    assert law.cone_stress_integral(flow_at(rate), ratio * OUTLET, OUTLET) == pytest.approx(integral, rel=1e-11)


@given(law=PASTES, rate=RATES)
def test_wall_stress_and_rate_undo_each_other(law, rate):
    """The wall stress that gives the rate, to rounding of the stress: ln rate moves at most 1 + 1/n times
    ln(τ_w - τ_y).
    """
    tau_w = law.wall_shear_stress(rate)
    assert np.isfinite(tau_w)
    assert tau_w >= law.yield_stress
    excess = tau_w - law.yield_stress
    if excess > 1e-6 * tau_w:
        rounding = 1e-15 * tau_w / excess * (1 + 1 / law.flow_index)
        assert law.apparent_shear_rate(tau_w) == pytest.approx(rate, rel=1e-11 + 4 * rounding)


@given(law=PASTES, rate=RATES, faster=st.floats(1.0, 1e3))
def test_more_flow_never_needs_less_stress(law, rate, faster):
    slow, fast = law.wall_shear_stress(rate), law.wall_shear_stress(faster * rate)
    assert fast >= slow * (1 - 1e-14)


@pytest.mark.filterwarnings("ignore::rheokit.ModelRangeWarning")
@given(
    n=INDICES,
    bingham=decades(-4.0, 4.0),
    scales=st.tuples(decades(-1.0, 3.0), decades(-2.0, 2.0), decades(-1.0, 1.0)),
    ratio=RATIOS,
)
def test_dimensionless_groups_alone_fix_the_pressure(n, bingham, scales, ratio):
    """Δp D/(4 L τ_y) depends on n, τ_y/(K γ̇_a^n) and the shape alone, not on the sizes of stress, rate or
    length; 1e-11.
    """
    found = []
    for stress, rate, size in ((1.0, 1.0, 1.0), scales):
        tau_y = 10.0 * stress
        law = rk.HerschelBulkley(yield_stress=tau_y, consistency=tau_y / (bingham * rate**n), flow_index=n)
        radius = OUTLET * size
        tube = rk.Cylinder(diameter=2 * radius, length=7 * radius)
        cone = rk.Cone(inlet_diameter=2 * ratio * radius, outlet_diameter=2 * radius, length=9 * radius)
        flow = flow_at(rate, radius)
        found.append(
            [
                tube.pressure_drop(law, flow) * tube.diameter / (4 * tube.length * tau_y),
                cone.pressure_drop(law, flow) / tau_y,
                rk.Nozzle(cone, tube).pressure_drop(law, flow) / tau_y,
            ]
        )
    np.testing.assert_allclose(found[0], found[1], rtol=1e-11)


@given(law=PASTES, rate=RATES)
def test_no_seam_between_cone_and_cylinder(law, rate):
    """Across ln(R_in/R_out) = 1e-3, where the rule changes, the mean wall stress jumps by less than 1e-9.

    Down to equal ends it is the tube's at the middle radius and a term in the square of the logarithm.
    """
    flow = flow_at(rate)

    def over_tube(log_ratio):
        """Return the mean wall stress of the cone over that at the geometric middle: 1 and a term in
        log_ratio².
        """
        inlet = OUTLET * np.exp(log_ratio)
        mean = law.cone_stress_integral(flow, inlet, OUTLET) / np.log1p((inlet - OUTLET) / OUTLET)
        middle = np.sqrt(inlet * OUTLET)
        return mean / law.wall_shear_stress(4 * flow / (np.pi * middle**3))

    below, above = over_tube(0.9999e-3), over_tube(1.0001e-3)
    assert below == pytest.approx(above, rel=1e-9)
    for log_ratio in (1e-12, 1e-9, 1e-6, 1e-5, 1e-4):
        assert over_tube(log_ratio) == pytest.approx(1.0, abs=3 * log_ratio**2 + 1e-9)


@given(consistency=CONSISTENCIES, n=INDICES, rate=RATES, ratio=RATIOS)
def test_no_seam_where_the_yield_stress_goes_to_zero(consistency, n, rate, ratio):
    """τ_w grows with τ_y from the power law's value, by at most (3n+1)/(2n+1) τ_y; beyond that 1e-9 in tube
    and cone.
    """
    plain = rk.PowerLaw(consistency=consistency, flow_index=n)
    ends = (flow_at(rate), ratio * OUTLET, OUTLET)
    tube, cone = plain.wall_shear_stress(rate), plain.cone_stress_integral(*ends)
    slope = (3 * n + 1) / (2 * n + 1)
    shares = np.array([1e-300, 1e-30, 1e-16, 0.99e-12, 1e-12, 1.01e-12, 1e-11, 1e-10])
    for share in shares:
        tau_y = share * tube
        law = rk.HerschelBulkley(yield_stress=tau_y, consistency=consistency, flow_index=n)
        assert 0 <= law.wall_shear_stress(rate) / tube - 1 + 1e-12 <= slope * share + 1e-9
        assert abs(law.cone_stress_integral(*ends) / cone - 1) <= slope * tau_y * np.log(ratio) / cone + 1e-9


@st.composite
def batches(draw):
    """Return several pastes' values, all indices at most 1 or any."""
    index = draw(st.sampled_from([INDICES, st.floats(0.05, 1.0)]))
    return draw(st.lists(st.tuples(YIELD_STRESSES, CONSISTENCIES, index), min_size=1, max_size=5))


@settings(max_examples=50)
@given(
    laws=batches(),
    rates=st.lists(RATES, min_size=1, max_size=4),
    ratios=st.lists(st.floats(1.0, 20.0), min_size=1, max_size=3),
)
def test_scalars_arrays_and_draws_agree(laws, rates, ratios):
    """The same law, rate and shape give the same number alone, in an array and as one of many joint draws.

    To the last digits, 2e-15. Only where indices above and below 1 stand in one array does its root search
    take the steps that the worst of them needs, and the others then agree to 1e-12.
    """
    indices = np.array(laws)[:, 2]
    near = 1e-12 if indices.min() <= 1 < indices.max() else 2e-15
    draws = np.array(laws)[:, :, None, None]  # (count, 3, 1, 1)
    many = rk.HerschelBulkley(yield_stress=draws[:, 0], consistency=draws[:, 1], flow_index=draws[:, 2])
    rate, inlet = np.array(rates), OUTLET * np.array(ratios)[:, None]
    flow = flow_at(rate)
    stress, integral = many.wall_shear_stress(rate), many.cone_stress_integral(flow, inlet, OUTLET)
    back, stretch = many.apparent_shear_rate(stress), many.stretching_stress(flow, inlet, OUTLET)
    assert stress.shape == (len(laws), 1, len(rates))
    assert integral.shape == stretch.shape == (len(laws), len(ratios), len(rates))
    for i, values in enumerate(laws):
        law = rk.HerschelBulkley(*values)
        row = law.wall_shear_stress(rate)
        for k, one in enumerate(rates):
            alone = law.wall_shear_stress(one)
            assert np.ndim(alone) == 0
            np.testing.assert_allclose([row[k], stress[i, 0, k]], alone, rtol=near)
            np.testing.assert_allclose(back[i, 0, k], law.apparent_shear_rate(stress[i, 0, k]), rtol=2e-15)
            for j in range(len(ratios)):
                ends = (float(flow[k]), float(inlet[j, 0]), OUTLET)
                np.testing.assert_allclose(integral[i, j, k], law.cone_stress_integral(*ends), rtol=near)
                np.testing.assert_allclose(stretch[i, j, k], law.stretching_stress(*ends), rtol=2e-15)
