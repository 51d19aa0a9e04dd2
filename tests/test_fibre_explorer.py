"""The page of a fibre without a browser: move a slider, type a number, read what it says."""

import html
import re
from dataclasses import replace

import numpy as np
import pytest
from dopes import DOPE, JOB, RIG, fibre_asked

import rheokit as rk
from rheokit.limits import LIMITS, Case
from rheokit.machine.cautions import CAUTIONS
from rheokit.nomenclature import written
from rheokit.planning import Winding, chance
from rheokit.units import mm
from rheokit.widgets import FibreExplorer
from rheokit.widgets.fibre import words
from rheokit.widgets.page.page_words import page_words

pytestmark = pytest.mark.slow
SMALL = {"fine": (8, 100)}
ALIKE = rk.heated(rk.Newtonian, 333.15)(viscosity=np.array([2.0, 20.0])[:, None, None], activation_energy=45e3)


def page(of_paste=(), machine="measured", **of_job):
    return unfolded(FibreExplorer(*fibre_asked(of_paste, **of_job), machine=machine, **SMALL))


def unfolded(explorer):
    for fold in explorer.folds.all:
        fold.unfold()
    return explorer


@pytest.fixture
def explorer():
    return page()


def plain(widget):
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", widget.value))).strip()


def test_it_begins_with_everything_said(explorer):
    assert explorer.message.value == "" and "Computing" not in explorer.status.value
    assert all(picture.chart is not None for picture in (*explorer.way.values(), *explorer.folds.maps))
    assert "The gel point is 33 °C" in plain(explorer.way["temperature"].words)
    assert "Drawable region over nozzle temperature" in plain(explorer.folds.maps[0].words)
    assert "Drawable region over gap" in plain(explorer.folds.maps[1].words)
    for hazard in ("hot gel", "bath", "tip"):
        assert CAUTIONS[hazard] in plain(explorer.cautions)


def test_it_says_how_to_wind_it_as_the_library_does(explorer):
    said = plain(explorer.wound)
    assert re.search(
        r"Wind at 14\d mm/s \(95 % \d+ to \d+ mm/s\) for 0\.2 mm dry, held on the drum: a drum of 60 mm makes 45 rpm \(95 % \d+ to \d+ rpm\) then\.",
        said,
    )
    found = Winding(*fibre_asked(), draws=50).at_diameter
    gap, bath = found.longest_gap[0], found.shortest_bath
    assert re.search(
        rf"the gap may be at most {gap.value / mm:.1f} mm \(95 % [\d.]+ to [\d.]+ mm\); even draw ends it", said
    )
    assert (
        re.search(
            r"The bath of 10 °C must be at least 1[12]\d? mm \(95 % \d+ to \d+ mm\) long: the first is as likely too short as not, the last is long enough in 97 of 100 cases\.",
            said,
        )
        and 0.11 < bath.value < 0.125
    )


def test_the_answer_is_the_probability_and_names_what_stops_it(explorer):
    alone = chance(*fibre_asked(), draws=100)
    assert f"holds in {100 * float(alone.probability[0, 0]):.0f} of 100 cases" in plain(explorer.answered)
    explorer.controls.sliders["gap"].value = 20.0
    said = plain(explorer.answered)
    assert "unlikely" in said and "What stops it first, most often: even draw" in said
    assert LIMITS["even draw"].remedy.split(",")[0].lower() in said.lower()
    assert CAUTIONS["hot gel"] in plain(explorer.cautions) and "Caution. " not in said, "it stands once, below"
    assert "nozzle above gel point 40.3 °C ≥ 35 °C 5.3 K" in plain(explorer.folds.limits), (
        "the room of a temperature is in kelvins"
    )


def test_a_slider_moves_pictures_and_answers(explorer):
    before = {key: plain(picture.words) for key, picture in explorer.way.items()}
    explorer.controls.sliders["winding_speed"].value = 70.0
    after = {key: plain(picture.words) for key, picture in explorer.way.items()}
    assert all(after[key] != before[key] for key in ("diameter", "setting"))
    assert "wound at 70 mm/s (22.3 rpm)" in plain(explorer.answered)
    explorer.controls.sliders["nozzle_temperature"].value = 50.0
    assert plain(explorer.way["temperature"].words) != before["temperature"]


