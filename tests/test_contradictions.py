"""Tests of one paste that contradict each other are caught by name, and sound benches raise few alarms.

Kind       independent: readings invented here from a known law with errors of known sizes, theories' errors redrawn with every
           bench, so that alarms and power can be counted.
Trust      D: no print behind it.
Agreement  a check that promises 1 % false alarms may show at most 4 among 120 sound benches, 2 among 40, 1 among 15 (a chance of
           0.7, 0.8 and 1 % to show more).
"""

import re
import warnings
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import chi2, norm

import rheokit as rk
from rheokit.fitting import checks
from rheokit.fitting.agreement import agreement, errors_of
from rheokit.fitting.contradictions import kinds_agree
from rheokit.fitting.residuals import pushed
from rheokit.units import mL, mm

STIFF = rk.HerschelBulkley(650.0, 210.0, 0.38)
SOFT = rk.HerschelBulkley(100.0, 40.0, 0.45)


class Made:
    """Tests of one paste with errors drawn as they are stated; `off` times its stress in one of them."""

    def __init__(self, *seed):
        self.random = np.random.Generator(np.random.PCG64(seed))
        self.criterion = 0.08 * self.random.standard_normal()
        self.static = 1.3 * np.exp(0.3 * self.random.standard_normal())

    def theory(self, law, error, simple=False, off=1.0):
        return rk.Shifted(
            law, off * float(np.exp(error * self.random.standard_normal() + (not simple) * self.criterion))
        )

    def scatter(self, size, count):
        return np.exp(size * self.random.standard_normal(count))

    def curve(self, law, known):
        rates, real = np.geomspace(0.1, 100, 10), self.theory(law, 0.05, simple=True)
        stress = real.shear_stress(rates) * self.scatter(0.03, 10)
        size = {"relative_uncertainty": 0.03} if known else {}
        return rk.FlowCurve(shear_rate=rates, shear_stress=stress, model_error=0.05, **size)

    def slump(self, law, off):
        mould = {"height": 50 * mm, "diameter": 50 * mm, "density": 1200.0, "uncertainty": 1 * mm, "model_error": 0.25}
        test = rk.CylinderSlump(slump=np.full(3, 15 * mm), **mould)
        read = test.predict(self.theory(law, 0.25, off=off)) + 1 * mm * self.random.standard_normal(3)
        return replace(test, slump=np.clip(read, 1 * mm, 49 * mm))

    def plate(self, law, off):
        given = {"volume": 5 * mL, "force": 9.81, "relative_uncertainty": 0.02, "model_error": 0.15}
        test = rk.LoadedPlate(radius=np.full(3, 20 * mm), **given)
        return replace(test, radius=test.predict(self.theory(law, 0.15, off=off)) * self.scatter(0.02, 3))

    def cone(self, law):
        given = {"mass": 0.06, "apex_angle": np.pi / 3, "relative_uncertainty": 0.03, "model_error": 0.3}
        test = rk.KINDS["fall cone"](penetration=np.full(3, 10 * mm), **given)
        real = self.theory(law, 0.3)
        return replace(test, penetration=test.predict(real, {"static_ratio": self.static}) * self.scatter(0.03, 3))

    def syringe(self, law):
        runs, friction = [], 8 + self.random.standard_normal()
        bore, real = 2 * mm * np.exp(0.01 * self.random.standard_normal()), self.theory(law, 0.1, simple=True)
        for land in (20 * mm, 40 * mm):
            told, is_ = (rk.Nozzle(rk.Cylinder(diameter=d, length=land)) for d in (2 * mm, bore))
            rig = rk.Extruder(barrel_diameter=26.7 * mm, fill_length=60 * mm, plunger_friction=8.0, nozzle=told)
            flow = np.array([0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.4]) * mm * rig.area
            force = replace(rig, plunger_friction=friction, nozzle=is_).plunger_force(real, flow) * self.scatter(
                0.03, 7
            )
            given = {"relative_uncertainty": 0.03, "model_error": 0.1, "bore_uncertainty": 0.01}
            runs.append(rk.ForceRun(extruder=rig, flow_rate=flow, force=force, label=f"{land / mm:g} mm", **given))
        return runs


BENCHES = {
    "curve and slump": lambda made, off=1.0: [made.curve(SOFT, True), made.slump(SOFT, off)],
    "curve of unknown error and plate": lambda made, off=1.0: [made.curve(STIFF, False), made.plate(STIFF, off)],
    "syringe, plate, cone": lambda made, off=1.0: [*made.syringe(STIFF), made.plate(STIFF, off), made.cone(STIFF)],
}


