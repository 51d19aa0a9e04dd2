"""Benches at several temperatures, waters and ages as one fit: what it finds, how far it can be trusted, what it refuses."""

import pickle
import warnings
from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.bench.base import BenchTest
from rheokit.paste.water import WaterLaw
from rheokit.units import hour, mm

ZERO = 273.15  # °C in K
RATES = np.geomspace(0.1, 100.0, 10)
HEATED = rk.heated(rk.Newtonian)
DOPE = HEATED(0.9198, 42e3)
SERIES = rk.aged(rk.watered(rk.HerschelBulkley, 1.0), 5 * hour)
PASTE = SERIES(400.0, 150.0, 0.4, 3.5, 0.12)
SYRINGE = rk.Extruder(
    nozzle=rk.Nozzle(rk.Cylinder(diameter=0.84 * mm, length=25 * mm)),
    barrel_diameter=20.1 * mm,
    fill_length=60 * mm,
    plunger_friction=4.0,
)
WATERS_AND_AGES = [(u, t * hour) for u in (0.9, 1.0, 1.1) for t in (1, 24)]


def generator(seed):
    return np.random.Generator(np.random.PCG64(seed))


def quietly(*asked, **more):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rk.RheokitWarning)
        return rk.fit(*asked, **more)


def three_temperatures(random, celsius=(38, 45, 60), scatter=0.03):
    """Return a bench of an invented dope: weights on a syringe at three temperatures; friction and bore are off by chance."""
    friction, bore = 4 + 0.5 * random.standard_normal(), np.exp(0.01 * random.standard_normal())
    nozzle = SYRINGE.nozzle.with_bore(SYRINGE.nozzle.bore * bore)
    real = replace(SYRINGE, plunger_friction=friction, nozzle=nozzle)
    force, runs = np.array([10.0, 20.0, 30.0, 40.0]), []
    for degrees in celsius:
        at = {"force": force, "read": "flow_rate", "temperature": ZERO + degrees, "label": f"at {degrees} °C"}
        flow = rk.ForceRun(extruder=real, flow_rate=np.full(4, 1e-8), **at).predict(DOPE)
        known = {"plunger_friction_uncertainty": 0.5, "bore_uncertainty": 0.01, "relative_uncertainty": scatter}
        flow = flow * np.exp(scatter * random.standard_normal(4))
        runs.append(rk.ForceRun(extruder=SYRINGE, flow_rate=flow, apparatus="syringe", **at, **known))
    return rk.Bench(rk.Specimen(batch="A", temperature=ZERO + 45), runs)


def series(random, plan=WATERS_AND_AGES, spread=0.1, scatter=0.03, paste=PASTE):
    """Return benches of an invented paste, one batch each, at water contents and ages."""
    benches = []
    for place, (u, age) in enumerate(plan):
        law = rk.Shifted(paste.at(water_content=u, age=age), np.exp(spread * random.standard_normal()))
        stress = law.shear_stress(RATES) * np.exp(scatter * random.standard_normal(len(RATES)))
        specimen = rk.Specimen(batch=chr(65 + place), water_content=u, age=age)
        benches.append(rk.Bench(specimen, [rk.FlowCurve(shear_rate=RATES, shear_stress=stress)]))
    return benches


# --- a test sees the law at its condition ---------------------------------------------------------------------------


def test_a_bench_hands_its_condition_to_its_tests():
    curve = rk.FlowCurve(shear_rate=RATES, shear_stress=DOPE.shear_stress(RATES))
    bench = rk.Bench(
        rk.Specimen(temperature=ZERO + 34, age=hour),
        [curve, replace(curve, temperature=ZERO + 60, label="hot", shear_stress=RATES)],
    )
    there, own = bench.tests
    assert there.conditions == {"temperature": ZERO + 34, "age": hour}
    assert own.conditions == {"temperature": ZERO + 60, "age": hour}
    assert there.predict(DOPE) == pytest.approx(1.624216 * RATES, rel=1e-6)
    assert own.predict(DOPE) == pytest.approx(0.450012 * RATES, rel=2e-6)
    assert curve.predict(DOPE) == pytest.approx(0.9198 * RATES, rel=1e-12)  # not known: the reference
    assert there.table.columns.tolist() == ["shear_rate", "shear_stress"]  # what the specimen states is no column


