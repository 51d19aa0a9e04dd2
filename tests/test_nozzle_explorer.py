"""The second explorer without a browser: set a value, read what the page says.

Kind: exact. What the page says is held against the extruder, the limits and the transients it stands on.
"""

import re
import warnings
from dataclasses import replace
from math import log, pi

import numpy as np
import pytest

import rheokit as rk
from rheokit.charts.looks import PAGES
from rheokit.limits import finding
from rheokit.machine.cautions import CAUTIONS
from rheokit.machine.drives import stored_energy
from rheokit.nomenclature import cells, number
from rheokit.units import MPa, kPa, mm
from rheokit.widgets import NozzleExplorer
from rheokit.widgets.page.freshness import OLD
from rheokit.workbook import Plan, Workbook
from rheokit.workbook.draft import Draft
from rheokit.workbook.entry import NONE
from rheokit.widgets.nozzle.words import (
    blocked,
    force_rows,
    held_pressure,
    limit_rows,
    start_and_stop_rows,
)

pytestmark = pytest.mark.slow  # every test draws a whole page

LAW = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
DRAWS = rk.HerschelBulkley(
    yield_stress=np.linspace(500, 800, 31), consistency=np.full(31, 210.0), flow_index=np.full(31, 0.38)
)
RIG = rk.Extruder(
    barrel_diameter=26.7 * mm, fill_length=60 * mm, plunger_friction=8.0, break_loose_friction=12.0,
    nozzle=rk.Nozzle(rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=10 * mm), rk.Cylinder(diameter=1.6 * mm, length=8 * mm)),
    drive=rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25), pressure_rating=1 * MPa,
)  # fmt: skip
JOB = rk.PrintJob(print_speed=15e-3, layer_height=1 * mm, line_width=2 * mm)


def case(extruder=RIG, **more):
    return rk.Case(paste=rk.Paste(law=LAW, static_ratio=1.3, air_content=0.03, **more), extruder=extruder, job=JOB)


@pytest.fixture(scope="module")
def fit():
    rates = np.array([0.05, 0.2, 1.0, 5.0, 20.0, 100.0, 400.0])
    stress = LAW.shear_stress(rates) * np.array([1.01, 0.98, 1.02, 0.99, 1.0, 1.01, 0.99])
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=stress, relative_uncertainty=0.02)
    return rk.fit(
        rk.HerschelBulkley, rk.Bench(rk.Specimen(paste="olive <b>paste</b>", invented=True, air_content=0.03), [curve])
    )


@pytest.fixture
def explorer(fit):
    return NozzleExplorer(fit)


def plain(html):
    return re.sub(r"<[^>]+>", " ", html).replace("&#x27;", "'")


def row(rows, words):
    return next(row for row in rows if row[0] == words)


def shown(rows, words):
    """Return the number of a row, which is rounded to what its interval deserves."""
    return float(row(rows, words)[1])


# --- the page ---------------------------------------------------------------------------------------------------------


def test_it_begins_with_words_pictures_and_tables(explorer):
    assert explorer.message.value == ""
    assert "Computing" not in explorer.status.value
    for picture in (explorer.force, explorer.along, explorer.parts):
        assert "INVENTED readings, for demonstration" in picture.chart.to_dict()["title"]["subtitle"]
        assert picture.chart.to_dict()["description"] in plain(picture.words.value)
    for place in (explorer.judged, explorer.cautions, explorer.numbers, explorer.startstop):
        assert place.value
    assert "olive" in repr(explorer)


def test_the_first_words_are_force_and_pressure_with_limits_and_what_binds(explorer, fit):
    here, words = explorer.case, plain(explorer.headline.value)
    force, low, high = (
        float(v) for v in re.search(r"Force ([\d.]+) N \(95 % ([\d.]+) to ([\d.]+) N\)", words).groups()
    )
    pressure = float(re.search(r"Pressure ([\d.]+) kPa", words)[1])
    assert (force, pressure * kPa) == pytest.approx((float(here.force), float(here.pressure)), abs=0.05 * kPa, rel=1e-3)
    assert finding(here)[0] in words  # the same as in a script
    assert "Not judged: buckle" not in words and "clog (grain size not known)" in words
    profile = fit.interval(lambda law: here.extruder.plunger_force(law, float(here.flow_rate)))
    assert (low, high) == pytest.approx(profile[1:3], rel=0.03)  # joint draws against the profile
    assert low < float(here.force) < high


