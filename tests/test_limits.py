"""Limits: one sense of margin, words with units, and what is not asked or not known said so."""

import math
from dataclasses import replace

import numpy as np
import pytest
from worked import example_faults, examples_of, limit_results, worked_case

import rheokit as rk
from rheokit.limits import LIMITS, Case, Limit, judge, sure, verdict
from rheokit.limits.clog import Clog
from rheokit.limits.condition_ranges import ConditionRange
from rheokit.limits.cracking import Cracking
from rheokit.limits.plain import OF_FIBRES
from rheokit.origins import is_fitted, word_of
from rheokit.paste.material import Material, Paste
from rheokit.units import ATMOSPHERE, kPa, mm

pytestmark = pytest.mark.filterwarnings("ignore::rheokit.UnlikelyWarning")  # pastes made worse without end

OLIVE = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
FULL = Paste(
    law=OLIVE, static_ratio=1.23, density=1110.0, air_content=0.034, modulus=25e3, build_up_rate=0.15, build_up_time=600.0,
    grain_size=180e-6, largest_grain=250e-6, water_content=1.045, water_slope=3.23, porosity=0.62, drag_diameter=55e-6,
    liquid_viscosity=20.0, diffusivity=5e-10, dry_density=540.0, skin_loss=0.1,
)  # fmt: skip
SCREW = rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25)


def rig(bore=1.6 * mm, **changes):
    settings = {
        "barrel_diameter": 26.7 * mm,
        "fill_length": 60 * mm,
        "plunger_friction": 8.0,
        "nozzle": rk.Nozzle(rk.Cylinder(diameter=bore, length=12 * mm)),
        "drive": SCREW,
        "pressure_rating": 1000 * kPa,
    }
    return rk.Extruder(**(settings | changes))


def job(**changes):
    settings = {"print_speed": 15 * mm, "layer_height": 1.0 * mm, "line_width": 1.9 * mm, "part_height": 10 * mm}
    return rk.PrintJob(**(settings | changes))


def case(paste=FULL, extruder=None, **changes):
    return Case(paste=paste, extruder=extruder or rig(), job=job(**changes), rate_range=(3.6, 285.0), yield_read=True)


EVERYTHING = {"path_length": 0.2, "span": 5 * mm, "drying_flux": 60e-3 / 3600, "longest_lag": 60.0}


@pytest.mark.parametrize("name", LIMITS)
def test_worked_examples(name):
    """Kind: independent. Numbers from outside the code, to 1e-6: value, bounds and margin, and with the formula's error."""
    limit = LIMITS[name]
    found = examples_of(type(limit), "value, low and high where it has them, margin, and 'margin with error'")
    for example in found:
        assert example_faults(example, limit_results(limit)) == []
        assert {"value", "margin"} < set(example.expected)
    expected = {key for example in found for key in example.expected}
    bounds = {side for side in ("low", "high") if getattr(type(limit), side) is not getattr(Limit, side)}
    assert bounds | ({"margin with error"} if limit.model_error else set()) <= expected


@pytest.mark.parametrize("name", LIMITS)
def test_contract(name):
    """Every limit has its words, and one sense of margin: positive inside, zero on the line, negative outside."""
    limit = Cracking(cracked_above=0.05) if name == "cracking" else LIMITS[name]
    assert limit.jobs and set(limit.jobs) <= {"print", "fibre"}
    for words in ("name", "label", "formula", "source", "remedy"):
        assert getattr(limit, words), words
    drives = {"hand force": rk.HandDrive(), "supplied pressure": rk.AirDrive(pressure=300 * kPa)}
    extruder = rig(drive=drives.get(name, SCREW))
    asked = case(extruder=extruder, **EVERYTHING)
    if name == "temperatures read":
        asked = worked_case({"temperature_range": (290.0, 320.0)}, draws=True)
    if isinstance(limit, ConditionRange):
        asked = worked_case(limit.example.given)
    if "print" not in limit.jobs:
        own = {"pause": {"nozzle_temperature": None}, "hold temperature": {"barrel_temperature": 338.0}}
        asked = worked_case(OF_FIBRES | own.get(name, {}), draws=True)
    assert limit.judges(asked), limit.missing(asked)
    value, low, high = limit.value(asked), limit.low(asked), limit.high(asked)
    margin = limit.margin(asked)
    bounds = [np.log(value / low)] if low is not None else []
    bounds += [np.log(high / value) - limit.allowance(asked)] if high is not None else []
    if limit.width:
        bounds = [(value - low) / limit.width] if low is not None else []
        bounds += [(high - value) / limit.width] if high is not None else []
    assert float(margin) == pytest.approx(float(min(bounds)))
    drawn = limit.margin(asked, lambda key: np.array([-1.0, 0.0, 1.0])[:, None, None])
    part = 1 - float(limit.exact_part(asked)) / float(value)  # of the value that the model error acts on
    spread = np.log(part * np.exp([-limit.model_error, limit.model_error]) + 1 - part)
    if limit.width:
        spread = [-limit.model_error, limit.model_error]
    assert np.ptp(drawn) == pytest.approx(np.ptp(spread), rel=1e-6) or (low is not None and high is not None)


