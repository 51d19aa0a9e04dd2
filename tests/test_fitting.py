"""The fit: coverage of its intervals, its answers where the readings say little, batches, comparison, messages."""

import re
import warnings
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

import rheokit as rk
from rheokit.units import mL, mm

TRUTH = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
RATES = np.geomspace(5, 200, 10)
NAMES = ["yield_stress", "consistency", "flow_index"]


def generator(*seed):
    return np.random.Generator(np.random.PCG64(seed))


def curve(noise, law=TRUTH, **given):
    given = given or {"relative_uncertainty": 0.05}
    return rk.FlowCurve(shear_rate=RATES, shear_stress=law.shear_stress(RATES) * np.exp(0.05 * noise), **given)


def plate(noise, law=TRUTH):
    record = rk.LoadedPlate(volume=5 * mL, force=9.81, radius=0.02, relative_uncertainty=0.02)
    return replace(record, radius=record.predict(law) * np.exp(0.02 * noise))


def syringe(random, friction=8.0, **description):
    """Return two lands of one syringe, as synthetic readings with 3 % on the paste's part, and as they are described."""
    runs = []
    for land in (20, 40):
        nozzle = rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=land * mm))
        rig = rk.Extruder(barrel_diameter=26.7 * mm, fill_length=60 * mm, nozzle=nozzle)
        flow = np.array([0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.4]) * mm * rig.area
        force = friction + rig.plunger_force(TRUTH, flow) * np.exp(0.03 * random.standard_normal(7))
        told = replace(rig, **({"plunger_friction": 8.0} | description))
        runs.append(rk.ForceRun(extruder=told, flow_rate=flow, force=force, relative_uncertainty=0.03))
    return runs


def quietly(*given, **named):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return rk.fit(*given, **named)


def covered(make, count):
    """Return the share of benches whose 95 % interval holds the truth, by name, and how many ended at a bound."""
    hits, bound = dict.fromkeys([*NAMES, 1.0, 10.0, 100.0], 0), 0
    for bench in range(count):
        result = quietly(rk.HerschelBulkley, *make(generator(7, bench)))
        assert not result.table[["low", "high"]].isna().to_numpy().any()
        for name in NAMES:
            hits[name] += result.table.low[name] <= getattr(TRUTH, name) <= result.table.high[name]
        for rate in (1.0, 10.0, 100.0):
            hits[rate] += result.stresses.low[rate] <= TRUTH.shear_stress(rate) <= result.stresses.high[rate]
        bound += result.is_at_bound("yield_stress")
    return {name: hit / count for name, hit in hits.items()}, bound


BENCHES = {
    "curve alone": (60, lambda random: [curve(random.standard_normal(10))]),
    "curve and plate": (40, lambda random: [curve(random.standard_normal(10)), plate(random.standard_normal())]),
    "curve, error unknown": (40, lambda random: [curve(random.standard_normal(10), error="relative")]),
    "two lands of a syringe": (20, lambda random: syringe(random, friction=8 + random.standard_normal())),
}


@pytest.mark.slow
@pytest.mark.parametrize("bench", BENCHES)
def test_intervals_hold_what_they_promise(bench):
    """20 to 60 synthetic benches; the friction is redrawn with its prior, because a prior is a reading.

    The share that is asked for is missed in 0.3 % of such counts, where 95 % are held.
    """
    count, make = BENCHES[bench]
    share, bound = covered(make, count)
    for name, value in share.items():
        assert value >= {60: 0.86, 40: 0.85, 20: 0.8}[count], f"{name}: {value}"
    if bench == "curve alone":
        assert 2 <= bound <= 14, "one fit in ten ends at no yield stress; without that this tells nothing"


@pytest.mark.slow
def test_coverage_test_can_fail():
    """Intervals for a 3 % error on readings that scatter 5 % do not pass."""

    def make(random):
        return [
            replace(curve(random.standard_normal(10)), relative_uncertainty=0.025),
            plate(random.standard_normal()),
        ]

    share, _ = covered(make, 40)
    assert min(share.values()) < 0.85