def test_readings_may_each_have_a_temperature():
    """Kind: exact. A column of temperatures is the same as a record for each."""
    warm = ZERO + np.array([34.0, 45.0, 60.0])
    force = {
        "force": np.array([20.0, 25.0, 30.0]),
        "read": "flow_rate",
        "flow_rate": np.full(3, 1e-8),
        "extruder": SYRINGE,
    }
    run = rk.ForceRun(**force, temperature=warm)
    each = [replace(run.where(np.arange(3) == k)).predict(DOPE)[0] for k in range(3)]
    assert run.predict(DOPE) == pytest.approx(each, rel=1e-12)
    stack = HEATED(np.array([0.9198, 1.2])[:, None], 42e3)
    assert run.predict(stack)[0] == pytest.approx(each, rel=1e-12)


def test_runs_of_several_temperatures_are_predicted_together_as_alone():
    """Kind: exact. One search for all of them, each at its own temperature, that of one changing from row to row."""
    runs = list(three_temperatures(generator(1)).tests)
    runs[1] = replace(runs[1], temperature=ZERO + np.array([44.0, 45.0, 46.0, 47.0]))
    stack = HEATED(np.array([0.9, 1.0])[:, None], np.array([40e3, 45e3])[:, None])
    for law in (DOPE, stack):
        together = BenchTest.predict_together(runs, law)
        for one, run in zip(together, runs, strict=True):
            assert one == pytest.approx(run.predict(law), rel=1e-10)


# --- what a fit finds -----------------------------------------------------------------------------------------------


def test_readings_without_error_give_the_law_back():
    """Kind: exact."""
    found = quietly(HEATED, three_temperatures(generator(2), scatter=1e-6)).law
    assert found.activation_energy == pytest.approx(42e3, rel=1e-3)
    found = quietly(SERIES, *series(generator(2), spread=1e-9, scatter=1e-6)).law
    for name, value in PASTE.values.items():
        assert getattr(found, name) == pytest.approx(value, rel=1e-3), name


def test_what_conditions_leave_over_is_the_spread_of_batches():
    fit = quietly(SERIES, *series(generator(5)))
    spread, freedom = fit.batch_spread
    assert freedom == 6 - 1 - 2  # level, slope and exponent are told by batches too
    assert 0.04 < spread < 0.2
    low, high = fit.limits("water_slope")
    assert low < 3.5 < high
    assert low > 0


def test_a_condition_that_differs_within_a_batch_costs_no_batch():
    """The age is told by the two readings of each batch, so that the batches tell the slope and their spread alone."""
    plan = [(0.9, hour), (1.0, hour), (1.1, hour)]
    young, old = series(generator(6), plan), series(generator(6), [(u, 24 * hour) for u, _ in plan])
    fit = quietly(SERIES, *young, *old)
    assert fit.batch_spread[1] == 3 - 1 - 1
    low, high = fit.limits("age_exponent")
    assert high - low < 0.03


def test_batches_that_tell_a_slope_alone_leave_their_spread_assumed():
    watered = rk.watered(rk.HerschelBulkley, 1.0)
    benches = series(generator(7), [(0.9, hour), (1.1, hour)])
    fit = quietly(watered, *benches)
    assert fit.batch_spread is None
    low, high = fit.limits("water_slope")
    assert high - low == pytest.approx(2 * 1.96 * np.sqrt(2) * 0.15 / 0.2, rel=0.05)  # two batches of a usual spread
    said = "next batch: spread of 0.15, assumed: 2 batches tell the effects of their conditions and no spread"
    assert quietly_next(fit).comment.endswith(said)


def quietly_next(fit):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rk.RheokitWarning)
        return fit.interval(lambda law: law.yield_stress, batch="next")


# --- what is refused ------------------------------------------------------------------------------------------------


def refused(*asked, **more):
    with pytest.raises(rk.DataError) as error:
        rk.fit(*asked, **more)
    return str(error.value)


