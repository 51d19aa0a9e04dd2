"""Runs of one record in a fit: their spread, what intervals hold of it, and what is told of up and down branches.

Kind       exact (a covariance, an analysis of variance, an area) and independent (runs invented here with factors that are
           known, so that every interval can be judged).
Trust      D: no print behind it; shares are counted over records with fixed seeds.
"""

import warnings
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

import rheokit as rk
from rheokit.fitting import branches
from rheokit.fitting.loops import Pair, compared, pairs_of

TRUTH = rk.HerschelBulkley(yield_stress=40.0, consistency=12.0, flow_index=0.45)
AGREE, REPEAT = "up and down branch agree", "runs repeat"


def fitted(*tests, law=rk.HerschelBulkley, **named):
    with warnings.catch_warnings(action="ignore"):
        return rk.fit(law, *tests, **named)


def several(factors, random, noise=0.01, count=10, **given):
    """Return one record with a run for each factor on its stresses."""
    rates, runs = np.geomspace(0.1, 1000, count), len(factors)
    stress = np.outer(factors, TRUTH.shear_stress(rates)) * np.exp(noise * random.standard_normal((runs, count)))
    return rk.FlowCurve(
        shear_rate=np.tile(rates, runs),
        shear_stress=np.ravel(stress),
        run=np.repeat(np.arange(runs) + 1.0, count),
        **given,
    )


def loop(gap, rates=(0.1, 1000.0), count=12, law=TRUTH):
    """Return an up and a down curve, the up branch higher by a factor."""
    up = np.geomspace(*rates, count)
    stress = law.shear_stress(up)
    return rk.FlowCurve(
        shear_rate=[*up, *up[::-1]], shear_stress=[*(stress * np.sqrt(gap)), *(stress[::-1] / np.sqrt(gap))]
    )


def row(result, question):
    return next((one for one in branches.all_checks(result) if one.question == question), None)


def generator(*seed):
    return np.random.Generator(np.random.PCG64(seed))


# --- the spread -----------------------------------------------------------------------------------------------------


def test_the_spread_of_runs_is_that_of_an_analysis_of_variance():
    """Kind: exact. Of a Newtonian liquid with stated errors: the variance of the runs' means less that of a mean."""
    random, factors = generator(1), np.exp([0.05, -0.03, 0.02, -0.06])
    rates = np.geomspace(1, 100, 6)
    logs = np.log(factors)[:, None] + 0.02 * random.standard_normal((4, 6))
    curve = rk.FlowCurve(
        shear_rate=np.tile(rates, 4), shear_stress=np.ravel(3 * rates * np.exp(logs)), run=np.repeat([1.0, 2, 3, 4], 6),
        relative_uncertainty=0.02,
    )  # fmt: skip
    result = fitted(curve, law=rk.Newtonian)
    expected = np.sqrt(np.var(logs.mean(1), ddof=1) - 0.02**2 / 6)
    spread, freedom = result.run_spread
    assert spread == pytest.approx(expected, rel=1e-6)
    assert freedom == 3
    assert result.table.value["run_spread"] == pytest.approx(expected, rel=1e-6)
    assert np.log(result.law.viscosity / 3) == pytest.approx(logs.mean(), abs=1e-6)
    pooled = np.sqrt((3 * expected**2 + 2 * 0.03**2) / 5)
    reach = stats.t.ppf(0.975, 5) * np.hypot(pooled, 0.02 / np.sqrt(6) / stats.t.ppf(0.975, 5) * 1.96) / 2
    found = result.interval(lambda law: law.shear_stress(10.0))
    assert np.log(found.high / found.low) / 2 == pytest.approx(reach, rel=0.01)


@pytest.mark.slow
@pytest.mark.parametrize("runs", [2, 3, 8])
def test_intervals_of_several_runs_hold_the_truth(runs):
    """0.95 of 60 is 57; 52 or fewer show in 0.3 % of such counts. Runs differ by 5 % of the stress."""
    hits = naive = 0
    for seed in range(60):
        random = generator(9, runs, seed)
        curve = several(np.exp(0.05 * random.standard_normal(runs)), random)
        one = rk.FlowCurve(shear_rate=curve.shear_rate, shear_stress=curve.shear_stress, run=np.ones(10 * runs))
        for place, record in enumerate((curve, one)):
            found = fitted(record).interval(lambda law: law.shear_stress(10.0))
            held = found.low <= TRUTH.shear_stress(10.0) <= found.high
            hits, naive = hits + held * (place == 0), naive + held * (place == 1)
    assert hits >= 53
    assert naive < 45, "as one run the same readings promise too much"