def test_joint_draws_agree_with_profiles_where_the_yield_stress_is_identified():
    result = rk.fit(rk.HerschelBulkley, curve(generator(3).standard_normal(10)), plate(0.4))
    draws = result.draws(4000, seed=1)
    for name in NAMES:
        low, high = np.quantile(draws[name], [0.025, 0.975])
        width = result.table.high[name] - result.table.low[name]
        assert low == pytest.approx(result.table.low[name], abs=0.12 * width)
        assert high == pytest.approx(result.table.high[name], abs=0.12 * width)
    assert result.draws(50, seed=1).equals(result.draws(50, seed=1))
    assert result.sample_laws(30, seed=2).yield_stress.shape == (30, 1, 1)
    correlation = np.corrcoef(np.log(draws.consistency), draws.flow_index)[0, 1]
    assert correlation < -0.9


def test_table_has_the_promised_columns():
    result = rk.fit(rk.HerschelBulkley, curve(generator(3).standard_normal(10)), plate(0.4))
    assert list(result.table.columns) == ["symbol", "value", "stderr", "low", "high", "unit", "at_bound"]
    assert list(result.table.index) == NAMES
    assert isinstance(result.correlations, pd.DataFrame)
    assert result.correlations.loc["consistency", "flow_index"] < -0.9
    assert result.rate_range == pytest.approx((5.0, 200.0))
    assert list(result.checks.columns) == ["question", "value", "threshold", "passed", "comment", "seen"]


# --- exact results --------------------------------------------------------------------------------------------------


def test_newtonian_fit_is_linear_regression():
    """Kind: exact. One factor on ln stress: mean, standard error and t limits of the textbook."""
    ratio = np.exp(0.1 * generator(5).standard_normal(8))
    rates = np.geomspace(1, 50, 8)
    result = rk.fit(rk.Newtonian, rk.FlowCurve(shear_rate=rates, shear_stress=3.0 * rates * ratio))
    logs = np.log(3.0 * ratio)
    mean, error = logs.mean(), logs.std(ddof=1) / np.sqrt(8)
    assert np.log(result.law.viscosity) == pytest.approx(mean, rel=1e-9)
    assert result.table.stderr["viscosity"] / result.law.viscosity == pytest.approx(error, rel=1e-5)
    t = 2.364624  # Student's t, 7 degrees of freedom, 97.5 %
    assert np.log(result.table.high["viscosity"]) - mean == pytest.approx(t * error, rel=5e-3)


def test_known_errors_are_never_rescaled():
    readings = curve(generator(3).standard_normal(10))
    narrow = rk.fit(rk.PowerLaw, readings)
    wide = rk.fit(rk.PowerLaw, replace(readings, relative_uncertainty=0.10))
    assert wide.table.stderr["flow_index"] == pytest.approx(2 * narrow.table.stderr["flow_index"], rel=1e-6)
    unknown = rk.fit(rk.PowerLaw, replace(readings, relative_uncertainty=None))
    assert unknown.table.value["flow_index"] == pytest.approx(narrow.table.value["flow_index"], rel=1e-9)


def test_nothing_left_to_fit_is_refused():
    with pytest.raises(rk.DataError) as error:
        rk.fit(rk.PowerLaw, curve(generator(3).standard_normal(10)), fixed={"consistency": 500.0, "flow_index": 0.4})
    assert str(error.value) == (
        "fit: every parameter of PowerLaw is fixed, and the readings share nothing else, so that nothing is left to fit. "
        "Leave one out of fixed=, or compute with rk.PowerLaw(...) itself."
    )


def test_a_fixed_parameter_stays():
    result = quietly(rk.HerschelBulkley, curve(generator(3).standard_normal(10)), fixed={"flow_index": 0.38})
    assert result.law.flow_index == 0.38
    assert result.table.loc["flow_index", ["low", "high"]].tolist() == [0.38, 0.38]
    held = quietly(rk.HerschelBulkley, curve(generator(3).standard_normal(10)), fixed={"consistency": 210.0})
    assert held.law.consistency == 210.0


# --- readings that say little ---------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize("given", [{"relative_uncertainty": 0.05}, {}], ids=["error known", "error unknown"])
def test_one_reading_and_three_parameters_is_not_identified_in_words(given):
    result = quietly(rk.HerschelBulkley, rk.FlowCurve(shear_rate=10.0, shear_stress=1000.0, **given))
    assert result.table.low["consistency"] == 0
    assert result.table.high["consistency"] == np.inf
    row = result.checks.set_index("question").loc["parameters identified"]
    assert not row.passed
    assert "Not identified: the readings do not tell consistency, flow_index, yield_stress" in row.comment
    assert "not identified" in result.summary
    assert result.draws(100, seed=1).isna().to_numpy().all()


