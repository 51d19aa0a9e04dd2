"""Not identified is not a number: what the readings set no limit to has none, and what does not rest on it keeps its own.

Kind       exact: a slump and a plate hold no word on flow, so that every consistency fits them as well (residuals say so);
           the yield stress of readings made from a known law is compared with that law.
Trust      B for the statements on what readings can tell; no print behind them.
"""

import html
import warnings
from dataclasses import replace
from functools import lru_cache
from types import SimpleNamespace

import numpy as np
import pytest

import rheokit as rk
from rheokit import charts, planning
from rheokit.charts import flow_curves
from rheokit.command import main
from rheokit.fitting import checks
from rheokit.fitting.identified import needs
from rheokit.limits import judge
from rheokit.nomenclature import between, with_limits
from rheokit.origins import in_short
from rheokit.units import kPa, mL, mm
from rheokit.widgets.fit.force_panel import ForcePanel
from rheokit.widgets.fit.words import force_rows
from rheokit.widgets.nozzle.explorer import NozzleExplorer
from rheokit.widgets.nozzle.words import limit_rows
from rheokit.widgets.page.judged import answer
from rheokit.workbook import script

TRUTH = rk.HerschelBulkley(yield_stress=300.0, consistency=210.0, flow_index=0.38)
RATES = "readings at several rates: a syringe run or a flow curve at the rates of use"
OPEN = f"not identified: needs {RATES}"
CYLINDER = {"height": 100 * mm, "diameter": 100 * mm, "density": 1100.0}
NOZZLE = rk.Nozzle(
    rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=20 * mm),
    rk.Cylinder(diameter=1.6 * mm, length=8 * mm),
)
RIG = rk.Extruder(
    barrel_diameter=26.7 * mm,
    fill_length=80 * mm,
    plunger_friction=8.0,
    nozzle=NOZZLE,
    drive=rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25),
    pressure_rating=1000 * kPa,
)
JOB = rk.PrintJob(print_speed=15 * mm, layer_height_to_bore=0.6, line_width_to_bore=1.25, part_height=20 * mm)


def slump_and_plate():
    slump = rk.CylinderSlump(**CYLINDER, slump=[0.02], uncertainty=1 * mm, model_error=0.2)
    plate = rk.LoadedPlate(volume=5 * mL, force=9.81, radius=[0.02], relative_uncertainty=0.02, model_error=0.15)
    read = [float(np.ravel(one.predict(TRUTH))[0]) for one in (slump, plate)]
    return (
        rk.CylinderSlump(**CYLINDER, slump=[read[0]], uncertainty=1 * mm, model_error=0.2),
        rk.LoadedPlate(volume=5 * mL, force=9.81, radius=[read[1]], relative_uncertainty=0.02, model_error=0.15),
    )


def curve(rates, law=TRUTH):
    rates = np.asarray(rates, float)
    noise = 1 + 0.01 * np.sin(7 * np.arange(len(rates)))
    return rk.FlowCurve(shear_rate=rates, shear_stress=law.shear_stress(rates) * noise, relative_uncertainty=0.02)


def quietly(law, *tests, **options):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return rk.fit(law, *tests, **options)


@lru_cache
def without_rates():
    return quietly(rk.HerschelBulkley, *slump_and_plate())


def force(law):
    return RIG.plunger_force(law, flow_rate=23 * mm**3)


def asked(fit, quantity):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return fit.interval(quantity)


def test_how_far_a_search_goes_is_no_limit():
    """Exact: through two rates and a yield stress go laws of any flow index from some on, each with less consistency than the last."""
    rates, law = np.array([2.0, 12.0]), rk.HerschelBulkley(yield_stress=300.0, consistency=40.0, flow_index=0.8)
    fit = quietly(rk.HerschelBulkley, curve(rates, law), curve(1.03 * rates, law))
    assert 0 < fit.limits("flow_index")[0] < 0.8 and fit.limits("flow_index")[1] == np.inf
    assert fit.limits("consistency")[0] == 0.0 and 40 < fit.limits("consistency")[1] < np.inf
    slow, fast = (law.shear_stress(rate) for rate in rates)
    assert fit.limits("yield_stress")[1] == pytest.approx(slow, rel=0.05)  # none exceeds what was read above it
    assert asked(fit, lambda law: law.shear_stress(5.0)).high < 1.05 * fast
    assert asked(fit, lambda law: law.shear_stress(1000.0)).high == np.inf
    assert "0.25 to no limit" in repr(fit) and "0 to 320 " in repr(fit) and not fit.not_identified


