"""Which reading to take next: expected intervals against closed forms and against fits of simulated readings.

Sources: the mean and the variance of a normal prior with normal readings (conjugate update, any textbook of Bayesian statistics; from
memory), worked out beside each check; else the fit itself with readings that were simulated, an independent way to the same width.
"""

import warnings
from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.nomenclature import written
from rheokit.planning.candidate import Candidate, as_legible, foretold
from rheokit.planning.candidates import candidates_of
from rheokit.planning.foreseen import COUNT, Outlook
from rheokit.planning.questions import questions_of
from rheokit.planning.ranked_readings import cannot_be_told
from rheokit.planning.reading_advice import MAY_WIDEN, remarks_of, rows_of
from rheokit.planning.rivals import _deviations
from rheokit.planning.simulated import simulated
from rheokit.sampling import widened
from rheokit.workbook.questions import questions

PASTE = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)  # INVENTED
SCATTER, THEORY = 0.03, 0.05


def curve(rates, law=PASTE, scatter=SCATTER, model_error=THEORY, known=True, seed=5):
    """Return an invented flow curve of a law with scatter."""
    rates = np.asarray(rates, float)
    stress = law.shear_stress(rates) * np.exp(scatter * np.random.default_rng(seed).standard_normal(len(rates)))
    return rk.FlowCurve(
        shear_rate=rates, shear_stress=stress, relative_uncertainty=scatter if known else None, model_error=model_error
    )


def plate(radius=0.025):
    """Return the plate of the demonstration with one reading."""
    return rk.LoadedPlate(
        volume=5e-6,
        force=9.81,
        radius=[radius],
        wall_friction=0.9,
        wall_friction_uncertainty=0.1,
        model_error=0.15,
        relative_uncertainty=0.02,
    )


def fitted(*tests, law=rk.HerschelBulkley):
    """Return a fit; a yield stress at its bound is no surprise here."""
    with warnings.catch_warnings(action="ignore"):
        return rk.fit(law, *tests)


def yield_stress(law):
    """Ask for the yield stress [Pa]."""
    return law.yield_stress


@pytest.fixture(scope="module")
def fast():
    return fitted(curve(np.geomspace(20, 200, 8)))


@pytest.fixture(scope="module")
def slow():
    return fitted(curve(np.geomspace(0.05, 200, 8)))


@pytest.fixture(scope="module")
def of_fast(fast):
    return rk.next_reading(fast, yield_stress, unit="Pa")


# --- closed forms -------------------------------------------------------------------------------------------------------------


def newtonian(count, model_error=0.0, known=True):
    law = rk.Newtonian(viscosity=3.0)
    with warnings.catch_warnings(action="ignore"):
        return rk.fit(rk.Newtonian, curve(np.geomspace(1, 10, count), law, model_error=model_error, known=known))


def of_newtonian(fit, model_error=0.0, known=True, seed=0):
    one = curve([5.0], rk.Newtonian(viscosity=3.0), model_error=model_error, known=known)
    return rk.next_reading(fit, lambda law: law.viscosity, [one], unit="Pa·s", seed=seed).ranked[0].foreseen.share


def test_a_repeat_of_n_exact_theories_narrows_as_the_root_of_the_number():
    """Variance s²/n becomes s²/(n + 1)."""
    assert of_newtonian(newtonian(4)) == pytest.approx(np.sqrt(4 / 5), rel=0.02)


def test_an_error_of_theory_is_shared_and_no_repeat_averages_it():
    """Variance m² + s²/n becomes m² + s²/(n + 1), with m = 0.05, s = 0.03, n = 2."""
    expected = np.sqrt((THEORY**2 + SCATTER**2 / 3) / (THEORY**2 + SCATTER**2 / 2))
    assert of_newtonian(newtonian(2, THEORY), THEORY) == pytest.approx(expected, rel=0.01)


def test_a_reading_more_tells_of_an_unknown_error_too():
    """Student's t of n - 1 and of n degrees of freedom: 4.303 and 3.182 for n = 3 (tables), √(n/(n + 1)), and the mean size of the error.

    The squares S about the mean become S (1 + t²/(n - 1)), t Student's of n - 1, shared by n in place of n - 1. For n = 3 the mean of the root
    of 1 + t²/2 is ∫ (1 + t²/2)^-1 dt / ∫ (1 + t²/2)^-3/2 dt = B(½, ½)/B(½, 1) = π/2.
    """
    expected = 3.182 / 4.303 * np.sqrt(3 / 4) * np.pi / 2 * np.sqrt(2 / 3)
    fit = newtonian(3, known=False)
    found = [of_newtonian(fit, known=False, seed=seed) for seed in range(4)]
    assert np.mean(found) == pytest.approx(expected, rel=0.03)