@pytest.mark.slow
@pytest.mark.parametrize(
    "stress", [[800.0] * 6, [1000.0, 900.0, 800.0, 700.0, 600.0, 500.0], [1e-6] * 6, [1e9, 2e9, 3e9, 4e9, 5e9, 6e9]]
)
@pytest.mark.parametrize("law", [rk.HerschelBulkley, rk.PowerLaw, rk.Bingham, rk.Casson])
@pytest.mark.filterwarnings("ignore::rheokit.UnlikelyWarning")
def test_odd_curves_give_limits_and_a_value_only_where_there_is_one(law, stress):
    result = quietly(
        law, rk.FlowCurve(shear_rate=np.geomspace(1, 100, 6), shear_stress=stress, relative_uncertainty=0.05)
    )
    table = result.table
    assert not table[["low", "high"]].isna().to_numpy().any()
    assert set(table.index[table.value.isna()]) == set(result.not_identified)
    valued = table[table.value.notna()]
    assert len(valued)
    assert np.all(valued.low <= valued.value * (1 + 1e-9))
    assert np.all(valued.high >= valued.value * (1 - 1e-9))


def test_a_parameter_at_its_bound_warns_and_has_a_one_sided_limit():
    flat = rk.PowerLaw(consistency=700.0, flow_index=0.35)
    with pytest.warns(
        rk.AtBoundWarning, match="fit of Herschel-Bulkley: yield_stress stopped at its bound, 0 Pa, so its standard"
    ):
        result = rk.fit(rk.HerschelBulkley, curve(np.array([-0.5, 0.6, 0, 0, 0, 0, 0, 0, 0, -0.4]) - 0.3, law=flat))
    row = result.table.loc["yield_stress"]
    assert row.at_bound
    assert (row.value, row.low) == (0, 0)
    assert row.high > 50
    assert np.isnan(row.stderr)


@pytest.mark.slow
def test_a_bound_reading_lifts_the_lower_limit():
    readings = curve(generator(12).standard_normal(10))
    without = quietly(rk.HerschelBulkley, readings)
    slump = rk.CylinderSlump(
        height=0.1, diameter=0.1, density=1110, slump=2 * mm, censored=-1, uncertainty=1 * mm, model_error=0.1
    )
    assert (
        quietly(rk.HerschelBulkley, readings, slump).table.low["yield_stress"] > without.table.low["yield_stress"] + 50
    )


# --- intervals of anything ------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_interval_of_a_force_and_of_several():
    result = rk.fit(rk.HerschelBulkley, curve(generator(3).standard_normal(10)), plate(0.4))
    nozzle = rk.Nozzle(
        rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=20 * mm),
        rk.Cylinder(diameter=1.6 * mm, length=8 * mm),
    )
    rig = rk.Extruder(barrel_diameter=26.7 * mm, fill_length=80 * mm, plunger_friction=8.0, nozzle=nozzle)
    found = result.interval(lambda law: rig.plunger_force(law, flow_rate=23 * mm**3))
    assert found.low < found.value < found.high
    assert found.value == pytest.approx(rig.plunger_force(result.law, 23 * mm**3))
    assert not found.extrapolated
    several = result.interval(lambda law: rig.plunger_force(law, flow_rate=np.array([10.0, 23.0]) * mm**3))
    assert several.low.shape == (2,)
    assert several.low[1] == pytest.approx(found.low, rel=1e-3)
    for reducing in (np.mean, np.max, np.sum):  # takes one law at a time too, and says so by its values alone
        flows = np.array([10.0, 23.0, 40.0]) * mm**3
        found = result.interval(
            lambda law, reducing=reducing, flows=flows: reducing(rig.plunger_force(law, flow_rate=flows))
        )
        assert found.low < 0.98 * found.value
        assert found.high > 1.02 * found.value
    found = result.interval(lambda law: rig.plunger_force(law, flow_rate=23 * mm**3))
    stubborn = result.interval(
        lambda law: float(rig.plunger_force(law, flow_rate=23 * mm**3))
    )  # takes one law at a time
    assert stubborn.high == pytest.approx(found.high, rel=1e-3)


