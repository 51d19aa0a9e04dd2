"""Limits of a fibre that is drawn and wound: two invented dopes, what is not known, what a job is not asked, and chances."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.special import ive, jn_zeros
from worked import worked_case

import rheokit as rk
from rheokit.limits import LIMITS
from rheokit.limits.plain import OF_FIBRES
from rheokit.machine.cautions import CAUTIONS
from rheokit.planning.chances import chance, what_if
from rheokit.regions import speed_of
from rheokit.units import kPa, mm

THIN = rk.heated(rk.Newtonian, 318.15)(viscosity=0.9198, activation_energy=42e3)
GD30 = rk.Paste(
    law=THIN, density=1090.0, heat_capacity=3300.0, gel_temperature=304.15, setting_time=6.4905, setting_exponent=1.985,
    dry_section=0.33, break_ratio=16.0,
)  # fmt: skip
THICK = rk.heated(rk.Newtonian, 333.15)(viscosity=3.0, activation_energy=45e3)
GD40 = rk.Paste(
    law=THICK, density=1127.0, heat_capacity=3020.0, gel_temperature=306.15, melt_temperature=309.15, setting_time=3.0,
    dry_section=0.448, break_ratio=15.0,
)  # fmt: skip
OWN = {name for name, limit in LIMITS.items() if limit.jobs == ("fibre",)}


def rig(length=25 * mm, **changes):
    settings = {
        "barrel_diameter": 20.1 * mm,
        "fill_length": 60 * mm,
        "plunger_friction": 5.0,
        "nozzle": rk.Nozzle(rk.Cylinder(diameter=0.84 * mm, length=length)),
        "drive": rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25),
        "pressure_rating": 800 * kPa,
    }
    return rk.Extruder(**(settings | changes))


def thin(**changes):
    settings = {
        "throughput": 12e-9, "winding_speed": 0.1260507, "gap": 1.5 * mm, "nozzle_temperature": 307.15, "bath_length": 0.25,
        "bath_temperature": 283.15, "dry_diameter": 0.2 * mm,
    }  # fmt: skip
    return rk.FibreJob(**(settings | changes))


def thick(**changes):
    own = {"throughput": 10e-9, "winding_speed": 0.1426, "gap": 4 * mm, "nozzle_temperature": 311.15}
    return thin(**(own | changes))


def case(paste, extruder, job, **known):
    return rk.Case.of(rk.Material(paste=paste, **known), extruder, job)


# --- the demonstration ------------------------------------------------------------------------------------------------


def test_a_thin_dope_is_drawn_over_a_millimetre_and_a_half_into_a_cold_bath():
    """Kind: independent. Invented dope; figures computed once by another program: even draw 5.82 of 6.63, all else inside."""
    table = rk.judge(case(GD30, rig(), thin()))
    judged = table[~table.verdict.isin(["not judged", "not asked"])]
    assert set(judged.verdict) == {"inside"} and OWN - {"pause"} <= set(judged.index) | {"temperatures read"}
    even = table.loc["even draw"]
    assert (
        even.words
        == "draw ratio against the critical one: 5.82 (surface tension assumed, 0.05 N/m: weigh drops); at most 6.63 allowed"
    )
    assert table.loc["dry diameter"].value == pytest.approx(0.2 * mm, rel=1e-5)
    assert rk.verdict(case(GD30, rig(), thin())).startswith("Inside every limit judged; first to bind: setting before")


@pytest.mark.parametrize(("gap", "stopped"), [(2.0, 0.8), (4.0, 0.24)])
def test_a_longer_gap_is_uneven_and_then_hopeless(gap, stopped):
    """Kind: independent. The same dope: 2 mm is uneven, 4 mm bears a draw of hardly more than 1."""
    long = case(GD30, rig(), thin(gap=gap * mm))
    said = rk.verdict(long)
    assert said.startswith("Stopped by draw ratio against the critical one") and "Shorten the gap" in said
    even = rk.judge(long).loc["even draw"]
    assert even.high / even.value == pytest.approx(stopped, abs=0.02)


def test_a_thick_dope_is_drawn_with_room():
    """Kind: independent. The honey-like invented dope: 88 kPa, 7.90 of 10.3, beads 29 mm, taut 39 mm, setting 2.5, exit 40.3 °C."""
    found = case(GD40, rig(12.7 * mm), thick())
    table = rk.judge(found)
    assert found.exit_temperature - 273.15 == pytest.approx(40.3, abs=0.05)
    assert table.loc["rated pressure"].value == pytest.approx(88e3, abs=500)
    assert table.loc["even draw"].value == pytest.approx(7.90, abs=0.005)
    assert table.loc["even draw"].high == pytest.approx(10.3, abs=0.05)
    assert table.loc["beads"].high == pytest.approx(29 * mm, abs=0.5 * mm)
    assert table.loc["taut thread"].high == pytest.approx(39 * mm, abs=0.5 * mm)
    assert table.loc["set before winding"].value == pytest.approx(2.5, abs=0.05)
    assert table.loc["dry diameter"].value == pytest.approx(0.2 * mm, rel=1e-3)
    assert not set(table.verdict) & {"broken", "outside the readings"}


@pytest.mark.parametrize(("paste", "job", "length"), [(GD30, thin, 25), (GD40, thick, 12.7)])
def test_both_block_in_a_bare_needle(paste, job, length):
    """Kind: independent. A pause of five minutes; the thin one blocks 117 s after 60 °C, and sooner out of a needle that has cooled."""
    bare = job(nozzle_temperature=None, needle_outer_diameter=1.27 * mm, pause=300.0)
    found = case(paste, rig(length * mm), bare)
    row = rk.judge(found).loc["pause"]
    assert row.verdict == "broken" and row.remedy.startswith("heat the needle, or purge")
    assert not LIMITS["pause"].concerns(case(paste, rig(), job(pause=300.0)))
    if paste is GD30:
        assert found.exit_temperature - 273.15 == pytest.approx(57.8669, abs=1e-4)
        assert found.needle_time_constant == pytest.approx(48.2038, abs=1e-4)
        hot = replace(bare, barrel_temperature=295.15 + (333.15 - 295.15) ** 2 / (found.exit_temperature - 295.15))
        assert rk.judge(case(paste, rig(), hot)).loc["pause"].high == pytest.approx(117.156, abs=1e-3)


def test_a_draw_of_sixteen_is_not_forbidden_to_a_gel_that_was_drawn_so():
    """Published: Fukae and Midorikawa 2008 drew gelatin 16 times; what is forbidden is more than was measured."""
    job = thick(winding_speed=16 * 4 * 10e-9 / math.pi / (0.84 * mm) ** 2)
    measured, less, unknown = (case(replace(GD40, break_ratio=ratio), rig(), job) for ratio in (16.5, 12.0, None))
    limit = LIMITS["draw ratio"]
    assert limit.value(measured) == pytest.approx(16.0)
    assert limit.margin(measured) > 0 > limit.margin(less)
    assert limit.margin(unknown) == pytest.approx(math.log(16)) and limit.left_open(unknown) == "break_ratio not known"
    assert "after the gel has set is another matter" in rk.judge(less).loc["draw ratio"].remedy


# --- which job is asked what --------------------------------------------------------------------------------------------


def test_no_job_is_asked_the_limits_of_another_kind():
    fibre, part = case(GD30, rig(), thin()), rk.PrintJob(print_speed=0.01, layer_height=1 * mm, line_width=1 * mm)
    asked, other = set(rk.judge(fibre).index), set(rk.judge(case(GD30, rig(), part)).index)
    assert not asked & {"stack", "lean", "line holds", "span", "layer height", "line width", "speed floor"}
    assert OWN <= asked and not OWN & other
    assert {"drive force", "rated pressure", "clog", "lag", "rates read"} <= asked & other
    assert rk.judge(fibre, "stack").verdict.item() == "not asked"
    assert rk.judge(case(GD30, rig(), part), "beads").verdict.item() == "not asked"


@pytest.mark.parametrize(
    ("name", "limits"),
    [
        ("gel_temperature", {"nozzle above gel point", "set before winding", "pause"}),
        ("setting_time", {"set before winding", "pause"}),
        ("density", OWN - {"hold temperature", "draw ratio", "dry diameter"}),
        ("dry_section", {"dry diameter"}),
    ],
)
def test_what_is_not_known_is_not_judged_and_named(name, limits):
    bare = thin(nozzle_temperature=None, needle_outer_diameter=1.27 * mm, pause=60.0)
    found = case(replace(GD30, **{name: None}), rig(), bare, temperature_range=(300.0, 340.0))
    table = rk.judge(found)
    assert {one for one in OWN | {"temperatures read"} if table.verdict[one] == "not judged"} == limits | (
        {"temperatures read"} if name == "density" else set()
    )
    assert all(name.replace("_", " ") in table.words[one] for one in limits)
    assert name.replace("_", " ") in rk.verdict(found)


def test_a_bare_needle_whose_size_is_not_known_leaves_its_temperature_open():
    """How warm the dope is then is not known, and no pressure is computed at another temperature."""
    found = case(GD30, rig(), thin(nozzle_temperature=None))
    assert found.exit_temperature is None
    table = rk.judge(found)
    for name in ("drive force", "rated pressure", "even draw", "beads", "nozzle above gel point", "set before winding"):
        assert table.verdict[name] == "not judged" and "needle outer diameter not known" in table.words[name]
    assert table.verdict["draw ratio"] == "inside"
    assert rk.verdict(found).startswith("Cannot be called safe: pressure in the barrel is not judged.")


def test_a_paste_with_a_yield_stress_is_not_drawn():
    firm = rk.Paste(law=rk.HerschelBulkley(yield_stress=300.0, consistency=50.0, flow_index=0.5), density=1100.0)
    table = rk.judge(case(firm, rig(), thin()))
    for name in ("even draw", "beads", "taut thread"):
        assert table.words[name].endswith("the law has a yield stress: a paste is not drawn")
    ratio = table.loc["draw ratio"]
    assert ratio.verdict == "broken" and ratio.words == (
        "winding speed over speed in the bore: 5.82 (a law with a yield stress is not drawn); at least 1 and at most 1 allowed"
    )


NOT_AS_A_FIBRE = (
    "Not as a fibre: the law has a yield stress, so what leaves the nozzle does not stretch evenly, but necks and breaks. Print it "
    "as layers, or draw a dope whose law has none, such as Newtonian or the power law."
)
FIRM = rk.Paste(law=rk.HerschelBulkley(yield_stress=300.0, consistency=50.0, flow_index=0.4), density=1200.0)


def test_a_paste_is_told_not_as_a_fibre_and_why():
    """And is inside nowhere: not in a verdict, on a map, in a window, nor by chance."""
    said = rk.verdict(case(FIRM, rig(), thin()))
    assert NOT_AS_A_FIBRE in said and "Stopped by winding speed over speed in the bore" in said and "Inside" not in said
    assert "Print it as layers, or draw a dope whose law has no yield stress." in said
    material, speeds = rk.Material(paste=FIRM), [0.5 * EXIT, EXIT, 1.1 * EXIT, 0.126]
    found = rk.region_map(material, rig(), thin(), None, {"winding_speed": speeds, "gap": [2 * mm]}, draws=200)
    assert NOT_AS_A_FIBRE in found.unjudged and not np.any(found.margin > 0) and np.max(found.probability) < 0.5
    assert found.probability[0, [0, 3]] == pytest.approx(0.0)
    assert NOT_AS_A_FIBRE not in rk.verdict(case(FIRM, rig(), layers()))
    assert NOT_AS_A_FIBRE not in rk.verdict(case(FIRM, rig(), thin()), "rated pressure")


EXIT = 4 * 12e-9 / math.pi / (0.84 * mm) ** 2


@pytest.mark.parametrize("share", [0.2, 0.99])
def test_a_drum_slower_than_the_dope_comes_is_said_first_and_what_helps(share):
    slow = case(GD30, rig(), thin(winding_speed=share * EXIT))
    said, table = rk.verdict(slow), rk.judge(slow)
    assert said.startswith("Stopped by winding speed over speed in the bore: ")
    assert "allowed. A wider needle or a faster drum. Also broken" in said and "horten" not in said
    assert table.remedy["taut thread"] == "a wider needle or a faster drum"
    assert table.margin["draw ratio"] < table.margin["taut thread"] < 0
    axes = {"winding_speed": [share * EXIT], "gap": [1.5 * mm]}
    plain_job = thin(dry_diameter=None)
    assert rk.region_map(rk.Material(paste=GD30), rig(), plain_job, None, axes).limited_by[0, 0] == "draw ratio"


def test_limits_of_another_kind_of_job_are_named_where_no_other_is_left():
    found = case(GD30, rig(), thin())
    assert rk.verdict(found, ["stack", "lean", "pause"]) == (
        "No limit could be judged. Not asked of a job that draws a fibre: stack, lean. Not asked by this job: pause."
    )
    assert rk.verdict(case(GD30, rig(), layers()), "beads").startswith(
        "No limit could be judged. Not asked of a job that prints layers: beads."
    )


@pytest.mark.parametrize(
    ("barrel", "nozzle", "said"),
    [
        (298.15, 319.15, "25 °C (in the barrel, below the gel point of 31 °C: it sets there); at least 33 °C allowed. Warm the barrel, and"),
        (328.15, 298.15, "(at the exit, below the gel point of 31 °C: it sets there); at least 33 °C allowed. Warm the nozzle, or"),
    ],
)  # fmt: skip
def test_a_gel_that_sets_before_it_is_drawn_stops_first_and_has_no_pressure(barrel, nozzle, said):
    job = thin(barrel_temperature=barrel, nozzle_temperature=nozzle)
    weak = rig(pressure_rating=20 * kPa)  # which the liquid's law would break
    found = case(GD30, weak, job)
    words = rk.verdict(found)
    assert words.startswith("Stopped by coldest temperature of barrel and exit: ") and said in words
    assert "rating" not in words.partition("Warm")[2] and "Inside" not in words
    assert "rated pressure" in words.partition("Not judged: ")[2].partition("(the gel has set, and no law")[0]
    row = rk.judge(found).loc["rated pressure"]
    assert row.verdict == "not judged" and math.isnan(row.value) and row.remedy == ""
    axes = {"winding_speed": [0.1, 0.13], "gap": [1 * mm, 1.5 * mm]}
    strong = rig()
    assert not rk.region_map(rk.Material(paste=GD30), strong, job, axes=axes, draws=50).probability.any()
    assert not rk.window(rk.Material(paste=GD30), strong, job, "winding_speed").is_open
    winding = rk.planning.Winding(rk.Material(paste=GD30), strong, job, draws=20)
    assert winding.longest_gap == ((0.0, 0.0, 0.0), "nozzle above gel point") and winding.shortest_bath is None


def test_a_barrel_colder_than_its_needle_is_held_to_the_gel_point_with_the_same_room():
    cool = thin(barrel_temperature=306.15, nozzle_temperature=319.15)
    row = rk.judge(case(GD30, rig(), cool)).loc["nozzle above gel point"]
    assert row.value == 306.15 and row.margin == pytest.approx(0.0, abs=1e-12) and row.remark == "in the barrel"


def test_what_is_said_to_even_a_draw_evens_it_and_a_shorter_heated_needle_does_not():
    limit, thick_dope = LIMITS["even draw"], replace(GD30, law=replace(THIN, viscosity=1.1))
    room = limit.margin(case(GD30, rig(), thin()))
    better = [
        case(GD30, rig(), thin(gap=1.2 * mm)),
        case(GD30, rig(), thin(throughput=14e-9)),
        case(GD30, rig(), thin(nozzle_temperature=306.15)),
        case(thick_dope, rig(), thin()),
        case(GD30, rig(nozzle=rk.Nozzle(rk.Cylinder(diameter=0.7 * mm, length=25 * mm))), thin()),
    ]
    assert limit.remedy == "shorten the gap, more flow, a cooler nozzle, a thicker dope, a finer needle"
    assert min(float(limit.margin(one)) for one in better) > room > limit.margin(case(GD30, rig(8 * mm), thin()))


def test_a_surface_tension_that_nobody_gave_is_said_to_be_assumed_where_it_rules():
    assumed, given = rk.Material(paste=GD30), rk.Material(paste=replace(GD30, surface_tension=0.051))
    said, told = (rk.verdict(rk.Case.of(one, rig(), thin(gap=4 * mm))) for one in (assumed, given))
    assert said.partition("; at most")[0].endswith(" 5.82 (surface tension assumed, 0.05 N/m: weigh drops)")
    assert "assumed" not in told and told.startswith("Stopped by draw ratio against the critical one: 5.82; at most")


def test_a_little_room_is_told_as_more_than_none():
    near = replace(GD30, break_ratio=5.82 * 1.02)
    assert rk.verdict(case(near, rig(), thin()), "draw ratio").partition("(a factor ")[2].startswith("1.02 of room).")


def test_agar_is_held_hotter_than_gelatin():
    hot = thick(barrel_temperature=363.15)
    assert rk.judge(case(GD40, rig(), hot)).loc["hold temperature"].verdict == "broken"
    agar = replace(GD40, melt_temperature=358.15)
    assert rk.judge(case(agar, rig(), hot)).loc["hold temperature"].verdict == "not asked"


# --- not as layers --------------------------------------------------------------------------------------------------------


def layers(**changes):
    return rk.PrintJob(print_speed=0.01, layer_height=0.7 * mm, line_width=1 * mm, part_height=5 * mm, **changes)


@pytest.mark.parametrize(
    ("warm", "why"),
    [
        ({"barrel_temperature": 313.15}, "at 40 °C, as it leaves the nozzle, it does not set at all, for its gel point is 31 °C"),
        ({"barrel_temperature": 300.15}, "it sets too slowly, in 40 s at 27 °C, and flows meanwhile"),
        ({}, "how warm it is laid is not known, for the barrel temperature is not"),
    ],
)  # fmt: skip
def test_a_dope_is_told_not_as_layers_and_why(warm, why):
    """Kind: independent. 40.0 s at 27 °C is (10/4)^1.985 times 6.4905 s."""
    said = rk.verdict(case(GD30, rig(), layers(**warm)))
    assert said.startswith(f"Not as layers: the law has no yield stress, so a line does not hold its section; {why}.")
    assert "Stopped by" in said and "Inside every" not in said
    assert rk.judge(case(GD30, rig(), layers(**warm))).loc["line holds"].verdict == "broken"
    assert "Not as layers" in rk.region_map(
        rk.Material(paste=GD30), rig(), layers(**warm), None, {"bore": [0.8 * mm], "print_speed": [0.01]}
    ).unjudged  # fmt: skip


# --- temperatures ---------------------------------------------------------------------------------------------------------


def test_a_warm_nozzle_thins_what_is_printed_and_the_pressure_is_that_of_the_colder_barrel():
    cold, warm = (case(GD40, rig(), layers(barrel_temperature=320.15, nozzle_temperature=t)) for t in (310.15, 335.15))
    plain, straight = case(GD40, rig(), layers()), case(GD40, rig(), layers(barrel_temperature=320.15))
    assert float(plain.law.shear_stress(1.0)) == pytest.approx(3.0)
    assert plain.exit_temperature is None and straight.exit_temperature == 320.15
    rate = math.exp(45e3 / 8.314462618 * (1 / cold.exit_temperature - 1 / 333.15))
    assert float(cold.law.shear_stress(1.0)) == pytest.approx(3.0 * rate)
    assert float(warm.law.shear_stress(1.0)) < float(straight.law.shear_stress(1.0)) < float(cold.law.shear_stress(1.0))
    assert warm.pressure == straight.pressure < cold.pressure


def test_temperatures_that_were_read_are_kept_as_rates_are():
    outside = case(GD30, rig(), thin(), temperature_range=(311.15, 333.15))
    row = rk.judge(outside).loc["temperatures read"]
    assert row.verdict == "outside the readings" and row.margin == pytest.approx(
        (outside.exit_temperature - 311.15) / 10
    )
    assert row.words.endswith("34.7 °C; at least 38 °C and at most 60 °C allowed")
    assert (
        rk.judge(case(GD30, rig(), thin(), temperature_range=(304.15, 333.15))).loc["temperatures read"].verdict
        == "inside"
    )


def test_a_law_that_knows_no_temperature_is_not_relied_on_where_the_job_states_one():
    cold = replace(GD40, law=rk.Newtonian(viscosity=3.0))
    said = rk.verdict(case(cold, rig(12.7 * mm), thick()))
    assert said.startswith(
        "Not to be relied on: the law does not depend on temperature, and is taken at 40.3 °C as it is"
    )
    assert "temperatures read (the law does not depend on temperature)" in said and "Inside every" not in said
    assert "does not depend" not in rk.verdict(case(cold, rig(), layers()))
    assert "does not depend" not in rk.verdict(case(GD40.stiffer(1.1), rig(12.7 * mm), thick()))


def test_a_temperature_has_kelvins_of_room_and_no_factor():
    said = rk.verdict(case(GD30, rig(), thin()), "nozzle above gel point")
    assert "(1.7 K of room)" in said and "factor" not in said
    assert LIMITS["nozzle above gel point"].margin(case(GD30, rig(), thin())) == pytest.approx(0.17466, abs=2e-5)


@pytest.mark.parametrize(
    ("limit", "caution"),
    [("hold temperature", "hot gel"), ("set before winding", "bath"), ("beads", "hot gel"), ("pause", "tip")],
)
def test_cautions_stand_beside_the_numbers(limit, caution):
    assert rk.judge(case(GD30, rig(), thin()), limit).caution.item() == CAUTIONS[caution]
    assert "cool a burn for 20 minutes" in CAUTIONS["hot gel"]
    assert "never an alcohol bath below a heated nozzle" in CAUTIONS["bath"] and "floors slippery" in CAUTIONS["bath"]


def test_a_warm_barrel_is_said_to_bear_less():
    limit = LIMITS["rated pressure"]
    hot, cool = (limit.caution_for(case(GD40, rig(), thick(barrel_temperature=t))) for t in (333.15, 311.15))
    assert "A plastic barrel at 60 °C bears less than its printed rating" in hot and CAUTIONS["hot gel"] in hot
    assert "plastic barrel" not in cool and CAUTIONS["barrel"] in cool and CAUTIONS["barrel"] in hot


def test_a_paste_with_a_yield_stress_is_warmed_as_a_plug():
    """Kind: independent. Heat into a cylinder at rest, π a L/Q its Fourier number: Σ 4/j² exp(-j² Fo)."""
    firm = rk.Paste(law=rk.HerschelBulkley(yield_stress=300.0, consistency=50.0, flow_index=0.5), density=1100.0)
    job = layers(barrel_temperature=295.15, nozzle_temperature=335.15)
    found = case(firm, rig(5 * mm), job)
    fourier = math.pi * 1.4e-7 * 5 * mm / float(found.flow_rate)
    left = sum(4 / j**2 * math.exp(-(j**2) * fourier) for j in jn_zeros(0, 400))
    assert float(found.exit_temperature) == pytest.approx(335.15 - 40 * left, abs=1e-3)
    assert 0.01 < left < 0.9


def test_a_width_is_kept_on_both_sides_and_errs_to_the_bad_one():
    class Mild(rk.Limit):
        name, label, unit, width, model_error = "mild", "temperature", "K", 10.0, 0.2
        jobs = ("print", "fibre")

        def value(self, case):
            return 300.0

        def low(self, case):
            return 293.0

        def high(self, case):
            return 310.0

    here = case(GD30, rig(), thin())
    assert Mild().margin(here) == pytest.approx(0.7)
    drawn = [Mild().margin(here, lambda name, side=side: side) for side in (-1.0, 1.0, 3.0)]
    assert drawn == pytest.approx([0.5, 0.8, 0.4])
    assert Mild().room(0.7) == "7 K" and Mild().room(-0.25) == "-2.5 K"


def test_the_speed_that_gives_the_wanted_diameter_is_said():
    """Kind: independent. 0.20 mm dry: d_wet = 0.20/0.33^(1/2) held on the drum, 0.20/0.33^(1/3) loose, 4 Q/(π d²)."""
    held, loose = (rk.judge(case(GD30, rig(), thin(held=held))).loc["dry diameter"] for held in (True, False))
    assert held.remark == "that wanted is wound at 126 mm/s" and loose.remark == "that wanted is wound at 182 mm/s"


# --- setting in the air, against a plain integration ------------------------------------------------------------------------


@pytest.mark.parametrize(("draught", "activity"), [(0.0, 0.98), (0.1, 0.95)])
def test_setting_in_air_is_that_of_a_thread_followed_in_time(draught, activity):
    """Kind: independent. The heat balance marched in time, with the progress beside it: 0.1 %. A bath adds its own progress."""
    job = thin(
        gap=0.9, bath_length=0.0, nozzle_temperature=None, needle_outer_diameter=1.27 * mm, draught=draught, barrel_temperature=328.15
    )  # fmt: skip
    found = case(replace(GD30, water_activity=activity), rig(), job)
    room, wet = 295.15, math.sqrt(4 * 12e-9 / math.pi / 0.1260507)
    across = (1 + (8 * draught / 0.1260507) ** 2) ** 0.167
    transfer = 0.0263 / wet * 0.42 * (0.1260507 * wet / 1.6e-5) ** 0.334 * across

    def balance(time, state):
        temperature = state[0]
        vapour = activity * rk.drying.vapour_density(temperature) - rk.drying.vapour_density(room, 0.5)
        heat = transfer * (temperature - room + rk.drying.latent_heat(temperature) / 1090 * vapour)
        setting = (max(304.15 - temperature, 0.0) / 10) ** 1.985 / 6.4905
        return [-4 * heat / (1090 * 3300 * wet), setting]

    marched = solve_ivp(balance, (0, 0.9 / 0.1260507), [float(found.exit_temperature), 0.0], rtol=1e-9, atol=1e-10)
    assert float(found.setting) == pytest.approx(marched.y[1, -1], rel=1e-3)
    assert 0.5 < float(found.setting)
    bath = {"bath_length": 0.1, "bath_temperature": 283.15}
    both, alone = (
        case(replace(GD30, water_activity=activity), rig(), replace(job, gap=gap, **bath)) for gap in (0.9, 1 * mm)
    )
    assert float(both.setting) == pytest.approx(float(found.setting) + float(alone.setting), rel=1e-9)


def test_a_gap_too_short_to_set_in_asks_no_table_and_is_the_same():
    """Kind: exact. What is skipped is nothing: the tables give 0 for it too, and a gap that is a little longer is asked."""
    for gap in (0.5 * mm, 4 * mm, 30 * mm, 0.3):
        found = case(GD30, rig(), thin(gap=gap))
        asked = rk.fibre.airgap.setting_progress(gap / found.wound_speed, found.exit_temperature, **found._in_air)
        assert float(found.set_in_air) == pytest.approx(float(asked), abs=1e-12)
        assert found._stays_liquid == (gap < 0.1)
    assert float(found.set_in_air) > 1e-3


def test_what_sets_in_the_air_is_liquid_over_less_than_the_gap():
    long = case(GD30, rig(), thin(gap=1.5, bath_length=0.0))
    assert float(long.set_in_air) > 1
    assert float(long.free_length) == pytest.approx(0.7447, abs=0.02)  # from 34.7 °C; from 34 °C 0.7447 m
    assert case(GD30, rig(), thin()).free_length == 1.5 * mm
    assert case(replace(GD30, setting_time=None), rig(), thin(gap=1.5)).free_length == 1.5


# --- draws -------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("error", "moves"),
    [
        ("flow error", {"draw_ratio": -0.03, "wet_diameter": 0.015}),
        ("winding speed error", {"draw_ratio": 0.01, "wet_diameter": -0.005}),
        ("bore error", {"draw_ratio": 0.02, "wet_diameter": 0.0}),
        ("temperature error", {"draw_ratio": 0.0, "wet_diameter": 0.0}),
    ],
)
def test_a_drawn_error_moves_what_it_is_an_error_of(error, moves):
    """Kind: exact. One standard deviation of each: flow 3 %, speed 1 %, bore 1 %, temperature 1 K."""
    plain = worked_case(OF_FIBRES, draws=True)
    off = replace(plain, errors={error: 1.0})
    for name, by in moves.items():
        assert math.log(getattr(off, name) / getattr(plain, name)) == pytest.approx(by, abs=1e-9), name
    assert off.exit_temperature - plain.exit_temperature == pytest.approx(
        1.0 if error == "temperature error" else 0.0, abs=0.5
    )
    assert (off.law.shear_stress(1.0) == plain.law.shear_stress(1.0)) == (
        error in ("winding speed error", "bore error")
    )


def _left(along):
    """The first terms of heat in a parabolic flow."""
    return 0.819050421 * math.exp(-4 * 3.65679346 * along) + 0.0975269269 * math.exp(-4 * 22.3047306 * along)


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore:somewhere on the map, converging flow", "ignore:converging flow")
def test_probability_agrees_with_a_plain_loop_over_draws():
    """Kind: independent. One draw and one point at a time, with numbers, plain formulae and quadrature."""
    count, seed = 400, 3
    names = [*sorted(OWN - {"pause"}), "rated pressure", "drive force"]
    speeds, walls = np.array([0.10, 0.14, 0.19]), np.array([308.15, 311.15])
    asked = rk.Material(paste=GD40, law_spreads={"viscosity": 0.05, "activation_energy": 0.03}, batch_spread=0.1)
    job = thick(bath_length=0.12, dry_diameter_tolerance=0.2)
    axes = {"winding_speed": speeds, "nozzle_temperature": walls}
    found = rk.region_map(asked, rig(12.7 * mm), job, names, axes, draws=count, seed=seed)
    generator = np.random.default_rng(11)
    share = np.zeros((2, 3))
    for _ in range(count):
        normal = generator.standard_normal
        at_60 = 3.0 * math.exp(0.05 * normal() + 0.1 * normal())
        energy = 45e3 * math.exp(0.03 * normal())
        one = {
            name: getattr(GD40, name) * math.exp(asked.spread(name) * normal())
            for name in (
                "density", "surface_tension", "gel_temperature", "setting_time", "setting_exponent", "thermal_diffusivity",
                "dry_section", "break_ratio",
            )
        }  # fmt: skip
        flow, bore = 10e-9 * math.exp(0.03 * normal()), 0.84 * mm * math.exp(0.01 * normal())
        speed_off, kelvin = 0.01 * normal(), normal()
        off = {name: normal() for name in ("pressure", *OWN)}
        for j, wall in enumerate(walls):
            along = math.pi / 4 * one["thermal_diffusivity"] * 12.7 * mm / flow
            warm = wall + (333.15 - wall) * _left(along) + kelvin
            eta = at_60 * math.exp(energy / 8.314462618 * (1 / warm - 1 / 333.15))
            eta_pressure = at_60 * math.exp(energy / 8.314462618 * (1 / min(warm, 333.15) - 1 / 333.15))
            here = rig(12.7 * mm, nozzle=rk.Nozzle(rk.Cylinder(diameter=bore, length=12.7 * mm)))
            pressure = float(here.pressure(rk.Newtonian(viscosity=eta_pressure), flow))
            comes = flow / (math.pi / 4 * bore**2)
            capillary = one["surface_tension"] * 4 * mm / (3 * eta * bore / 2 * comes)
            for i, set_speed in enumerate(speeds):
                speed = set_speed * math.exp(speed_off)
                ratio, wet = speed / comes, math.sqrt(4 * flow / math.pi / speed)
                inertia = math.sqrt(one["density"] * one["surface_tension"] * wet / 2) / eta
                phi = 5 - math.log(ratio) / 2
                b = phi * (math.exp(phi) - math.sqrt(ratio)) / math.expm1(phi)
                beads = b * 6 * eta * bore / 2 * comes * (1 + 0.4714 * inertia) / one["surface_tension"]
                weight = one["density"] * 9.81
                held = math.sqrt(6 * eta * speed / weight) * math.acos(ratio**-0.5)
                pulled = one["surface_tension"] * (1 - ratio**-0.5) / (weight * wet / 2)
                taut = (held**1.6 + pulled**1.6) ** (1 / 1.6)

                def setting(time, wet=wet, warm=warm, one=one):
                    x = 1 / (2 * one["thermal_diffusivity"] * time / (wet / 2) ** 2)
                    cold = 283.15 + (warm - 283.15) * (1 - ive(0, x) - ive(1, x))
                    below = max(one["gel_temperature"] - cold, 0.0) / 10
                    return below ** one["setting_exponent"] / one["setting_time"]

                progress = quad(setting, 1e-9, 0.12 / speed, limit=200)[0]
                dry = wet * math.sqrt(one["dry_section"]) * math.exp(0.05 * off["dry diameter"])
                share[j, i] += (
                    (warm - one["gel_temperature"] - 2) / 10 + 0.1 * off["nozzle above gel point"] >= 0
                    and progress * math.exp(0.4 * off["set before winding"]) >= 1
                    and 1 <= ratio * math.exp(0.1 * off["draw ratio"]) <= one["break_ratio"]
                    and ratio * math.exp(0.15 * off["even draw"]) <= 20.218 * math.exp(-0.634 * capillary)
                    and 4 * mm * math.exp(0.3 * off["beads"]) <= beads
                    and 4 * mm * math.exp(0.3 * off["taut thread"]) <= taut
                    and 0.16 * mm <= dry <= 0.24 * mm
                    and (pressure * here.area) * math.exp(0.15 * off["pressure"]) + 5 <= here.drive.force
                )
    share /= count
    error = np.sqrt(np.maximum(share * (1 - share), 0.25 / count) / count) * math.sqrt(2)
    assert np.all(np.abs(found.probability - share) < 4 * error), (found.probability, share)
    assert 0.2 < found.probability.max() and np.ptp(found.probability) > 0.1, "the case must be able to tell"


# --- maps, windows, chances and pictures ---------------------------------------------------------------------------------------


def test_windows_chances_and_the_widest_margin_of_a_fibre():
    material, extruder = rk.Material(paste=GD40), rig(12.7 * mm)
    found = rk.window(material, extruder, thick(), "gap", limits=sorted(OWN))
    assert found.stops_high == "even draw" and 4 * mm < found.high < 8 * mm
    cold = rk.window(material, extruder, thick(dry_diameter_tolerance=0.3), "nozzle_temperature", limits=sorted(OWN))
    assert cold.stops_low == "nozzle above gel point" and "°C" in str(cold)
    limit = LIMITS["nozzle above gel point"]
    edge = case(GD40, extruder, thick(nozzle_temperature=cold.low))
    assert limit.margin(edge) == pytest.approx(0.0, abs=0.01)
    alone = chance(material, extruder, thick(), draws=200)
    assert set(alone.axes) == {"bore", "winding_speed"} == {"bore", speed_of(thick())}
    assert 0 < alone.probability[0, 0] < 1
    best = rk.widest_margin(
        material, extruder, thick(), {"gap": (1 * mm, 8 * mm), "throughput": (5e-9, 20e-9)}, limits=sorted(OWN)
    )
    assert best["margin"] >= 0 and "°C" not in best["words"]
    table = what_if(material, extruder, thick(), sorted(OWN), draws=200)
    assert {"setting_time", "break_ratio"} <= set(table.name)


@pytest.mark.slow
def test_a_map_says_kelvins_beside_the_pointer_and_degrees_along_its_axis():
    axes = {"nozzle_temperature": np.linspace(298.15, 328.15, 9), "winding_speed": np.geomspace(0.05, 0.3, 8)}
    found = rk.region_map(rk.Material(paste=GD40), rig(12.7 * mm), thick(), None, axes, draws=60, seed=1)
    assert OWN - {"pause"} <= {limit.name for limit in found.limits} | set(found.not_judged)
    assert "25 to 55 °C" in repr(found)
    chart = rk.charts.printable_region(found, point={"nozzle_temperature": 311.15, "winding_speed": 0.1426}).to_dict()
    fields = chart["datasets"]["fields"]
    assert {row["x"] for row in fields} >= {25.0, 55.0}
    said = [row[which] for row in fields for which in ("room_0", "room_1")]
    heat = [words for words in said if words.startswith("nozzle above gel point")]
    assert heat and all(" K" in words for words in heat)
    assert chart["datasets"]["point"] == [{"x": 38.0, "y": pytest.approx(142.6)}]
    assert "Drawable region" in str(chart) and "Printable" not in str(chart)


BENT = rk.CarreauYasuda(
    zero_shear_viscosity=6.0, final_viscosity=0.05, time_constant=0.02, flow_index=0.6, transition=1.5
)  # fmt: skip


@pytest.mark.parametrize(
    "law",
    [
        rk.heated(rk.PowerLaw, 333.15)(consistency=4.0, flow_index=0.85, activation_energy=45e3),
        rk.heated(rk.CarreauYasuda, 333.15)(**BENT.values, activation_energy=45e3),
        THICK,
    ],
    ids=lambda law: law.name,
)
def test_a_map_has_at_each_point_what_its_case_has(law):
    """Kind: exact. What a law of one power saves on a map changes nothing, and a law that bends is asked at each point's rate."""
    axes = {"winding_speed": np.array([0.06, 0.12, 0.2]), "nozzle_temperature": np.array([309.15, 318.15])}
    found = rk.region_map(rk.Material(paste=replace(GD40, law=law)), rig(12.7 * mm), thick(), sorted(OWN), axes)
    for column, speed in enumerate(axes["winding_speed"]):
        for row, wall in enumerate(axes["nozzle_temperature"]):
            alone = found.at(winding_speed=speed, nozzle_temperature=wall)
            for name, margin in found.margins.items():
                here = np.broadcast_to(margin, found.shape)[row, column]
                assert here == pytest.approx(float(LIMITS[name].margin(alone)), rel=1e-9), name
    rate = math.sqrt(3) * (0.12 - 4 * 10e-9 / math.pi / (0.84 * mm) ** 2) / (4 * mm)
    one = found.at(winding_speed=0.12, nozzle_temperature=318.15)
    assert float(one.draw_viscosity) == pytest.approx(float(one.law.shear_stress(rate)) / rate, rel=1e-9)
    assert float(one.draw_consistency * rate**one.draw_index) == pytest.approx(
        float(one.law.shear_stress(rate)), rel=1e-9
    )