def test_speed_bore_and_stiffness_change_words_and_pictures(explorer):
    for change in (
        lambda: setattr(explorer.controls.speed, "value", 40.0),
        lambda: setattr(explorer.controls.fields["bore"], "value", 1.2),
        lambda: setattr(explorer.controls.stiffness, "value", 1.5),
    ):
        before = (
            explorer.headline.value,
            explorer.numbers.value,
            explorer.force.chart.to_dict(),
            explorer.along.chart.to_dict(),
        )
        change()
        after = (
            explorer.headline.value,
            explorer.numbers.value,
            explorer.force.chart.to_dict(),
            explorer.along.chart.to_dict(),
        )
        assert all(a != b for a, b in zip(before, after, strict=True))


def test_stiffness_is_a_factor_on_every_stress(explorer):
    pressure = float(explorer.case.pressure)
    explorer.controls.stiffness.value = 1.5
    assert float(explorer.case.pressure) == pytest.approx(1.5 * pressure, rel=1e-9)
    drawn = explorer.draws()
    assert np.median(drawn.yield_stress) == pytest.approx(1.5 * np.median(explorer._draws.yield_stress))


def test_a_move_keeps_the_picture_and_a_new_page_draws_another(explorer):
    widget = explorer.force._place.children[0]
    spec = widget.spec
    explorer.controls.speed.value = 16.0
    assert explorer.force._place.children[0] is widget
    moved = widget.spec
    assert {k: v for k, v in moved.items() if k not in ("datasets", "description")} == {
        k: v for k, v in spec.items() if k not in ("datasets", "description")
    }
    assert moved == explorer.force.chart.to_dict()
    explorer.probe.page = "dark"
    assert widget.spec["background"] == PAGES["dark"].background


