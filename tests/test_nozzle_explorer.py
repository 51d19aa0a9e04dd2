"""The second explorer without a browser: set a value, read what the page says.

Kind: exact. What the page says is held against the extruder, the limits and the transients it stands on.
"""

import re
import shutil
import warnings
from dataclasses import replace
from math import log, pi
from pathlib import Path

import ipywidgets as W
import numpy as np
import pytest

import rheokit as rk
from rheokit.charts.looks import PAGES
from rheokit.limits import finding, sure
from rheokit.machine.cautions import CAUTIONS
from rheokit.machine.drives import stored_energy
from rheokit.nomenclature import between, cells, number, with_limits, written
from rheokit.origins import in_short
from rheokit.planning import NozzleAdvice
from rheokit.units import MPa, kPa, mm
from rheokit.widgets import NozzleExplorer, NozzlePage
from rheokit.widgets.fit import words as fit_words
from rheokit.widgets.nozzle import folds
from rheokit.widgets.nozzle.draws import TWO_LIMITS
from rheokit.widgets.nozzle.words import (
    AFTER_REST,
    NO_LAW,
    NOT_DRAWN,
    START_FORCE,
    blocked,
    force_rows,
    held_pressure,
    limit_rows,
    start_and_stop_rows,
)
from rheokit.widgets.page.elements import is_shown
from rheokit.widgets.page.freshness import FAILED, OLD
from rheokit.widgets.page.machine_words import EXAMPLE
from rheokit.widgets.page.strip import COMPUTING, NOT_COMPUTED
from rheokit.workbook import Plan, Workbook
from rheokit.workbook.draft import Draft
from rheokit.workbook.entry import NONE

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


def field(page, table, key):
    """Return the field of an entry, its group opened."""
    for group in page.controls.panel.groups.values():
        group.unfold()
    return page.controls.panel.fields[table, key]


def chosen(page, control):
    """Return buttons of the panel, their group opened."""
    for group in page.controls.panel.groups.values():
        group.unfold()
    return page.controls.panel.controls[control]


def everything_said(page):
    """Return the text of every note and message of a page."""
    own = [plain(page.value)] if isinstance(page, W.HTML) else []
    return own + [said for child in getattr(page, "children", ()) for said in everything_said(child)]


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
        assert "INVENTED readings, machine and part, for demonstration" in picture.chart.to_dict()["title"]["subtitle"]
        assert picture.chart.to_dict()["description"] in plain(picture.words.value)
    for place in (explorer.judged, explorer.cautions, explorer.numbers, explorer.startstop):
        assert place.value
    assert "olive" in repr(explorer)


def test_the_first_words_are_force_and_pressure_with_limits_and_what_binds(explorer, fit):
    here, words = explorer.case, plain(explorer.strip.answer.value)
    force, low, high = (
        float(v) for v in re.search(r"Force ([\d.]+) N \(95 % ([\d.]+) to ([\d.]+) N, fit alone\)", words).groups()
    )
    pressure = float(re.search(r"Pressure ([\d.]+) kPa", words)[1])
    assert (force, pressure * kPa) == pytest.approx((float(here.force), float(here.pressure)), abs=0.05 * kPa, rel=1e-3)
    said = plain(explorer.headline.value)
    assert finding(here)[0] in said  # the same as in a script
    assert "Not judged: lean" not in said and "clog (grain size not known)" in said
    profile = fit.interval(lambda law, rig: rig.plunger_force(law, float(here.flow_rate)), extruder=here.extruder)
    assert cells(*profile[:3], "N")[:2] == (f"{force:g}", f"{low:g} to {high:g}")
    assert explorer.limits["force to run"] == profile[1:3]  # which a script has too
    assert f"{force:g} N (95 % {low:g} to {high:g} N) at 15 mm/s" in plain(explorer.force.words.value)
    (shown,) = explorer.force.chart.to_dict()["datasets"]["here"]
    assert (shown["low"], shown["high"]) == profile[1:3]
    assert all(row["speed"] != shown["speed"] for row in explorer.force.chart.to_dict()["datasets"]["band"])