def test_a_map_of_draws_agrees_with_its_points_drawn_alone():
    """Kind: exact. Equal draws: the map is the sum of its points, whatever is worked in one block."""
    axes = {"gap": np.array([2.0, 4.0]) * mm, "throughput": np.array([8e-9, 14e-9])}
    asked = (rk.Material(paste=GD40), rig(12.7 * mm), thick(bath_length=0.1), sorted(OWN))
    whole = rk.region_map(*asked, axes, draws=80, seed=5)
    for column, gap in enumerate(axes["gap"]):
        for row, flow in enumerate(axes["throughput"]):
            alone = rk.region_map(*asked, {"gap": [gap], "throughput": [flow]}, draws=80, seed=5)
            assert alone.probability[0, 0] == whole.probability[row, column]
            for name, share in alone.holds.items():
                assert share[0, 0] == whole.holds[name][row, column], name


@pytest.mark.parametrize(
    ("job", "axis"), [(thin(), "print_speed"), (thin(), "layer_height"), (layers(), "winding_speed"), (layers(), "gap")]
)
def test_an_axis_of_another_kind_of_job_is_refused_in_words(job, axis):
    with pytest.raises(rk.DataError, match=r"take another axis|has no"):
        rk.region_map(rk.Material(paste=GD30), rig(), job, None, {axis: [1 * mm], "bore": [0.8 * mm]})
    assert not rk.AXES[axis].moves(case(GD30, rig(), job))