def test_a_file_of_many_runs_keeps_its_rates_and_its_spread():
    """34 runs of 30 readings: gathered or not, none of the ends of the curve may be averaged away."""
    factors = np.exp(0.07 * generator(2).standard_normal(34))
    result = fitted(several(factors, generator(3), count=30))
    assert result.rate_range == pytest.approx((0.1, 1000.0), rel=0.05)
    assert result.run_spread[0] == pytest.approx(np.std(np.log(factors), ddof=1), rel=0.02)
    assert result.law.flow_index == pytest.approx(0.45, abs=0.003)
    low, high = (np.log(result.stresses[side][10.0] / TRUTH.shear_stress(10.0)) for side in ("low", "high"))
    assert low < np.mean(np.log(factors)) < high
    assert high - low == pytest.approx(2 * 1.96 * 0.07 / np.sqrt(34), rel=0.25)
    assert result.draws(500, seed=1).shape == (500, 3), "no coordinate a run"


def test_one_run_has_no_spread():
    rates = generator(4).permutation(np.geomspace(0.1, 1000, 12))
    result = fitted(rk.FlowCurve(shear_rate=rates, shear_stress=TRUTH.shear_stress(rates), relative_uncertainty=0.02))
    assert result.run_spread is None
    assert "run_spread" not in result.table.index
    assert branches.all_checks(result) == []


# --- what is told ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("spread", "passed"), [(0.04, True), (0.2, False)])
def test_how_much_runs_differ_is_told_with_its_size(spread, passed):
    factors = np.exp(spread * np.array([-1.0, 0.0, 1.0, 0.5]))
    found = row(fitted(several(factors, generator(5), noise=1e-3)), REPEAT)
    assert found.value == pytest.approx(np.std(np.log(factors), ddof=1), rel=0.02)
    assert found.passed == passed
    assert "4 runs of flow curve differ by" in found.comment
    assert "run 1 lies" in found.comment and "run 3 " in found.comment
    assert ("fix filling, pre-shear and rest" in found.comment) != passed


def test_the_area_of_a_loop_is_that_between_two_straight_lines():
    """Kind: exact. Newtonian branches of 2 √1.2 and 2/√1.2 Pa·s from 1 to 50 1/s: their difference times (50² - 1²)/2."""
    result = fitted(loop(1.2, rates=(1.0, 50.0), law=rk.Newtonian(viscosity=2.0)), law=rk.Newtonian)
    found = row(result, AGREE)
    area = 2 * (np.sqrt(1.2) - 1 / np.sqrt(1.2)) * (50**2 - 1) / 2
    assert (
        f"By the area between them, {area:.0f} W/m³ (Pa/s), the up branch lies above: 16.7 % of that under it."
        in found.comment
    )
    assert "where the up branch is 20 % above the down branch." in found.comment
    assert found.value == pytest.approx(np.log(1.2) / 2, rel=1e-3)
    assert not found.passed
    assert 'branch = "down"' in found.comment


@pytest.mark.parametrize(("gap", "model_error", "passed"), [(1.02, 0.0, True), (1.15, 0.0, False), (1.15, 0.05, True)])
def test_a_loop_is_a_fault_where_its_branches_differ_by_more_than_is_known(gap, model_error, passed):
    curve = loop(gap)
    record = rk.FlowCurve(shear_rate=curve.shear_rate, shear_stress=curve.shear_stress, model_error=model_error)
    result = fitted(record)
    assert row(result, AGREE).passed == passed
    assert row(result, REPEAT) is None, "two branches of one loop are no sample of runs"
    assert not rk.fitting.stamp.forbids(result)


def test_an_interval_from_both_branches_holds_either():
    up, middle = TRUTH.shear_stress(10.0) * np.sqrt(1.1), TRUTH.shear_stress(10.0)
    found = fitted(loop(1.1)).interval(lambda law: law.shear_stress(10.0))
    assert found.value == pytest.approx(middle, rel=1e-3)
    assert found.low < middle**2 / up < up < found.high
    assert found.high < 1.12 * middle