@pytest.mark.parametrize("name", ["drive force", "start after rest", "hand force"])
def test_the_error_of_the_nozzle_theory_does_not_act_on_friction(name):
    """Kind: exact, by hand. A drawn error e moves a force from p A_0 + F_f to p A_0 exp(e) + F_f; all friction, none of it."""
    drive = rk.HandDrive() if name == "hand force" else SCREW
    for friction in (0.0, 8.0, 2000.0):
        here = case(extruder=rig(drive=drive, plunger_friction=friction))
        pushed = (here.start_pressure if name == "start after rest" else here.pressure) * here.extruder.area
        drawn = LIMITS[name].margin(here, lambda key: np.array([-1.0, 1.0])[:, None, None]).ravel()
        error = np.array([-1.0, 1.0]) * LIMITS[name].model_error
        allowed = 38.0 if name == "hand force" else SCREW.force
        assert drawn == pytest.approx(np.log(allowed / (pushed * np.exp(error) + friction)), rel=1e-9)
        assert LIMITS[name].value(here) == pytest.approx(pushed + friction)


@pytest.mark.parametrize(
    ("name", "better", "worse"),
    [
        ("clog", {"grain_size": 100e-6, "largest_grain": None}, {"grain_size": 400e-6, "largest_grain": 400e-6}),
        ("stack", {"static_ratio": 2.0}, {"static_ratio": 0.01}),
        ("lean", {"modulus": 100e3}, {"modulus": 1e3}),
        ("line holds", {"static_ratio": 2.0}, {"static_ratio": 0.01}),
        ("span", {"modulus": 100e3, "static_ratio": 3.0}, {"modulus": 10.0}),
        ("speed floor", {"liquid_viscosity": 100.0}, {"liquid_viscosity": 0.01}),
        ("lag", {"air_content": 0.005}, {"air_content": 0.3}),
    ],
)
def test_margins_follow_the_paste(name, better, worse):
    usual = LIMITS[name].margin(case(**EVERYTHING))
    assert LIMITS[name].margin(case(replace(FULL, **better), **EVERYTHING)) > usual
    assert LIMITS[name].margin(case(replace(FULL, **worse), **EVERYTHING)) < min(usual, 0)


def test_a_stiff_paste_runs_from_a_screw_driven_rated_barrel():
    """Common practice, no source: 1.6 mm bore, 1 mm layers, screw-driven barrel; feasible, by a force a hand could push."""
    here = Case.of(Material(paste=FULL), rig(), job())
    table = judge(
        here,
        [
            LIMITS[name]
            for name in ("rated pressure", "drive force", "start after rest", "clog", "layer height", "line width")
        ],
    )
    assert set(table.verdict) == {"inside"}
    assert here.force < 64
    assert verdict(here, LIMITS.values()).startswith("Inside every limit judged")


def test_the_same_in_an_unrated_syringe_is_stopped():
    here = Case.of(Material(paste=FULL), rig(pressure_rating=None), job())
    assert judge(here, LIMITS.values()).loc["rated pressure", "verdict"] == "broken"
    words = verdict(here, LIMITS.values())
    assert words.startswith("Stopped by pressure in the barrel") and "Your laboratory's own rules" in words


def test_air_on_an_unrated_syringe_is_never_allowed():
    soft = replace(FULL, law=rk.HerschelBulkley(yield_stress=1.0, consistency=1.0, flow_index=0.5))
    here = Case.of(Material(paste=soft), rig(pressure_rating=None, drive=rk.AirDrive(pressure=50 * kPa)), job())
    assert LIMITS["rated pressure"].margin(here) == -math.inf
    assert judge(here, [LIMITS["rated pressure"]]).verdict.item() == "broken"