# --- jobs that cannot be ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"bath_temperature": None}, r"a bath needs its bath_temperature \[K\]"),
        ({"winding_speed": 0.0}, "winding_speed = 0"),
        ({"gap": -1.0}, "gap = -1 m cannot be negative"),
        ({"relative_humidity": 50.0}, "relative_humidity = 50"),
        ({"barrel_temperature": None}, "nozzle_temperature needs barrel_temperature"),
        ({"throughput": math.nan}, "throughput = nan"),
    ],
)
def test_fibres_that_cannot_be(changes, words):
    with pytest.raises(rk.DataError, match=words):
        thin(**changes)


def test_a_speed_in_other_units_is_doubted():
    with pytest.warns(rk.UnlikelyWarning, match="winding_speed = 126"):
        thin(winding_speed=126.0)


def test_what_asks_for_layers_refuses_a_fibre_in_words():
    fibre = case(GD40, rig(), thick())
    for ask in (
        lambda: rk.planning.Standing(rk.Material(paste=GD40), rig(), thick()),
        lambda: rk.charts.force_speed(fibre),
        lambda: rk.widgets.RegionExplorer(rk.Material(paste=GD40), rig(), thick()),
    ):
        with pytest.raises(TypeError, match="job is a FibreJob; give a PrintJob"):
            ask()