@pytest.mark.slow
def test_a_prediction_beyond_the_rates_says_so():
    result = quietly(rk.HerschelBulkley, curve(generator(3).standard_normal(10)))
    with pytest.warns(
        rk.ExtrapolationWarning, match=r"extrapolated: asks for 900 1/s; the readings cover 5 to 200 1/s"
    ):
        assert result.interval(lambda law: law.shear_stress(900.0)).extrapolated
    with pytest.warns(rk.ExtrapolationWarning):
        assert result.interval(lambda law: law.yield_stress).extrapolated
    with_plate = rk.fit(rk.HerschelBulkley, curve(generator(3).standard_normal(10)), plate(0.4))
    assert not with_plate.interval(lambda law: law.yield_stress).extrapolated
    assert not result.interval(lambda law: law.shear_stress(50.0)).extrapolated


# --- batches --------------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_batch_spread_is_kept_apart_from_reading_error():
    random = generator(21)
    factors = np.exp(0.15 * random.standard_normal(6))
    benches = []
    for batch, factor in enumerate(factors):
        law = rk.Shifted(TRUTH, float(factor))
        rates = np.geomspace(0.1, 200, 8)
        readings = rk.FlowCurve(
            shear_rate=rates,
            shear_stress=law.shear_stress(rates) * np.exp(0.02 * random.standard_normal(8)),
            relative_uncertainty=0.02,
        )
        benches.append(rk.Bench(rk.Specimen(paste="test paste", batch=f"B{batch}"), [readings]))
    result = quietly(rk.HerschelBulkley, *benches)
    row = result.table.loc["batch_spread"]
    assert row.low < 0.15 < row.high
    assert row.value == pytest.approx(np.std(np.log(factors), ddof=1), rel=0.15)
    for batch, factor in enumerate(factors):
        told = result.table.value[f"batch_factor[B{batch}]"]
        assert np.log(told) == pytest.approx(np.log(factor) - np.mean(np.log(factors)), abs=0.03)
    single = quietly(rk.HerschelBulkley, benches[0])
    assert "batch_spread" not in single.table.index
    wide, narrow = result.stresses.loc[10.0], single.stresses.loc[10.0]
    assert wide.high / wide.low > narrow.high / narrow.low, "the spread of batches widens what is said of the paste"


def batches(random, count, spread, **specimen):
    """Return benches of as many batches, each a curve and a plate, and the factors of their stresses."""
    factors = np.exp(spread * random.standard_normal(count))
    found = []
    for place, factor in enumerate(factors):
        law = rk.Shifted(TRUTH, float(factor))
        tests = [curve(random.standard_normal(10), law), plate(random.standard_normal(), law)]
        found.append(rk.Bench(rk.Specimen(batch=f"B{place}", **specimen), tests))
    return found, factors


def stress(law):
    return law.shear_stress(10.0)


@pytest.mark.slow
def test_median_and_next_batch_are_students_t():
    """Kind: exact, for exact readings. Mean and prediction limits of n values of ln stress (textbook): t s √(1/n), √(1 + 1/n)."""
    factors, rates = np.array([0.8, 1.0, 1.3, 1.1]), np.geomspace(1, 100, 8)
    curves = [
        rk.FlowCurve(
            shear_rate=rates, shear_stress=factor * TRUTH.shear_stress(rates), relative_uncertainty=1e-3, batch=f"B{k}"
        )
        for k, factor in enumerate(factors)
    ]
    result = quietly(rk.HerschelBulkley, *curves)
    logs, student = np.log(factors), 3.182446  # t at 97.5 % for 3 degrees of freedom, any table
    middle, spread = TRUTH.shear_stress(10.0) * np.exp(logs.mean()), logs.std(ddof=1)
    for batch, root, words in (
        ("median", np.sqrt(1 / 4), "median batch of 4"),
        (
            "next",
            np.sqrt(1 + 1 / 4),
            "next batch: spread of 0.2 from 4 batches",
        ),
    ):
        found = result.interval(stress, batch=batch)
        assert found.value == pytest.approx(middle, rel=1e-3)
        reach = student * spread * root
        assert np.log([found.low, found.high]) == pytest.approx(np.log(middle) + np.array([-reach, reach]), abs=5e-3)
        assert found.comment == f"asks for 10 1/s; the readings cover 1 to 100 1/s; {words}"
    assert result.interval(stress) == result.interval(stress, batch="median")
    row = result.stresses.loc[10.0]
    assert (row.low, row.high) == result.interval(stress)[1:3]
    assert (row.next_low, row.next_high) == result.interval(stress, batch="next")[1:3]
    assert "median batch of 4" in repr(result)
    assert all(words in result.summary for words in ("  median batch", "  next batch"))
    assert (result.table.batch == ["median"] * 3 + [""] * 5).all()
    index = result.interval(lambda law: law.flow_index, batch="next")
    assert index.high - index.low < 0.01, "a batch moves stresses, and no flow index"
    stiff = result.interval(lambda law: law.consistency, batch="next")
    assert stiff.high / stiff.low == pytest.approx(np.exp(2 * student * spread * np.sqrt(1.25)), rel=0.03)