@pytest.mark.parametrize(("width", "flow"), [(400, "column"), (1150, "row nowrap")])
def test_the_controls_stand_beside_the_picture_where_there_is_room(explorer, width, flow):
    explorer.probe.width = width
    assert explorer._beside.layout.flex_flow == flow
    assert explorer.force.chart.to_dict()["width"] == (width if width < 800 else width - 350)
    assert explorer.along.chart.to_dict()["width"] == (width if width < 940 else width // 2 - 20)


@pytest.mark.parametrize(
    ("field", "value", "complaint"),
    [
        (
            "inlet",
            1.0,
            "The inlet of the nozzle, 1 mm, is narrower than the bore at the tip, 1.6 mm: narrowing flow only is computed.",
        ),
        ("bore", 0.0, "bore at the tip D [mm]: '0' is out of bounds; type 0.05 mm to 50 mm."),
        (
            "barrel",
            3.0,
            "The inlet of the nozzle, 4 mm, is wider than the bore of the barrel, 3 mm: a nozzle narrows. Correct one of them.",
        ),
        ("ratio", 0.5, "static over dynamic stress r [-]: '0.5' is out of bounds; type 1 to 20."),
        ("air_content", 100.0, "air in the paste ε_a [%]: '100' is out of bounds; type 0 % to 90 %."),
        ("efficiency", 2.0, "efficiency of the screw η_s [-]: '2' is out of bounds; type 0.01 to 1."),
        ("layer", 0.0, "layer height h [mm]: '0' is out of bounds; type 0.01 mm to 50 mm."),
        ("rating", 0.0, "rating printed on it p_r [kPa]: '0' is out of bounds; type 1 kPa to 100000 kPa."),
    ],
)
def test_bad_input_is_complained_of_and_the_last_picture_stays(explorer, field, value, complaint):
    shown = (explorer.headline.value, explorer.force.chart.to_dict(), explorer.numbers.value, explorer.case)
    usual = explorer.controls.fields[field].value
    explorer.controls.fields[field].value = value
    assert "role='alert'" in explorer.message.value
    assert complaint in plain(explorer.message.value)
    assert "Below stands the last one that could be computed." in explorer.message.value
    assert "The computation failed" not in explorer.message.value
    beside = explorer.controls.fields[field].note.value or explorer.controls.together.value
    assert plain(beside)[3:].strip() in plain(explorer.message.value)  # said where it was typed, too
    assert (explorer.headline.value, explorer.force.chart.to_dict(), explorer.numbers.value, explorer.case) == shown
    explorer.controls.fields[field].value = usual
    assert (
        explorer.message.value == explorer.controls.together.value == explorer.controls.fields[field].note.value == ""
    )


def test_a_nozzle_without_length_is_complained_of(explorer):
    explorer.controls.fields["taper"].value = 0
    assert explorer.message.value == ""
    explorer.controls.fields["land"].value = 0
    assert "The nozzle has no length" in explorer.message.value


def test_the_drive_asks_for_its_own_fields_and_says_its_own_cautions(explorer):
    asked = {key: explorer.controls.fields[key] for key in ("torque", "lead", "efficiency", "air", "hand")}
    for drive, own, hazards in (
        (None, {"torque", "lead", "efficiency"}, ("stall", "pinch")),
        (AIR, {"air"}, ("stored gas",)),
        (HAND, {"hand"}, ("hand",)),
    ):
        if drive:
            explorer.controls.drive.value = drive
        assert {key for key, field in asked.items() if field.layout.display != "none"} == own
        for hazard in (*hazards, "barrel", "tip"):
            assert CAUTIONS[hazard] in plain(explorer.cautions.value)


def test_an_unrated_barrel_is_stopped_and_with_air_allows_nothing(explorer):
    explorer.controls.rated.value = UNRATED
    assert explorer.controls.fields["rating"].layout.display == "none"
    explorer.controls.stiffness.value = 1.2
    assert "Stopped by pressure in the barrel" in plain(explorer.headline.value)
    assert "at most 100 kPa allowed" in plain(explorer.headline.value)
    explorer.controls.drive.value = AIR
    assert "at most 0 kPa allowed" in plain(explorer.headline.value)
    assert "never driven with compressed air" in plain(explorer.headline.value)


def test_rates_not_read_are_called_extrapolated(explorer):
    assert "Extrapolated" not in explorer.headline.value
    explorer.controls.fields["bore"].value = 0.7
    assert "Extrapolated" in explorer.headline.value
    assert "the readings cover 0.05 to 400 1/s" in explorer.headline.value
    assert "outside the readings" in explorer.judged.value


def test_a_taper_is_the_same_by_its_half_angle(explorer):
    pressure = float(explorer.case.pressure)
    explorer.controls.by.value = HALF_ANGLE
    assert explorer.controls.fields["taper"].value == pytest.approx(degrees(atan(1.2 / 10)), abs=0.01)
    assert float(explorer.case.pressure) == pytest.approx(pressure, rel=1e-3)
    explorer.controls.by.value = LENGTH
    assert explorer.controls.fields["taper"].value == pytest.approx(10, abs=0.02)
    assert explorer.message.value == ""


def test_the_length_of_a_taper_by_its_half_angle():
    assert taper_length(4.0, 1.6, 45.0) == pytest.approx(1.2)
    for angle in (0.0, 90.0, 120.0):
        with pytest.raises(rk.DataError, match="it lies between axis and wall"):
            taper_length(4.0, 1.6, angle)


def test_what_is_no_fit_is_refused():
    with pytest.raises(rk.DataError, match=r"is not the result of a fit; give what rk\.fit returned"):
        NozzleExplorer(LAW)


def test_readings_that_do_not_fix_the_law_give_no_force():
    curve = rk.FlowCurve(shear_rate=[1.0, 100.0], shear_stress=[860.0, 1858.0], relative_uncertainty=0.02)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rk.RheokitWarning)
        page = NozzleExplorer(rk.fit(rk.HerschelBulkley, curve))
    assert "Force and pressure are not identified: needs a test of the yield stress" in plain(page.message.value)
    assert page.case is None and repr(page).startswith("NozzleExplorer of Herschel-Bulkley")