def test_water_and_age_that_move_together_are_refused():
    benches = series(generator(3), [(0.9, 24 * hour), (1.0, 6 * hour), (1.1, hour)])
    assert refused(SERIES, *benches) == (
        "fit: water content and age move together (batch A u = 0.9, 24 h; batch B u = 1, 6 h; batch C u = 1.1, 1 h), so that nothing "
        "tells water slope and age exponent apart. A batch at u = 1.1 tested at 24 h would part them; or state one of the two, such as "
        "fixed={'age_exponent': ...}."
    )
    assert quietly(SERIES, *benches, fixed={"age_exponent": 0.12}).law.water_slope > 0
    parted = series(generator(3), [(0.9, 24 * hour), (1.0, 6 * hour), (1.1, hour), (1.1, 24 * hour)])
    assert quietly(SERIES, *parted).law.water_slope > 0


def test_a_condition_that_does_not_differ_is_refused():
    benches = series(generator(3), [(0.9, 24 * hour), (1.1, 24 * hour)])
    assert refused(SERIES, *benches) == (
        "fit: every reading is at 24 h, so that nothing tells the age exponent; read at another age too, or state it: "
        "fixed={'age_exponent': ...}."
    )


def test_a_condition_that_is_not_known_is_refused():
    benches = series(generator(3), [(0.9, 24 * hour), (1.1, 24 * hour)])
    unknown = rk.Bench(rk.Specimen(batch="B"), [replace(benches[1].tests[0], of_specimen={})])
    assert refused(rk.watered(rk.HerschelBulkley, 1.0), benches[0], unknown) == (
        "fit: the watered Herschel-Bulkley law depends on the water content, which is not known of flow curve, batch B; state it of the "
        "specimen, or as the column water content of the record."
    )


def test_an_age_of_nothing_is_refused():
    benches = series(generator(3), [(0.9, hour), (0.9, 24 * hour)])
    new = rk.Bench(
        rk.Specimen(batch="C", water_content=0.9, age=0.0),
        [replace(benches[0].tests[0], batch="C", shear_stress=RATES)],
    )
    assert refused(rk.aged(rk.HerschelBulkley, hour), *benches, new) == (
        "fit: the age of flow curve, batch C is 0; a power of the age needs ages above 0, counted from mixing."
    )


# --- how far it can be trusted --------------------------------------------------------------------------------------


@pytest.mark.slow
def test_limits_of_viscosity_and_activation_energy_hold_in_95_of_100():
    """Kind: simulation. 120 benches at three temperatures, friction and bore off by chance."""
    held = dict.fromkeys(DOPE.values, 0)
    for seed in range(120):
        fit = quietly(HEATED, three_temperatures(generator(1000 + seed)))
        for name, true in DOPE.values.items():
            low, high = fit.limits(name)
            held[name] += low < true < high
    assert {name: 0.89 <= count / 120 <= 0.995 for name, count in held.items()} == dict.fromkeys(held, True), held


@pytest.mark.slow
def test_limits_of_slope_age_and_the_next_batch_hold_in_95_of_100():
    """Kind: simulation. 120 series of three waters and two ages, a batch each, spread by 0.1 in ln stress."""
    held = dict.fromkeys(("water_slope", "age_exponent", "next"), 0)
    for seed in range(120):
        random = generator(2000 + seed)
        fit = quietly(SERIES, *series(random))
        for name in ("water_slope", "age_exponent"):
            low, high = fit.limits(name)
            held[name] += low < getattr(PASTE, name) < high
        to_come = PASTE.at(water_content=1.05, age=6 * hour).yield_stress * np.exp(0.1 * random.standard_normal())
        with warnings.catch_warnings(action="ignore"):
            found = fit.interval(lambda law: law.at(water_content=1.05, age=6 * hour).yield_stress, batch="next")
        held["next"] += found.low < to_come < found.high
    assert {name: 0.89 <= count / 120 <= 0.995 for name, count in held.items()} == dict.fromkeys(held, True), held


def few_batches(*cells, slope=3.3):
    """Return batches of an invented paste at (water content, ages in h) each, a tenth apart from one to the next."""
    random, benches, rates = generator(1), [], np.geomspace(0.3, 60.0, 8)
    for place, (water, *ages) in enumerate(cells):
        factor, curves = np.exp(0.1 * random.standard_normal() - slope * (water - 0.8)), []
        for age in ages:
            stress = (300 + 120 * rates**0.45) * factor * (age / 10) ** 0.1 * np.exp(0.02 * random.standard_normal(8))
            curves.append(rk.FlowCurve(shear_rate=rates, shear_stress=stress, age=age * hour, label=f"{age} h"))
        benches.append(rk.Bench(rk.Specimen(batch=f"batch {place}", water_content=water), curves))
    return benches