def test_gas_behind_the_plunger_is_judged_whatever_the_paste_needs():
    """A regulator above half the rating is refused, however soft the paste; a screw is only warned of."""
    soft = replace(FULL, law=rk.HerschelBulkley(yield_stress=1.0, consistency=1.0, flow_index=0.5))
    for pressure, held in ((499, True), (501, False)):
        here = case(soft, rig(drive=rk.AirDrive(pressure=pressure * kPa)))
        assert (LIMITS["supplied pressure"].margin(here) >= 0) == held
        assert LIMITS["rated pressure"].margin(here) > 0
    found = judge(case(soft, rig(pressure_rating=None)), [LIMITS["rated pressure"], LIMITS["supplied pressure"]])
    assert list(found.verdict) == ["inside", "not asked"]
    assert found.caution.iloc[0].startswith(
        "If the tip blocks, this drive makes 421 kPa, and the barrel may bear 100 kPa: limit the drive to 56 N"
    )


def test_hard_limits_hold_at_their_sure_value():
    """Kind: exact. 1.96 standard deviations of model and batch are kept free."""
    here = Case.of(Material(paste=FULL, batch_spread=0.2), rig(), job())
    margin = LIMITS["rated pressure"].margin(here)
    assert margin == pytest.approx(math.log(500e3 / float(here.pressure)) - 1.959964 * math.hypot(0.15, 0.2))


def test_hand_force_is_asked_of_a_hand_alone():
    assert not LIMITS["hand force"].asked(case())
    by_hand = case(extruder=rig(drive=rk.HandDrive()))
    assert LIMITS["hand force"].asked(by_hand) and not LIMITS["drive force"].asked(by_hand)


def test_a_long_pause_stops_what_would_run():
    """A static yield stress of four times the dynamic one: it runs, and does not start again."""
    drive = rk.ScrewDrive(torque=65 * 2e-3 / (2 * math.pi * 0.25), lead=2 * mm, efficiency=0.25)
    rested = case(replace(FULL, static_ratio=4.0), rig(drive=drive))
    assert LIMITS["drive force"].margin(rested) > 0 > LIMITS["start after rest"].margin(rested)


def test_lag_is_boyles_law():
    """Kind: exact. Gas of 3.4 % of the fill, squeezed from 1 to 1 + p/p0 atmospheres by the flow that is set."""
    here = case(**EVERYTHING)
    gas = 0.034 * here.extruder.area * 60 * mm
    squeezed = gas * (1 - ATMOSPHERE / (ATMOSPHERE + here.pressure))
    assert LIMITS["lag"].value(here) == pytest.approx(squeezed / here.flow_rate)


def test_clog_factor_is_a_setting():
    assert Clog(clog_factor=10.0).margin(case()) == pytest.approx(LIMITS["clog"].margin(case()) - math.log(2))


def test_layers_too_quick_and_too_late():
    tall = case(replace(FULL, static_ratio=0.1), **EVERYTHING | {"part_height": 50 * mm, "path_length": 0.01})
    assert LIMITS["layer time"].margin(tall) < 0
    assert LIMITS["layer time"].remedy_for(tall).startswith("slow down")
    late = case(**EVERYTHING | {"path_length": 500.0})
    assert LIMITS["layer time"].margin(late) < 0
    assert LIMITS["layer time"].remedy_for(late).startswith("cover")


@pytest.mark.parametrize(("share", "side"), [(0.7, 0), (1.15, 0), (1.3, 1), (2.0, 1)])
def test_a_remedy_is_that_of_the_bound_that_is_broken_or_nearest(share, side):
    """By hand: a line is to be 1 to 1.5 bores wide, whose geometric mean is 1.22; the draw of a thread that no break ratio ends, below 1."""
    limit = LIMITS["line width"]
    assert limit.remedy_for(case(line_width=share * 1.6 * mm)) == limit.remedies[side]
    drawn = worked_case(OF_FIBRES | {"break_ratio": None}, draws=True)
    assert LIMITS["draw ratio"].remedy_for(drawn) == "a wider needle or a faster drum"


