"""What holds for any nozzle and any Herschel-Bulkley paste.

Kind       exact
Agreement  said beside each property; flow index 0.05 to 1.5, yield stress 0 to 50 kPa, apparent rates 1e-6
           to 1e5 1/s.
"""

import itertools

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import rheokit as rk

pytestmark = pytest.mark.filterwarnings("ignore::rheokit.ModelRangeWarning")  # any paste: outside the fitted range too


def decades(low, high):
    return st.floats(low, high).map(lambda power: 10.0**power)


PASTES = st.builds(
    rk.HerschelBulkley,
    yield_stress=st.one_of(st.just(0.0), decades(-3.0, 4.699)),
    consistency=decades(-2.0, 4.0),
    flow_index=st.floats(0.05, 1.5),
)
RATES = decades(-6.0, 5.0)  # apparent, in the bore [1/s]
BORES = decades(-4.0, -2.3)  # m
BARREL = 26.7e-3  # m


def flow_at(rate, bore):
    """Return the flow [m3/s] at an apparent rate [1/s] in a bore [m]."""
    return np.pi * bore**3 / 32 * rate


@st.composite
def nozzles(draw):
    """Return a nozzle: a land, a cone and a land, or two lands with a step between."""
    bore, slender = draw(BORES), draw(st.floats(0.2, 40.0))
    wide = min(bore * draw(st.floats(1.5, 10.0)), BARREL)
    land = rk.Cylinder(diameter=bore, length=slender * bore)
    kind = draw(st.sampled_from(["land", "cone", "step"]))
    if kind == "cone":
        cone = rk.Cone(inlet_diameter=wide, outlet_diameter=bore, length=wide * draw(st.floats(0.3, 10.0)))
        return rk.Nozzle(cone, land)
    return rk.Nozzle(rk.Cylinder(diameter=wide, length=wide), land) if kind == "step" else rk.Nozzle(land)


@given(law=PASTES, rate=RATES, bore=BORES, length=decades(-3.0, -0.5), share=st.floats(0.01, 0.99))
def test_cutting_a_cylinder_in_two_changes_nothing(law, rate, bore, length, share):
    """1e-13."""
    whole = rk.Nozzle(rk.Cylinder(diameter=bore, length=length))
    parts = [rk.Cylinder(diameter=bore, length=length * part) for part in (share, 1 - share)]
    flow = flow_at(rate, bore)
    for inlet in (None, BARREL):
        cut = rk.Nozzle(*parts).pressure_drop(law, flow, inlet_diameter=inlet)
        assert cut == pytest.approx(whole.pressure_drop(law, flow, inlet_diameter=inlet), rel=1e-13)


@given(law=PASTES, rate=RATES, bore=BORES, ratio=st.floats(1.01, 10.0), share=st.floats(0.05, 0.95))
def test_cutting_a_cone_in_two_changes_no_shear_flow(law, rate, bore, ratio, share):
    """1e-8: the closed form loses digits in a near-cylinder, and a cut can make one."""
    length, wide = 8 * bore, ratio * bore
    middle = wide + share * (bore - wide)
    first = rk.Cone(inlet_diameter=wide, outlet_diameter=middle, length=share * length)
    second = rk.Cone(inlet_diameter=middle, outlet_diameter=bore, length=(1 - share) * length)
    whole = rk.Cone(inlet_diameter=wide, outlet_diameter=bore, length=length)
    flow = flow_at(rate, bore)
    cut = first.pressure_drop(law, flow) + second.pressure_drop(law, flow)
    assert cut == pytest.approx(whole.pressure_drop(law, flow), rel=1e-8)


@given(law=PASTES, rate=RATES, bore=BORES, length=decades(-3.0, -0.5))
def test_cone_of_equal_ends_is_a_cylinder(law, rate, bore, length):
    """Equal, and 1e-9 with ends that differ by a billionth; in the nozzle too, with no converging part."""
    cylinder = rk.Cylinder(diameter=bore, length=length)
    cone = rk.Cone(inlet_diameter=bore, outlet_diameter=bore, length=length)
    flow = flow_at(rate, bore)
    expected = cylinder.pressure_drop(law, flow)
    assert cone.pressure_drop(law, flow) == pytest.approx(expected, rel=1e-14)
    assert rk.Nozzle(cone).pressure_drop(law, flow) == pytest.approx(expected, rel=1e-14)
    nearly = rk.Cone(inlet_diameter=bore * (1 + 1e-9), outlet_diameter=bore, length=length)
    assert nearly.pressure_drop(law, flow) == pytest.approx(expected, rel=1e-8)
    assert cone.start_factor == pytest.approx(cylinder.start_factor, rel=1e-14)