def test_few_batches_are_told_what_would_tell_their_effects():
    """Three that move nearly together need one that parts them; four that are parted need more, however far apart they are."""
    law = rk.aged(rk.watered(rk.HerschelBulkley, 0.8), 10 * hour)
    together = quietly(law, *few_batches((0.7, 2), (0.8, 20), (0.9, 30)))
    assert together.not_identified["age_exponent"] == (
        "a batch at u = 0.9 tested at 2 h, which parts it from the water content (so far 2 to 30 h)"
    )
    parted = quietly(law, *few_batches((0.7, 2), (0.8, 9), (0.9, 30), (0.9, 2)))
    assert parted.not_identified["age_exponent"] == (
        "more batches, at any age: 4 of them leave 1 difference to tell how far batches lie apart, beside the effects (so far 2 to 30 h)"
    )
    aged_each = quietly(law, *few_batches((0.7, 2, 30), (0.8, 2, 30), (0.9, 2, 30), slope=2.0))
    assert aged_each.not_identified["water_slope"].startswith(
        "more batches, at any water content: 3 of them leave 1 difference"
    )
    no_slope = quietly(law, *few_batches((0.7, 2, 30), (0.8, 2, 30), (0.9, 2, 30), slope=0.0))
    with pytest.raises(
        rk.DataError, match=r"not identified: .* it is 0 by them; needs readings farther apart in water content"
    ):
        WaterLaw.of(no_slope, age=10 * hour)


# --- records that lie apart for other reasons -----------------------------------------------------------------------

SAUCE = rk.heated(rk.HerschelBulkley, ZERO + 23.5)


def sauce(random, celsius=(22.3, 23.1, 24.0, 24.9), apart=0.02, times=(1, 1, 1, 1), energy=25e3, as_runs=False):
    """Return records of an invented sauce near room temperature, each filled anew: they differ by a factor of their own."""
    rates, records = np.geomspace(0.1, 300.0, 25), []
    for place, degrees in enumerate(celsius):
        law = SAUCE(20.0, 8.0, 0.45, energy).at(temperature=ZERO + degrees)
        stress = law.shear_stress(rates) * np.exp(0.01 * random.standard_normal(25) + apart * random.standard_normal())
        stress = times[place] * stress
        records.append(
            rk.FlowCurve(shear_rate=rates, shear_stress=stress, temperature=ZERO + degrees, label=f"run {place}")
        )
    if not as_runs:
        return records
    columns = {
        name: np.concatenate([getattr(one, name) for one in records])
        for name in ("shear_rate", "shear_stress", "temperature")
    }
    return [rk.FlowCurve(**columns, run=np.repeat(np.arange(1, len(records) + 1), 25))]


def failed(fit):
    with warnings.catch_warnings(action="ignore"):
        return fit.checks.loc[~fit.checks.passed].set_index("question")


@pytest.mark.parametrize("times", [(1, 1.14, 1, 1), (1, 1, 1.27, 1)], ids=["14 %", "27 %"])
def test_what_sets_records_apart_is_no_effect_of_temperature(times):
    fit = quietly(SAUCE, *sauce(generator(21), apart=0.005, times=times))
    low, high = fit.limits("activation_energy")
    assert low < 25e3 < high < 60e3
    found = failed(fit)
    assert list(found.index) == ["records differ by their conditions alone"]
    apart = f"{100 * (max(times) - 1):.0f}"
    assert f"'run {int(np.argmax(times))}'" in found.comment.iloc[0]
    assert np.expm1(found.value.iloc[0]) == pytest.approx(max(times) - 1, abs=0.03), apart
    assert fit.stamp.startswith("1 of ") and "read it before use" in fit.stamp


def test_a_fit_with_records_apart_is_pickled():
    """Kind: exact. What is known of a record is known of its copy."""
    fit = quietly(SAUCE, *sauce(generator(21), times=(1, 1.14, 1, 1)))
    found = [
        one.interval(lambda law: law.at(temperature=ZERO + 24).shear_stress(10.0))
        for one in (fit, pickle.loads(pickle.dumps(fit)))
    ]
    assert found[0].high > 1.1 * found[0].low
    assert found[0] == found[1]


