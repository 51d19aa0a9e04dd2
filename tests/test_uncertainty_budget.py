"""The uncertainty budget of a fit: its shares, a Monte Carlo of its own inputs, and what it says where it does not hold."""

import warnings
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from kitchen import kitchen
from propagate import held, moved_by, propagated

import rheokit as rk
from rheokit import charts
from rheokit.appendix.answers import budgets_of
from rheokit.appendix.document import Figure, Table
from rheokit.appendix.sections.uncertainty_budget import section
from rheokit.appendix.study import Study
from rheokit.fitting import at_bounds, budget_words
from rheokit.fitting.budget_exact import BORE_ALONE
from rheokit.planning.settings import force_question, force_settings
from rheokit.units import mL, mm

DATA = Path(__file__).parents[1] / "data"
LAW = rk.HerschelBulkley(yield_stress=300.0, consistency=80.0, flow_index=0.45)  # invented
HB = rk.HerschelBulkley


def yielding(law):
    return law.yield_stress


def at_ten(law):
    return law.shear_stress(10.0)


def curve(seed=1, slowest=0.1, stiffer=1.0, **described):
    random, rates = np.random.default_rng(seed), np.geomspace(slowest, 100, 8)
    return rk.FlowCurve(
        shear_rate=rates,
        shear_stress=stiffer * LAW.shear_stress(rates) * np.exp(0.04 * random.standard_normal(8)),
        **described,
    )


def read(test, scatter, seed=3):
    """Return a test with readings of the law that scatter."""
    return replace(
        test,
        **{
            test.reads: test.predict(LAW)
            * np.exp(scatter * np.random.default_rng(seed).standard_normal(len(test.readings)))
        },
    )


def plate():
    described = {
        "wall_friction": 0.9,
        "wall_friction_uncertainty": 0.1,
        "relative_uncertainty": 0.02,
        "model_error": 0.15,
    }
    return read(rk.LoadedPlate(volume=5 * mL, force=9.81, radius=[0.02] * 3, **described), 0.02)


def slump():
    return read(
        rk.CylinderSlump(
            height=0.1, diameter=0.1, density=1150.0, slump=[0.03] * 2, uncertainty=1 * mm, model_error=0.1
        ),
        0.03,
    )


def asked_of_kitchen():
    made = kitchen(3, scatter=0.03)
    return rk.fit(HB, made.bench), lambda law, rig: rig.plunger_force(law, 2e-9), made.rig


def asked_of_dope():
    fit = rk.fit(rk.heated(rk.Newtonian, 323.15), rk.read_bench(DATA / "gelatin-dope-40"))
    rig = next(test.extruder for test in fit.tests if test.extruder is not None)
    return fit, lambda law, rig: rig.plunger_force(law.at(temperature=318.15), 5e-9), rig


def asked_of_olive_stones():
    fit = rk.fit(HB, rk.read_bench(DATA / "olive-stone-paste"))
    return fit, lambda law, rig: rig.plunger_force(law, 20e-9), fit.tests[0].extruder


def batches():
    return [
        curve(seed, stiffer=size, batch=name)
        for seed, (name, size) in enumerate(zip("ABCD", (1, 1.1, 0.93, 1.04), strict=True))
    ]


BENCHES = {
    "curve and plate, yield stress": lambda: (rk.fit(HB, curve(), plate()), yielding, None),
    "curve and plate, stress": lambda: (rk.fit(HB, curve(), plate()), at_ten, None),
    "curve from 5 1/s and plate": lambda: (
        rk.fit(HB, curve(slowest=5, relative_uncertainty=0.04), plate()),
        at_ten,
        None,
    ),
    "slump and plate": lambda: (rk.fit(HB, slump(), plate()), yielding, None),
    "four batches": lambda: (rk.fit(HB, *batches()), at_ten, None),
    "gel dope": asked_of_dope,
    "kitchen": asked_of_kitchen,
    "olive stones": asked_of_olive_stones,
}
REFITS = {"kitchen": 250, "olive stones": 500, "gel dope": 500}
LOPSIDED = {"curve and plate, yield stress"}  # first order has the standard deviation right, and not the ends


def quietly(act, *given, **named):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return act(*given, **named)


