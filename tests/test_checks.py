"""The questions that a fit answers about itself: what they catch, and how rarely they cry on sound benches.

Kind       exact (Student's t) and independent (readings invented here from a known law with noise of a known size,
           so every alarm can be counted).
Trust      D: no print behind it; the rates are counted over benches with fixed seeds.
Agreement  a check that promises 1 % false alarms may show at most 4 among 120 sound benches, 2 among 40 (a chance of
           0.7 % to show more).
"""

import warnings
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

import rheokit as rk
from rheokit.fitting import artefacts, checks
from rheokit.fitting.residuals import lines, neighbours, studentised
from rheokit.units import mL, mm

TRUTH = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
DRIFT, REPEAT, STRAY = "no drift through the stroke", "first setting repeats", "no reading pulls the fit"
ORDER, RATE, GAP = "no trend along run order", "no trend along rate", "gap of the plate as usual"


def generator(*seed):
    return np.random.Generator(np.random.PCG64(seed))


def stated(known, size):
    return {"relative_uncertainty": size} if known else {}


def curve(random, known=True, law=TRUTH, noise=0.05, count=10):
    rates = np.geomspace(5, 200, count)
    stress = law.shear_stress(rates) * np.exp(noise * random.standard_normal(count))
    order = random.permutation(count) + 1.0
    return rk.FlowCurve(shear_rate=rates, shear_stress=stress, run_order=order, **stated(known, noise))


def plate(random, known=True, noise=0.02, law=TRUTH, **given):
    given = {"volume": 5 * mL, "force": 9.81} | given
    record = rk.LoadedPlate(radius=[20 * mm], model_error=0.15, **given, **stated(known, 0.02))
    theory = rk.Shifted(law, float(np.exp(np.hypot(0.15, 0.08) * random.standard_normal()))) if noise else law
    return replace(record, radius=record.predict(theory) * np.exp(noise * random.standard_normal(1)))


def strokes(random, known=True, drift=0.0, noise=0.03, many_speeds=False):
    """Return two records through strokes of 60 mm, at one speed each or at many; the first one drifts."""
    runs = []
    for place, (land, speed) in enumerate(((20, 0.05), (40, 0.1))):
        nozzle = rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=land * mm))
        rig = rk.Extruder(barrel_diameter=26.7 * mm, fill_length=80 * mm, plunger_friction=8.0, nozzle=nozzle)
        stroke = np.linspace(0, 60, 7) * mm
        speeds = random.permutation([0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.4]) if many_speeds else np.full(7, speed)
        run = rk.ForceRun(
            extruder=rig, flow_rate=speeds * mm * rig.area, force=np.full(7, 100.0), stroke=stroke,
            run_order=np.arange(7.0), label=f"land {land}", **stated(known, noise or 0.03),
        )
        grown = 1 + (drift * stroke / stroke[-1] if place == 0 else 0.0)
        runs.append(replace(run, force=run.predict(TRUTH) * np.exp(noise * random.standard_normal(7)) * grown))
    return runs


def fitted(*tests, law=rk.HerschelBulkley):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return rk.fit(law, *tests)


def failed(result):
    """Return the questions that fail, of those that need no second fit."""
    rows = [row for test in result.tests for row in test.questions(result.law, result.nuisance)]
    for ask in (checks.misfit, checks.trends, checks.strays, checks.priors, artefacts.drift):
        rows += ask(result)
    return {row.question for row in rows if not row.passed}


# --- statistics -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("freedom", [3.0, 8.0, 40.0])
def test_a_studentised_deviate_is_as_rare_as_student_says(freedom):
    """Kind: exact. With an outside t of 2.5 the normal deviate has the tail of Student's t, one degree less."""
    left, outside = freedom - 1, 2.5
    inside = outside * np.sqrt(freedom / (left + outside**2))  # the same t with its own share left in the error size
    expected = stats.norm.isf(stats.t.sf(outside, left))
    assert studentised(inside, freedom) == pytest.approx(expected, rel=1e-6)
    assert studentised(-inside, freedom) == pytest.approx(-expected, rel=1e-6)
    assert studentised(2.5, None) == 2.5
    assert studentised(1.4, 1.5) == 0