def test_words_carry_numbers_units_and_remedy():
    row = judge(case(part_height=100 * mm), [LIMITS["lean"]]).loc["lean"]
    assert row.verdict == "broken" and row.remedy
    assert row.words.startswith("height before the wall leans: 100 mm; at most 14")


def test_what_cannot_be_judged_is_said():
    table = judge(case(replace(FULL, modulus=None)), LIMITS.values())
    assert table.loc["lean", "verdict"] == "not judged" and "modulus not known" in table.loc["lean", "words"]
    assert table.loc["span", "verdict"] == "not asked"


@pytest.mark.parametrize("name", ["line holds", "stack", "span"])
def test_a_law_without_a_yield_stress_leaves_strength_open(name):
    thin = case(replace(FULL, law=rk.PowerLaw(consistency=210.0, flow_index=0.38)), **EVERYTHING)
    assert LIMITS[name].missing(thin) == "yield_stress not known"
    assert LIMITS["lean"].judges(thin)


def test_rates_outside_the_readings_are_no_failure():
    fast = Case(paste=FULL, extruder=rig(), job=job(), rate_range=(1.0, 5.0), yield_read=True)
    assert judge(fast, [LIMITS["rates read"]]).verdict.item() == "outside the readings"
    assert verdict(fast, [LIMITS["rates read"], LIMITS["clog"]]) == (
        "No limit judged is broken. First to bind: bore against grains: 1.6 mm; at least 0.9 mm allowed (a factor 1.8 of "
        "room). Outside the readings: shear rate at the wall, from barrel to bore: 115 1/s (in the bore); at most 5 1/s allowed. "
        "Measure at the rates of use; until then the prediction is an extrapolation. Never raise pressure to clear a clog: "
        "vent, remove, clear."
    )


def test_a_limit_of_ones_own_is_one_class():
    class Floor(Limit):
        name, label, unit = "warm enough", "temperature", "K"
        formula, source, remedy = "T ≥ 288 K", "common practice, no source", "warm the room"

        def value(self, case):
            return 280.0

        def low(self, case):
            return 288.0

    assert Floor().margin(case()) == pytest.approx(math.log(280 / 288))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"layer_height": None}, "give either layer_height"),
        ({"line_width_to_bore": 1.2}, "give either line_width"),
        ({"shape": "cube"}, "shape = 'cube'"),
        ({"shape": "ring"}, "a ring needs its ring_radius"),
        ({"print_speed": -1.0}, "print_speed = -1"),
        ({"part_height": math.nan}, "part_height = nan"),
    ],
)
def test_jobs_that_cannot_be(changes, words):
    with pytest.raises(rk.DataError, match=words):
        job(**changes)


# --- what a verdict claims ----------------------------------------------------------------------------------------

LINE_AND_WALL = [LIMITS[name] for name in LIMITS if name in ("clog", "stack", "lean", "line holds", "line width")]


def test_a_verdict_names_what_it_did_not_judge_and_what_was_lacking():
    bare = case(Paste(law=OLIVE), rig(drive=None))
    names = {
        "lean", "clog", "drive force", "layer height", "line holds", "line width", "rated pressure", "span", "speed floor",
        "stack", "start after rest",
    }  # fmt: skip
    limits = [limit for name, limit in LIMITS.items() if name in names]
    assert verdict(bare, limits) == (
        "Inside every limit judged; first to bind: line width over bore: 1.19; at least 1 and at most 1.5 allowed (a factor "
        "1.2 of room). Not judged: clog (grain size not known); drive force, start after rest (no drive); lean (modulus, density "
        "not known); line holds, stack (density not known); speed floor (porosity, drag diameter, liquid "
        "viscosity not known)."
    )
    assert set(judge(bare, limits).verdict) == {"inside", "not judged", "not asked"}


@pytest.mark.parametrize(
    ("lacking", "words"),
    [
        ({"density": None}, "Not judged: lean, line holds, stack (density not known)."),
        ({"modulus": None}, "Not judged: lean (modulus not known)."),
        ({"grain_size": None}, "Not judged: clog (grain size not known)."),
        ({"largest_grain": None}, "Judged in part: clog (largest grain not known)."),
        ({}, "a factor 1.2 of room)."),
    ],
)
def test_each_lack_is_named(lacking, words):
    assert verdict(case(replace(FULL, **lacking)), LINE_AND_WALL).endswith(words)