def test_only_the_rates_of_use_count_for_a_loop():
    """Branches that differ at slow rates alone are no fault of a law for fast ones."""
    rates = np.geomspace(0.1, 1000, 20)
    gap = np.exp(0.3 / (1 + rates / 3))
    stress = TRUTH.shear_stress(rates)
    curve = rk.FlowCurve(shear_rate=[*rates, *rates[::-1]], shear_stress=[*(stress * gap), *stress[::-1]])
    assert not row(fitted(curve), AGREE).passed
    assert row(fitted(curve, use_range=(100.0, 900.0)), AGREE).passed


# --- what of it is more than chance ---------------------------------------------------------------------------------


def noisy_loop(seed, gap, noise=0.01, count=15, rates=(0.5, 500.0)):
    """Return a loop whose top rate was read once; `gap` gives up over down at each rate."""
    up = np.geomspace(*rates, count)
    stress, apart = TRUTH.shear_stress(up), np.sqrt(gap(up))
    return rk.FlowCurve(
        shear_rate=[*up, *up[-2::-1]],
        shear_stress=np.array([*(stress * apart), *(stress / apart)[-2::-1]])
        * np.exp(noise * generator(11, seed).standard_normal(2 * count - 1)),
    )


def lens(rates):
    """Return a difference of 25 % at 8 1/s, which is over at the ends."""
    return 1.25 ** np.exp(-(np.log(rates / 8) ** 2) / 4)


def words(curve):
    found = row(fitted(curve), AGREE)
    if "is not told from 0" in found.comment:
        return found, "not told"
    return found, "above" if "the up branch lies above" in found.comment else "below"


def test_the_area_has_no_sign_that_scatter_gives_it():
    """A difference at slow rates and none at fast ones, which decide the area: never called below, and its size is told."""
    for seed in range(12):
        found, said = words(noisy_loop(seed, lens))
        assert said != "below"
        at = float(found.comment.split("farthest apart at ")[1].split(" 1/s")[0])
        assert 3 < at < 20
        assert 15 < float(found.comment.split("the up branch is ")[1].split(" %")[0]) < 30


@pytest.mark.slow
def test_no_difference_is_seldom_called_one():
    """5 of 100 by chance, in the area as in the farthest difference; 13 show in 0.2 % of such counts."""
    found = [words(noisy_loop(seed, np.ones_like)) for seed in range(100)]
    assert sum(said != "not told" for _, said in found) < 13
    assert (
        sum("at no rate alone do the branches differ by more than chance" not in one.comment for one, _ in found) < 13
    )
    assert all(one.passed for one, _ in found)


def test_the_limits_of_an_area_are_its_scatter():
    """Kind: independent. Over loops that differ by their scatter alone the areas spread as the limit says, to a fifth."""
    every = [compared(pairs_of(noisy_loop(seed, lambda r: 1.1 + 0 * r), TRUTH)) for seed in range(150)]
    freedom = 18 / 35 * 12
    limit = np.sqrt(np.mean([one.area_chance**2 for one in every])) / stats.t.ppf(0.975, freedom)
    assert np.std([one.area for one in every]) == pytest.approx(limit, rel=0.2)
    place = 100
    limit = np.sqrt(np.mean([one.chance[place] ** 2 for one in every])) / stats.t.ppf(1 - 0.025 / 14, freedom)
    assert np.std([one.apart[place] for one in every]) == pytest.approx(limit, rel=0.2)