def test_lines_and_neighbours_are_near_normal_on_sound_readings():
    """Kind: exact. 300 fits: mean 0 and spread 1, whatever the law takes up."""
    found = []
    for seed in range(300):
        result = fitted_only(curve(generator(1, seed), noise=0.05), rk.PowerLaw)
        order = result.tests[0].run_order
        _, (line,) = lines(result, [order - order.mean()])
        found.append((line, neighbours(result, order)))
    line, alike = np.array(found).T
    assert abs(line.mean()) < 0.18
    assert line.std() == pytest.approx(1.0, abs=0.13)
    assert abs(alike.mean()) < 0.18
    assert alike.std() == pytest.approx(1.0, abs=0.13)


def fitted_only(test, law):
    truth = rk.PowerLaw(consistency=300.0, flow_index=0.4)
    ratio = test.shear_stress / TRUTH.shear_stress(test.shear_rate)
    return rk.fit(law, replace(test, shear_stress=truth.shear_stress(test.shear_rate) * ratio))


def test_a_line_tells_its_amount():
    """Kind: exact. To a Newtonian law the amount is the slope of a regression of ln readings with an intercept."""
    random, rates = generator(4), np.geomspace(1, 50, 9)
    order = random.permutation(9) / 8.0
    logs = 0.2 * order + 0.02 * random.standard_normal(9)
    readings = rk.FlowCurve(shear_rate=rates, shear_stress=3.0 * rates * np.exp(logs), relative_uncertainty=0.02)
    (amount,), (deviate,) = lines(rk.fit(rk.Newtonian, readings), [-order / 0.02])
    expected = stats.linregress(order, logs)
    assert amount == pytest.approx(expected.slope, rel=1e-6)
    assert deviate == pytest.approx(expected.slope * np.std(order) * 3 / 0.02, rel=1e-6)


def test_a_drift_is_said_of_the_record_that_has_it():
    result = fitted(*strokes(generator(4), drift=0.20, noise=0.005), plate(generator(5)))
    row = artefacts.drift(result)[0]
    assert row.question == DRIFT
    assert "land 20" in row.comment
    assert row.value > 0.1, "linear in what the fit has taken up, so the size is rough; the sign and the record are not"


# --- false alarms ---------------------------------------------------------------------------------------------------

SOUND = {
    "curve and plate": (120, 4, lambda random, known: [curve(random, known), plate(random, known)]),
    "two strokes": (40, 2, lambda random, known: strokes(random, known, many_speeds=True)),
}


@pytest.mark.parametrize("known", [True, False], ids=["error known", "error unknown"])
@pytest.mark.parametrize("bench", SOUND)
def test_sound_benches_raise_few_alarms(bench, known):
    alarms, (count, most, make) = Counter(), SOUND[bench]
    for seed in range(count):
        alarms.update(failed(fitted(*make(generator(2, seed), known))))
    for question in (DRIFT, REPEAT, STRAY, ORDER, RATE, GAP, "apparatus as described", "size of the residuals"):
        assert alarms[question] <= most, f"{question}: {alarms[question]} of {count}"


# --- what they catch ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("many_speeds", [False, True], ids=["one speed", "many speeds"])
@pytest.mark.parametrize("known", [True, False], ids=["error known", "error unknown"])
def test_a_drift_in_one_of_two_records_is_caught(known, many_speeds):
    caught = 0
    for seed in range(20):
        random = generator(3, seed)
        runs = strokes(random, known, drift=0.25, many_speeds=many_speeds)
        caught += DRIFT in failed(fitted(*runs, plate(random, known)))
    assert caught >= 18