def test_the_reading_that_is_expected_has_the_scatter_of_law_and_reading():
    """Variance s²/n of the law and s² of the reading, n = 4."""
    one = curve([5.0], rk.Newtonian(viscosity=3.0), model_error=0.0)
    low, _, high = rk.next_reading(newtonian(4), lambda law: law.viscosity, [one]).ranked[0].foreseen.reading[:, 0]
    assert np.log(high / low) == pytest.approx(2 * 1.96 * SCATTER * np.sqrt(1 + 1 / 4), rel=0.04)


def test_a_reading_of_another_theory_adds_its_weight():
    """Weights add: 1/v' = 1/v + 1/(m² + s²), of a viscosity in ln, with v = 0.05² + 0.03²/2 and a pressure of another theory."""
    fit = newtonian(2, THEORY)
    land = rk.Nozzle(rk.Cylinder(diameter=2e-3, length=40e-3))
    run = rk.PressureRun(
        nozzle=land,
        flow_rate=[5e-8],
        pressure=[1e4],
        relative_uncertainty=0.02,
        model_error=0.04,
        end_correction="formula",
    )
    before = THEORY**2 + SCATTER**2 / 2
    after = 1 / (1 / before + 1 / (0.04**2 + 0.02**2))
    share = rk.next_reading(fit, lambda law: law.viscosity, [run]).ranked[0].share
    assert share == pytest.approx(np.sqrt(after / before), rel=0.02)


# --- against fits with simulated readings --------------------------------------------------------------------------------------


def by_fits(fit, test, question, count, seed=1):
    """Return the mean width of the 95 % interval of fits with a simulated reading more, and its standard error."""
    outlook, generator, widths = Outlook(fit, question, seed=99), np.random.default_rng(seed), []
    predicted, (size, _) = outlook.predicted(test), outlook._error_of(test)
    for place in generator.integers(0, COUNT, count):
        read = [simulated(test, 0, predicted[place, 0], generator.standard_normal(), size)]
        with warnings.catch_warnings(action="ignore"):
            found = rk.fit(fit.problem.law_class, *fit.tests, replace(test, **{test.reads: read})).interval(question)
        widths.append(found.high - found.low)
    return np.mean(widths), np.std(widths) / np.sqrt(count)


@pytest.mark.slow
@pytest.mark.parametrize("which", ["fast", "slow"])
def test_the_expected_width_is_that_of_fits_with_simulated_readings(which, request):
    """Within 20 %, and the order of the first two the same; 100 a candidate were counted once for eight benches."""
    fit = request.getfixturevalue(which)
    found = rk.next_reading(fit, yield_stress, unit="Pa")
    for one in found.ranked[:2]:
        width, error = by_fits(fit, one.candidate.tests[0], yield_stress, 25)
        low, high = found.expected(one)
        assert abs((high - low) / width - 1) < 0.2 + 2 * error / width


# --- the ranks ----------------------------------------------------------------------------------------------------------------


def test_a_yield_stress_test_comes_first_where_the_curve_begins_fast(of_fast):
    assert of_fast.best.name == "yield stress by a loaded plate"
    assert of_fast.table.narrowing.iloc[0] > 0.6


def test_and_not_where_it_begins_slow(slow):
    found = rk.next_reading(slow, yield_stress, unit="Pa")
    assert found.records[0].name.startswith("slower reading")
    assert not found.records[0].tests[0].yield_stresses().size


@pytest.mark.slow
def test_the_demonstration_without_its_yield_tests_asks_for_one():
    book = rk.Workbook.open("data/olive-stone-paste")
    runs = [test for test in book.bench.tests if test.kind == "syringe force"]
    fit = fitted(*runs)
    found = rk.next_reading(fit, lambda law, rig: rig.start_force(law), extruder=book.extruder, unit="N")
    assert found.best.name == "yield stress by a loaded plate"
    assert "no fingers between the plates" in str(found)