def test_a_law_read_at_another_water_keeps_it_when_it_is_warmed():
    """Kind: exact. A law of water and temperature, moved to another water: the exit of the nozzle changes the temperature alone."""
    wet = rk.watered(rk.heated(rk.Newtonian, 333.15), 1.2)(viscosity=3.0, activation_energy=45e3, water_slope=2.0)
    moved = replace(GD40, law=wet).at_water(1.5)
    found, plain = case(moved, rig(12.7 * mm), thick()), case(GD40, rig(12.7 * mm), thick())
    assert found.exit_temperature == plain.exit_temperature
    assert float(found.law.shear_stress(1.0)) == pytest.approx(
        float(plain.law.shear_stress(1.0)) * math.exp(-2.0 * 0.3)
    )


def test_agar_as_hot_as_water_boils_is_judged_on_a_map_of_draws():
    """A dope at 95 °C of which draws are warmer: the course in the air begins at 95 °C at the most."""
    agar = replace(GD40, gel_temperature=308.15, melt_temperature=358.15)
    job = thick(barrel_temperature=368.15, nozzle_temperature=368.15, gap=0.4, winding_speed=0.05)
    found = rk.region_map(
        rk.Material(paste=agar), rig(12.7 * mm), job, sorted(OWN), {"gap": [0.3], "throughput": [1e-8]}, draws=100
    )
    assert np.isfinite(found.margins["set before winding"]).all() and found.holds["set before winding"][0, 0] > 0.5
    assert "hold temperature" not in found.margins