def fitted(*tests, law=rk.HerschelBulkley):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return rk.fit(law, *tests)


@pytest.mark.slow
@pytest.mark.parametrize(("bench", "count", "most"), list(zip(BENCHES, (120, 40, 15), (4, 2, 1), strict=True)))
def test_sound_benches_raise_few_alarms(bench, count, most):
    alarms = np.zeros(2, int)
    for seed in range(count):
        result = fitted(*BENCHES[bench](Made(1, seed)))
        alarms += [not kinds_agree(result)[0].passed, not checks.priors(result)[0].passed]
    assert max(alarms) <= most, alarms


@pytest.mark.slow
@pytest.mark.parametrize(
    ("bench", "off", "least"),
    [
        ("curve and slump", 1 / 4, 4),
        ("curve of unknown error and plate", 1 / 4, 4),
        ("curve of unknown error and plate", 4, 4),
        ("syringe, plate, cone", 1 / 4, 3),
        ("syringe, plate, cone", 4, 3),
    ],
)
def test_a_test_that_is_off_by_a_factor_of_two_beyond_its_error_is_caught(bench, off, least):
    """A theory's error of 0.15 to 0.26 reaches 1.4 to 1.7 times at 95 %; off by 4 is twice that and more."""
    caught = 0
    for seed in range(least + 1):
        (row,) = kinds_agree(fitted(*BENCHES[bench](Made(2, seed), off)))
        caught += not row.passed
    assert caught >= least


@pytest.mark.parametrize("known", [True, False], ids=["error known", "error unknown"])
@pytest.mark.slow
def test_a_curve_of_300_pa_and_slumps_of_30_are_told_apart_by_name(known):
    made = Made(3)
    law = rk.HerschelBulkley(300.0, 60.0, 0.45)
    result = fitted(made.curve(law, known), made.slump(law, 0.1))
    row = result.checks.set_index("question").loc["kinds of test agree"]
    assert not row.passed
    said = re.match(
        r"cylinder slump alone says a yield stress of ([\d.]+) to ([\d.]+) Pa, flow curve ([\d.]+) to ([\d.]+) Pa: a factor "
        r"of ([\d.]+) in stress \([\d.]+ standard deviations; chance alone seldom passes 2\.6, the errors of all theories "
        r"counted\)\. Both cannot hold of one paste\. Look for a wrong unit or dimension, slip, drainage, a sliding foot, drying, "
        r"or another batch in either; leave one out only for a reason found outside the fit\.$",
        row.comment,
    )
    low, high, least, most, factor = map(float, said.groups())
    assert 12 < low < 30 < high < 70
    assert 220 < least < 300 < most < 360
    assert factor == pytest.approx(10, rel=0.4)
    assert set(kinds_agree(result)[0].rows) == {(1, 0), (1, 1), (1, 2)}
    assert "tests of one paste contradict each other" in result.stamp


def test_where_no_yield_stress_can_be_told_the_reading_is_held_against_its_prediction():
    rates = np.geomspace(1, 100, 8)
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=0.5 * rates, relative_uncertainty=0.03, model_error=0.05)
    land = rk.Nozzle(rk.Cylinder(diameter=1 * mm, length=30 * mm))
    flow = np.geomspace(1, 30, 5) * 1e-9
    run = rk.PressureRun(nozzle=land, flow_rate=flow, pressure=land.pressure_drop(rk.Newtonian(1.5), flow), model_error=0.05,
                         relative_uncertainty=0.03)  # fmt: skip
    (row,) = kinds_agree(fitted(curve, run, law=rk.Newtonian))
    assert not row.passed
    expected = 128 * 0.5 * 30 * mm * 1e-9 / (np.pi * (1 * mm) ** 4)  # Hagen and Poiseuille
    said = float(re.search(r"flow curve predicts ([\d.]+) Pa: a factor of 3 in stress", row.comment)[1])
    assert said == pytest.approx(expected, rel=0.005)
    assert row.comment.startswith(f"pressure run row 1 reads {3e-3 * expected:.3g} kPa where ")