def test_every_field_reaches_what_is_computed(explorer):
    changes = {
        "bore": ("0.6", lambda at: at.extruder.nozzle.bore), "needle_length": ("20", lambda at: at.extruder.nozzle.segments[-1].length),
        "barrel_temperature": ("55", lambda at: at.job.barrel_temperature), "pause": ("30", lambda at: at.job.pause),
        "needle_outer_diameter": ("1,5", lambda at: at.job.needle_outer_diameter),
        "air_temperature": ("25", lambda at: at.job.air_temperature), "relative_humidity": ("40", lambda at: at.job.relative_humidity),
        "draught": ("0.1", lambda at: at.job.draught), "bath_length": ("300", lambda at: at.job.bath_length),
        "bath_temperature": ("5", lambda at: at.job.bath_temperature), "dry_diameter": ("0.15", lambda at: at.job.dry_diameter),
    }  # fmt: skip
    assert {*changes, "drum_diameter"} == set(explorer.controls.fields)
    expected = [0.6e-3, 0.02, 328.15, 30.0, 1.5e-3, 298.15, 0.4, 0.1, 0.3, 278.15, 0.15e-3]
    for (key, (typed, get)), value in zip(changes.items(), expected, strict=True):
        explorer.controls.fields[key].text.value = typed
        assert get(explorer.winding) == pytest.approx(value), key
        assert key in explorer.controls.set_here()
    explorer.controls.fields["drum_diameter"].text.value = "80"
    assert "a drum of 80 mm" in plain(explorer.wound)
    explorer.controls.held.value = words.LOOSE
    assert explorer.winding.job.held is False and "loose" in plain(explorer.wound)
    said = plain(explorer.rests)
    assert "barrel temperature T_b 55 °C assumed: set on this page" in said and "loose, and shortens" in said


def test_a_bare_needle_and_no_bath(explorer):
    explorer.controls.heated.value = words.BARE
    assert explorer.winding.job.nozzle_temperature is None
    assert "Drawable region over air temperature" in plain(explorer.folds.maps[0].words)
    blocked = explorer.winding.blocks_after
    assert f"has blocked after {written(blocked.value, 's', 2)}" in plain(explorer.folds.what_if)
    assert "Bare needle" in plain(explorer.answered)
    explorer.controls.fields["bath_length"].text.value = "0"
    assert explorer.controls.fields["bath_temperature"].layout.display == "none"
    assert re.search(r"Without a bath it sets in the air on [\d.]+ mm", plain(explorer.wound))
    assert "bath" not in plain(explorer.way["setting"].words)


def test_what_if_says_what_a_pause_and_a_cold_needle_do(explorer):
    said = plain(explorer.folds.what_if)
    assert "the needle is not heated, and the flow pauses 60 s" in said
    assert "there is no bath 40.3 °C stopped: setting before the drum" in said
    assert "Heated to 38 °C, with its gel point at 33 °C, it stays liquid in it." in said
    explorer.controls.fields["pause"].text.value = "300"
    assert "pause of the flow in a bare needle: 300 s; at most" in plain(explorer.folds.what_if)
    cold = page(nozzle_temperature=300.15)
    assert "it sets in it as well" in plain(cold.folds.what_if)


@pytest.mark.parametrize(("unknown", "said"), [
    ({"dry_section": None}, "How fast to wind is not known: dry section not known."),
    ({"setting_time": None}, "How long the bath of 10 °C must be is not known: set before winding (setting time not known)."),
    ({"density": None}, "How long the gap may be is not known"),
])  # fmt: skip
def test_what_is_not_known_is_said_and_the_rest_is_answered(unknown, said):
    found = page(unknown.items())
    assert said in plain(found.wound) or (
        unknown == {"density": None} and "Not judged: beads, taut thread" in plain(found.wound)
    )
    assert next(iter(unknown)).replace("_", " ") in plain(found.folds.unjudged)
    assert found.message.value == "" and found.way["diameter"].chart is not None


def test_a_picture_that_cannot_be_is_left_out_with_the_reason():
    found = page({"gel_temperature": None, "setting_time": None}.items())
    assert found.way["setting"].chart is None
    assert "Setting along the way: not known, gel temperature, setting time not known." in plain(
        found.way["setting"].reason
    )
    assert found.way["temperature"].chart is not None


def test_a_paste_with_a_yield_stress_is_told_that_it_is_not_drawn():
    paste = replace(DOPE, law=rk.HerschelBulkley(yield_stress=100.0, consistency=20.0, flow_index=0.4))
    found = FibreExplorer(rk.Material(paste=paste), RIG, JOB, **SMALL)
    assert "the law has a yield stress: a paste is not drawn" in plain(found.wound)


def test_an_invented_machine_is_called_so_until_it_is_ones_own():
    assert "INVENTED machine and fibre, for demonstration" in plain(
        page(machine="invented: for demonstration").answered
    )
    assert "INVENTED" not in plain(page().answered)


def test_what_is_no_fibre_is_refused():
    material, rig, _ = fibre_asked()
    with pytest.raises(TypeError, match=r"FibreExplorer: job is .*; give a FibreJob"):
        FibreExplorer(material, rig, rk.PrintJob(print_speed=0.01, layer_height=1e-3, line_width=2e-3))


def test_a_law_that_the_readings_leave_open_says_no_gap_and_what_it_lacks():
    material, rig, job = fibre_asked()
    lacking = "not identified: needs readings at several rates"
    found = FibreExplorer(replace(material, not_identified=lacking, laws_alike=None), rig, job, **SMALL)
    assert f"How long the gap may be is not known: {lacking}." in plain(found.wound)