def test_what_no_reading_sets_a_limit_to_has_no_value_and_says_what_it_needs():
    fit = without_rates()
    assert fit.not_identified == {"consistency": RATES, "flow_index": RATES}
    for name in ("consistency", "flow_index"):
        row = fit.table.loc[name]
        assert np.isnan(row.value) and np.isnan(row.stderr)
        assert (row.low, row.high) == (0.0, np.inf)
    for text in (repr(fit), fit.summary, fit._repr_html_()):
        assert text.count("not identified") >= 2 and RATES in text
        assert "nan" not in text.lower()
    assert quietly(rk.HerschelBulkley, *slump_and_plate(), use_range=(5.0, 150.0)).left_open == (
        "not identified: needs readings at several rates: a syringe run or a flow curve at 5 to 150 1/s"
    )


@pytest.mark.slow
def test_what_rests_on_it_has_no_value_and_honest_limits():
    """A force is at least what starts the paste, and has no upper end; a stress is at least the yield stress."""
    fit = without_rates()
    least = asked(fit, lambda law: RIG.start_pressure(law) * RIG.area + 8.0)
    found = asked(fit, force)
    assert np.isnan(found.value) and found.high == np.inf
    assert found.low == pytest.approx(least.low, rel=0.03)
    assert found.comment.startswith(f"{OPEN}; asks for ")
    assert fit.missing(force) == OPEN
    stresses = fit.stresses
    assert stresses.value.isna().all() and np.isinf(stresses.high).all()
    assert stresses.low.to_numpy() == pytest.approx(fit.table.low["yield_stress"], rel=0.02)
    several = asked(fit, lambda law: np.array([law.yield_stress, law.shear_stress(10.0)]))
    assert np.isfinite(several.value[0]) and np.isnan(several.value[1])


def test_a_parameter_that_is_fixed_is_no_less_so_in_laws_alike():
    alone = rk.CylinderSlump(slump=[30 * mm, 32 * mm], relative_uncertainty=0.05, **CYLINDER)
    fit = quietly(rk.HerschelBulkley, alone, fixed={"flow_index": 0.5})
    assert fit.not_identified == {"consistency": RATES}
    assert np.all(fit.laws_alike.flow_index == 0.5) and np.ptp(fit.laws_alike.consistency) > 0


def test_what_does_not_rest_on_it_is_as_well_known_as_ever():
    """The yield stress, with its spread, whether the law has further parameters or they are told."""
    fit = without_rates()
    told = quietly(rk.HerschelBulkley, *slump_and_plate(), fixed={"consistency": 210.0, "flow_index": 0.38})
    one, other = (asked(each, lambda law: law.yield_stress) for each in (fit, told))
    assert one.value == pytest.approx(other.value, rel=1e-4)
    assert (one.low, one.high) == pytest.approx((other.low, other.high), rel=5e-3)
    assert one.low < 300 < one.high
    assert fit.missing(lambda law: law.yield_stress) == ""
    drawn, expected = fit.draws(2000, 1), told.draws(2000, 1)
    assert drawn.consistency.isna().all() and drawn.flow_index.isna().all()
    assert np.log(drawn.yield_stress).std() == pytest.approx(np.log(expected.yield_stress).std(), rel=0.1)


@pytest.mark.slow
def test_answers_do_not_depend_on_where_the_search_started():
    starts = ({"yield_stress": 200.0, "consistency": k, "flow_index": n} for k, n in ((5.0, 0.9), (900.0, 0.2)))
    fits = [quietly(rk.HerschelBulkley, *slump_and_plate(), start=start) for start in starts]
    laws = [fit.problem.law(fit.minimum.theta).consistency for fit in fits]
    assert laws[0] < laws[1] / 2, "the search itself ends where it started"
    assert repr(fits[0]) == repr(fits[1])
    assert asked(fits[0], force).low == pytest.approx(asked(fits[1], force).low, rel=0.02)