@pytest.mark.parametrize("first", [0, 1])
def test_a_kind_that_read_no_number_is_told_to_have_read_none(first):
    """Of slumps of at most 2 mm no factor is known; where the paste is as soft as to slump by far more, both cannot hold."""
    made = Made(6)
    mould = {"height": 50 * mm, "diameter": 50 * mm, "density": 1200.0, "uncertainty": 1 * mm, "model_error": 0.25}
    slump = rk.CylinderSlump(slump=[2 * mm], censored=[-1], **mould)
    for law, passes in ((rk.HerschelBulkley(900.0, 210.0, 0.38), True), (rk.HerschelBulkley(15.0, 8.0, 0.45), False)):
        tests = [made.curve(law, True), slump]
        result = fitted(tests[first], tests[1 - first])
        (row,) = kinds_agree(result)
        assert row.passed is passes and " 1 times" not in row.comment
        said = (
            "Cylinder slump read no number, only bounds, which hold by what is read besides ("
            if passes
            else "reads at most 2 mm where "
        )
        assert row.comment.startswith(said) if passes else said in row.comment, row.comment
    plate = made.plate(STIFF, 1.0)
    (row,) = kinds_agree(fitted(made.curve(STIFF, True), plate, slump))
    assert row.comment.startswith("Farthest from the others: "), "a kind that read a number"


def test_one_kind_of_test_is_not_asked():
    assert kinds_agree(fitted(Made(4).curve(STIFF, True))) == []


# --- readings near rest, where a flow index near zero would follow both ----------------------------------------------

NEAR_REST = {
    "0.001 to 0.1": (1e-3, 0.1), "0.01 to 0.2": (0.01, 0.2), "0.1 to 2": (0.1, 2.0), "1 to 100": (1.0, 100.0)
}  # fmt: skip


def slow_curve_and_slumps(made, law, rates, implied, theory=1):
    """A curve of 5 readings and slumps from two moulds that mean a law of the yield stress `implied` [Pa]."""
    rates = np.geomspace(*rates, 5)
    curve = law.shear_stress(rates) * np.exp(0.05 * theory * made.random.standard_normal()) * made.scatter(0.02, 5)
    tests = [rk.FlowCurve(shear_rate=rates, shear_stress=curve, model_error=0.05)]
    seen = replace(law, yield_stress=implied * np.exp(theory * (0.25 * made.random.standard_normal() + made.criterion)))
    for size in (100 * mm, 60 * mm):
        test = rk.CylinderSlump(
            height=size, diameter=size, density=1300.0, slump=np.full(4, size / 2), model_error=0.25
        )
        read = test.predict(seen) * (1 + 0.015 * made.random.standard_normal(4))
        tests.append(replace(test, slump=np.clip(read, 1 * mm, size - 1 * mm)))
    return tests


@pytest.mark.slow
@pytest.mark.parametrize("rates", NEAR_REST)
def test_a_flow_index_near_zero_does_not_hide_a_factor_of_ten(rates):
    law = rk.HerschelBulkley(300.0, 90.0, 0.5)
    for seed in range(2):
        result = fitted(*slow_curve_and_slumps(Made(5, seed), law, NEAR_REST[rates], 30.0, theory=0))
        (row,) = kinds_agree(result)
        assert not row.passed
        told = re.match(
            r"The fit follows all tests with a flow index of ([\d.]+) alone \(pastes usually have 0\.2 to 1\.2\); with 0\.2, "
            r"cylinder slump alone says a yield stress of ([\d.]+) to ([\d.]+) Pa, flow curve ([\d.]+) to ([\d.]+) Pa: ",
            row.comment,
        )
        assert told or NEAR_REST[rates][1] >= 2, "over a wide range the misfit itself may tell"
        if told:
            index, low, high, least, most = map(float, told.groups())
            assert index < 0.2 and low < 30 < high < 100 < least < most


@pytest.mark.slow
@pytest.mark.parametrize("rates", NEAR_REST)
def test_sound_readings_near_rest_raise_few_alarms(rates):
    alarms = 0
    for seed in range(15):
        made = Made(6, seed)
        law = rk.HerschelBulkley(
            float(np.exp(made.random.uniform(np.log(60), np.log(320)))), made.random.uniform(60, 200),
            made.random.uniform(0.3, 0.6),
        )  # fmt: skip
        result = fitted(*slow_curve_and_slumps(made, law, NEAR_REST[rates], law.yield_stress))
        alarms += not kinds_agree(result)[0].passed
    assert alarms <= 1


@pytest.mark.slow
def test_a_paste_whose_flow_index_is_low_is_no_contradiction():
    law = rk.HerschelBulkley(200.0, 100.0, 0.12)
    for seed in range(3):
        tests = slow_curve_and_slumps(Made(7, seed), law, (0.1, 100.0), 200.0, theory=0)
        (row,) = kinds_agree(fitted(*tests))
        assert row.passed, row.comment