@given(law=PASTES, rate=RATES, bore=BORES, wider=st.floats(1.0, 4.0), slender=st.floats(0.2, 40.0))
def test_wider_nozzle_needs_no_more_pressure(law, rate, bore, wider, slender):
    """At one flow and one length, with the step from the barrel."""
    flow, length = flow_at(rate, bore), slender * bore
    narrow, wide = (rk.Nozzle(rk.Cylinder(diameter=d, length=length)) for d in (bore, wider * bore))
    assert wide.pressure_drop(law, flow, inlet_diameter=BARREL) <= narrow.pressure_drop(
        law, flow, inlet_diameter=BARREL
    ) * (1 + 1e-12)


@given(law=PASTES, rate=RATES, nozzle=nozzles(), faster=st.floats(1.0, 100.0))
def test_more_flow_needs_no_less_pressure(law, rate, nozzle, faster):
    flow = flow_at(rate, nozzle.bore)
    slow, fast = nozzle.pressure_drop(law, flow), nozzle.pressure_drop(law, faster * flow)
    assert fast >= slow * (1 - 1e-12)


@settings(max_examples=60)
@given(law=PASTES, rate=RATES, nozzle=nozzles())
def test_flow_to_pressure_and_back(law, rate, nozzle):
    """1e-6 in the flow where the pressure holds it, that is unless it stands within 1e-7 of the start
    pressure.
    """
    flow = flow_at(rate, nozzle.bore)
    pressure = nozzle.pressure_drop(law, flow, inlet_diameter=BARREL)
    back = nozzle.flow_rate(law, pressure, inlet_diameter=BARREL)
    start = nozzle.start_pressure(law, inlet_diameter=BARREL)
    if pressure - start > 1e-7 * pressure:
        assert back == pytest.approx(flow, rel=1e-6)
    else:
        assert nozzle.pressure_drop(law, back, inlet_diameter=BARREL) == pytest.approx(pressure, rel=1e-10)


@pytest.mark.slow
@given(law=PASTES, nozzle=nozzles(), share=st.floats(0.0, 1.0))
def test_nothing_flows_at_or_below_the_start_pressure(law, nozzle, share):
    """And 1 % above it something does."""
    start = nozzle.start_pressure(law, inlet_diameter=BARREL)
    assert nozzle.flow_rate(law, share * start, inlet_diameter=BARREL) == 0.0
    if law.yield_stress > 0:
        assert nozzle.flow_rate(law, 1.01 * start, inlet_diameter=BARREL) > 0.0


@given(law=PASTES, nozzle=nozzles(), rate=decades(-6.0, 2.0))
def test_start_pressure_is_the_limit_of_the_running_pressure(law, nozzle, rate):
    """At no flow equal to 1e-12; and thirty decades less flow leave at most 1e-30 to the power n/(n+1) of
    the rest.

    That is the slower of the two powers by which the wall stress nears yield, so the limit follows.
    """
    assume(law.yield_stress > 0)
    start = nozzle.start_pressure(law, inlet_diameter=BARREL)
    assert nozzle.pressure_drop(law, 0.0, inlet_diameter=BARREL) == pytest.approx(start, rel=1e-12)
    n = law.flow_index
    above = [
        nozzle.pressure_drop(law, flow_at(rate, nozzle.bore) * less, inlet_diameter=BARREL) - start
        for less in (1.0, 1e-30, 1e-60)
    ]
    for more, less in itertools.pairwise(above):
        assert less <= more * 1e-30 ** (n / (n + 1)) * (1 + 1e-6) + 1e-12 * start
    assert above[0] >= -1e-12 * start


@settings(max_examples=50)
@given(
    laws=st.lists(PASTES, min_size=1, max_size=4),
    nozzle=nozzles(),
    rates=st.lists(RATES, min_size=1, max_size=4),
)
def test_scalars_arrays_and_draws_agree(laws, nozzle, rates):
    """One number alone, in an array and as one of many joint draws: 1e-12."""
    fields = {
        name: np.array([law.values[name] for law in laws])[:, None, None]
        for name in ("yield_stress", "consistency", "flow_index")
    }
    flow = flow_at(np.array(rates), nozzle.bore)
    many = nozzle.pressure_drop(rk.HerschelBulkley(**fields), flow, inlet_diameter=BARREL)
    assert many.shape == (len(laws), 1, len(rates))
    for i, law in enumerate(laws):
        row = nozzle.pressure_drop(law, flow, inlet_diameter=BARREL)
        for k, one in enumerate(flow):
            alone = nozzle.pressure_drop(law, float(one), inlet_diameter=BARREL)
            assert np.ndim(alone) == 0
            np.testing.assert_allclose([row[k], many[i, 0, k]], alone, rtol=1e-12)