def test_limits_that_rest_on_it_are_left_out_by_name_and_the_others_are_judged():
    fit = without_rates()
    material = rk.Material.of(fit, density=1100.0, modulus=30e3)
    case = rk.Case.of(material, RIG, JOB)
    table = judge(case)
    for name in ("drive force", "rated pressure"):
        assert table.verdict[name] == "not judged"
        assert table.words[name].endswith(f"cannot be judged, {OPEN}")
    for name in ("stack", "line holds", "start after rest", "layer height"):
        assert table.verdict[name] in ("inside", "broken")
    assert OPEN in rk.verdict(case)
    stack = ["stack", "line holds"]
    found = rk.region_map(
        material, RIG, JOB, [*stack, "drive force"], {"part_height": [0.01, 0.2], "print_speed": [0.01]}, draws=400
    )
    assert found.not_judged == {"drive force": OPEN}
    assert found.holds["stack"][0, 0] > 0.9 > 0.1 > found.holds["stack"][0, 1], "its spread is still drawn"
    stiffer = rk.region_map(material, RIG, JOB, None, {"stiffness": [400.0, 600.0], "print_speed": [0.01]})
    assert {"drive force", "rated pressure"} <= set(stiffer.not_judged)


def test_a_law_that_is_known_leaves_nothing_out():
    fit = quietly(rk.HerschelBulkley, *slump_and_plate(), curve(np.geomspace(1, 200, 9)))
    assert fit.not_identified == {} and fit.left_open == "" and fit.laws_alike is None
    case = rk.Case.of(rk.Material.of(fit, density=1100.0), RIG, JOB)
    assert judge(case).verdict["drive force"] == "inside"


def test_one_rate_tells_the_stress_there_and_no_other():
    """Consistency and flow index turn about the stress that was read; neither is known, and below it lies less."""
    fit = quietly(rk.PowerLaw, curve([10.0] * 4))
    alone = "readings at several rates (so far 10 1/s alone): a syringe run or a flow curve at the rates of use"
    assert fit.not_identified == {"consistency": alone, "flow_index": alone}
    stresses = fit.stresses
    assert stresses.value[10.0] == pytest.approx(TRUTH.shear_stress(10.0), rel=0.02)
    assert np.isnan(stresses.value[1.0]) and np.isnan(stresses.value[100.0])
    assert stresses.high[1.0] < stresses.high[10.0] < stresses.high[100.0]
    both = quietly(rk.HerschelBulkley, slump_and_plate()[1], curve([10.0] * 4))
    assert set(both.not_identified) == {"consistency", "flow_index"}


def test_an_upper_limit_is_a_limit():
    """Without slow rates the yield stress is bounded from above alone; that is an answer."""
    fit = quietly(rk.HerschelBulkley, curve(np.geomspace(50, 500, 8)))
    row = fit.table.loc["yield_stress"]
    assert "yield_stress" not in fit.not_identified
    assert row.low == 0 and np.isfinite(row.high) and np.isfinite(row.value)
    said = fit.checks.set_index("question").comment
    assert said["yield stress identified"].endswith(
        "held it in 91 of 100 in the project's own count; that of the yield stress in 98."
    )
    above = quietly(rk.HerschelBulkley, curve(np.geomspace(0.05, 500, 12)))
    assert above.table.low["yield_stress"] > 0 and "of 100" not in above.checks.comment.str.cat()


def test_the_flow_curve_draws_what_is_known_and_no_more():
    fit = without_rates()
    spec = charts.flow_curve(fit).to_dict()
    drawn = [row for rows in spec["datasets"].values() for row in rows]
    assert not any("covered" in row for row in drawn), "no line of an arbitrary law"
    level = next(row for row in drawn if "high" in row)
    assert [level["shear_stress"], level["low"], level["high"]] == pytest.approx(
        list(fit.table.loc["yield_stress", ["value", "low", "high"]])
    )
    assert {"word": "flow: not identified"}.items() <= next(row for row in drawn if "word" in row).items()
    assert flow_curves.words(fit).startswith(
        f"{fit.stamp} Flow curve, Herschel-Bulkley. At 1, 10, 100 1/s {OPEN}. No line is drawn there. The level is the yield stress, "
    )
    low, high = fit.band(lambda law: law.shear_stress(np.array([1.0, 10.0])))
    assert np.isnan(low).all() and np.isnan(high).all()