@pytest.mark.slow
@pytest.mark.parametrize("bench", BENCHES)
def test_budget_agrees_with_a_monte_carlo_of_its_own_inputs(bench):
    """Within 10 % of 900 refits; a standard deviation of so many is itself known to 2.4 %, so a tenth is missed by chance in none of ten thousand."""
    fit, question, rig = quietly(BENCHES[bench])
    budget = quietly(rk.uncertainty_budget, fit, question, extruder=rig)
    answers = quietly(propagated, fit, question, REFITS.get(bench, 900), extruder=rig)
    assert np.std(answers, ddof=1) == pytest.approx(budget.standard_uncertainty, rel=0.1)
    assert budget.table.share.sum() == pytest.approx(1, abs=1e-9)
    assert budget.near_linear == (bench not in LOPSIDED)


@pytest.mark.slow
def test_budget_agrees_with_fits_of_other_readings():
    """The same by public names alone: readings and stated numbers moved, `rk.fit` asked anew, for the syringe itself and a nozzle of its own.

    180 fits tell a standard deviation to 5.3 %, so that 15 % are missed once in two hundred.
    """
    random, flow = np.random.default_rng(3), np.geomspace(5e-9, 2e-7, 8)

    def rig(bore=2 * mm, friction=8.0, length=20 * mm):
        nozzle = rk.Nozzle(rk.Cylinder(diameter=bore, length=length))
        return rk.Extruder(barrel_diameter=26.7 * mm, fill_length=60 * mm, nozzle=nozzle, plunger_friction=friction)

    def asked(law, rig):
        return rig.plunger_force(law, 30e-9)

    def fitted(rig, force):
        return rk.fit(
            HB, rk.ForceRun(extruder=rig, flow_rate=flow, force=force, relative_uncertainty=0.03, bore_uncertainty=0.01)
        )

    read = rig().plunger_force(LAW, flow) * np.exp(0.03 * np.random.default_rng(2).standard_normal(8))
    fit, answers = quietly(fitted, rig(), read), []
    for _ in range(180):
        friction, bore = 8 + random.standard_normal(), 2 * mm * np.exp(0.01 * random.standard_normal())
        own, other = rig(bore, friction), rig(1.5 * mm, friction, 10 * mm)
        again = quietly(fitted, own, read * np.exp(0.03 * random.standard_normal(8)))
        answers.append([asked(again.law, again.known(one).at(again.nuisance)) for one in (own, other)])
    for place, one in enumerate((rig(), rig(1.5 * mm, 8.0, 10 * mm))):
        budget = quietly(rk.uncertainty_budget, fit, asked, extruder=one, unit="N")
        assert np.std(np.array(answers)[:, place], ddof=1) == pytest.approx(budget.standard_uncertainty, rel=0.15)
        assert budget.near_linear


def test_monte_carlo_can_fail():
    """A budget that forgets its largest input is found out."""
    fit, question = rk.fit(HB, slump(), plate()), yielding
    budget = quietly(rk.uncertainty_budget, fit, question)
    left = np.sqrt(1 - budget.table.share[0]) * budget.standard_uncertainty
    assert np.std(propagated(fit, question, 300), ddof=1) > 1.15 * left


@pytest.mark.slow
def test_next_batch_brings_the_spread_of_batches():
    fit = rk.fit(HB, *batches())
    median, following = (quietly(rk.uncertainty_budget, fit, at_ten, batch=batch) for batch in ("median", "next"))
    assert following.standard_uncertainty > 2 * median.standard_uncertainty
    row = following.table.iloc[0]
    assert row.quantity == "the next batch: how far it lies off the median one"
    assert (row.kind, row.degrees_of_freedom) == ("A", 3)
    assert row.contribution == pytest.approx(fit.problem.batch_spread * following.value, rel=1e-6)
    assert np.std(propagated(fit, at_ten, 900, batch="next"), ddof=1) == pytest.approx(
        following.standard_uncertainty, rel=0.1
    )


# --- what it is, exactly --------------------------------------------------------------------------------------------