def agreeing(count):
    """Return as many batches of one stress, read exactly."""
    rates = np.geomspace(1, 100, 8)
    return [
        rk.FlowCurve(
            shear_rate=rates,
            shear_stress=TRUTH.shear_stress(rates) * (1 + 1e-9 * k),
            relative_uncertainty=1e-3,
            batch=f"B{k}",
        )
        for k in range(count)
    ]


def test_batches_that_agree_by_chance_do_not_make_the_next_one_well_known():
    """Kind: exact. The usual 0.15 counts as the differences that lack to three: s² = (4 - n) 0.15²/3, Student's t of 3 (any table: 3.182)."""
    reach = {}
    for count, student in ((1, 1.959964), (2, 3.182446), (3, 3.182446)):
        result = quietly(rk.HerschelBulkley, *agreeing(count))
        found = result.interval(stress, batch="next")
        reach[count] = np.log(found.high / found.low) / 2
        spread = 0.15 * np.sqrt((4 - count) / 3)
        about = np.sqrt(1 + 1 / count)  # of one batch too: its own deviation is as unknown as that of the next
        assert reach[count] == pytest.approx(student * spread * about, rel=0.01)
        if count > 1:
            row = result.table.loc["batch_spread"]
            assert row.value == pytest.approx(spread, rel=1e-3) and row.high == pytest.approx(
                spread * np.sqrt(3 / 0.215795), rel=1e-3
            )
            assert f"which counts as {3 - (count - 1)} differences more: so few may agree by chance" in result.summary
            assert "errors of the tests' theories" not in result.summary
    assert reach[2] > reach[1] and reach[3] < reach[2], "of one batch the spread is taken as known; two tell it, badly"


def test_batches_of_which_no_kind_of_test_was_read_in_both_tell_no_spread():
    """A flow curve of one and plates of another, whose theory errs by 20 %: the usual spread stays as good as it was, and words say why."""
    one = replace(curve(np.zeros(10)), batch="A")
    result = quietly(rk.HerschelBulkley, one, replace(plate(0.0), batch="B"))
    assert result.table.value["batch_spread"] == pytest.approx(0.15, rel=0.1)
    assert result.batch_freedom == pytest.approx(3)
    said = "no kind of test was read in two of them, so that how far they lie apart is not told from the errors of the tests' theories"
    assert result.interval(stress, batch="next").comment.endswith(said)
    assert said in result.summary and said in result._repr_html_().replace("&#x27;", "'")
    budget = rk.uncertainty_budget(result, stress, batch="next")
    row = budget.table[budget.table.quantity.str.startswith("the next batch")].iloc[0]
    assert row.origin.endswith(said) and row.kind == "B" and row.degrees_of_freedom == pytest.approx(3)


def test_the_interval_of_the_next_batch_after_one_holds_95_in_100():
    """Kind: independent. Two batches drawn about one median, the first read exactly: 83 in 100 with the first as the median one."""
    read = quietly(rk.HerschelBulkley, agreeing(1)[0])
    found = read.interval(stress, batch="next")
    first, following = 0.15 * generator(8).standard_normal((2, 40000))
    apart = following - first
    low, high = np.log(np.array(found[1:3]) / found.value)
    assert np.mean((low <= apart) & (apart <= high)) == pytest.approx(0.95, abs=0.005)


def test_a_spread_without_an_upper_limit_says_so():
    """One difference tells no upper end: chi-square of one degree of freedom has 0.001 at 2.5 %, a factor of 32."""
    from rheokit.fitting.estimates import _spread_row
    from rheokit.nomenclature import cells

    *_, low, high, unit, _ = _spread_row("record_spread", 0.1, 1.0)
    assert (low, high) == (pytest.approx(0.0446, rel=1e-2), np.inf)
    assert cells(0.1, low, high, unit)[1] == "0.045 to no limit"