@pytest.mark.slow
def test_pages_show_no_force_from_an_arbitrary_law():
    fit = without_rates()
    with pytest.warns(rk.NotIdentifiedWarning, match=f"^{OPEN}; asks for "):
        rows = {row[0]: row for row in force_rows(fit, RIG, 23 * mm**3)}
    for what in ("force on the plunger", "pressure at the plunger face"):
        assert rows[what][1] == "not identified" and rows[what][2].endswith("to no limit") and OPEN in rows[what][4]
    assert (
        rows["least pressure that starts it"][1].startswith("at least ")
        and "no limit" not in rows["least pressure that starts it"][2]
    )
    panel = ForcePanel()
    panel.show(fit)
    panel.show_pressure()
    assert f"Force and pressure are {OPEN}." in panel.headline.value and panel.picture.chart is None
    panel.tabulate()
    assert "nan" not in panel.headline.value + panel.numbers.value
    page = NozzleExplorer(fit)
    assert (
        f"Force and pressure are {OPEN}." in page.message.value
        and "Add such readings to the bench folder" in page.message.value
    )
    assert page.case is None and not hasattr(page, "force")
    known = page.rests.value
    assert " fitted, " in known and ", 2 not identified" in known and "nan" not in known
    assert in_short(fit.stamp) in page.strip.trust.value


@pytest.mark.slow
def test_a_script_says_what_is_known_of_a_force_that_is_open(capsys):
    """Its interval and what starts the flow, as page 2 does; the stamp of checks that forbid stands before the verdict alone."""
    plate = rk.LoadedPlate(
        volume=6 * mL, force=14.0, radius=[28 * mm, 25.5 * mm], relative_uncertainty=0.02, model_error=0.15
    )
    fit = quietly(rk.HerschelBulkley, plate)
    assert "not to be used" in fit.stamp
    names = {"rk": rk, "np": np, "kPa": kPa, "paste": fit, "material": rk.Material.of(fit), "extruder": RIG, "job": JOB}
    with warnings.catch_warnings(action="ignore"):
        exec("\n".join(script._case_lines(SimpleNamespace(origins=("measured", "measured")))), names)
    said = capsys.readouterr().out.splitlines()
    start = with_limits(*names["start"][:3], "N")
    assert said[0].startswith(f"Force and pressure are {OPEN}; ")
    assert said[1] == f"Force: 95 % from {between(names['force'].low, np.inf, 'N')}."
    assert said[2] == f"To start it takes at least {start}." and said[3].startswith(fit.stamp)
    page = NozzleExplorer(fit)
    assert fit.stamp in html.unescape(page.message.value) and in_short(fit.stamp) in page.strip.trust.value


def test_folder_and_saved_bench_give_the_same_answers(tmp_path, capsys):
    bench = rk.Bench(rk.Specimen(paste="a paste", density=1100.0), slump_and_plate())
    rk.write_bench(bench, tmp_path / "saved")
    again = quietly(rk.HerschelBulkley, rk.read_bench(tmp_path / "saved"))
    assert set(again.not_identified) == {"consistency", "flow_index"}
    assert again.table.value["yield_stress"] == pytest.approx(without_rates().table.value["yield_stress"], rel=1e-3)
    main([str(tmp_path / "saved")])
    out = capsys.readouterr().out
    assert "not identified" in out.split("consistency")[1].split("\n")[0]


def test_a_law_with_too_many_parameters_for_the_readings_is_not_called_wrong():
    """Four readings of a liquid: further parameters cost more than they earn, and the law contains the liquid's own."""
    liquid = curve(np.geomspace(1, 100, 4), rk.Newtonian(2.0))
    found = rk.compare([rk.Newtonian, rk.PowerLaw, rk.HerschelBulkley], liquid).verdict
    assert found["power law"] == found["Herschel-Bulkley"] == "too many parameters for 4 readings"
    power = curve(np.geomspace(1, 100, 6), rk.PowerLaw(300.0, 0.3))
    assert rk.compare([rk.PowerLaw, rk.Newtonian], power).verdict["Newtonian"] == "does not describe these readings"