# --- yield stresses, each with the error of its test ------------------------------------------------------------------


def curve_slump_plate(made, off=1.0):
    law = rk.HerschelBulkley(
        float(np.exp(made.random.uniform(np.log(150), np.log(320)))), made.random.uniform(60, 200),
        made.random.uniform(0.35, 0.6),
    )  # fmt: skip
    return [made.curve(law, True), made.slump(law, off), made.plate(law, 1.0)]


@pytest.mark.slow
def test_yield_stresses_of_sound_benches_raise_few_alarms():
    """Counted: 1 % is promised; with a fixed factor of 1.5 a fifth of such benches raised one."""
    alarms = sum(not agreement(fitted(*curve_slump_plate(Made(8, seed))))[0].passed for seed in range(40))
    assert alarms <= 2


@pytest.mark.slow
def test_a_slump_that_reads_a_tenth_is_told_by_its_yield_stress():
    caught = [agreement(fitted(*curve_slump_plate(Made(10, seed), 0.1)))[0] for seed in range(4)]
    assert sum(not row.passed for row in caught) >= 3
    assert all(row.threshold > 1.5 for row in caught)


def yields(slump_error, plate_error, apart, **plate):
    """A slump of 200 Pa and a plate that reads `apart` times as much, both exact to 0.1 %."""
    exact = {"relative_uncertainty": 0.001}
    slump = rk.CylinderSlump(height=0.1, diameter=0.1, density=1500.0, slump=[0.05], model_error=slump_error, **exact)
    slump = replace(slump, slump=slump.predict(rk.Bingham(200.0, 1.0)))
    one = rk.LoadedPlate(volume=12e-6, force=10.0, radius=[0.03], model_error=plate_error, **exact, **plate)
    return slump, replace(one, radius=one.predict(rk.Bingham(200.0 * apart, 1.0)))


@pytest.mark.parametrize(
    ("errors", "plate", "factor"),
    [
        ((0.25, 0.15), {}, np.exp(2.5758 * np.hypot(0.25, 0.15))),  # the criterion of yielding moves both alike
        ((0.25, 0.0), {}, np.exp(2.5758 * np.hypot(0.25, 0.08))),  # a plate without a theory's error has no criterion
        ((0.0, 0.0), {}, 1.5),
    ],
)
def test_the_factor_allowed_is_that_of_the_errors_stated(errors, plate, factor):
    """Kind: exact. Two tests, one pair: 2.5758 standard deviations are passed once in a hundred, both ways."""
    for apart, sound in ((0.99 * factor, True), (1.02 * factor, False)):
        (row,) = agreement(fitted(*yields(*errors, apart, **plate), law=rk.Bingham))
        assert row.passed == sound
        assert row.threshold == pytest.approx(factor, rel=1e-3)
        assert row.value == pytest.approx(apart, rel=1e-6)
    assert re.fullmatch(
        r"Farthest apart for their errors: cylinder slump \(dynamic\) 200(?:\.00)? Pa \(95 % [\d.]+ to [\d.]+ Pa\) against loaded plate \(dynamic\) [\d.]+ Pa \(95 % [\d.]+ to [\d.]+ Pa\), a factor "
        r"of [\d.]+; up to [\d.]+ is usual with the errors stated of the tests and their theories\. That is more than tests of "
        r"one paste differ: look for slip, drainage, a sliding foot, a wrong unit or another batch before averaging them\.",
        row.comment,
    )


def test_a_static_yield_stress_is_compared_as_its_dynamic_one():
    """Kind: exact. A vane's peak of 1.3 times the slump is no distance at all; the ratio's own 0.3 is allowed for."""
    (slump, _) = yields(0.25, 0.0, 1.0)
    vane = rk.KINDS["vane peak"](vane_diameter=20 * mm, vane_height=40 * mm, torque=[1e-3], relative_uncertainty=0.001)
    vane = replace(vane, torque=vane.predict(rk.Bingham(200.0, 1.0), {"static_ratio": 1.3 * 1.8}))
    (row,) = agreement(fitted(slump, vane, law=rk.Bingham))
    assert row.passed
    assert row.value == pytest.approx(1.8, rel=1e-6)
    assert row.threshold == pytest.approx(np.exp(2.5758 * np.sqrt(0.25**2 + 0.08**2 + 0.3**2)), rel=2e-3)
    assert "(static over dynamic taken as 1.3)" in row.comment