def test_the_table_holds_each_candidate_once_and_best_first(of_fast):
    table = of_fast.table
    assert table.candidate.is_unique
    assert (table.expected_width.dropna().diff().dropna() >= 0).all()
    assert (table.expected_width.dropna() <= table.present_width.iloc[0]).all()
    assert table.minutes.gt(0).all()
    assert np.allclose(table.narrowing_per_minute, table.narrowing / table.minutes, equal_nan=True)
    assert np.allclose(table.expected_high - table.expected_low, table.expected_width, equal_nan=True)
    assert table.attrs["said"] == str(of_fast)


def test_the_same_seed_gives_the_same_and_another_one_nearly(fast, of_fast):
    assert rk.next_reading(fast, yield_stress, unit="Pa").table.equals(of_fast.table)
    other = rk.next_reading(fast, yield_stress, unit="Pa", seed=7).table.set_index("candidate").narrowing
    assert np.allclose(other, of_fast.table.set_index("candidate").narrowing[other.index], atol=0.06, equal_nan=True)


def test_two_of_a_kind_cannot_be_told_apart(fast):
    found = rk.next_reading(fast, yield_stress, [plate(0.024), plate(0.025), curve([20.0])])
    first, second, third = found.ranked
    assert cannot_be_told(first, second)
    assert not cannot_be_told(first, third)
    assert list(found.table.as_good_as_best) == [True, True, False]
    assert "As good, as far as can be told: loaded plate" in str(found)


def test_records_read_together_narrow_more_than_one(fast):
    both, one = (
        rk.next_reading(fast, yield_stress, [tests]).ranked[0].share for tests in ((plate(), curve([0.05])), plate())
    )
    assert both < one - 0.05


def test_nothing_cheap_helps_where_the_formula_is_what_is_left(slow):
    repeat = curve([10.0])
    found = rk.next_reading(slow, lambda law: law.shear_stress(10.0), [repeat], unit="Pa")
    assert found.best is None
    assert str(found).startswith("Nothing cheap will help: the best, flow curve, is expected to take ")
    assert "What is left is the formula of the flow curve (" in str(found)
    assert "how far the next batch lies is in no reading: one batch alone was read" in str(found)


def test_what_repeats_exposes_nothing_and_another_principle_does(of_fast):
    repeat = next(one for one in of_fast.records if one.name.startswith("repeat"))
    assert repeat.shows == ""
    assert "rests on another one than what was read" in of_fast.best.shows
    assert of_fast.exposes in of_fast.records


def test_an_answer_that_is_not_identified_names_what_it_lacks():
    fit = fitted(plate(), replace(plate(0.0251), label="again"))
    found = rk.next_reading(fit, lambda law: law.shear_stress(30.0), unit="Pa")
    assert str(found).startswith(f"{fit.stamp} No interval yet: not identified: needs ")
    assert found.best.name == "readings at several rates by a flow curve"
    assert found.table.expected_width.isna().all()


@pytest.mark.slow
def test_a_batch_more_is_foreseen_where_three_were_read():
    batches = [replace(curve([1, 10, 100], seed=k, model_error=0.0), batch=f"B{k}") for k in range(3)]
    shifted = [
        replace(one, shear_stress=one.shear_stress * f) for one, f in zip(batches, (0.85, 1.0, 1.2), strict=True)
    ]
    fit, two = fitted(*shifted), fitted(*shifted[:2])
    found = rk.next_reading(fit, lambda law: law.shear_stress(10.0), batch="next", unit="Pa")
    assert found.records[0].name.startswith("a batch more")
    assert found.table.narrowing.iloc[0] > 0.05
    first = found.ranked[0]
    half, most = np.quantile(first.foreseen.shares, [0.5, 0.9])
    assert half < first.share < most, "few batches far off make up the mean"
    assert (
        f"leave less than {written(half, '%', 2)} of the width of now, one in ten more than {written(most, '%', 2)}"
        in str(found)
    )
    assert [bool(one.untold) for one in candidates_of(two) if "batch more" in one.name] == [True]
    assert not any(one.untold for one in candidates_of(fit))


def test_a_hotter_reading_is_offered_of_a_law_that_depends_on_it():
    law = rk.heated(rk.Newtonian)
    records = [
        replace(curve([10.0, 30.0, 60.0], rk.Newtonian(viscosity=v), seed=k), temperature=np.full(3, t))
        for k, (v, t) in enumerate(((3.0, 300.0), (2.0, 310.0), (1.4, 320.0)))
    ]
    fit = fitted(*records, law=law)
    found = candidates_of(fit)
    words = [one.name for one in found if one.name.startswith("other temperature")]
    assert words == ["other temperature: flow curve at 21.9 °C", "other temperature: flow curve at 51.9 °C"]
    assert any("gloves" in " ".join(one.cautions) for one in found)