# --- rows -------------------------------------------------------------------------------------------------------------


def test_rows_of_force_are_those_of_the_extruder():
    here = case()
    rows, flow = force_rows(here, DRAWS), float(here.flow_rate)
    assert row(rows, "force to run")[1:4:2] == [number(RIG.plunger_force(LAW, flow)), "N"]
    limits = np.quantile(RIG.pressure(DRAWS, flow), [0.025, 0.975])
    assert row(rows, "pressure at the plunger face to run")[1:4] == list(cells(RIG.pressure(LAW, flow), *limits, "kPa"))
    start = RIG.start_factor * 1.3 * 650
    assert shown(rows, "force to start after the rest") == pytest.approx(start * RIG.area + 12, rel=0.01)
    assert shown(rows, "pressure to start after the rest") == pytest.approx(start / kPa, rel=0.01)
    torque = RIG.plunger_force(LAW, flow) * 2e-3 / (2 * pi * 0.25)
    assert shown(rows, "torque of the motor to run") == pytest.approx(torque, rel=0.01)
    assert row(rows, "batch 5 % stiffer, screw: rise of pressure")[1:4] == ["5", "", "%"]
    assert row(rows, "batch 5 % stiffer, air: loss of flow")[1] == number(
        100 * (1 - RIG.stiffer(LAW, 1.05, flow).flow_ratio)
    )
    assert all(not r[2] for r in force_rows(here, None))


@pytest.mark.parametrize(
    ("drive", "grade"), [(rk.AirDrive(200 * kPa), ""), (rk.HandDrive(), "by hand: great effort: 38 to 64 N")]
)
def test_a_drive_that_holds_the_pressure_says_the_flow_it_makes(drive, grade):
    here = case(replace(RIG, drive=drive))
    rows = force_rows(here, None)
    flow = float(here.extruder.flow_at(LAW))
    assert row(rows, "flow that the drive makes")[1] == number(flow / mm**3)
    assert row(rows, "force to run")[4] == grade
    assert (
        f"it makes {number(flow / mm**3)} mm³/s, the print takes {number(float(here.flow_rate) / mm**3)} mm³/s"
        in held_pressure(here)[0]
    )
    assert held_pressure(case()) == []


def test_rows_of_start_and_stop_are_those_of_the_transient():
    here = case()
    assert row(start_and_stop_rows(here, DRAWS), "half of the flow")[1].startswith("at least ")
    here = case(replace(RIG, compliance=0.0))
    rows, run = start_and_stop_rows(here, DRAWS), rk.rise(here.extruder, LAW, float(here.flow_rate), 0.03)
    assert shown(rows, "first drop after the start") == pytest.approx(run.first_drop, rel=0.01)
    assert shown(rows, "half of the flow") == pytest.approx(run.half_flow, rel=0.01)
    assert shown(rows, "95 % of the flow") == pytest.approx(run.time_to(0.95), rel=0.01)
    assert shown(rows, "ooze in 10 s after a stop") == pytest.approx(run.ooze(10.0) / mm**3, rel=0.01)
    assert shown(rows, "plunger to draw back so that nothing oozes") == pytest.approx(
        run.retraction / RIG.area / mm, rel=0.01
    )
    for one in rows:
        low, high = map(float, one[2].split(" to "))
        assert low < float(one[1]) < high


def test_air_has_no_lag_and_stores_energy():
    """Isothermal work against the air, from memory: p V [ln(p/p0) - 1 + p0/p], at 2 bar gauge in 33.6 mL."""
    rows = start_and_stop_rows(case(replace(RIG, drive=rk.AirDrive(200 * kPa))), None)
    assert rows[0][1] == "0"
    volume, absolute = RIG.area * 60 * mm, 301325.0
    energy = absolute * volume * (log(absolute / 101325) - 1 + 101325 / absolute)
    assert energy == pytest.approx(stored_energy(volume, 200 * kPa))
    assert rows[1][1:4] == [number(energy), "", "J"]
    assert len(start_and_stop_rows(case(replace(RIG, drive=rk.HandDrive())), None)) == 1