@pytest.mark.filterwarnings("error")
def test_what_leaves_the_range_of_a_formula_is_said_on_the_page():
    thin = rk.heated(rk.PowerLaw, 333.15)(consistency=5.0, flow_index=0.25, activation_energy=45e3)
    found = page({"law": thin}.items())
    assert "lies outside 0.3 to 1.2" in plain(found.message)


SURE = {"gap": 1 * mm, "bath_length": 2.0, "dry_diameter": None}


def far_from_readings(**unknown):
    material, rig, job = fibre_asked(unknown.items(), **SURE)
    return FibreExplorer(replace(material, temperature_range=(336.15, 350.15)), rig, job, **SMALL)


def test_what_is_outside_the_readings_or_not_judged_is_never_likely():
    found = far_from_readings(setting_time=None, gel_temperature=None)
    read = "temperature at the exit against the readings: 40.3 °C; at least 63 °C and at most 77 °C allowed"
    said = plain(found.answered)
    assert "likely" not in said and float(found.alone.probability[0, 0]) >= 0.9
    assert "nothing judged stops it, as far as judged (nozzle above gel point, set before winding not judged)" in said
    assert f"extrapolated, outside the readings ({read})" in said
    assert f"Extrapolated, outside the readings: {read}." in plain(found.wound)
    for key in ("temperature", "diameter"):
        assert f"EXTRAPOLATED: outside the readings ({read})." in plain(found.way[key].words)
        assert "EXTRAPOLATED" in found.way[key].chart.to_json()
        below = [one.way[key].chart.to_dict()["title"]["subtitle"] for one in (found, page())]
        assert len(below[0]) == len(below[1]), "the picture stays where it is"
    alone = far_from_readings()
    assert "wound at 143 mm/s (45.4 rpm): nothing stops it; extrapolated" in plain(alone.answered)
    inside = page(**SURE)
    assert "(45.4 rpm): likely." in plain(inside.answered) and "xtrapolated" not in plain(inside.wound)


def test_what_sets_in_the_nozzle_gets_no_gap_and_no_bath():
    found = page(nozzle_temperature=298.15)
    assert (
        "No gap and no bath will do, as it can set in the nozzle: coldest temperature of barrel and exit: 28.7 °C (at the exit, below the gel point of 33 °C: it sets there); at least 35 °C allowed. Warm the nozzle, or shorten it; purge after a pause."
        in plain(found.wound)
    )
    assert "the gap may be" not in plain(found.wound) and "must be at least" not in plain(found.wound)
    assert found.winding.longest_gap == ((0.0, 0.0, 0.0), "nozzle above gel point")
    assert found.winding.shortest_bath is None and found.winding.shortest_air_way is None


def test_what_if_calls_nothing_safe_that_the_verdict_does_not():
    material, rig, job = fibre_asked(gap=1 * mm)
    known = Case.of(material, rig, job)
    assert words.what_if_words([("as it is", known)], "").count("inside every limit judged") == 1
    unread = replace(known, paste=replace(known.paste, law=rk.Newtonian(viscosity=3.0)))
    said = words.what_if_words([("as it is", unread)], "")
    assert (
        "inside every" not in said and "no limit judged is broken. Not to be relied on: the law does not depend" in said
    )
    material = replace(material, not_identified="not identified: needs a shorter die", laws_alike=ALIKE)
    open_ = Case.of(material, rig, replace(job, pause=None))
    said = words.what_if_words([("as it is", open_)], "")
    assert "inside every" not in said and "Cannot be called safe: pressure in the barrel is not judged" in said


@pytest.mark.parametrize(
    ("barrel", "room"), [(323.15, "10 K"), (332.15, "1 K"), (333.15, "0 K"), (333.148, "< 0.01 K")]
)
def test_the_room_of_a_setting_that_is_kept_is_told(barrel, room):
    said = plain(page(barrel_temperature=barrel).folds.limits)
    assert re.search(rf"hold temperature {written(barrel, 'K')} ≤ 60 °C {re.escape(room)} ", said)


def test_what_is_typed_is_quoted_as_it_was(explorer):
    bore = explorer.controls.fields["bore"]
    bore.text.value = "333 K"
    said = plain(bore.note)
    assert "'333 K': 'K' is no unit that goes here" in said and "59.85" not in said
    assert page_words("bore = 333 K is odd") == "bore = 59.85 °C is odd"


def test_sliders_reach_what_was_read_and_what_may_be_advised():
    material, extruder, job = fibre_asked()
    read = FibreExplorer(replace(material, temperature_range=(315.15, 348.15)), extruder, job, **SMALL)
    warm, speed = (read.controls.sliders[key] for key in ("nozzle_temperature", "winding_speed"))
    warm.value, speed.value = 75.0, 708.0
    assert (warm.refused, speed.refused) == ("", "")
    assert "Nozzle 75 °C, 10 mm³/s, gap 4 mm, wound at 708 mm/s" in plain(read.answered)
    beyond = page().controls.sliders["nozzle_temperature"]
    beyond.text.value = "75"
    assert beyond.refused