def test_a_second_land_is_offered_where_one_length_was_read():
    runs = [
        rk.PressureRun(
            nozzle=rk.Nozzle(rk.Cylinder(diameter=2e-3, length=length)),
            flow_rate=[1e-9, 1e-8, 1e-7],
            pressure=np.array([5e4, 7e4, 1.1e5]) * length / 0.02 * (1 + length),
            relative_uncertainty=0.03,
            model_error=0.1,
        )
        for length in (0.02, 0.04)
    ]
    one, two = fitted(runs[0]), fitted(*runs)
    assert [c.name for c in candidates_of(one) if "land" in c.name] == ["second land: pressure run through 40 mm"]
    assert not [c.name for c in candidates_of(two) if "land" in c.name]
    assert not [
        c.name for c in candidates_of(one) if c.name.startswith("faster")
    ]  # an unrated barrel at more than 100 kPa
    hard = replace(runs[1].where(np.arange(3) == 2), flow_rate=[1e-6], pressure=[3e5])
    caution = rk.next_reading(one, yield_stress, [hard]).table.caution.iloc[0]
    assert "a barrel without a printed rating may take 100 kPa: take a rated barrel, or less flow." in caution
    assert caution.endswith("Local rules come first.")
    assert "About 300 kPa is expected of “pressure run”, and" in caution
    pressures = [(c.name, said) for c in candidates_of(two) for said in c.cautions if "kPa is expected" in said]
    assert any(name.startswith("a batch more") for name, _ in pressures)
    assert [said for name, said in pressures if f"“{name}”" not in said] == []


# --- refused ------------------------------------------------------------------------------------------------------------------


def test_what_cannot_be_asked_is_refused(fast):
    with pytest.raises(TypeError, match="question is 'force'"):
        rk.next_reading(fast, "force")
    with pytest.raises(rk.DataError, match="gives an array; ask for one number"):
        rk.next_reading(fast, lambda law: law.shear_stress(np.array([1.0, 2.0])))
    with pytest.raises(TypeError, match="a candidate is a record such as"):
        rk.next_reading(fast, yield_stress, [3.0])
    with pytest.raises(rk.DataError, match="no candidate is left"):
        rk.next_reading(fast, yield_stress, [])


def test_a_candidate_that_cannot_be_foreseen_says_why_and_the_others_stand(fast):
    unstated = replace(plate(), relative_uncertainty=None)
    found = rk.next_reading(fast, yield_stress, [unstated, plate()])
    assert found.ranked[0].candidate.tests[0].relative_uncertainty == 0.02
    assert "stated nowhere" in found.ranked[1].doubt
    assert np.isnan(found.table.expected_width.iloc[1])


def test_a_candidate_may_be_named_by_hand(fast):
    mine = Candidate("the plate next door", (plate(),), 2.0)
    assert rk.next_reading(fast, yield_stress, [mine]).best is mine


# --- what may be asked, and where it is shown ---------------------------------------------------------------------------------


@pytest.mark.slow
def test_the_questions_of_a_plan_are_those_of_its_case():
    book = rk.Workbook.open("data/olive-stone-paste")
    asked = questions(book.fit, book.plan, book.material_of)
    lacking = {name for name, one in asked.items() if one.lacking}
    assert lacking == {"water for a target", "dry diameter"}
    case = rk.Case.of(book.material, book.extruder, book.job)
    law, rig = book.fit.law, book.fit.known(book.extruder).at(book.fit.nuisance)
    assert asked["force at this speed"].quantity(law, rig) == pytest.approx(case.force, rel=1e-6)
    assert asked["start force"].quantity(law, rig) == pytest.approx(rig.start_force(case.pressure_law), rel=1e-9)
    assert asked["wall height"].quantity(law) == pytest.approx(rk.LIMITS["stack"].high(case), rel=1e-9)


def test_what_a_plan_does_not_know_is_named():
    book = rk.Workbook.open("data/gelatin-dope")
    asked = questions(book.fit, book.plan, book.material_of)
    assert "bore of the barrel" in asked["start force"].lacking
    assert asked["yield stress"].lacking == "the law has none"
    with pytest.raises(
        rk.DataError, match=r"dry diameter: it rests on flow, winding speed and dry section, .*no fibre is planned"
    ):
        asked["dry diameter"].asked_of(book.fit)
    assert {one.lacking for one in questions(book.fit).values()} >= {"no plan says of which machine and job"}