def test_speed_bore_and_stiffness_change_words_and_pictures(explorer):
    for change in (
        lambda: setattr(explorer.controls.speed, "value", 40.0),
        lambda: setattr(field(explorer, "nozzle", "bore").text, "value", "1.2"),
        lambda: setattr(explorer.controls.stiffness, "value", 1.5),
    ):
        before = (
            explorer.strip.answer.value,
            explorer.numbers.value,
            explorer.force.chart.to_dict(),
            explorer.along.chart.to_dict(),
        )
        change()
        after = (
            explorer.strip.answer.value,
            explorer.numbers.value,
            explorer.force.chart.to_dict(),
            explorer.along.chart.to_dict(),
        )
        assert all(a != b for a, b in zip(before, after, strict=True))


def test_stiffness_is_a_factor_on_every_stress(explorer):
    pressure, ends = float(explorer.case.pressure), explorer.limits["pressure at the plunger face to run"]
    explorer.controls.stiffness.value = 1.5
    assert float(explorer.case.pressure) == pytest.approx(1.5 * pressure, rel=1e-9)
    stiffer = explorer.limits["pressure at the plunger face to run"]
    assert stiffer == pytest.approx(1.5 * np.array(ends), rel=1e-3)  # a search for each
    drawn = explorer.drawn_case.pressure_law
    assert np.median(drawn.yield_stress) == pytest.approx(1.5 * np.median(explorer._drawn.laws.yield_stress))


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


def test_pictures_from_before_an_error_are_drawn_for_another_page_and_stay_old(explorer):
    explorer.controls.speed.text.value = "abc"
    for picture in (explorer.force, explorer.along):
        assert {OLD, FAILED} <= set(picture._dom_classes)
    before = explorer.case
    explorer.probe.page, explorer.across.width = "light, large", 400
    assert explorer.force.spec["config"]["axis"]["labelFontSize"] == 22
    assert explorer.along.spec["width"] == 400 and explorer.case is before
    for picture in (explorer.force, explorer.along):
        assert {OLD, FAILED} <= set(picture._dom_classes)