def test_budget_of_a_mean():
    """Kind: exact. A Newtonian liquid is one factor on all stresses: s/√n of ln, Student's t of n - 1, each reading 1/n of the variance."""
    random, rates = np.random.default_rng(5), np.geomspace(1, 50, 8)
    ratio = np.exp(0.1 * random.standard_normal(8))
    fit = rk.fit(rk.Newtonian, rk.FlowCurve(shear_rate=rates, shear_stress=3.0 * rates * ratio))
    budget = rk.uncertainty_budget(fit, lambda law: np.log(law.viscosity))
    spread = np.std(np.log(ratio), ddof=1)
    assert budget.standard_uncertainty == pytest.approx(spread / np.sqrt(8), rel=1e-5)
    assert budget.degrees_of_freedom == pytest.approx(7)
    assert budget.coverage_factor == pytest.approx(2.364624, rel=1e-5)  # Student's t, 97.5 % of 7, as any table has it
    assert budget.scale == "linear"
    assert budget.readings.share.to_numpy() == pytest.approx(np.full(8, 1 / 8), rel=1e-4)
    row = budget.table.iloc[0]
    assert (row.kind, row.distribution, row.unit) == ("A", "normal", "-")
    assert row.standard_uncertainty == pytest.approx(spread, rel=1e-5)
    assert row.sensitivity == pytest.approx(1 / np.sqrt(8), rel=1e-5)


def test_budget_is_what_the_covariance_says():
    """Kind: independent. The variance by the Jacobian, of a parameter that the table of the fit has too; without residuals there is no curvature."""
    rates = np.geomspace(0.1, 100, 8)
    exact = rk.FlowCurve(shear_rate=rates, shear_stress=LAW.shear_stress(rates), relative_uncertainty=0.04)
    fit = rk.fit(HB, exact, read(plate(), 0.0))
    for name in fit.problem.free:
        budget = quietly(rk.uncertainty_budget, fit, lambda law, name=name: law.values[name])
        assert budget.standard_uncertainty == pytest.approx(fit.table.stderr[name], rel=1e-4)


@pytest.mark.slow
@pytest.mark.parametrize("question", [yielding, at_ten])
def test_what_each_input_moves_is_what_a_refit_has_it_move(question):
    """Kind: independent. One prior or reading a little more and the least sum of squares searched anew; slopes alone have some wrong by half."""
    fit = quietly(rk.fit, HB, rk.read_bench(DATA / "kitchen"))
    budget = quietly(rk.uncertainty_budget, fit, question)
    found = dict(zip(held(fit.problem), budget._moves[sum(fit.problem.counts) :], strict=True))
    assert len(found) >= 4
    for key, moves in found.items():
        up, down = (moved_by(fit, question, key, by) for by in (0.1, -0.1))
        assert moves == pytest.approx((up - down) / 0.2, rel=0.02, abs=1e-3 * budget.standard_uncertainty), key


def test_sensitivity_is_the_change_of_the_answer():
    """Kind: independent. A stated friction that is 1 N more, in the file too, moves the force as the table says."""
    nozzle = rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=20 * mm))

    def asked(friction):
        rig = rk.Extruder(barrel_diameter=26.7 * mm, fill_length=60 * mm, nozzle=nozzle, plunger_friction=8.0)
        flow = np.array([0.01, 0.05, 0.1, 0.4]) * mm * rig.area
        told = replace(rig, plunger_friction=friction)
        run = rk.ForceRun(
            extruder=told,
            flow_rate=flow,
            force=rig.plunger_force(LAW, flow),
            relative_uncertainty=0.03,
            bore_uncertainty=0.01,
            model_error=0.1,
        )
        fit = quietly(rk.fit, HB, run)
        budget = quietly(
            rk.uncertainty_budget,
            fit,
            lambda law, rig: rig.plunger_force(law, 0.2 * mm * rig.area),
            extruder=told,
            unit="N",
        )
        return budget

    less, budget, more = map(asked, (7.9, 8.0, 8.1))
    row = budget.table[budget.table.quantity.str.startswith("plunger friction")].iloc[0]
    assert (row.value, row.standard_uncertainty, row.kind, row.sensitivity_unit, row.origin) == (
        8.0,
        1.0,
        "B",
        "N/N",
        "stated",
    )
    assert row.sensitivity == pytest.approx((more.value - less.value) / 0.2, rel=0.02, abs=1e-3)
    assert row.contribution == pytest.approx(abs(row.sensitivity) * row.standard_uncertainty)