def test_without_a_drive_or_rates_what_can_be_judged_is_and_the_rest_is_named():
    """Slump and plate alone, no drive: no traceback, no number from an arbitrary law, the stack from the yield stress."""
    fit = without_rates()
    material = rk.Material.of(fit, density=1300.0)
    nozzle = rk.Nozzle(rk.Cylinder(diameter=1.6 * mm, length=10 * mm))
    rig = rk.Extruder(barrel_diameter=20 * mm, fill_length=50 * mm, plunger_friction=5.0, nozzle=nozzle)
    job = rk.PrintJob(print_speed=15 * mm, layer_height_to_bore=0.6, line_width_to_bore=1.25, part_height=20 * mm)
    said = rk.verdict(rk.Case.of(material, rig, job))
    assert "Inside every limit" not in said and "Cannot be called safe: pressure in the barrel is not judged." in said
    assert f"rated pressure ({OPEN})" in said and "drive force, start after rest (no drive)" in said
    stack = rk.window(material, rig, job, "part_height", limits=["stack"])
    assert stack.stops_high == "stack"
    best = planning.widest_margin(material, rig, job, {"bore": (1 * mm, 3 * mm), "print_speed": (5 * mm, 20 * mm)})
    assert "No limit that could be judged depends on print speed v." in best["words"]
    assert f"rated pressure ({OPEN})" in planning.what_if(material, rig, job, draws=50).attrs["unjudged"]
    table = material.table
    assert table.loc[["consistency", "flow_index"], "value"].isna().all()
    assert table.loc["consistency", "origin"] == OPEN
    assert table.loc["yield_stress", "value"] == pytest.approx(fit.law.yield_stress)


@pytest.mark.slow
def test_a_law_with_a_parameter_that_no_reading_tells_is_not_called_best():
    """A slump and a plate tell the yield stress alone: nothing of them speaks for a plastic viscosity, or a flow index."""
    found = rk.compare([rk.PowerLaw, rk.Bingham, rk.HerschelBulkley], *yield_alone())
    assert found.verdict["Bingham"] == found.verdict["Herschel-Bulkley"] == "too many parameters for 6 readings"
    assert found.verdict["power law"] == "has no yield stress, which the cylinder slump shows"
    assert found.AICc.isna().all()


def test_a_value_that_no_reading_tells_is_not_judged():
    result = rk.fit(
        rk.HerschelBulkley, *yield_alone(), start={"yield_stress": 200.0, "consistency": 20.0, "flow_index": 0.06}
    )
    assert result.law.flow_index < 0.1
    row = result.checks.set_index("question").loc["plausible for a paste"]
    assert row.passed
    assert row.comment == (
        "Yield stress and flow index, as far as the readings fix them, lie where those of pastes and gels lie. Not judged, since the readings do not fix it: flow_index."
    )


def yield_alone():
    slump = rk.CylinderSlump(height=0.1, diameter=0.1, density=1500.0, slump=[0.06, 0.061, 0.0595], model_error=0.25)
    plate = rk.LoadedPlate(volume=12e-6, force=10.0, radius=[0.03, 0.0301, 0.0297], model_error=0.15)
    return slump, plate


# --- whoever takes the law by itself ----------------------------------------------------------------------------------


@pytest.mark.filterwarnings("ignore::rheokit.ModelRangeWarning")  # of an arbitrary flow index
def test_whoever_computes_with_a_law_that_is_one_of_many_is_told():
    fit = quietly(rk.HerschelBulkley, *slump_and_plate())
    for title, ask in (
        ("Extruder.plunger_force", lambda law: RIG.plunger_force(law, 23 * mm**3)),
        ("Nozzle.pressure_drop", lambda law: NOZZLE.pressure_drop(law, flow_rate=23 * mm**3)),
        ("HerschelBulkley.shear_stress", lambda law: law.shear_stress(10.0)),
        ("rise", lambda law: rk.rise(RIG, law, 23 * mm**3, 0.05)),
    ):
        words = f"^{title}: this law is one of many that its readings cannot tell apart; {OPEN}.$"
        with pytest.warns(rk.NotIdentifiedWarning, match=words):
            ask(fit.law)
    assert RIG.start_force(fit.law) > 0  # a yield stress is known: nothing is said, and no warning raised
    only = quietly(rk.HerschelBulkley, slump_and_plate()[1], curve([0.1, 1.0, 10.0, 100.0]))
    assert only.law.left_open == "" and only.law.alike is None
    assert RIG.plunger_force(only.law, 23 * mm**3) > 0