def test_the_water_for_a_target_is_that_of_the_law():
    law = rk.watered(rk.HerschelBulkley, 1.0)(yield_stress=650.0, consistency=210.0, flow_index=0.38, water_slope=3.2)
    records = [
        replace(curve([1, 10, 100], law.at(water_content=u), seed=k), water_content=np.full(3, u))
        for k, u in enumerate((0.9, 1.0, 1.1, 1.2))
    ]
    fit = fitted(*records, law=type(law))
    question = questions_of(fit, target=400.0)["water for a target"]
    found = question.quantity(law)
    assert law.at(water_content=found).yield_stress == pytest.approx(400.0)  # by the law itself
    assert question.asked_of(fit).width > 0


def test_the_dry_diameter_is_narrowed_by_a_thread_more_as_far_as_the_formula_lets_it():
    """By hand: sd of ln of the section m² + s²/n·w², n threads, w Student's t over the normal; half of it held, with flow, speed and formula beside."""
    book = rk.Workbook.open("data/gelatin-dope-40")
    asked = questions(book.fit, book.plan, book.material_of)["dry diameter"]
    found = asked.asked_of(book.fit)
    thread = next(test for test in book.bench.tests if test.kind == "wound thread")
    case = rk.Case.of(book.material, book.extruder, book.job)
    assert found.today.value == pytest.approx(case.dry_diameter)
    count, spread = len(thread.readings), thread.properties()["dry_section"].spread
    assert book.material.spread("dry_section") == pytest.approx(spread)
    own = (spread**2 - thread.model_error**2) / widened(count - 1) ** 2 * count
    after = thread.model_error**2 + own / (count + 1) * widened(count) ** 2
    beside = (0.5 * case.job.flow_error) ** 2 + (0.5 * case.job.speed_error) ** 2 + 0.05**2
    power = 0.5 if case.job.held else 1 / 3
    widths = [2 * np.sinh(1.959964 * np.sqrt(power**2 * one + beside)) for one in (spread**2, after)]
    assert found.width == pytest.approx(found.today.value * widths[0], rel=1e-5)
    assert found.ranked[0].candidate.name.startswith("repeat: wound thread")
    assert found.ranked[0].share == pytest.approx(widths[1] / widths[0], rel=1e-5)
    assert "Nothing cheap will help" in str(found)
    assert "the formula (" in str(found)


@pytest.mark.slow
def test_the_fold_answers_when_it_is_opened_and_for_each_question():
    page = rk.widgets.FitExplorer.of(rk.Workbook.open("data/olive-stone-paste"))
    assert page.nexts.inside is None, "closed, it costs nothing"
    page.nexts.unfold()
    panel = page.next_readings
    assert panel.choice.options == (
        "force at this speed",
        "start force",
        "wall height",
        "yield stress",
        "stress at the rate of use",
    )
    assert "Nothing cheap will help" in panel.answered.value
    assert "syringe force" in panel.numbers.value
    assert "Cannot be asked yet: water for a target" in panel.lacking.value
    before = panel.numbers.value
    panel.choice.value = "start force"
    assert panel.numbers.value != before
    assert "least force that starts the flow" in panel.numbers.value
    panel.batch.value = "next"
    assert "one batch alone was read" not in panel.numbers.value
    assert "batches (" in panel.numbers.value


def test_a_slump_of_next_to_nothing_tells_no_laws_apart():
    """0.19 mm and 0 mm, where 0.00004 to 27 mm are expected; a ratio counts where the reading is surely something."""
    apart = _deviations(*(np.array([one, 1.0]) for one in (0.0, 0.19e-3, 4e-8, 27e-3)))
    assert apart[0] < 0.1
    told = _deviations(np.array([200.0]), np.array([100.0]), np.array([80.0]), np.array([125.0]))
    assert told[0] == pytest.approx(np.log(2) / (np.log(125 / 80) / (2 * 1.96)), rel=1e-3)


# --- what a tool can read -----------------------------------------------------------------------------------------------------


def frustum(**more):
    """Return a frustum slump of the usual cup with a reading that stands for none."""
    return rk.FrustumSlump(
        height=0.1, top_diameter=0.06, bottom_diameter=0.09, density=1150.0, slump=[0.05], model_error=0.25, **more
    )