@pytest.mark.slow
def test_exact_numbers_move_the_answer_as_a_fit_of_others_does():
    """Kind: independent. A barrel that is 1 % wider, in the bench and in the plan, and a volume 1 % larger: fitted anew."""

    def fitted(barrel=1.0, volume=1.0):
        nozzle = rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=20 * mm))
        rig = rk.Extruder(barrel_diameter=26.7 * mm, fill_length=60 * mm, nozzle=nozzle, plunger_friction=8.0)
        flow = np.geomspace(5e-9, 2e-7, 6)
        told = replace(rig, barrel_diameter=26.7 * mm * barrel)
        force = rig.plunger_force(LAW, flow)
        run = rk.ForceRun(
            extruder=told,
            flow_rate=flow,
            force=force,
            relative_uncertainty=0.03,
            bore_uncertainty=0.01,
            model_error=0.1,
        )
        return rk.fit(HB, run, replace(plate(), volume=5 * mL * volume)), told

    def force(law, rig):
        return rig.plunger_force(law, 30e-9)

    fit, rig = fitted()
    exact = quietly(rk.uncertainty_budget, fit, force, extruder=rig, unit="N").exact.set_index("quantity")
    for name, changed in (
        ("barrel diameter, syringe force", {"barrel": 1.01}),
        ("volume, loaded plate", {"volume": 1.01}),
    ):
        other, wider = fitted(**changed)
        moved = quietly(other.interval, force, extruder=wider).value - quietly(fit.interval, force, extruder=rig).value
        assert exact.for_more[name] == "1 %"
        assert exact.change[name] == pytest.approx(moved, rel=0.1)
    assert "bore, syringe force" not in exact.index  # which has a row in the budget
    assert not exact.index.str.startswith("planned").any()


@pytest.mark.slow
def test_every_dimension_and_setting_of_the_plan_stands_among_the_exact_numbers():
    """Kind: independent. Each number of nozzle, barrel and job 1 % more, asked of the fit as another extruder or flow."""

    def rig(**more):
        size = {"inlet": 8 * mm, "taper": 15 * mm, "bore": 1.5 * mm, "land": 6 * mm} | more
        nozzle = rk.Nozzle(
            rk.Cone(inlet_diameter=size["inlet"], outlet_diameter=size["bore"], length=size["taper"]),
            rk.Cylinder(diameter=size["bore"], length=size["land"]),
        )
        return rk.Extruder(barrel_diameter=24 * mm, fill_length=70 * mm, nozzle=nozzle, plunger_friction=7.0)

    def job(**more):
        return rk.PrintJob(**{"print_speed": 12 * mm, "layer_height_to_bore": 0.65, "line_width": 1.8 * mm} | more)

    fit = rk.fit(HB, curve(1, relative_uncertainty=0.04))
    case = rk.Case.of(rk.Material.of(fit), rig(), job())

    def force(extruder, made):
        return float(extruder.plunger_force(fit.law, made.flow_rate(1.5 * mm)))

    found = quietly(rk.uncertainty_budget, fit, force_question(case), extruder=rig(), unit="N", like=case.pressure_law,
                    settings=force_settings(case))  # fmt: skip
    exact = found.exact.set_index("quantity")
    expected = {
        "inlet of the taper, planned extruder": (rig(inlet=8.08 * mm), job()),
        "length of the taper, planned extruder": (rig(taper=15.15 * mm), job()),
        "length of the land, planned extruder": (rig(land=6.06 * mm), job()),
        "print speed, planned job": (rig(), job(print_speed=12.12 * mm)),
        "layer height over the bore, planned job": (rig(), job(layer_height_to_bore=0.6565)),
        "line width, planned job": (rig(), job(line_width=1.818 * mm)),
    }
    for name, (extruder, made) in expected.items():
        assert exact.change[name] == pytest.approx(force(extruder, made) - force(rig(), job()), rel=0.02), name
    rest = {
        f"{one}, planned extruder"
        for one in ("barrel diameter", BORE_ALONE, "fill length", "barrel drag", "plunger friction")
    }
    assert set(exact.index) >= expected.keys() | rest