@pytest.mark.parametrize("descending_first", [False, True])
def test_branches_meet_in_a_turn_that_was_read_once(descending_first):
    """Kind: exact. A Newtonian liquid whose way back lies 10 % lower but for the turn: trapezia, and one triangle at the turn."""
    rates = np.linspace(10.0, 100.0, 10)[:: -1 if descending_first else 1]
    curve = rk.FlowCurve(shear_rate=[*rates, *rates[-2::-1]], shear_stress=[*(2 * rates), *(1.8 * rates[-2::-1])])
    (pair,) = pairs_of(curve, rk.Newtonian(viscosity=1.9))
    way = -1 if descending_first else 1
    assert np.sum(~pair.free) == 1
    turn, beside = rates[-1], rates[-2]
    difference = np.where(rates == turn, 0.0, 0.2 * rates * way)[::way]
    found = compared([pair])
    assert found.area == pytest.approx(np.trapezoid(difference, rates[::way]), rel=0.02)
    assert abs(found.apart[0 if descending_first else -1]) < abs(np.log(1.8 / 2)) / 2 + 0.02, "smoothed into the turn"
    assert beside in pair.rates


def alternately(seed, hysteresis=1.0, spread=0.05, runs=6):
    """Return runs up and down in turn, each with a factor of its own on its stresses."""
    random, rates, every, stresses = generator(12, seed), np.geomspace(0.1, 1000, 12), [], []
    for number in range(runs):
        way = 1 if number % 2 == 0 else -1
        factor = hysteresis ** (way / 2) * np.exp(spread * random.standard_normal())
        every += [rates[::way]]
        stresses += [TRUTH.shear_stress(rates[::way]) * factor * np.exp(0.01 * random.standard_normal(12))]
    return rk.FlowCurve(shear_rate=np.concatenate(every), shear_stress=np.concatenate(stresses))


@pytest.mark.slow
def test_runs_that_differ_by_a_factor_of_their_own_are_no_hysteresis():
    """5 of 100 by chance: of 40 seven show in 0.3 %. The first pair alone fails in half of them."""
    rows = [row(fitted(alternately(seed)), AGREE) for seed in range(40)]
    assert sum(not one.passed for one in rows) < 7
    assert all("runs 1 and 2, 3 and 4, 5 and 6" in one.comment for one in rows)
    assert not row(fitted(alternately(0, hysteresis=1.4, spread=0.01)), AGREE).passed


def test_several_pairs_are_judged_by_students_t():
    """Kind: exact. Three pairs of constant differences: their mean, and t of two degrees over the root of three."""
    rates, apart = np.geomspace(1, 100, 6), np.array([0.02, 0.10, 0.06])
    pairs = [Pair((1, 2), rates, np.full(6, one), 2 * rates, np.ones(6, bool)) for one in apart]
    found = compared(pairs)
    assert found.apart == pytest.approx(np.full(len(found.rates), 0.06))
    assert found.chance == pytest.approx(np.full(len(found.rates), stats.t.ppf(0.975, 2) * 0.04 / np.sqrt(3)))
    assert found.share == pytest.approx(np.mean(1 - np.exp(-apart)))


def test_one_pair_is_held_against_what_two_runs_differ_by():
    """Kind: exact. 1.96 √2 times the usual spread of 3 % is 8.3 %: a difference of 7 % passes, one of 10 % does not."""
    for gap, passed in ((1.07, True), (1.10, False)):
        found = row(fitted(loop(gap)), AGREE)
        assert found.passed == passed
        assert "One pair of branches does not tell hysteresis from" in found.comment
        assert "8.3 % usually at the most" in found.comment


def test_the_loops_of_all_records_are_told_each_with_its_size():
    """Kind: exact. Two records, 20 and 5 % apart: the row is of the worse, and says both."""
    tests = [replace(loop(gap), label=label) for gap, label in ((1.05, "56 °C"), (1.20, "44 °C"))]
    found = row(fitted(*tests), AGREE)
    assert not found.passed
    assert found.comment.index("44 °C") < found.comment.index("56 °C")
    assert found.comment.count("of that under it") == 2
    assert "is 20 % above the down branch" in found.comment
    assert "is 5 % above the down branch" in found.comment


def test_an_area_beside_an_interval_that_leaves_out_0_is_not_said_to_be_no_more_than_chance():
    """A difference that no rate alone shows, and that all together do: both are said, and what each is asked of."""
    mixed = 0
    for seed in range(12):
        said = row(fitted(noisy_loop(seed, lambda rates: 1.015 + 0 * rates)), AGREE).comment
        assert "no difference between the branches" not in said
        if "at no rate alone do the branches differ" in said and "is not told from 0" not in said:
            assert "All rates together they do: by the area between them, " in said
            mixed += 1
    assert mixed > 0