def test_air_and_compliance_that_are_not_known():
    unknown = case(replace(FULL, air_content=None), **EVERYTHING)
    assert verdict(unknown, [LIMITS["lag"], LIMITS["line width"]]).endswith("Not judged: lag (air content not known).")
    words = verdict(case(**EVERYTHING), [LIMITS["lag"]])
    assert "19.3 s (at least: how far barrel and plunger give way is not known); at most 60 s allowed" in words
    assert words.endswith("Judged in part: lag (compliance not known).")
    assert "in part" not in verdict(case(extruder=rig(compliance=1e-13), **EVERYTHING), [LIMITS["lag"]])


def test_a_line_thirty_one_bores_wide_and_not_read_is_not_inside():
    words = verdict(case(line_width=50 * mm), LIMITS.values())
    assert words.startswith(
        "Stopped by line width over bore: 31.2; at least 1 and at most 1.5 allowed. Less flow: a line wider than 1.5 bores coils and "
        "smears. Outside the readings: shear rate at the wall, from barrel to bore: "
    )
    assert "Inside" not in words


def test_rates_are_asked_for_from_the_barrel_to_the_bore():
    """Kind: independent. A barrel slower than what was read is outside it, unless a test reads the yield stress or it carries nothing."""
    read = {"paste": FULL, "extruder": rig(), "job": job(), "rate_range": (3.6, 285.0)}
    barrel, stiff = judge(Case(**read), ["rates read"]).iloc[0], replace(rig(), barrel_drag=0.01)
    assert barrel.verdict == "outside the readings" and "(where it is 26.7 mm wide)" in barrel.words
    apparent = 32 * float(Case(**read).flow_rate) / (math.pi * (26.7 * mm) ** 3)
    assert OLIVE.apparent_shear_rate(OLIVE.shear_stress(barrel.value)) == pytest.approx(apparent, rel=1e-9)
    assert "Outside the readings" in verdict(Case(**read))
    for covered in ({"yield_read": True}, {"extruder": stiff}, {"extruder": replace(rig(), fill_length=0.0)}):
        assert judge(Case(**(read | covered)), ["rates read"]).verdict.item() == "inside", covered


@pytest.mark.parametrize(
    ("missed", "verdict_on_it"), [(0.99, "inside"), (1.01, "inside"), (1.03, "outside the readings")]
)
def test_a_rate_that_nearly_was_read_counts_as_read(missed, verdict_on_it):
    """Kind: exact. 2 % beyond the fastest reading is that reading; 3 % is not."""
    asked = {"paste": FULL, "extruder": rig(), "job": job(), "yield_read": True}
    fast = float(judge(Case(**asked, rate_range=(1.0, 1e4)), ["rates read"]).value.iloc[0])
    row = judge(Case(**asked, rate_range=(1.0, fast / missed)), ["rates read"]).iloc[0]
    assert row.verdict == verdict_on_it and row.value == pytest.approx(fast if missed != 1.01 else row.high, rel=1e-12)


def test_a_law_that_rests_on_no_rate_says_so():
    slow = replace(case(), rate_range=None)
    assert verdict(slow, [LIMITS["rates read"], LIMITS["line width"]]).endswith(
        "Not judged: rates read (no shear rate read)."
    )


def test_a_liquid_cannot_be_called_printable():
    """A dope without a yield stress: every limit of strength is left open."""
    dope = case(replace(FULL, law=rk.PowerLaw(consistency=50.0, flow_index=0.6)), rig(break_loose_friction=12.0))
    words = verdict(dope)
    assert words.startswith(
        "Cannot be called printable: the law has no yield stress, so whether what is laid keeps its shape is not judged. "
    )
    assert words.endswith("Not judged: line holds, stack (yield stress not known).")
    assert "nside" not in words


def test_a_hard_limit_that_is_not_judged_is_never_passed_over():
    class Sealed(type(LIMITS["rated pressure"])):
        def missing(self, case):
            return "not identified: needs a flow curve"

    words = verdict(case(), [Sealed(), LIMITS["line width"]])
    assert words.startswith(
        "Cannot be called safe: pressure in the barrel is not judged. No limit judged is broken. First to bind: "
    )
    assert words.endswith("Not judged: rated pressure (not identified: needs a flow curve).")


def test_a_case_begins_with_what_its_fit_warns_of():
    warned = replace(case(), caveats=("9 of 22 checks failed: not to be used.",))
    assert verdict(warned, LINE_AND_WALL).startswith(
        "9 of 22 checks failed: not to be used. No limit judged is broken. First to bind: "
    )