def test_records_that_agree_need_no_factor():
    fit = quietly(SAUCE, *sauce(generator(22), apart=0.0))
    assert fit.problem.record_spread == 0
    assert failed(fit).empty


def test_records_and_runs_of_one_file_say_the_same_of_temperature():
    """Kind: exact. Seven files, or one with a column ``run``, are the same readings."""
    seven = {"celsius": (22.2, 22.2, 23.0, 23.0, 24.1, 24.1, 24.9), "apart": 0.0, "energy": 20e3}
    for times in ((1,) * 7, (1, 1, 1, 1.14, 1, 1, 1), (1, 1, 1, 1, 1.27, 1, 1)):
        records, runs = (
            quietly(SAUCE, *sauce(generator(23), times=times, as_runs=way, **seven)) for way in (False, True)
        )
        assert runs.limits("activation_energy") == pytest.approx(records.limits("activation_energy"), rel=1e-9)
        assert runs.problem.record_spread == pytest.approx(records.problem.record_spread, rel=1e-9)
        assert runs.run_spread is None
        assert list(failed(runs).index) == list(failed(records).index)
        if max(times) == 1:
            low, high = runs.limits("activation_energy")
            assert 12e3 < low < 20e3 < high < 28e3
            assert runs.not_identified == {}
        else:
            said = failed(runs).comment["records differ by their conditions alone"]
            assert f"'run {1 + int(np.argmax(times))}'" in said


@pytest.mark.parametrize("times", [1.0, 1.14, 1.27], ids=["alike", "14 %", "27 %"])
@pytest.mark.slow
def test_a_batch_apart_from_the_others_is_named(times):
    """Seven batches of one curve each, at 22 to 25 °C, that differ by half a percent, and one of them by more."""
    for seed, odd in ((31, 3), (32, 5), (33, 0)):
        factors = [times if place == odd else 1.0 for place in range(7)]
        curves = sauce(generator(seed), (22.2, 22.2, 23.0, 23.0, 24.1, 24.1, 24.9), apart=0.005, times=factors)
        found = failed(quietly(SAUCE, *(replace(one, batch=one.label) for one in curves)))
        assert ("no batch apart from the others" in found.index) == (times > 1)
        if times > 1:
            assert f"batch run {odd} (" in found.comment["no batch apart from the others"]
            assert np.expm1(found.value["no batch apart from the others"]) == pytest.approx(times - 1, abs=0.03)


@pytest.mark.slow
def test_batches_that_differ_as_batches_do_are_no_fault():
    alarms = 0
    for seed in range(20):
        curves = sauce(generator(seed), (22.2, 22.2, 23.0, 23.0, 24.1, 24.1, 24.9), apart=0.1, times=(1,) * 7)
        fit = quietly(SAUCE, *(replace(one, batch=one.label) for one in curves))
        alarms += "no batch apart from the others" in failed(fit).index
    assert alarms <= 1


def test_runs_at_temperatures_of_their_own_keep_their_rows_and_their_loops():
    (file,) = sauce(generator(23), as_runs=True)
    parts = quietly(SAUCE, file).tests
    assert [part.label for part in parts] == ["run 1", "run 2", "run 3", "run 4"]
    assert parts[2].row_numbers.tolist() == list(range(51, 76))
    near = replace(file, temperature=ZERO + 23 + (file.temperature - ZERO - 23) / 2)
    assert len(quietly(rk.HerschelBulkley, near).tests) == 1  # a law that depends on nothing takes it as it is
    drifting = replace(file, temperature=file.temperature + np.tile(np.linspace(0.0, 0.1, 25), 4))
    assert quietly(SAUCE, drifting).problem.record_spread == pytest.approx(
        quietly(SAUCE, file).problem.record_spread, rel=0.1
    )
    turned = np.arange(100).reshape(4, 25)
    turned[::2] = turned[::2, ::-1]
    columns = {name: getattr(file, name)[turned.ravel()] for name in ("shear_rate", "shear_stress", "temperature")}
    loops = rk.FlowCurve(**columns)
    assert len(quietly(SAUCE, loops).tests) == 1