def test_a_case_made_of_the_paste_alone_knows_what_is_left_open():
    fit = quietly(rk.HerschelBulkley, *slump_and_plate())
    paste = rk.Material.of(fit).paste
    for case in (
        rk.Case(paste=paste, extruder=RIG, job=JOB),
        rk.Case.of(rk.Material(paste=paste), RIG, JOB),
    ):
        assert f"Not judged: rated pressure, drive force ({OPEN})" in rk.verdict(case)
        assert judge(case).remedy["drive force"] == f"add {RATES}"


def test_the_test_that_was_made_is_not_asked_for_again():
    stiff = rk.CylinderSlump(**CYLINDER, slump=[0.005], uncertainty=1 * mm, model_error=0.2)
    needs = quietly(rk.HerschelBulkley, stiff).not_identified["yield_stress"]
    assert "slump" not in needs and needs.startswith("a test of the yield stress: a loaded plate")


def test_a_median_of_a_few_batches_that_differ_needs_more_batches():
    tests = [
        replace(test, batch=batch)
        for batch, factor in (("A", 1.0), ("B", 2.4), ("C", 0.5))
        for test in (curve([1.0, 3.0, 10.0, 30.0, 100.0], rk.Shifted(TRUTH, factor)),)
    ]
    (row,) = checks.identified(quietly(rk.HerschelBulkley, *tests))
    assert not row.passed
    assert row.comment.endswith("settle it with more batches: most of it is the spread between them.")


def test_a_limit_without_end_over_laws_alike_is_no_warning_of_arithmetic():
    """An unrated barrel under gas may bear nothing: its room is minus infinite for every law."""
    with warnings.catch_warnings():
        warnings.simplefilter("error", RuntimeWarning)
        found = judge(case_without_rates(rk.AirDrive(200 * kPa)), ["rated pressure"])
    assert found.verdict["rated pressure"] == "broken"


# --- broken, whichever of the laws it is ------------------------------------------------------------------------------

BROKEN_ANYWAY = f"broken by every law that the readings leave open ({OPEN})"
NARROW = rk.Nozzle(rk.Cylinder(diameter=0.8 * mm, length=40 * mm))
WEAK = rk.ScrewDrive(torque=0.015, lead=2 * mm, efficiency=0.2)


CAUTION = "1 of 12 checks failed: read it before use"  # that the readings leave parameters open


def case_without_rates(drive, nozzle=NOZZLE, law=None, **job):
    material = rk.Material.of(without_rates(), density=1100.0)
    rig = replace(RIG, pressure_rating=None, drive=drive, nozzle=nozzle)
    if law is not None:
        material = rk.Material(paste=replace(material.paste, law=law))
    return rk.Case.of(material, rig, replace(JOB, **job))


def test_gas_on_an_unrated_barrel_is_broken_whatever_the_law():
    """Nothing is allowed there, and the regulator's pressure hangs on no law: as with a law that is known."""
    case = case_without_rates(rk.AirDrive(200 * kPa))
    found, known = judge(case), judge(case_without_rates(rk.AirDrive(200 * kPa), law=TRUTH))
    for name in ("rated pressure", "supplied pressure"):
        assert found.verdict[name] == known.verdict[name] == "broken"
        assert found.margin[name] == known.margin[name] == -np.inf
        assert (found.high[name], found.remedy[name]) == (0.0, known.remedy[name])
    assert np.isnan(found.value["rated pressure"]), "no number from an arbitrary law"
    assert found.words["rated pressure"] == f"{CAUTION}. pressure in the barrel: {BROKEN_ANYWAY}; at most 0 Pa allowed"
    assert found.words["supplied pressure"] == "gas pressure behind the plunger: 200 kPa; at most 0 kPa allowed"
    said = rk.verdict(case)
    assert "Stopped by " in said and "No limit judged is broken" not in said
    assert "is not judged" not in said and f"drive force ({OPEN})" in said.partition("Not judged: ")[2]
    page = {row[1]: row for row in limit_rows(found)}["pressure in the barrel"]
    assert page[:5] == ["broken", "pressure in the barrel", "", "at most 0 Pa", ""] and BROKEN_ANYWAY in page[5]