def test_what_was_set_with_one_apparatus_is_one_number():
    """Two records of one syringe: a drive that runs 1 % fast does so in both, and the power law falls by n times 1 %."""
    law, flow = rk.PowerLaw(consistency=200.0, flow_index=0.4), np.geomspace(5e-9, 2e-7, 6)
    runs = []
    for length in (10 * mm, 30 * mm):
        nozzle = rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=length))
        rig = rk.Extruder(barrel_diameter=26.7 * mm, fill_length=60 * mm, nozzle=nozzle, plunger_friction=8.0)
        force = rig.plunger_force(law, flow)
        runs.append(rk.ForceRun(extruder=rig, flow_rate=flow, force=force, relative_uncertainty=0.03, model_error=0.1))
    fit = rk.fit(rk.PowerLaw, *runs)
    exact = quietly(rk.uncertainty_budget, fit, at_ten, unit="Pa").exact.set_index("quantity")
    named = [one for one in exact.index if one.startswith("flow rate")]
    assert named == ["flow rate, syringe force, all rows"]
    assert exact.change[named[0]] == pytest.approx(-0.01 * fit.law.flow_index * fit.law.shear_stress(10.0), rel=0.02)


def test_names_of_records_stay_apart_and_short():
    """Two records that are alike but for their readings, and one whose label goes on and on."""
    rates = np.geomspace(1, 100, 6)
    curves = [curve(seed, relative_uncertainty=0.04) for seed in (1, 2)]
    curves = [replace(one, shear_stress=np.append(one.shear_stress[:-1], 900.0)) for one in curves]
    curves = [replace(one, shear_stress=np.insert(one.shear_stress[1:], 0, 300.0)) for one in curves]
    long = rk.FlowCurve(
        shear_rate=rates, shear_stress=LAW.shear_stress(rates), relative_uncertainty=0.04, label="<b>|x</b>" * 1000
    )
    budget = quietly(rk.uncertainty_budget, rk.fit(HB, *curves, long), at_ten, unit="Pa")
    names = [name for name, _ in budget_words.shares(budget)]
    assert len(set(names)) == 3
    assert sum(name.endswith((" (1)", " (2)")) for name in names) == 2
    assert max(map(len, names)) <= budget_words.LONGEST
    assert len(budget_words.largest(budget)) < 500
    assert long.label in "".join(budget.table.quantity)  # the table has it whole
    picture = charts.uncertainty_shares(budget).to_dict()
    assert picture["height"] < 600


# --- where it does not hold -----------------------------------------------------------------------------------------


def test_lopsided_interval_is_said():
    """A curve from 5 1/s alone: its yield stress reaches to 0, and the interval is twice as long below as above."""
    fit = rk.fit(HB, curve(slowest=5, relative_uncertainty=0.04))
    budget = quietly(rk.uncertainty_budget, fit, yielding, unit="Pa")
    assert not budget.near_linear
    assert "Not linear enough for the budget to add up to the interval" in budget_words.agreement(budget)
    assert "the profile, holds" in budget_words.agreement(budget)


def test_bound_is_said():
    law = rk.PowerLaw(consistency=200.0, flow_index=0.4)
    rates = np.geomspace(5, 200, 8)
    scatter = np.exp(0.05 * np.random.default_rng(4).standard_normal(8))
    fit = quietly(
        rk.fit,
        HB,
        rk.FlowCurve(shear_rate=rates, shear_stress=law.shear_stress(rates) * scatter, relative_uncertainty=0.05),
    )
    assert fit.is_at_bound("yield_stress")
    budget = quietly(rk.uncertainty_budget, fit, lambda law: law.shear_stress(0.1), unit="Pa")
    assert not budget.near_linear
    assert "at its bound: yield stress, which can move to one side only" in " ".join(budget.reasons)


def test_what_stands_at_its_bound_rests_on_its_readings_and_is_not_exact():
    """A yield stress that ends at 0 is moved by its readings, to one side: no budget may call it exact."""
    rates = np.geomspace(4, 260, 8)
    read = 48 * rates**0.55 * (1 + 0.04 * np.random.default_rng(4).standard_normal(8))
    with pytest.warns(rk.errors.AtBoundWarning):
        fit = rk.fit(HB, rk.FlowCurve(shear_rate=rates, shear_stress=read, relative_uncertainty=0.04))
    budget = rk.uncertainty_budget(fit, yielding, unit="Pa")
    assert fit.law.yield_stress == 0 and budget.high > 0
    assert budget.table.share.sum() == pytest.approx(1)
    assert "at its bound: yield stress" in str(budget) and "exact" not in str(budget) and not budget.near_linear
    assert budget.standard_uncertainty > budget.high / 4