def test_a_test_that_nobody_made_is_foreseen_no_better_than_its_tool_reads():
    """Common practice, no source: a ruler tells 1 mm of a slump, and 5 % of 0.2 mm is a hundredth of that."""
    fit = fitted(
        curve(np.geomspace(20, 200, 8), rk.HerschelBulkley(yield_stress=300.0, consistency=100.0, flow_index=0.4))
    )
    tests = {one.tests[0].kind: one.tests[0] for one in candidates_of(fit) if one.name.startswith("yield stress by")}
    assert {"loaded plate", "vane peak", "hanging slug", "frustum slump"} <= set(tests)
    for kind, test in tests.items():
        assert test.uncertainty == test.usual_resolution > 0, kind
        assert test.relative_uncertainty == test.usual_scatter
    assert tests["frustum slump"].uncertainty == 1e-3
    outlook = Outlook(fit, yield_stress)
    low, _, high = outlook.foresee((tests["frustum slump"],)).reading[:, 0]
    assert high - low > 2 * 1.96 * 0.9e-3, "not less than the ruler"


def test_what_the_bench_says_that_it_reads_stands():
    """Its own amount; of a share alone, as far as the bench read, and never more than the tool of the trade."""
    assert as_legible(frustum(uncertainty=3e-4)).uncertainty == 3e-4
    assert as_legible(frustum(relative_uncertainty=0.05)).uncertainty == 1e-3
    assert as_legible(frustum(relative_uncertainty=0.05), 2e-4).uncertainty == 2e-4
    assert as_legible(frustum()).uncertainty is None, "residuals tell"


def test_a_mould_that_does_not_slump_is_foretold_as_nothing_and_is_no_reading_that_is_refused(slow):
    test = foretold(slow, frustum(relative_uncertainty=0.05))  # 650 Pa stand
    assert test.readings == pytest.approx([1e-3])
    one = simulated(test, 0, 0.0, 0.0, 1.0)
    assert one > 0
    assert replace(test, slump=[one]).bounds[0] == -1


# --- ties, and what may widen ---------------------------------------------------------------------------------------------------


def test_candidates_nearer_than_three_percent_share_their_place(fast):
    found = rk.next_reading(fast, yield_stress, [plate(0.024), plate(0.025), curve([20.0])])
    assert found.places == ("1 =", "1 =", "3")
    assert list(found.table.place) == list(found.places) == [row[0] for row in rows_of(found)]
    widths = [found.narrowing(one) for one in found.ranked]
    assert widths[0] - widths[1] < 0.03 < widths[1] - widths[2]


def test_those_behind_the_first_may_share_a_place_too(fast):
    found = rk.next_reading(fast, yield_stress, [plate(0.025), curve([20.0]), replace(curve([20.0]), label="again")])
    assert found.places == ("1", "2 =", "2 =")


def test_a_reading_that_may_widen_the_interval_at_a_bound_is_not_sold_as_narrowing():
    """By 40 refits: an interval of 18.0 Pa at a yield stress of 0 was 18.8 +- 0.6 Pa wide in the mean with a repeat."""
    law = rk.PowerLaw(consistency=48.0, flow_index=0.55)
    at_zero = fitted(curve(np.geomspace(4, 260, 10), law, scatter=0.04, seed=0))
    assert at_zero.is_at_bound("yield_stress")
    found = rk.next_reading(at_zero, lambda law: law.shear_stress(30.0), unit="Pa")
    foreseen = [one for one in found.ranked if not one.candidate.untold]
    assert len(foreseen) >= 3
    assert all(one.may_widen for one in foreseen)
    table = found.table.iloc[: len(foreseen)]
    assert (table.narrowing == 0).all()
    assert (table.expected_width == found.width).all()
    said = "may widen it: the interval of today is held narrow by the bound"
    assert table.doubt.str.contains(said).all()
    assert all(MAY_WIDEN in row for row in rows_of(found)[: len(foreseen)])
    assert all(said[1:] in remark for _, remark in remarks_of(found)[: len(foreseen)])
    assert f" M{said[1:]}." in str(found)
    of_yield = rk.next_reading(at_zero, yield_stress, unit="Pa")
    assert not of_yield.ranked[0].may_widen, "a test of the yield stress narrows it"


def test_off_a_bound_nothing_is_said_of_widening(slow):
    assert not slow.is_at_bound("yield_stress")
    assert not any(one.may_widen for one in rk.next_reading(slow, yield_stress, unit="Pa").ranked)