@pytest.mark.parametrize(
    ("drive", "nozzle", "broken", "unjudged"),
    [
        (RIG.drive, NARROW, {"rated pressure"}, {"drive force"}),
        (WEAK, NOZZLE, {"drive force"}, {"rated pressure"}),
        (WEAK, NARROW, {"rated pressure", "drive force"}, set()),
        (rk.HandDrive(), NARROW, {"rated pressure", "hand force"}, set()),
        (RIG.drive, NOZZLE, set(), {"rated pressure", "drive force"}),
    ],
)
def test_what_every_law_left_open_breaks_is_broken(drive, nozzle, broken, unjudged):
    """The least of them is held against what is allowed: laws from K = 0 up, by hand from the pressure of each."""
    case = case_without_rates(drive, nozzle)
    found = judge(case)
    assert {name for name in broken | unjudged if found.verdict[name] == "broken"} == broken
    assert {name for name in broken | unjudged if found.verdict[name] == "not judged"} == unjudged
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        least = np.min(case.extruder.pressure(case.laws_alike, float(case.flow_rate)))
        bears = max(least, float(case.start_pressure))
    spread = np.hypot(0.15, case.stress_spread)
    if "rated pressure" in broken:
        assert found.margin["rated pressure"] == pytest.approx(np.log(100 * kPa / bears) - 1.959964 * spread)
        assert (
            found.words["rated pressure"]
            == f"{CAUTION}. pressure in the barrel: {BROKEN_ANYWAY}; at most 100 kPa allowed"
        )
    if "drive force" in broken:
        assert found.margin["drive force"] == pytest.approx(np.log(WEAK.force / (least * case.extruder.area + 8.0)))
    said = rk.verdict(case)
    assert "Stopped by " in said or not broken
    for name in broken:
        assert found.label[name] in said and name not in said.partition("Not judged: ")[2]
    for name in unjudged:
        assert name in said.partition("Not judged: ")[2]


def test_a_point_that_every_law_left_open_breaks_has_no_chance():
    material = rk.Material.of(without_rates(), density=1100.0)
    rig = replace(RIG, pressure_rating=None, nozzle=NARROW, drive=WEAK)
    found = planning.chance(material, rig, JOB, draws=200)
    assert found.probability[0, 0] == 0.0
    assert "Broken by every law that the readings leave open: rated pressure, drive force." in found.unjudged
    point = {name: float(values[0]) for name, values in found.axes.items()}
    said = answer(found, charts.place_words(point))
    assert f": stopped, pressure in the barrel: {BROKEN_ANYWAY}" in said
    roomy = planning.chance(material, RIG, JOB, draws=200)
    assert roomy.probability[0, 0] > 0.5 and "Broken" not in roomy.unjudged


@pytest.mark.parametrize(
    ("low", "high", "name", "needed"),
    [
        (0.1, 800.0, "zero_shear_viscosity", "readings at slower rates than 0.1 1/s, where the viscosity no longer rises; a paste with a yield stress has no such plateau, take a law with one"),
        (0.1, 800.0, "transition", "readings at slower rates than 0.1 1/s, where the viscosity no longer rises; a paste with a yield stress has no such plateau, take a law with one"),
        (0.1, 800.0, "final_viscosity", "readings at faster rates than 800 1/s, where the viscosity no longer falls"),
        (0.1, 800.0, "flow_index", "readings at several rates (so far 0.1 to 800 1/s): a syringe run or a flow curve at the rates of use"),
        (10.0, 10.0, "zero_shear_viscosity", "readings at several rates (so far 10 1/s alone): a syringe run or a flow curve at the rates of use"),
    ],
)  # fmt: skip
def test_a_plateau_is_looked_for_at_its_end_of_the_rates(low, high, name, needed):
    rates = np.geomspace(low, high, 12)
    fit = quietly(
        rk.CarreauYasuda, rk.FlowCurve(shear_rate=rates, shear_stress=60 + 12 * rates**0.45, relative_uncertainty=0.02)
    )
    assert needs(fit, name) == needed