def test_the_first_to_bind_is_the_first_of_the_table():
    """A hard limit before all others, then the least room; what is outside the readings before what is inside."""
    stopped = case(extruder=rig(pressure_rating=None), line_width=50 * mm, part_height=100 * mm)
    table = judge(stopped)
    assert list(table.index[:2]) == ["rated pressure", "line width"]
    assert table.margin["rated pressure"] > table.margin["line width"]
    assert verdict(stopped).startswith(f"Stopped by {table.words.iloc[0]}.")
    inside = judge(case())
    assert np.all(np.diff(inside.margin[inside.verdict == "inside"]) >= 0)
    assert f"first to bind: {inside.words.iloc[0]} (a factor" in verdict(case())


def test_a_layer_time_whose_upper_end_is_not_known():
    """A drying flux raises the question; where nothing of the paste answers it, it is not judged, and not unasked."""
    dry = replace(FULL, diffusivity=None, skin_loss=None)
    asked = case(dry, **EVERYTHING)
    assert LIMITS["layer time"].left_open(asked) == "diffusivity, skin_loss not known"
    resting = case(replace(dry, build_up_rate=0.0), **EVERYTHING)
    assert judge(resting, [LIMITS["layer time"]]).words.item() == (
        "time of a layer: cannot be judged, diffusivity, skin loss not known"
    )


def test_a_hand_has_one_set_of_words():
    """Published: Robinson et al. 2020, the bands of effort; script, verdict and formula take them from the drive."""
    push = case(extruder=rig(drive=rk.HandDrive(), plunger_friction=9.0))
    force = float(push.force)
    assert 38 < force < 64
    assert rk.HandDrive.effort(force) == "great effort: 38 to 64 N"
    assert verdict(push).startswith(
        f"Stopped by force by hand: {force:.3g} N (great effort: 38 to 64 N); at most 38 N allowed."
    )
    assert rk.HandDrive.effort(5.0) == "easy effort: 0 to 12 N"
    assert rk.HandDrive.effort(12.0) == "easy effort: 0 to 12 N"
    assert rk.HandDrive.effort(64.1) == "not injectable: above 64 N"


def test_no_hand_is_inside_where_nothing_can_be_injected():
    """Published: Robinson et al. 2020, not injectable above 64 N, whatever is asked of the hand; running and starting."""
    push = case(extruder=rig(drive=rk.HandDrive(500.0), plunger_friction=60.0, break_loose_friction=70.0))
    assert 64 < float(push.force) < 500
    row = judge(push).loc["hand force"]
    assert (row.verdict, row.high) == ("broken", 64.0)
    assert row.words.endswith("N (not injectable: above 64 N); at most 64 N allowed")
    assert judge(push).loc["start after rest"].high == 64.0
    easy = case(extruder=rig(drive=rk.HandDrive(30.0)))
    assert judge(easy).loc["hand force"].high == 30.0


def test_a_fit_whose_checks_fail_stamps_the_verdict():
    """One invented reading of twelve is 40 % off: verdict, window and map begin with what the fit says of itself."""
    curve = curve_without_fault()
    fit = rk.fit(rk.Newtonian, replace(curve, shear_stress=curve.shear_stress * np.where(np.arange(12) == 4, 1.4, 1.0)))
    assert "checks failed: not to be used." in fit.stamp
    material = Material.of(fit)
    assert material.caveats == (fit.stamp,)
    assert verdict(Case.of(material, rig(), job())).startswith(fit.stamp)
    assert Material.of(rk.fit(rk.Newtonian, curve_without_fault())).caveats == ()


def test_a_case_of_a_fit_is_judged_by_its_draws_without_being_asked():
    """One job, one answer: that of `sure`, which pages and scripts give; a paste that was moved has no draws, and says so."""
    case = Case.of(Material.of(rk.fit(rk.Newtonian, curve_without_fault())), rig(), job())
    assert judge(case).equals(judge(sure(case, case.material)))
    assert verdict(case) == verdict(sure(case, case.material))
    hard = judge(case).loc["rated pressure"]
    assert hard.margin == pytest.approx(
        math.log(500 * kPa / float(case.pressure)) - sure(case, case.material).kept_free["rated pressure"]
    )
    moved = replace(case, paste=case.paste.stiffer(1.2))
    assert judge(moved).words["rated pressure"].count("in 97.5 of 100 batches of the law as it is") == 1
    assert hard.words.count("in 97.5 of 100 next batches, law and formula in doubt as well") == 1