def test_rows_of_limits_carry_units_room_and_remedy():
    found = rk.judge(case(replace(RIG, pressure_rating=None), grain_size=0.18 * mm))
    rows = limit_rows(found)
    pressure = found.loc["rated pressure"]
    assert row([r[1:] for r in rows], "pressure in the barrel") == [
        "pressure in the barrel", f"{number(pressure.value / kPa)} kPa", "at most 100 kPa", f"{number(np.exp(pressure.margin))} times", pressure.remedy
    ]  # fmt: skip
    assert rows[0][0] == "broken"
    assert row([r[1:] for r in rows], "bore against grains")[1:3] == ["1.6 mm", "at least 0.9 mm"]
    assert not any("not asked" in r[0] for r in rows)
    clog = row([r[1:] for r in limit_rows(rk.judge(case()))], "bore against grains")
    assert clog[4] == "cannot be judged, grain size not known: measure it"
    assert [r[1] for r in rows] == list(found[found.verdict != "not asked"].label)


def test_a_blocked_tip_meets_the_whole_drive():
    stall = 2 * pi * 0.3 * 0.25 / 2e-3 / RIG.area / kPa
    assert (
        blocked(RIG)
        == f"If the tip blocks, this drive makes {number(stall)} kPa in the barrel, which may bear 500 kPa."
    )
    assert blocked(replace(RIG, pressure_rating=None)).endswith(
        "which may bear 100 kPa: limit the drive, or take a barrel that bears it."
    )
    assert blocked(replace(RIG, drive=rk.HandDrive())) == CAUTIONS["hand"]


def test_a_line_far_too_wide_is_in_the_first_words(explorer):
    explorer.controls.fields["line"].value = 50.0
    words = plain(explorer.headline.value)
    assert "Stopped by line width over bore: 31.2; at least 1 and at most 1.5 allowed." in words
    assert "Inside every limit" not in words


def test_air_that_is_not_known_is_not_none_in_the_page():
    """Lag and ooze say what to measure; nothing is computed with 0 %."""
    rates = np.geomspace(0.05, 400, 7)
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=LAW.shear_stress(rates), relative_uncertainty=0.02)
    page = NozzleExplorer(rk.fit(rk.HerschelBulkley, rk.Bench(rk.Specimen(paste="olive"), [curve])))
    assert page.controls.aired.value == UNKNOWN
    assert page.case.paste.air_content is None
    words = plain(page.startstop.value)
    assert "lag, ooze and drawing back" in words and "not known" in words
    assert "the air in the paste is not known. Measure it: weigh a cup of known volume" in words
    page.controls.aired.value = MEASURED
    assert page.case.paste.air_content == 0.03
    assert "first drop after the start" in plain(page.startstop.value)


def test_a_taper_as_typed_stands_there_again_after_the_other_way(explorer):
    taper, by = explorer.controls.fields["taper"], explorer.controls.by
    for typed in ("11,375", "five"):
        taper.text.value = typed
        by.value = HALF_ANGLE
        angle = taper.text.value
        by.value = LENGTH
        assert taper.text.value == typed
    assert angle == "" and "five&#x27; is not a number" in taper.note.value
    taper.text.value, by.value = "11.375", HALF_ANGLE
    explorer.controls.fields["bore"].text.value = "2.0"  # another nozzle: the angle that stands there is its taper
    by.value = LENGTH
    assert taper.value == pytest.approx(
        (explorer.controls.fields["inlet"].value - 2) / 2 / tan(radians(6.02)), abs=0.01
    )
    by.value, taper.text.value = HALF_ANGLE, "8"
    by.value = LENGTH
    assert taper.value == pytest.approx((explorer.controls.fields["inlet"].value - 2) / 2 / tan(radians(8)), abs=0.01)