def test_laws_with_and_without_conditions_are_compared_on_the_same_records():
    (file,) = sauce(generator(23), celsius=(22.5, 23.0, 23.5, 24.0), as_runs=True)
    found = [rk.compare([rk.HerschelBulkley, SAUCE], *given) for given in ((file,), quietly(SAUCE, file).tests)]
    assert found[0].misfit.tolist() == pytest.approx(found[1].misfit.tolist(), rel=1e-9)


def test_a_temperature_that_does_not_show_is_not_identified():
    """Half a percent between fillings, over 0.3 K, is no activation energy of 100 kJ/mol."""
    fit = quietly(SAUCE, *sauce(generator(24), celsius=(22.0, 22.1, 22.2, 22.3), energy=0.0))
    assert fit.not_identified == {
        "activation_energy": "readings farther apart in temperature, or at more of them (so far 22 to 22.3 °C)"
    }
    assert np.isnan(fit.table.value["activation_energy"])
    found = failed(fit)
    assert "effects of conditions shown" in found.index
    assert (
        "no effect and a usual one among it: needs readings farther apart in temperature"
        in found.comment["effects of conditions shown"]
    )
    shown = quietly(SAUCE, *sauce(generator(24), celsius=(22.0, 30.0, 38.0, 45.0), energy=0.0))
    assert shown.not_identified == {}  # that it hardly matters is known


def test_no_effect_of_temperature_is_an_answer_and_no_fault():
    at_none, seven = 0, {"celsius": (22.2, 22.2, 23.0, 23.0, 24.1, 24.1, 24.9), "times": (1,) * 7}
    for seed in range(2, 5):
        fit = quietly(SAUCE, *sauce(generator(seed), energy=0.0, apart=0.0, **seven))
        at_none += fit.is_at_bound("activation_energy")
        assert "no parameter at a bound" not in failed(fit).index
        assert fit.not_identified == {}
    assert at_none


def test_two_temperatures_leave_the_spread_of_records_assumed():
    fit = quietly(SAUCE, *sauce(generator(25), celsius=(22.0, 40.0), apart=0.0))
    assert fit.problem.record_spread == 0.03
    assert fit.table.loc["record_spread", ["low", "high"]].tolist() == [0.03, 0.03]


@pytest.mark.slow
@pytest.mark.parametrize("apart", [0.0, 0.02])
def test_limits_of_the_activation_energy_hold_whatever_sets_records_apart(apart):
    """Kind: simulation. 120 sauces of four records within 3 K, alike or 2 % apart."""
    held = 0
    for seed in range(120):
        low, high = quietly(SAUCE, *sauce(generator(3000 + seed), apart=apart)).limits("activation_energy")
        held += low < 25e3 < high
    assert 0.89 <= held / 120 <= 0.995


def test_the_text_of_a_fit_says_at_which_condition_its_values_hold():
    fit = quietly(SERIES, *series(generator(5)))
    assert fit.reference == "u = 1, 5 h"
    assert fit.summary.splitlines()[0].startswith(
        "watered aged Herschel-Bulkley law (values at u = 1, 5 h), 6 tests, 60 readings"
    )
    assert quietly(HEATED, three_temperatures(generator(2))).reference == "45 °C"
    words = rk.charts.flow_curve(fit).to_dict()["description"]
    assert words.startswith(
        "Flow curve, watered aged Herschel-Bulkley at u = 1, 5 h, the readings taken there by the law"
    )


def test_points_of_a_chart_stand_at_the_reference():
    """Kind: exact. Without scatter all of them lie on the one law that is drawn."""
    fit = quietly(SERIES, *series(generator(2), spread=1e-9, scatter=1e-6))
    for test in fit.tests:
        rate, stress = test.at_reference(fit.law, *test.curve_points(test.at_its_condition(fit.law), fit.nuisance))
        assert stress == pytest.approx(fit.law.shear_stress(rate), rel=1e-3)
    warm = quietly(HEATED, three_temperatures(generator(2), scatter=1e-6))
    for test in warm.tests:
        rate, stress = test.at_reference(warm.law, *test.curve_points(test.at_its_condition(warm.law), warm.nuisance))
        assert stress == pytest.approx(warm.law.shear_stress(rate), rel=1e-3)