def test_a_table_of_limits_says_in_each_row_that_rests_on_the_law_that_checks_of_its_fit_failed():
    """The stray reading again: eight rows "inside" stood there without a word. Grains against the bore rest on no law."""
    curve = curve_without_fault()
    fit = rk.fit(rk.Newtonian, replace(curve, shear_stress=curve.shear_stress * np.where(np.arange(12) == 4, 1.4, 1.0)))
    doubted = Case.of(Material.of(fit, air_content=0.03, largest_grain=250e-6, grain_size=180e-6), rig(), job())
    short = fit.stamp.partition(". ")[0]
    assert short.endswith("checks failed: not to be used")
    table, plain = judge(doubted), judge(replace(doubted, caveats=()))
    assert list(table.columns) == list(plain.columns) and table.verdict.equals(plain.verdict)
    on_law = ["drive force", "rated pressure", "start after rest", "rates read"]
    for name in on_law:
        assert table.words[name] == f"{short}. {plain.words[name]}"
        assert table.remark[name] == "; ".join(filter(None, [short, plain.remark[name]]))
        assert short in str(table.loc[[name]]), "printed, pandas shows the last column"
    others = ["clog", *table.index[table.verdict.isin(["not judged", "not asked"])]]
    assert len(others) > 3 and table.loc[others].equals(plain.loc[others])
    assert verdict(doubted).count("checks failed") == 1, "said once, before all"


def test_a_table_says_that_its_law_comes_from_a_fit_whose_checks_failed():
    curve = curve_without_fault()
    fit = rk.fit(rk.Newtonian, replace(curve, shear_stress=curve.shear_stress * np.where(np.arange(12) == 4, 1.4, 1.0)))
    material = Material.of(fit)
    assert material.table.origin["viscosity"] == f"fitted: {fit.stamp.partition('. ')[0]}"
    assert material.table.origin["viscosity"].endswith("checks failed: not to be used")
    assert word_of(material.origin("law")) == "fitted"
    from rheokit.widgets.page.rests_on import fit_rows  # here alone: a page is slow to load

    assert fit_rows(fit)[0][-1] == material.origin("law"), "the same on a page"
    assert Material.of(rk.fit(rk.Newtonian, curve)).table.origin["viscosity"] == "fitted"
    bench = rk.Bench(rk.Specimen(paste="an oil", invented=True), list(fit.tests))
    origin = Material.of(rk.fit(rk.Newtonian, bench)).origin("law")
    assert origin == f"invented: fitted to invented readings; {fit.stamp.partition('. ')[0]}" and is_fitted(origin)


def curve_without_fault():
    rates = np.geomspace(1, 100, 12)
    noise = np.exp(0.02 * np.random.default_rng(1).standard_normal(12))
    return rk.FlowCurve(shear_rate=rates, shear_stress=50 * rates * noise, relative_uncertainty=0.02)


def test_a_number_that_no_bench_has_stands_before_the_verdict():
    """A density typed in g/cm3 makes a wall a thousand times lighter: it must not read "inside"."""
    with pytest.warns(rk.UnlikelyWarning):
        light = replace(FULL, density=1.1, dry_density=None)
    said = verdict(case(light))
    assert said.startswith(
        "Not to be relied on: density = 1.1 kg/m³ is outside 500 to 3500 kg/m³, where it usually lies (did you mean "
        "1.1*g/cm**3?)."
    )
    assert "Inside every limit" not in said


def test_what_is_not_known_is_measured_by_a_test_that_is_named():
    """The names are those of the kinds of test, asked of them; what none gives is said to be none's."""
    from rheokit.bench import KINDS
    from rheokit.limits.measuring import how_to_measure

    for limit in rk.LIMITS.values():
        for name in limit.needs:
            said = how_to_measure([name])
            kinds = [kind.kind for kind in KINDS.values() if name in kind.gives]
            assert any(f"(test: {kind})" in said for kind in kinds) if kinds else "no bench test gives" in said, name
    assert how_to_measure([]) == ""
    assert how_to_measure(["density", "heat_capacity"]) == (
        "measure density (test: cup density); no bench test gives heat capacity: type a value with its source"
    )