def test_the_next_batch_after_one_is_assumed_and_says_so():
    result = quietly(rk.HerschelBulkley, curve(generator(3).standard_normal(10)), plate(0.4))
    usual, following = result.interval(stress), result.interval(stress, batch="next")
    spread = np.hypot(np.log(usual.high / usual.low) / 2, 1.96 * np.sqrt(2) * 0.15)  # both lie off the median
    assert np.log(following.high / following.low) / 2 == pytest.approx(spread, rel=0.02)
    assert following.comment.endswith(
        "; next batch: one batch alone was read, so that a spread of 0.15 from batch to batch is assumed, of the batch read and of the next alike: 0.21 between the two"
    )
    assert "median batch" not in usual.comment and "next batch" not in usual.comment
    material = rk.Material.of(result)
    assert material.one_batch_read and material.sure_spread == pytest.approx(0.2121, abs=1e-4)
    moved = material.draws(4000, 1).law.shear_stress(10.0) / material.draws(4000, 1, batch=False).law.shear_stress(10.0)
    assert np.std(np.log(moved)) == pytest.approx(0.2121, rel=0.05)
    with pytest.raises(rk.DataError) as told:
        result.interval(stress, batch="best")
    assert (
        str(told.value) == "interval: batch = 'best' is not known; give 'median', or 'next' for a batch not yet made."
    )


@pytest.mark.slow
def test_intervals_of_median_and_next_batch_hold_what_they_promise():
    """24 sets of 3 to 6 batches: the median batch, and a batch drawn after them; sound readings raise no alarm."""
    hits, alarms = dict.fromkeys(("median", "next"), 0), 0
    for number in range(24):
        random = generator(17, number)
        benches, _ = batches(random, int(random.integers(3, 7)), 0.25)
        result = quietly(rk.HerschelBulkley, *benches)
        truth = {"median": stress(TRUTH), "next": stress(TRUTH) * np.exp(0.25 * random.standard_normal())}
        for batch, value in truth.items():
            found = result.interval(stress, batch=batch)
            hits[batch] += bool(found.low <= value <= found.high)
        checks = result.checks.set_index("question")
        alarms += not checks.passed["yield stresses agree"]
    for batch, hit in hits.items():
        assert hit >= 20, f"{batch}: {hit} of 24"
    assert alarms <= 2


@pytest.mark.slow
def test_yield_stresses_are_compared_inside_a_batch():
    """Two sound batches a factor 1.8 apart differ by more than tests of one paste may, and are no contradiction."""
    benches, _ = batches(generator(4), 2, 0.0)
    strong = rk.Shifted(TRUTH, 1.8)
    other = [curve(np.zeros(10), strong, relative_uncertainty=0.01), plate(0.0, strong)]
    agree = quietly(rk.HerschelBulkley, benches[0], rk.Bench(rk.Specimen(batch="stiff"), other))
    row = agree.checks.set_index("question").loc["yield stresses agree"]
    assert row.passed and ", both of batch " in row.comment
    stray = replace(other[1], radius=other[1].radius * 5 ** (1 / 5))  # a plate that reads a fifth of it
    wrong = quietly(rk.HerschelBulkley, benches[0], rk.Bench(rk.Specimen(batch="stiff"), [other[0], stray]))
    row = wrong.checks.set_index("question").loc["yield stresses agree"]
    assert not row.passed and ", both of batch stiff" in row.comment


CONDITIONS = {
    "water": (
        {"water_content": 1.0}, {"water_content": 1.1},
        "water content 1 (batch A) and 1.1 (batch B), water over dry mass, more than 2 % of it apart",
        "rk.watered(rk.HerschelBulkley, reference_water=1.05)",
    ),
    "age": (
        {"age": 43200.0}, {"age": 86400.0}, "age 12 h (batch A) and 24 h (batch B), more than a factor 1.5 apart",
        "rk.aged(rk.HerschelBulkley, reference_age=64800)",
    ),
    "temperature": (
        {"temperature": 294.15}, {"temperature": 300.15},
        "temperature 21 °C (flow curve, batch A) and 27 °C (flow curve, batch B), more than 2 K apart",
        "rk.heated(rk.HerschelBulkley, reference_temperature=297.15)",
    ),
}  # fmt: skip