@pytest.mark.parametrize("width", [400, 1150])
def test_pictures_are_as_wide_as_their_places(explorer, width):
    explorer.probe.width = explorer.across.width = width
    assert explorer.force.chart.to_dict()["width"] == width
    assert explorer.along.chart.to_dict()["width"] == (width if width < 940 else width // 2 - 20)


@pytest.mark.parametrize(
    ("table", "key", "typed", "complaint"),
    [
        (
            "nozzle",
            "inlet_diameter",
            "1",
            "The inlet of the taper D_in, 1 mm, is narrower than the bore at the tip D, 1.6 mm: a nozzle narrows.",
        ),
        ("nozzle", "bore", "0", "'0' is out of bounds; type 0.05 mm to 50 mm."),
        (
            "machine",
            "barrel_diameter",
            "3",
            "The bore of the barrel D_0, 3 mm, is narrower than the inlet of the taper D_in, 4 mm: a nozzle",
        ),
        ("machine", "plunger_friction", "20", "Break-loose friction = 12 N is below plunger friction, 20 N"),
        ("machine", "break_loose_friction", "1", "is below plunger friction"),
        ("drive", "efficiency", "2", "'2' is out of bounds; type 0.01 to 1."),
        ("print", "layer_height", "0", "'0' is out of bounds; type 0.01 mm to 50 mm."),
        ("print", "layer_height", "10,5", "Layer height h 10.5 mm is too high for line width w 2 mm"),
        ("machine", "pressure_rating", "0", "'0' is out of bounds; type 1 kPa to 100000 kPa."),
    ],
)
def test_bad_input_is_complained_of_beside_its_field_and_the_last_picture_stays(explorer, table, key, typed, complaint):
    asked = field(explorer, table, key)
    places = explorer.headline, explorer.strip.answer, explorer.numbers
    shown = (*(place.value for place in places), explorer.force.chart.to_dict(), explorer.case)
    usual = asked.text.value
    asked.text.value = typed
    assert complaint in plain(asked.note.value) and is_shown(asked.note)
    assert [one for one in everything_said(explorer) if complaint in one] == [plain(asked.note.value)]
    assert explorer.message.value == "" and "plan.toml" not in asked.note.value
    assert "last ones that could be computed" not in asked.note.value, "which the pictures say themselves"
    assert (*(place.value for place in places), explorer.force.chart.to_dict(), explorer.case) == shown
    assert OLD in explorer.strip.answer._dom_classes
    asked.text.value = usual
    assert explorer.message.value == "" and not is_shown(asked.note)
    assert OLD not in explorer.strip.answer._dom_classes


def test_what_is_not_known_is_said_in_the_strip_and_in_place_of_the_pictures(explorer):
    asked, other = field(explorer, "nozzle", "bore"), field(explorer, "machine", "barrel_diameter")
    asked.text.value = other.text.value = ""
    said = "ot known: needs bore of the barrel D_0, bore at the tip D"
    assert said in plain(explorer.strip.answer.value)
    for picture in (explorer.force, explorer.along, explorer.parts):
        assert picture.chart is None and said in plain(picture.reason.value)
    assert explorer.message.value == explorer.numbers.value == explorer.headline.value == ""
    assert "force and pressure are not computed" in asked.note.value
    asked.text.value, other.text.value = "1.6", "26.7 mm"
    assert "Force" in explorer.strip.answer.value and explorer.force.chart is not None and explorer.case is not None
    explorer.controls.speed.text.value = "16"
    assert explorer.message.value == ""


def test_without_a_job_what_starts_the_flow_is_said_all_the_same(explorer):
    law = explorer.case.paste.law
    start = explorer.case.extruder.start_force(law, 1.3 * float(law.yield_stress))
    known = with_limits(float(start), *explorer.limits[START_FORCE], "N")  # as the page has it with a job
    assert "(95 %" in known
    explorer.controls.speed.text.value = ""
    assert "Not known: needs print speed v." in plain(explorer.strip.answer.value)
    assert f"To start it takes {known} on the plunger" in plain(explorer.headline.value)
    assert "If the tip blocks" in plain(explorer.headline.value)
    assert "INVENTED readings, machine and part" in plain(explorer.strip.trust.value)


def test_what_starts_the_flow_is_stamped_where_checks_of_the_fit_failed(fit):
    curve = fit.tests[0]
    stray = replace(curve, shear_stress=curve.shear_stress * np.where(np.arange(7) == 3, 1.5, 1.0))
    spoilt = rk.fit(rk.HerschelBulkley, stray)
    page = NozzleExplorer(spoilt, plan=Draft(EXAMPLE.replace('print_speed = "15 mm/s"', "")))
    assert spoilt.stamp in plain(page.headline.value) and "To start it takes" in plain(page.headline.value)
    assert in_short(spoilt.stamp) in plain(page.strip.trust.value)


@pytest.mark.parametrize("speed", ["0.2 mm/s", "0.5 mm/s", "120 mm/s", "1000 mm/s"])
def test_every_speed_that_a_plan_may_say_is_answered(fit, speed):
    plan = Draft(EXAMPLE.replace('print_speed = "15 mm/s"', f'print_speed = "{speed}"'))
    page = NozzleExplorer(fit, plan=plan)
    assert float(page.case.job.print_speed) == pytest.approx(float(speed.split()[0]) * mm)
    assert plain(page.strip.answer.value).split()[1] == "Force" and not page.controls.speed.refused
    slider = page.controls.speed.slider
    assert slider.min - 1e-9 <= np.log10(slider.value) <= slider.max + 1e-9


def test_what_cannot_be_computed_from_the_start_is_not_said_to_be_computed_for_ever(fit):
    page = NozzleExplorer(fit, plan=Draft(EXAMPLE.replace('layer_height = "1 mm"', 'layer_height = "12 mm"')))
    assert page.message.value and page.case is None
    for part in (page.strip.answer, page.strip.trust, page.strip.binds):
        assert NOT_COMPUTED in plain(part.value) and COMPUTING not in part.value


def test_force_and_pressure_need_no_draws_and_what_does_is_said_to_lack_them(fit, monkeypatch):
    def refused(*_, **__):
        raise rk.DataError("draws: only 23 effective draws (400 are needed). Add slower rates.")

    monkeypatch.setattr(type(fit), "sample_laws", refused)
    page = NozzleExplorer(fit)
    assert "95 %" in plain(page.strip.answer.value) and "Force" in plain(page.strip.answer.value)
    assert NOT_DRAWN in plain(page.strip.trust.value) and "97.5" not in page.judged.value + page.headline.value
    monkeypatch.undo()
    page = NozzleExplorer(fit)
    assert NOT_DRAWN not in plain(page.strip.trust.value) and "97.5" in page.judged.value


def test_what_a_plan_says_wrongly_of_the_fit_is_not_blamed_on_readings():
    page = NozzleExplorer(None, plan=Draft('[fit]\nlaw = "Bingam"\n'), unread="[fit], law: no law")
    assert "[fit]" in plain(page.strip.answer.value) and NO_LAW not in plain(page.strip.answer.value)
    page = NozzleExplorer(None, plan=Draft(), unread="no reading")
    assert NO_LAW in plain(page.strip.answer.value)


def test_a_friction_that_nobody_knows_leaves_a_lower_bound(explorer):
    asked = field(explorer, "machine", "plunger_friction")
    assert "at least" not in explorer.strip.answer.value
    asked.text.value = ""
    assert "Force at least" in plain(explorer.strip.answer.value)
    assert "plunger friction F_f not known" in plain(explorer.strip.trust.value)
    assert "plunger friction F_f not known: the force is then without the friction" in plain(explorer.headline.value)


def test_the_page_of_a_workbook_is_typed_into_its_plan(fit):
    plan = Draft('[print]\nprint_speed = "15 mm/s"\n')
    page = NozzleExplorer(fit, plan=plan)
    assert "INVENTED machine" not in plain(page.strip.trust.value)
    said = "Not known: needs bore of the barrel D_0, filled barrel length L_f and 4 more."
    assert said in plain(page.strip.answer.value), "all that lacks is counted from the beginning"
    given = {
        ("machine", "barrel_diameter"): "26.7", ("machine", "fill_length"): "60 mm", ("nozzle", "bore"): "1,6", ("nozzle", "land_length"): "8",
        ("print", "layer_height"): "1", ("print", "line_width"): "2", ("machine", "plunger_friction"): "8",
    }  # fmt: skip
    for place, typed in given.items():
        field(page, *place).text.value = typed
    assert plan.text("nozzle", "bore") == "1,6 mm" and plan.text("machine", "barrel_diameter") == "26.7 mm"
    force = RIG.__class__(
        barrel_diameter=26.7 * mm, fill_length=60 * mm, plunger_friction=8.0,
        nozzle=rk.Nozzle(rk.Cylinder(diameter=1.6 * mm, length=8 * mm)),
    ).plunger_force(fit.law, JOB.flow_rate(1.6 * mm))  # fmt: skip
    assert float(page.case.force) == pytest.approx(float(force), rel=1e-9)
    assert "drive not known" in plain(page.strip.trust.value) and page.cautions.value == ""
    assert "the drive is not known" in page.startstop.value and page.message.value == ""


def test_the_drive_says_its_own_cautions(explorer):
    for drive, hazards in (("screw", ("stall", "pinch")), ("air", ("stored gas",)), ("hand", ("hand",))):
        chosen(explorer, "drive").value = drive
        if drive == "air":
            assert "drive not known" in plain(explorer.headline.value) and explorer.cautions.value == ""
            field(explorer, "drive", "pressure").text.value = "200"
        for hazard in (*hazards, "barrel", "tip"):
            assert CAUTIONS[hazard] in plain(explorer.cautions.value)


def test_an_unrated_barrel_is_stopped_and_with_air_allows_nothing(explorer):
    chosen(explorer, "rating").value = NONE
    explorer.controls.stiffness.value = 1.2
    assert "Stopped by pressure in the barrel" in plain(explorer.headline.value)
    assert "■ Stopped by pressure in the barrel" in plain(explorer.strip.binds.value)
    assert "at most 100 kPa allowed" in plain(explorer.headline.value)
    chosen(explorer, "drive").value = "air"
    assert explorer.plan.text("drive", "pressure") == ""
    field(explorer, "drive", "pressure").text.value = "200"
    assert "at most 0 kPa allowed" in plain(explorer.headline.value)
    assert "never driven with compressed air" in plain(explorer.headline.value)


@pytest.mark.filterwarnings("ignore:somewhere on the map, converging flow")
def test_a_barrel_is_stopped_where_the_map_stops_it_and_the_same_needle_is_advised(explorer):
    """Kind: exact. Just below and just above what 97.5 of 100 draws ask of the rating, that of the map as well."""
    limit, free = rk.LIMITS["rated pressure"], sure(explorer.case, explorer.material).kept_free["rated pressure"]
    bears = 2 * float(limit.value(explorer.case)) * np.exp(free)
    for rating, stops in ((0.999 * bears, True), (1.001 * bears, False)):
        field(explorer, "machine", "pressure_rating").text.value = f"{rating / kPa:.8g}"
        found = explorer.case.extruder, explorer.case.job
        alone = rk.planning.chance(explorer.material, *found, draws=1000)
        assert [one.name for one in alone.refused] == ["rated pressure"] * stops
        for place in (explorer.headline, explorer.strip.binds):
            assert ("Stopped by pressure in the barrel" in plain(place.value)) is stops
        told = next(row for row in limit_rows(rk.judge(sure(explorer.case, explorer.material))) if limit.label in row)
        assert f"97.5 of 100 next batches stay below {written(bears / 2, 'Pa')}. " in told[-1]
        held = {"print_speed": float(found[1].print_speed)}
        said = rk.planning.nozzle_advice(explorer.material, *found, held=held).words
        assert said in plain(explorer.folds.stock.value)
    assert TWO_LIMITS in plain(explorer.headline.value)
    explorer.controls.stiffness.value = 1.3
    assert "Stopped by pressure in the barrel" in plain(explorer.headline.value), "the draws are as stiff"
    stiff = rk.planning.nozzle_advice(
        explorer.material, *found, held=held | {"stiffness": 1.3 * float(explorer.material.paste.law.yield_stress)}
    ).words
    assert stiff in plain(explorer.folds.stock.value) and stiff != said


def test_rates_not_read_are_called_extrapolated(explorer):
    assert "xtrapolated: asks" not in explorer.strip.trust.value
    field(explorer, "nozzle", "bore").text.value = "0.7"
    assert "extrapolated: asks for 0.11 to 1260 1/s, read 0.05 to 400 1/s" in explorer.strip.trust.value
    assert "outside the readings" in explorer.judged.value


def test_a_taper_is_the_same_by_its_half_angle(explorer):
    pressure = float(explorer.case.pressure)
    chosen(explorer, "taper").value = "taper_half_angle"
    assert float(explorer.case.pressure) == pytest.approx(pressure, rel=1e-4)
    chosen(explorer, "taper").value = "taper_length"
    assert float(explorer.case.pressure) == pytest.approx(pressure, rel=1e-9)
    assert explorer.message.value == ""


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
    assert " checks failed: " in page.fit.stamp and page.fit.stamp in plain(page.message.value)
    doubted = f"{in_short(page.fit.stamp)}; INVENTED machine and part; the readings leave the force open"
    assert doubted in plain(page.strip.trust.value)


# --- rows -------------------------------------------------------------------------------------------------------------


def test_rows_of_force_are_those_of_the_extruder():
    here = case()
    flow = float(here.flow_rate)
    ends = tuple(np.quantile(RIG.pressure(DRAWS, flow), [0.025, 0.975]))
    rows = force_rows(here, {"pressure at the plunger face to run": ends})
    assert row(rows, "force to run")[1:4:2] == [number(RIG.plunger_force(LAW, flow)), "N"]
    assert row(rows, "pressure at the plunger face to run")[1:4] == list(cells(RIG.pressure(LAW, flow), *ends, "kPa"))
    start = RIG.start_factor * 1.3 * 650
    assert shown(rows, "force to start after the rest") == pytest.approx(start * RIG.area + 12, rel=0.01)
    assert shown(rows, "pressure to start after the rest") == pytest.approx(start / kPa, rel=0.01)
    torque = RIG.plunger_force(LAW, flow) * 2e-3 / (2 * pi * 0.25)
    assert shown(rows, "torque of the motor to run") == pytest.approx(torque, rel=0.01)
    assert row(rows, "batch 5 % stiffer, screw: rise of pressure")[1:4] == ["5", "", "%"]
    assert row(rows, "batch 5 % stiffer, air: loss of flow")[1] == number(
        100 * (1 - RIG.stiffer(LAW, 1.05, flow).flow_ratio)
    )
    assert all(not r[2] for r in force_rows(here, {}))


@pytest.mark.parametrize(
    ("drive", "grade"), [(rk.AirDrive(200 * kPa), ""), (rk.HandDrive(), "by hand: great effort: 38 to 64 N")]
)
def test_a_drive_that_holds_the_pressure_says_the_flow_it_makes(drive, grade):
    here = case(replace(RIG, drive=drive))
    rows = force_rows(here, {})
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
    assert row(start_and_stop_rows(here, replace(here, paste=replace(here.paste, law=DRAWS))), "half of the flow")[
        1
    ].startswith("at least ")
    here = case(replace(RIG, compliance=0.0))
    rows, run = (
        start_and_stop_rows(here, replace(here, paste=replace(here.paste, law=DRAWS))),
        rk.rise(here.extruder, LAW, float(here.flow_rate), 0.03),
    )
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


def test_start_and_stop_are_as_uncertain_as_what_is_assumed_for_them(fit):
    """Exact: where only what is assumed has a spread, the ends are those of its own log-normal."""
    sure = replace(
        rk.Material.of(fit, static_ratio=1.3, air_content=0.03), spreads={"static_ratio": 0.0, "air_content": 0.0}
    )
    wide = replace(sure, spreads={"static_ratio": 0.3, "air_content": 0.3})
    one, other = NozzleExplorer(fit, sure), NozzleExplorer(fit, wide)
    for name in AFTER_REST:
        low, high = (np.log(page.limits[name][1] / page.limits[name][0]) for page in (one, other))
        assert 0.5 * 1.2 < high and low < 0.4  # 2 x 1.96 x 0.3 = 1.18 of r alone; friction takes some of it
    lag = [
        [
            float(end)
            for end in row(start_and_stop_rows(page.case, page.drawn_case), "half of the flow")[2].split(" to ")
        ]
        for page in (one, other)
    ]
    assert lag[0][1] / lag[0][0] < 1.5 and lag[1][1] / lag[1][0] == pytest.approx(np.exp(2 * 1.96 * 0.3), rel=0.2)


def test_a_fitted_static_ratio_is_drawn_with_its_law(fit):
    drawn = NozzleExplorer(fit).drawn_case
    material = rk.Material.of(fit)
    pastes = material.draws(500, 0, batch=False)
    np.testing.assert_allclose(drawn.paste.static_ratio, pastes.static_ratio)
    np.testing.assert_allclose(drawn.pressure_law.yield_stress, pastes.law.yield_stress)
    assert drawn.errors == {}


def test_a_stiffness_that_an_older_plan_kept_is_not_taken(fit):
    page = NozzleExplorer(fit, plan=Draft(f'{EXAMPLE}[page.nozzle]\nstiffness = "1.5"\n'))
    assert page.controls.stiffness.value == 1 and "what if" not in page.strip.trust.value


def test_of_several_batches_it_is_said_that_the_median_one_answers():
    page = NozzleExplorer(Workbook.open(Path(__file__).parents[1] / "data" / "olive-stone-series").fit)
    count = len(page.fit.problem.batches)
    assert count > 1
    for place in (page.strip.trust, page.numbers):
        assert f"median of {count} batches" in plain(place.value)


def test_a_force_that_is_not_identified_has_its_limits_and_what_starts_it():
    """Exact: as `interval` returns them; one speed leaves open how the force rises with it."""
    curve = rk.FlowCurve(
        shear_rate=np.full(3, 30.0), shear_stress=np.array([1400.0, 1430.0, 1380.0]), relative_uncertainty=0.04
    )
    plate = rk.LoadedPlate(volume=5e-6, force=10.0, radius=[0.0235, 0.0233, 0.0236], relative_uncertainty=0.02)
    one = rk.fit(rk.HerschelBulkley, rk.Bench(rk.Specimen(paste="paste", invented=True), [curve, plate]))
    page = NozzleExplorer(one)
    assert page._missing
    flow = float(page.controls.case(page.material).flow_rate)
    with warnings.catch_warnings(action="ignore"):
        found = one.interval(lambda law, rig: rig.plunger_force(law, flow), extruder=page.controls.extruder())
        start = one.interval(lambda law, rig: rig.start_force(law), extruder=page.controls.extruder())
    said = plain(page.strip.answer.value)
    assert f"Force not identified, 95 % from {between(found.low, found.high, 'N')}" in said and "notebook 1" not in said
    assert f"at least {with_limits(*start[:3], 'N')}" in said
    page.controls.speed.text.value = "40"
    assert plain(page.strip.answer.value) != said


@pytest.mark.slow
def test_a_force_without_an_upper_limit_is_said_and_drawn_to_the_end_of_the_pictures():
    """Two rates near each other and a yield stress leave open how much faster the stress rises beyond them."""
    rates, law = np.array([3.0, 6.0]), rk.HerschelBulkley(yield_stress=760.0, consistency=240.0, flow_index=0.48)
    curve = rk.FlowCurve(
        shear_rate=rates, shear_stress=law.shear_stress(rates), relative_uncertainty=0.05, model_error=0.1
    )
    plate = rk.LoadedPlate(volume=6e-6, force=14.0, radius=[0.0253, 0.0251, 0.0255], relative_uncertainty=0.02)
    page = NozzleExplorer(
        rk.fit(rk.HerschelBulkley, rk.Bench(rk.Specimen(paste="paste", invented=True), [curve, plate]))
    )
    assert "failed" not in page.message.value
    assert re.search(r"Force [\d.]+ N \(95 % [\d.]+ to no limit, fit alone\)", plain(page.strip.answer.value))
    for picture, layer in ((page.force, "here"), (page.along, "face")):
        (drawn,) = picture.chart.datasets[layer]
        assert "to no limit" in picture.words.value and np.isfinite(drawn["high"])
    with warnings.catch_warnings(action="ignore"):
        rows = fit_words.force_rows(page.fit, page.controls.extruder(), float(page.case.flow_rate))
    assert " to no limit; pressure" in (said := fit_words.force_words(rows)) and "no limit N" not in said


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
        "pressure in the barrel", f"{number(pressure.value / kPa)} kPa", "at most 100 kPa", f"{number(np.exp(pressure.margin))} times for the next batch",
        f"97.5 of 100 next batches stay below {written(100 * kPa / np.exp(pressure.margin), 'Pa')}. {pressure.remedy}",
    ]  # fmt: skip
    assert rows[0][0] == "broken"
    assert row([r[1:] for r in rows], "bore against grains")[1:3] == ["1.6 mm", "at least 0.9 mm"]
    assert not any("not asked" in r[0] for r in rows)
    clog = row([r[1:] for r in limit_rows(rk.judge(case()))], "bore against grains")
    assert clog[4] == "cannot be judged, grain size not known: measure grain size (test: sieve)"
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
    field(explorer, "print", "line_width").text.value = "50"
    words = plain(explorer.headline.value)
    assert "Stopped by line width over bore: 31.2; at least 1 and at most 1.5 allowed." in words
    assert "Inside every limit" not in words