@pytest.mark.parametrize("known", [True, False], ids=["error known", "error unknown"])
def test_one_wrong_reading_is_caught_by_name(known):
    caught = 0
    for seed in range(10):
        random = generator(6, seed)
        readings = curve(random, known)
        stress = np.array(readings.shear_stress)
        stress[6] *= 1.6
        result = fitted(replace(readings, shear_stress=stress), plate(random, known))
        row = result.checks.set_index("question").loc[STRAY]
        caught += not row.passed and "row 6" in row.comment
    assert caught >= 8


def test_a_paste_that_changes_while_it_is_read_is_caught():
    caught = 0
    for seed in range(10):
        readings = curve(generator(7, seed), count=16)
        order = readings.run_order
        changed = readings.shear_stress * (1 + 0.35 * (order - order.mean()) / np.ptp(order))
        caught += ORDER in failed(fitted(replace(readings, shear_stress=changed)))
    assert caught >= 8


def test_a_law_that_bends_the_wrong_way_is_caught():
    """A power law to Herschel-Bulkley readings leaves a bend along the rate."""
    rates = np.geomspace(0.05, 200, 12)
    stress = TRUTH.shear_stress(rates) * np.exp(0.02 * generator(8).standard_normal(12))
    assert RATE in failed(fitted(rk.FlowCurve(shear_rate=rates, shear_stress=stress), law=rk.PowerLaw))


def test_a_repeat_that_differs_is_caught_and_the_fill_is_not_blamed():
    def bench(change):
        run = strokes(generator(9), noise=0.0)[0]
        flow = np.array([0.05, 0.01, 0.02, 0.1, 0.2, 0.4, 0.05]) * mm * run.extruder.area
        run = replace(run, flow_rate=flow)
        return replace(run, force=run.predict(TRUTH) * np.where(np.arange(7) == 6, 1 + change, 1.0))

    sound = fitted(bench(0.0), plate(generator(1), noise=0))
    row = sound.checks.set_index("question").loc[REPEAT]
    assert row.value == pytest.approx(0.0, abs=1e-3), "the shorter fill is what the law explains"
    assert REPEAT in failed(fitted(bench(0.3), plate(generator(1), noise=0)))


@pytest.mark.parametrize(
    ("yield_stress", "mass", "volume"),
    [(150, 0.5, 10), (250, 1, 10), (300, 1, 5), (650, 1, 5), (650, 2, 10), (1000, 2, 5), (2000, 5, 10), (3000, 5, 5)],
)
def test_a_diameter_entered_as_radius_is_doubted(yield_stress, mass, volume):
    law = rk.HerschelBulkley(float(yield_stress), 0.3 * yield_stress, 0.4)
    right = plate(generator(10), law=law, noise=0, force=mass * 9.81, volume=volume * mL)
    readings = curve(generator(11), law=law)
    assert GAP not in failed(fitted(readings, right))
    wrong = fitted(readings, replace(right, radius=2 * right.radius))
    assert GAP in failed(wrong)
    comment = wrong.checks.set_index("question").comment[GAP]
    assert "Was the diameter entered as radius? At half of it the gap would be" in comment
    assert f"{right.yield_stresses()[0]:.3g} Pa instead of" in comment


# --- readings without noise -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("with_plate", [True, False])
def test_readings_without_noise_are_identified_and_raise_nothing(with_plate):
    rates = np.geomspace(5, 200, 10)
    readings = rk.FlowCurve(shear_rate=rates, shear_stress=TRUTH.shear_stress(rates), run_order=np.arange(10.0))
    result = fitted(readings, *([plate(generator(1), known=False, noise=0)] if with_plate else []))
    row = result.table.loc["yield_stress"]
    assert row.value == pytest.approx(650.0, rel=1e-6)
    assert row.high / row.low < 1.001
    assert neighbours(result, np.arange(10.0)) == 0, "rounding of the search has no pattern"
    assert result.checks.passed.all(), result.verdict