def test_a_heat_capacity_that_is_not_known_is_told_how_to_be_had():
    """Kind: exact. Of GD-40, 55 % water, 40 % gelatin and 5 % glycerol: 4180*0.55 + 1500*0.40 + 2400*0.05 = 3019 J/(kg K), stated as 3020."""
    bare = thin(nozzle_temperature=None, needle_outer_diameter=1.27 * mm, pause=60.0)
    said = rk.verdict(case(replace(GD40, heat_capacity=None), rig(), bare))
    told = "no bench test gives it: 4180 J/(kg·K) for each share of water by mass, 1500 of solids, 2400 of glycerol"
    assert f"(heat capacity not known ({told}))" in said


def test_no_other_speed_is_advised_where_the_diameter_wanted_is_wound():
    """At the speed that was advised the remedy was to wind faster: a rounded speed lies to one side of what is wanted."""
    limit, right = LIMITS["dry diameter"], float(thin().winding_speed)
    for share, said in ((1.002, "steadier"), (0.998, "steadier"), (1.05, "wind slower"), (0.95, "wind faster")):
        assert said in limit.remedy_for(case(GD30, rig(), thin(winding_speed=share * right))), share


def test_where_a_yield_stress_forbids_to_draw_no_other_setting_is_advised():
    paste = replace(GD30, law=rk.HerschelBulkley(40.0, 12.0, 0.5))
    rows = rk.judge(case(paste, rig(), thin()))
    for name in ("beads", "even draw", "taut thread"):
        assert rows.verdict[name] == "not judged"
        assert rows.remedy[name] == "print it as layers, or draw a dope whose law has no yield stress"