def test_air_that_is_not_known_is_not_none_in_the_page():
    """Lag and ooze say what to measure; nothing is computed with 0 %."""
    rates = np.geomspace(0.05, 400, 7)
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=LAW.shear_stress(rates), relative_uncertainty=0.02)
    page = NozzleExplorer(rk.fit(rk.HerschelBulkley, rk.Bench(rk.Specimen(paste="olive"), [curve])))
    page.controls.of_paste.unfold()
    asked = page.controls.fields["air_content"]
    assert page.case.paste.air_content is None and "Not known: lag and ooze are not computed" in plain(asked.note.value)
    words = plain(page.startstop.value)
    assert "lag, ooze and drawing back" in words and "not known" in words
    assert "the air content is not known. Measure it: weigh a cup of known volume" in words
    asked.text.value = "3"
    assert page.case.paste.air_content == 0.03 and page.plan.text("properties", "air_content") == "3 %"
    assert "first drop after the start" in plain(page.startstop.value)


def test_a_needle_from_stock_is_advised(explorer):
    said = plain(explorer.folds.stock.value)
    assert re.search(r"(Take|No needle from stock prints with a probability of 0.9 or more: the nearest is) \d+G", said)
    field(explorer, "nozzle", "bore").text.value = ""
    assert "Take" not in plain(explorer.folds.stock.value)