@pytest.mark.parametrize("kind", CONDITIONS)
def test_benches_of_other_conditions_are_not_pooled(kind):
    first, second, words, remedy = CONDITIONS[kind]
    monday, tuesday = curve(np.zeros(10)), curve(0.1 * generator(1).standard_normal(10))
    one, other = (
        rk.Bench(rk.Specimen(batch="A", **first), [monday]),
        rk.Bench(rk.Specimen(batch="B", **second), [tuesday]),
    )
    with pytest.raises(rk.DataError) as refused:
        rk.fit(rk.HerschelBulkley, one, other)
    assert str(refused.value) == (
        f"fit: the readings are not of one condition: {words}. One flow law is of one condition; fitted together, the "
        f"difference would pass for spread from batch to batch. Fit them one by one, or with a law that depends on it: {remedy}."
    )
    quietly(rk.HerschelBulkley, one, rk.Bench(rk.Specimen(batch="B"), [tuesday]))  # what is not stated is not compared
    name, value = next(iter(first.items()))
    near = rk.Bench(rk.Specimen(batch="B", **{name: value * 1.005}), [tuesday])
    quietly(rk.HerschelBulkley, one, near)


def test_readings_of_other_temperatures_are_not_pooled():
    warm = replace(curve(np.zeros(10)), temperature=np.linspace(293.15, 299.15, 10), label="warming")
    with pytest.raises(
        rk.DataError, match="temperature 20 to 26 °C in the rows of flow curve 'warming', more than 5 K apart"
    ):
        rk.fit(rk.HerschelBulkley, warm)
    told = [replace(curve(np.zeros(10)), temperature=np.full(10, t), label=f"{t:g}") for t in (293.15, 298.15)]
    with pytest.raises(
        rk.DataError,
        match=r"temperature 20 °C \(flow curve '293.15'\) and 25 °C \(flow curve '298.15'\), more than 2 K",
    ):
        rk.fit(rk.HerschelBulkley, *told)


# --- comparison -----------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_comparison_has_a_plain_verdict():
    wide = np.geomspace(0.05, 500, 16)
    readings = rk.FlowCurve(
        shear_rate=wide,
        shear_stress=TRUTH.shear_stress(wide) * np.exp(0.03 * generator(2).standard_normal(16)),
        relative_uncertainty=0.03,
    )
    table = rk.compare([rk.PowerLaw, rk.HerschelBulkley, rk.Bingham, rk.Newtonian], readings)
    assert table.index[0] == "Herschel-Bulkley"
    assert table.verdict.iloc[0] == "describes the readings best"
    assert table.verdict["Newtonian"] == "does not describe these readings"
    assert table.weight.sum() == pytest.approx(1)
    squares = table.residual_sum["Herschel-Bulkley"]
    assert table.AICc["Herschel-Bulkley"] == pytest.approx(squares + 6 + 2 * 3 * 4 / 12)
    few = rk.compare([rk.PowerLaw, rk.HerschelBulkley], readings.where(np.arange(16) < 4))
    assert few.verdict.to_dict() == {
        "power law": "too few readings to compare laws",
        "Herschel-Bulkley": "too many parameters for 4 readings",
    }


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("known", [True, False])
def test_a_nested_law_never_fits_better_than_its_parent(seed, known):
    truth = [rk.PowerLaw(300.0, 0.4), rk.Bingham(50.0, 3.0), TRUTH][seed % 3]
    given = {"relative_uncertainty": 0.05} if known else {"error": "relative"}
    readings = curve(generator(4, seed).standard_normal(10), law=truth, **given)
    squares = rk.compare([rk.Newtonian, rk.PowerLaw, rk.Bingham, rk.HerschelBulkley], readings).residual_sum
    for small, large in (
        ("power law", "Herschel-Bulkley"),
        ("Bingham", "Herschel-Bulkley"),
        ("Newtonian", "Bingham"),
        ("Newtonian", "power law"),
    ):
        assert squares[large] <= squares[small] * (1 + 1e-6)


# --- messages -------------------------------------------------------------------------------------------------------