def test_open_answer_has_no_budget():
    fit = rk.fit(HB, slump())
    budget = quietly(rk.uncertainty_budget, fit, at_ten, unit="Pa")
    assert np.isnan(budget.value)
    assert budget.missing.startswith("not identified: needs ")
    assert len(budget.table) == len(budget.readings) == 0
    assert " ".join(repr(budget).split()).startswith(
        "Uncertainty budget No budget: not identified: needs readings at several rates"
    )
    assert not budget.near_linear
    assert budget.drawn is None


def test_bound_readings_are_said():
    """A spread that is at most what was read is the only test of the yield stress."""
    fit = quietly(rk.fit, HB, replace(slump(), slump=[0.002, 0.003]))
    budget = quietly(rk.uncertainty_budget, fit, yielding, unit="Pa")
    assert not budget.near_linear


def test_answer_that_rests_on_nothing():
    fit = rk.fit(HB, curve())
    budget = rk.uncertainty_budget(fit, lambda law: 3.0, unit="Pa")
    assert budget.standard_uncertainty == 0
    assert "rests on none of the inputs" in repr(budget)


def test_stamp_and_value_stand_in_its_text():
    """Readings far apart of a plate whose theory was taken as exact: checks fail."""
    far = replace(plate(), radius=[0.028, 0.030, 0.033], model_error=0.0, wall_friction_uncertainty=0.0)
    fit = quietly(rk.fit, HB, far)
    budget = quietly(rk.uncertainty_budget, fit, yielding, unit="Pa")
    text = " ".join(repr(budget).split())
    assert fit.stamp
    assert f"Uncertainty budget {fit.stamp}" in text
    assert budget_words.with_limits(budget.value, budget.low, budget.high, "Pa") in text


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"question": 3.0}, "uncertainty_budget: question is 3.0; give a function of a law that returns one number, such as lambda law: law.yield_stress."),
        ({"question": lambda law: law.shear_stress(np.array([1.0, 2.0]))}, "uncertainty_budget: the question returns 2 numbers; ask for one of them at a time."),
        ({"unit": 3}, 'uncertainty_budget: unit is 3; give the SI unit of the answer as text, such as "Pa", or leave it out.'),
    ],
)  # fmt: skip
def test_what_cannot_be_asked_is_refused(given, message):
    with pytest.raises(rk.DataError) as error:
        rk.uncertainty_budget(rk.fit(HB, curve()), **({"question": yielding} | given))
    assert str(error.value) == message


# --- in words -------------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_kitchen_in_words():
    fit, question, rig = asked_of_kitchen()
    budget = quietly(rk.uncertainty_budget, fit, question, extruder=rig, unit="N")
    table = budget.table.set_index("quantity")
    assert table.origin["theory of the syringe force"] == "assumed: usual, common practice, no source"
    assert table.standard_uncertainty["theory of the syringe force"] == 0.1
    assert table.origin["plunger friction, syringe"] == "measured by the empty barrel test"
    said = {row[0]: row for row in budget_words.rows(budget)}
    assert all(len(row) == len(budget_words.HEADINGS) for row in said.values())
    rounding = next(row for row in said.values() if row[0].endswith("rounding"))
    assert rounding[3:5] == ["B", "rectangular and as stated"]  # of the mass; the hand on the watch is normal
    text = " ".join(repr(budget).split())
    assert "Combined standard uncertainty" in text
    assert "N at 95 % with k = 1.96 (normal distribution)" in text
    assert "The budget adds up to the interval within 10 %" in text


@pytest.mark.slow
def test_demonstrations_sum_to_one():
    """Every folder of data/ that a law of its own can be fitted to."""
    seen = 0
    for folder in sorted(path for path in DATA.iterdir() if (path / "bench.toml").is_file()):
        book = rk.Workbook.open(folder)
        try:
            fit = quietly(lambda book=book: book.fit)
        except rk.DataError:
            continue
        budget = quietly(rk.uncertainty_budget, fit, at_ten, unit="Pa")
        if budget.missing:
            continue
        seen += 1
        assert budget.table.share.sum() == pytest.approx(1, abs=1e-9), folder.name
        assert (budget.table.contribution**2).sum() == pytest.approx(budget.standard_uncertainty**2, rel=1e-9)
        assert set(budget.table.kind) <= {"A", "B"}
        assert np.isfinite(budget.table.sensitivity).all()
        assert (budget.table.origin != "").all()
    assert seen >= 8