def test_the_needle_to_take_stands_in_view_after_what_binds_first(explorer, monkeypatch):
    before = plain(explorer.strip.binds.value).strip()
    take = "Take 14G (1.6 mm) or wider"
    advice = NozzleAdvice(f"{take}; 16G and narrower: bore against grains (clog).", rk.needles().iloc[:0], "", take)
    monkeypatch.setattr(folds, "nozzle_advice", lambda *asked, **how: advice)
    explorer.folds.show_stock()
    assert plain(explorer.strip.binds.value).strip() == f"{before.removesuffix('.')}. {take}."


def test_a_catch_needs_the_density(explorer):
    explorer.folds.catch.unfold()
    assert "needs the density of the paste" in plain(explorer.folds.catch.made.message.value)


def test_what_the_interval_is_made_of_is_told_while_somebody_looks(explorer, monkeypatch):
    asked = []
    monkeypatch.setattr(
        folds.made_of,
        "uncertainty_budget",
        lambda *given, **how: asked.append(how) or rk.uncertainty_budget(*given, **how),
    )
    explorer.refresh()
    assert not asked
    explorer.folds.made_of.unfold()
    said = plain(explorer.folds.made_of.made.value)
    assert len(asked) == 1
    assert re.search(r"Combined standard uncertainty \S+ N, expanded \S+ N at 95 % with k = 1.96", said)
    assert "flow curve: 7 readings of " in said
    assert "if it were" in said and "1 % more" in said
    low, high = explorer.limits["force to run"]
    assert said.strip().startswith(with_limits(explorer.case.force, low, high, "N"))
    field(explorer, "nozzle", "bore").text.value = ""
    assert "bore at the tip" in plain(explorer.folds.made_of.made.value)


