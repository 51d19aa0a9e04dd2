"""Fits of runs whose wall slips: the optimum is found from any readings, and flow at a pressure needs no inverse of a law."""

import re
import warnings
from dataclasses import dataclass, replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.bench.slip_starts import slip_starts
from rheokit.fitting.search import minimise
from rheokit.flow.channel import Channel, Slip
from rheokit.units import mm

LAW = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
BETA, THRESHOLD = "slip_coefficient[die]", "slip_threshold[die]"
LANDS = ((1 * mm, 20 * mm), (2 * mm, 30 * mm), (3 * mm, 40 * mm))


def slipping(coefficient, read, seed=0, noise=0.02, threshold=800.0, **more):
    """Runs through three bores at wall stresses of 1000 to 3000 Pa, with V_s = β max(0, τ_w - τ_s)."""
    draw, runs, stress = np.random.default_rng(seed), [], np.geomspace(1000.0, 3000.0, 8)
    for diameter, length in LANDS:
        rate = LAW.apparent_shear_rate(stress) + 8 * coefficient * np.maximum(stress - threshold, 0.0) / diameter
        columns = {"flow_rate": np.pi * diameter**3 / 32 * rate, "pressure": 4 * stress * length / diameter}
        columns[read] = columns[read] * np.exp(noise * draw.standard_normal(len(stress)))
        nozzle = rk.Nozzle(rk.Cylinder(diameter=diameter, length=length))
        runs.append(
            rk.PressureRun(
                nozzle=nozzle, **columns, read=read, slip="fitted", apparatus="die", label=f"{diameter:g}", **more
            )
        )
    return runs


def fitted(runs, **more):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return rk.fit(rk.HerschelBulkley, *runs, **more)


@pytest.mark.slow
@pytest.mark.parametrize("coefficient", [2e-6, 1e-5])
@pytest.mark.parametrize("read", ["pressure", "flow_rate"])
def test_a_fit_finds_the_optimum_that_a_search_from_the_truth_finds(read, coefficient):
    """Kind: independent. The search starts from what made the readings; the fit knows nothing of it.

    Readings of flow fix β to about 6 % and the threshold to 2 %, readings of pressure to a third and a tenth at most, and
    the yield stress so loosely (limits hundreds of Pa apart where most of the flow is slip) that its limits are asked.
    """
    result = fitted(slipping(coefficient, read, seed=3, relative_uncertainty=0.02))
    problem = result.problem
    theta = problem.coordinates(LAW, {BETA: coefficient, THRESHOLD: 800.0})
    best = minimise(problem, theta, problem.scales(theta), most=200, trust=1e-2)
    assert result.chi_square <= best.chi_square + 1e-6
    near, close = (0.15, 0.04) if read == "flow_rate" else (0.5, 0.15)
    assert result.nuisance[BETA] == pytest.approx(coefficient, rel=near)
    assert result.nuisance[THRESHOLD] == pytest.approx(800.0, rel=close)
    low, high = result.limits("yield_stress")
    assert 100 < low < 650 < high < 1000


@pytest.mark.slow
def test_intervals_hold_the_slip_law():
    """Kind: independent. 95 % limits from readings of flow, about the values that made them."""
    result = fitted(slipping(2e-6, "flow_rate", seed=1))  # the size of the error is not told
    low, high = result.limits(BETA)
    assert 1.5e-6 < low < 2e-6 < high < 2.6e-6
    low, high = result.limits(THRESHOLD)
    assert 700 < low < 800 < high < 850


@pytest.mark.slow
@pytest.mark.parametrize("read", ["pressure", "flow_rate"])
def test_where_nothing_slips_the_law_hardly_moves(read):
    """Kind: independent. The same runs without slip in the fit; two more parameters take about two of chi-square."""
    runs = slipping(0.0, read, seed=1, relative_uncertainty=0.02)
    with_slip, without = fitted(runs), fitted([replace(run, slip="none") for run in runs])
    assert without.chi_square - 7 < with_slip.chi_square <= without.chi_square + 1e-6
    assert with_slip.law.yield_stress == pytest.approx(without.law.yield_stress, rel=0.05)
    assert with_slip.law.yield_stress == pytest.approx(650.0, rel=0.1)


def test_trial_slip_laws_are_judged_without_a_flow_law():
    """Kind: independent. Without noise a likely trial stands near what made the readings, and its curve near the law's."""
    (starts,) = slip_starts(slipping(1e-5, "flow_rate", noise=0.0))
    first = starts[0]
    assert first.nuisance[BETA] == pytest.approx(1e-5, rel=0.3)
    assert first.nuisance[THRESHOLD] == pytest.approx(800.0, rel=0.2)
    assert np.median(np.abs(np.log(first.shear_rate / LAW.apparent_shear_rate(first.shear_stress)))) < 0.4
    assert slip_starts([replace(run, slip="none") for run in slipping(1e-5, "pressure")]) == []