def test_what_is_not_known_of_the_apparatus_is_counted():
    """Kind: independent. A fully sheared thin plate reads a stress that goes as 1/m but for its squeezing: m = 0.8 +- 0.1."""
    (_, plate) = yields(0.0, 0.0, 1.0, wall_friction=0.8, wall_friction_uncertainty=0.1)
    (key,) = plate.own_nuisances()
    more, less = (replace(plate, wall_friction=0.8 + d).yield_stresses()[0] for d in (0.01, -0.01))
    assert errors_of(plate, 200.0)[key] == pytest.approx(0.1 * np.log(less / more) / 0.02, rel=0.05)


# --- what was known, pushed together --------------------------------------------------------------------------------


def test_priors_pushed_are_as_rare_as_a_normal_deviate_and_a_chi_square_say():
    """Kind: exact. One Newtonian reading known to 1 %, with a level of its own sd: all the misfit is the prior's.

    A curve at a fixed law, off by 3 standard deviations of its model error: the prior carries all of it, and what is left
    free of it is a share m²/(m² + e²/N) of its variance.
    """
    rates = np.geomspace(1, 10, 4)
    curve = rk.FlowCurve(
        shear_rate=rates, shear_stress=2 * rates * np.exp(0.3), relative_uncertainty=0.05, model_error=0.1
    )
    result = rk.fit(rk.Newtonian, curve, fixed={"viscosity": 2.0})
    each, together = pushed(result, np.array([4]), [False])
    expected = 0.3 / np.hypot(0.1, 0.05 / 2)
    assert each[0] == pytest.approx(expected, rel=1e-4)
    assert together == pytest.approx(norm.isf(chi2.sf(expected**2, 1)), rel=1e-4)
    (row,) = checks.priors(result)
    assert not row.passed
    assert row.comment.startswith(
        "The readings do not fit what was told of the apparatus. model_factor[flow curve] comes out as 1.33, and 1 was told "
        "(2.9 standard deviations; chance alone seldom passes 2.8)."
    )


def test_what_is_pushed_a_little_everywhere_is_seen_together():
    """Kind: exact. Three theories at a fixed law, each pushed by 2.5 of its standard deviations: χ² = 18.75 on 3."""
    law, rates, flow = rk.Newtonian(2.0), np.geomspace(1, 10, 4), np.geomspace(1, 30, 5) * 1e-9
    land = rk.Nozzle(rk.Cylinder(diameter=1 * mm, length=30 * mm))
    rig = rk.Extruder(barrel_diameter=20 * mm, fill_length=0.0, plunger_friction=0.0, nozzle=land)
    pressure, exact = land.pressure_drop(law, flow), {"relative_uncertainty": 0.001}
    force = rig.plunger_force(law, flow)
    tests = [
        rk.FlowCurve(shear_rate=rates, shear_stress=2 * rates * np.exp(0.125), model_error=0.05, **exact),
        rk.PressureRun(nozzle=land, flow_rate=flow, pressure=pressure * np.exp(-0.25), model_error=0.1, **exact),
        rk.ForceRun(extruder=rig, flow_rate=flow, force=force * np.exp(0.25), model_error=0.1,
                    plunger_friction_uncertainty=0.0, **exact),
    ]  # fmt: skip
    result = rk.fit(rk.Newtonian, *tests, fixed={"viscosity": 2.0})
    each, together = pushed(result, np.arange(14, 17), [False] * 3)
    (row,) = checks.priors(result)
    assert np.abs(each) == pytest.approx(2.5, rel=1e-3)
    assert together == pytest.approx(norm.isf(chi2.sf(18.75, 3)), rel=1e-3)
    assert 2.5 < row.threshold < together
    assert not row.passed
    assert "All of them together: 3.4 standard deviations; chance alone seldom passes" in row.comment


def test_a_reading_of_no_stress_at_all_is_no_number_to_scatter():
    """Kind: exact. Peaks of 0, 1.0 and 1.2 mN·m: the scatter is that of the two that say a stress."""
    described = {"vane_diameter": 20 * mm, "vane_height": 40 * mm, "error": "absolute"}
    vane = rk.KINDS["vane peak"](torque=[0.0, 1.0e-3, 1.2e-3], **described)
    errors = errors_of(vane, 200.0)
    assert errors[f"reading of {id(vane)}"] == pytest.approx(
        np.sqrt(np.pi / 2) * np.log(1.2) / np.sqrt(2) / np.sqrt(3), rel=1e-9
    )