def test_the_demo_opens_as_it_came_and_its_numbers_are_those_of_its_workbook():
    book = Workbook.open("data/olive-stone-paste")
    page = NozzleExplorer(book.fit, book.material, Draft(str(Plan.read("data/olive-stone-paste"))))
    case = rk.Case.of(book.material, book.extruder, book.job)
    assert float(page.case.force) == pytest.approx(float(case.force), rel=1e-12)
    assert "INVENTED readings, machine and part" in plain(page.strip.trust.value)


def test_the_section_of_the_line_is_the_stadium_that_it_fills():
    """By hand: two half rounds of the layer height and the rectangle between, 1 mm high and 2 mm wide."""
    rows = force_rows(case(), {})
    assert float(row(rows, "section of the line")[1]) == pytest.approx(1.0 * (2.0 - 1.0) + pi / 4, abs=0.005)
    assert float(row(rows, "flow that the line takes")[1]) == pytest.approx(15 * (1 + pi / 4), rel=1e-2)


def test_a_new_folder_is_typed_into_before_there_is_a_reading(tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    rk.new_workbook(tmp_path / "new")
    page = NozzlePage(tmp_path / "new")
    assert page.explorer is not None, page.picker
    assert "Not known: needs readings of the paste" in page.explorer.strip.answer.value
    assert "INVENTED" not in page.explorer.strip.trust.value and page.explorer.case is None
    page.explorer.controls.speed.text.value = "12"
    assert Plan.read(tmp_path / "new").text("print", "print_speed") == "12 mm/s"


def test_a_demo_is_never_written_and_comes_back_as_it_came(tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    came = Path("data/olive-stone-paste/plan.toml").read_bytes()
    page = NozzlePage("data/olive-stone-paste")
    force = float(page.explorer.case.force)
    field(page.explorer, "nozzle", "bore").text.value = "1.2"
    assert float(page.explorer.case.force) > force
    again = NozzlePage("data/olive-stone-paste")
    assert again.explorer.plan.text("nozzle", "bore") == "1.2 mm"
    again.picker.as_came.click()
    assert float(again.explorer.case.force) == force
    assert Path("data/olive-stone-paste/plan.toml").read_bytes() == came


def test_what_is_typed_of_the_paste_counts_and_what_the_readings_tell_is_said_below_the_empty_field(
    tmp_path, monkeypatch
):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    shutil.copytree(rk.workbook.demo("olive-stone-paste"), tmp_path / "mine")
    book = rk.Workbook.shelved(tmp_path / "mine")
    page = NozzleExplorer.of(book)
    page.controls.of_paste.unfold()
    modulus, read = page.controls.fields["modulus"], page.case.paste.modulus
    assert "Empty: 13.6 kPa (9.0 to 20.7 kPa) counts, invented: lean height" in plain(modulus.note.value)
    modulus.text.value = "25"
    assert page.case.paste.modulus == 25e3 and page.case.lean_width is None
    book.plan.put("shape", "modulus_water", "1.1")
    page.controls.fields["static_ratio"].text.value = "3"
    assert page.case.paste.modulus > 25e3  # moved to the water that was tested, as on the page of the recipe
    assert page.material.origin("static_ratio") == "assumed: origin not given"
    for key in ("modulus", "static_ratio"):
        page.controls.fields[key].text.value = ""
    assert page.case.paste.modulus == pytest.approx(read) and page.case.lean_width is not None
    modulus.text.value = "-3"
    assert "out of bounds" in plain(modulus.note.value) and "old" in page.headline._dom_classes