@pytest.mark.slow
def test_section_of_the_appendix():
    """Its numbers are those of the library; what 1 % more would change stands beside it."""
    study = Study(rk.Workbook.open(DATA / "olive-stone-paste"))
    found = quietly(section, study)
    force, yields = found.sections
    table, exact = (block for block in force.blocks if isinstance(block, Table))
    budget = quietly(rk.uncertainty_budget, study.fit, lambda law, rig: rig.plunger_force(law, float(study.case.flow_rate)),
                     extruder=study.extruder, like=study.case.pressure_law, unit="N")  # fmt: skip
    share, brings = (table.columns.index(name) for name in ("share of variance [%]", "contribution [N]"))
    assert sum(row[share].value for row in table.rows) == pytest.approx(100)
    assert sum(row[brings].value ** 2 for row in table.rows) == pytest.approx(budget.standard_uncertainty**2)
    assert table.rows[0][0] == "theory of the syringe force"
    assert table.columns[:5] == ("input", "value", "standard uncertainty", "unit", "kind")
    assert {row[4] for row in table.rows} <= {"A, normal", "B, normal", "B, lognormal", "A", "B", "B, rectangular"}
    assert table.rows[0][4] == "B, lognormal"  # a theory that is off by a factor
    assert "bore at the same flow, planned extruder" in [row[0] for row in exact.rows]
    assert "INVENTED readings" in table.caption
    assert yields.title == "Yield stress"
    assert [block.name for block in force.blocks if isinstance(block, Figure)] == ["budget-force-shares"]


@pytest.mark.slow
def test_section_without_an_answer():
    """A bench whose law is open has sections that say what they need, and no table."""

    class Open:
        fit = quietly(rk.fit, HB, slump())
        of = "a paste"

        @property
        def budgets(self):
            return budgets_of(self, 0)

        def knows(self, name):
            return False

    found = quietly(section, Open())
    assert [one.title for one in found.sections] == ["Yield stress"]


def test_a_parameter_at_its_bound_says_so_and_what_the_side_that_is_left_would_change():
    """Kind: independent. Forces of a barrel that drags half as much again: the drag stays at 1, and with 0.9 stated as exact the fit gives the change."""
    told = rk.Extruder(
        barrel_diameter=26.7 * mm,
        fill_length=60 * mm,
        nozzle=rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=20 * mm)),
        plunger_friction=8.0,
    )
    speeds = np.array([0.005, 0.02, 0.05, 0.1, 0.2, 0.4]) * mm

    def fitted(drag, spread):
        runs = []
        for fill in (60 * mm, 20 * mm):
            rig = replace(told, fill_length=fill)
            read = replace(rig, fill_length=1.5 * fill).plunger_force(LAW, speeds * rig.area)
            told_rig = replace(rig, barrel_drag=drag)
            runs.append(
                rk.ForceRun(
                    extruder=told_rig,
                    flow_rate=speeds * rig.area,
                    force=read,
                    relative_uncertainty=0.03,
                    barrel_drag_uncertainty=spread,
                    apparatus="syringe",
                )
            )
        return quietly(rk.fit, HB, *runs)

    held_fit = fitted(1.0, 0.1)
    budget = quietly(rk.uncertainty_budget, held_fit, at_ten, unit="Pa")
    (one,) = budget.at_bounds
    assert (one.quantity, one.value, one.highest, one.step) == ("barrel drag, syringe", 1.0, True, 0.1)
    row = budget.table[budget.table.quantity == one.quantity].iloc[0]
    assert row.contribution == 0.0
    refitted = at_ten(fitted(0.9, 0.0).law) - at_ten(held_fit.law)
    assert one.change == pytest.approx(refitted, rel=0.15)
    words = at_bounds.told(one, "Pa")
    assert words.startswith(
        "barrel drag, syringe sits at its bound, 1 is the highest that it can be, and is held there: it is not in the sum. One "
    )
    assert f": {'+' if refitted > 0 else '-'}" in words
    assert not quietly(rk.uncertainty_budget, fitted(0.9, 0.0), at_ten, unit="Pa").at_bounds