def test_messages():
    readings = curve(np.zeros(10))
    for make, kind, words in (
        (lambda: rk.fit(rk.HerschelBulkley), rk.DataError, "fit: no test was given; give a bench, or records such as"),
        (lambda: rk.fit(TRUTH, readings), TypeError, "is not a flow law; give a class such as rk.HerschelBulkley"),
        (lambda: rk.fit(rk.PowerLaw, 3), TypeError, "3 is neither a bench test nor a bench"),
        (
            lambda: rk.fit(rk.PowerLaw, readings, fixed={"yield_stress": 0}),
            rk.DataError,
            "fit: yield_stress is no parameter of PowerLaw; it has consistency, flow_index.",
        ),
    ):
        with pytest.raises(kind) as caught:
            make()
        assert words in str(caught.value)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_a_search_never_tries_a_bore_of_a_metre(seed):
    """Runs with an uncertain bore, started badly: no trial step leaves what a nozzle can be."""
    law, flow = rk.HerschelBulkley(1000.0, 5.0, 0.3), np.geomspace(2e-9, 3e-7, 7)
    nozzle = rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=20 * mm))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rk.ModelRangeWarning)
        clean = nozzle.pressure_drop(law, flow, inlet_diameter=26.7 * mm)
    pressure = clean * np.exp(0.03 * generator(seed).standard_normal(7))
    run = rk.PressureRun(
        nozzle=nozzle,
        flow_rate=flow,
        pressure=pressure,
        inlet_diameter=26.7 * mm,
        bore_uncertainty=0.01,
        relative_uncertainty=0.03,
    )
    result = quietly(rk.HerschelBulkley, run)
    assert not result.table[["low", "high"]].isna().to_numpy().any()


@pytest.mark.slow
def test_a_search_with_nothing_known_of_one_coordinate_ends(tmp_path):
    """One spread whose reading once made a matrix of 1e264 and nothing, which has no eigenvalues in floating point."""
    toml = '[specimen]\ndensity = "1085 kg/m3"\n[[test]]\nkind = "spread"\nfile = "r.csv"\nvolume = "60 mL"\n'
    (tmp_path / "bench.toml").write_text(toml, encoding="utf-8")
    (tmp_path / "r.csv").write_text("radius [mm]\n61.5\n", encoding="utf-8")
    result = quietly(rk.HerschelBulkley, *rk.read_bench(tmp_path).tests)
    assert "consistency    K    not identified" in re.sub(" {4,}", "    ", result.summary)


CAUGHT = """
[specimen]
density = "1090 kg/m3"

[[test]]
kind = "syringe force"
file = "short.csv"
apparatus = "syringe"
bore = "2.05 mm"
length = "14 mm"
read = "flow_rate"
uncertainty = ["0.25 g", "1 s"]

[[test]]
kind = "syringe force"
file = "long.csv"
apparatus = "syringe"
bore = "2.05 mm"
length = "42 mm"
read = "flow_rate"
uncertainty = ["0.25 g", "1 s"]

[apparatus.syringe]
barrel_diameter = "21.3 mm"
fill_length = "70 mm"
plunger_friction = "6.2 ± 0.2 N"

[[test]]
kind = "loaded plate"
file = "plate.csv"
volume = "5 mL"
load_mass = "1.2 kg"

[[test]]
kind = "cylinder slump"
file = "slump.csv"
height = "76.2 mm"
diameter = "76.2 mm"
"""
WEIGHED = {
    "short.csv": [
        (1.6, 60, 19.4),
        (3.1, 60, 21.5),
        (6.4, 60, 24.0),
        (6.5, 30, 27.5),
        (11.9, 30, 32.4),
        (12.2, 15, 39.1),
    ],
    "long.csv": [(1.6, 60, 38.1), (3.1, 60, 45.3), (6.4, 60, 51.0), (6.5, 30, 61.8), (11.9, 30, 77.0)],
}  # caught mass [g], catch time [s], force [N]; invented


def test_flows_read_with_small_errors_in_amounts_do_not_end_where_every_row_is_stopped(tmp_path):
    """A law that stops every row is a corner: no slope leads out of it."""
    (tmp_path / "bench.toml").write_text(CAUGHT, encoding="utf-8")
    (tmp_path / "plate.csv").write_text("radius [mm]\n27.4\n28.2\n26.9\n")
    (tmp_path / "slump.csv").write_text("slump [mm]\n6.5\n8\n<1\n")
    for name, rows in WEIGHED.items():
        lines = ["caught mass [g],catch time [s],force [N]", *(",".join(map(str, row)) for row in rows)]
        (tmp_path / name).write_text("\n".join(lines))
    with warnings.catch_warnings(action="ignore"):
        fit = rk.fit(rk.HerschelBulkley, rk.read_bench(tmp_path))
    likely = fit.problem.coordinates(
        rk.HerschelBulkley(yield_stress=410.0, consistency=92.0, flow_index=0.46), fit.nuisance
    )
    squares = float(np.sum(fit.problem.residuals(likely[None]) ** 2))
    assert fit.chi_square <= squares
    assert not fit.is_at_bound("flow_index")