@pytest.mark.slow
def test_a_start_may_name_what_the_tests_share():
    runs = slipping(2e-6, "flow_rate", relative_uncertainty=0.02)
    there = fitted(runs).chi_square
    for start in (
        {BETA: 1e-6, THRESHOLD: 700.0},
        {"yield_stress": 500.0, THRESHOLD: 900.0},
        rk.HerschelBulkley(500.0, 200.0, 0.4),
    ):
        assert fitted(runs, start=start).chi_square == pytest.approx(there, abs=1e-6)


@pytest.mark.parametrize(
    ("start", "words"),
    [
        ({"slip_threshold": 1.0}, f"slip_threshold is no parameter of HerschelBulkley; it has yield_stress, consistency, flow_index, and the tests share {BETA}, {THRESHOLD}."),
        ({THRESHOLD: -4.0}, f"start of {THRESHOLD} = -4 Pa cannot be; give a number from 0 to 100000 Pa."),
        ({BETA: 0.0}, f"start of {BETA} = 0 m/(Pa·s) cannot be; give a number above 0 m/(Pa·s)."),
    ],
)  # fmt: skip
def test_a_start_that_cannot_be_is_refused(start, words):
    with pytest.raises(rk.DataError, match=re.escape(words)):
        rk.fit(rk.HerschelBulkley, *slipping(2e-6, "pressure"), start=start)


def test_what_the_tests_share_cannot_be_fixed_by_name():
    with pytest.raises(rk.DataError, match=re.escape(f"fit: {THRESHOLD} is no parameter")):
        rk.fit(rk.HerschelBulkley, *slipping(2e-6, "pressure"), fixed={THRESHOLD: 1.0})


# --- flow at a pressure without an inverse --------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Bare(rk.FlowLaw):
    """Herschel and Bulkley's law as a user types it: its stress alone."""

    yield_stress: float = rk.parameter("τ_y", "Pa", "yield stress")
    consistency: float = rk.parameter("K", "Pa·sⁿ", "factor", logarithmic=True)
    flow_index: float = rk.parameter("n", "-", "power", low=0.02, high=5.0)

    def shear_stress(self, shear_rate):
        return self.yield_stress + self.consistency * np.asarray(shear_rate, float) ** self.flow_index


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore::rheokit.UnlikelyWarning")  # pressures up to those of a pump
@pytest.mark.parametrize("shift", [None, (1.2, 0.7)])
@pytest.mark.parametrize("slip", [None, (2e-6, 400.0), (1e-5, 0.0), (1e-6, 2000.0)])
@pytest.mark.parametrize("tapered", [False, True], ids=["land", "cone and land"])
def test_flow_of_a_bare_law_is_that_of_the_closed_form(tapered, slip, shift):
    """Kind: independent. The search in the rate at the wall against the one in its stress, plugs that only slip included."""
    land = rk.Cylinder(diameter=1.6 * mm, length=10 * mm)
    cone = [rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=20 * mm)] if tapered else []
    slip = slip and Slip(coefficient=slip[0], threshold=slip[1])
    channel = Channel(nozzle=rk.Nozzle(*cone, land), inlet_diameter=26 * mm if tapered else None, slip=slip)
    pressure, tau_y = np.geomspace(3e3, 1e6, 12), np.array([0.0, 300.0, 650.0])[:, None]
    bare, closed = Bare(tau_y, 210.0, 0.38), rk.HerschelBulkley(tau_y, 210.0, 0.38)
    if shift:
        bare, closed = rk.Shifted(bare, *shift), rk.Shifted(closed, *shift)
    assert bare.searches_rate
    assert not closed.searches_rate
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rk.ModelRangeWarning)
        found, expected = channel.flow_rate(bare, pressure), channel.flow_rate(closed, pressure)
    assert np.array_equal(found > 0, expected > 0)
    assert found == pytest.approx(expected, rel=1e-10, abs=0)
    if slip and slip.threshold == 400.0 and not tapered:  # rows that slide as a plug are among them
        stress = pressure / channel.land_factor
        plug = (stress > 400) & (stress < closed.yield_stress)
        assert plug.any()
        assert found[plug] == pytest.approx(
            (np.pi * (1.6 * mm) ** 2 / 4 * slip.velocity(stress) + 0 * tau_y)[plug], rel=1e-9, abs=0
        )
