"""The region explorer without a browser: move a slider, type a point, read what the page says."""

import asyncio
import html
import math
import re
from dataclasses import replace

import clock
import numpy as np
import pytest

import rheokit as rk
from rheokit.charts.looks import PAGES
from rheokit.limits import LIMITS
from rheokit.planning import chance, nozzle_advice, window
from rheokit.units import kPa, mm
from rheokit.widgets import RegionExplorer
from rheokit.widgets.page.elements import Later
from rheokit.widgets.page.freshness import dated_in

pytestmark = [
    pytest.mark.filterwarnings("ignore:somewhere on the map, converging flow", "ignore:converging flow"),
    pytest.mark.slow,
]
SMALL = {"fine": (12, 200), "quick": (8, 40)}


def asked(**changes):
    paste = rk.Paste(
        law=rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38), density=1110.0, modulus=25e3,
        grain_size=180e-6, water_content=1.045, water_slope=3.23, air_content=0.03,
    )  # fmt: skip
    material = rk.Material(
        paste=paste, law_spreads={"consistency": 0.1, "flow_index": 0.02}, rate_range=(20.0, 285.0), yield_read=True
    )
    drive = rk.ScrewDrive(torque=60 * 2e-3 / (2 * math.pi * 0.25), lead=2e-3, efficiency=0.25)
    nozzle = rk.Nozzle(
        rk.Cone(inlet_diameter=10 * mm, outlet_diameter=1.6 * mm, length=20 * mm),
        rk.Cylinder(diameter=1.6 * mm, length=8 * mm),
    )
    extruder = rk.Extruder(
        barrel_diameter=26.7 * mm,
        fill_length=60 * mm,
        plunger_friction=8.0,
        nozzle=nozzle,
        drive=drive,
        pressure_rating=1000 * kPa,
    )
    job = rk.PrintJob(
        print_speed=15 * mm, layer_height_to_bore=0.6, line_width_to_bore=1.22, part_height=15 * mm, **changes
    )
    return material, extruder, job


@pytest.fixture
def explorer():
    return RegionExplorer(*asked(), subtitle=["paste", "INVENTED readings"], **SMALL)


def plain(widget):
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", widget.value))).strip()


def opened(explorer, fold):
    """Return what a fold says, unfolded."""
    getattr(explorer.folds, fold).unfold()
    return plain(explorer.folds.text(getattr(explorer.folds, fold)))


def spec(explorer):
    return explorer.picture._place.children[0].spec


def test_it_begins_with_a_fine_map_and_everything_said(explorer):
    assert explorer.found.shape == (12, 12)
    assert explorer.found.draws == 200
    assert explorer.message.value == ""
    assert "Computing" not in explorer.status.value
    assert spec(explorer)["title"]["subtitle"][:2] == ["paste", "INVENTED readings"]
    assert explorer.picture.contents.words in plain(explorer.picture.words)
    assert "Were all batches alike" in opened(explorer, "better")
    assert "not known" in opened(explorer, "limits")
    assert set(explorer.controls.sliders) == {
        "bore", "taper", "print_speed", "layer_height", "wall_width", "part_height", "stiffness", "water_content", "air_content",
    }  # fmt: skip


def test_what_is_not_judged_is_to_be_measured_first(explorer):
    """A number that would change nothing of the limits judged may be all that the others lack."""
    said = "This is of the limits that are judged. Measure first what the others lack"
    material, extruder, job = asked()
    unjudged = RegionExplorer(replace(material, paste=replace(material.paste, modulus=None)), extruder, job, **SMALL)
    for shown in (explorer, unjudged):
        assert (said in opened(shown, "better")) is bool(shown.alone.unjudged)
    assert unjudged.alone.unjudged


def test_the_answer_is_the_probability_of_the_point(explorer):
    held = explorer.controls.where()
    alone = chance(*asked(), draws=200, held=held)
    share = float(alone.probability[0, 0])
    said = plain(explorer.answered)
    assert f"Every limit judged holds in {100 * share:.0f} of 100 cases" in said
    assert "What stops it first, most often: lean: height before the wall leans" in said
    assert "A thicker or curved wall" in said
    table = opened(explorer, "limits")
    assert (
        f", broken {100 * float(alone.holds['lean'][0, 0]):.0f} {100 * float(alone.stops_first['lean'][0, 0]):.0f} "
        in table
    )
    assert "15 mm ≤ 1" in table
    assert "Lean: height before the wall leans. To do: a thicker or curved wall" in table
    assert table.index("lean") < table.index("stack"), "the tightest first"


def test_a_slider_moves_map_answer_and_picture(explorer):
    before, said = spec(explorer)["datasets"]["picture"], plain(explorer.answered)
    widget = explorer.picture._place.children[0]
    explorer.controls.sliders["part_height"].value = 5
    assert explorer.controls.held() == {"part_height": pytest.approx(5 * mm)}
    assert explorer.picture._place.children[0] is widget
    assert spec(explorer)["datasets"]["picture"] != before
    assert plain(explorer.answered) != said
    direct = chance(*asked(), draws=200, held={**explorer.controls.where(), "part_height": 5 * mm})
    assert f"in {100 * float(direct.probability[0, 0]):.0f} of 100" in plain(explorer.answered)


def test_what_is_tested_is_held_before_what_moves_it(explorer):
    """A stiffer batch at another water content: both sliders count."""
    explorer.controls.across.value, explorer.controls.up.value = "bore", "print_speed"
    explorer.controls.sliders["water_content"].value = 1.2
    explorer.controls.sliders["stiffness"].value = 1300
    case = explorer.found.case
    assert float(case.paste.yield_stress) == pytest.approx(1300 * math.exp(-3.23 * (1.2 - 1.045)), rel=0.01)


def test_layer_and_wall_follow_the_bore_until_they_are_set(explorer):
    assert "layer_height" not in explorer.controls.held()
    explorer.controls.follows["layer_height"].value = False
    explorer.controls.sliders["layer_height"].value = 1.5
    assert explorer.controls.held()["layer_height"] == pytest.approx(1.5 * mm)
    assert explorer.controls.sliders["layer_height"].layout.display is None
    explorer.controls.follows["layer_height"].value = True
    assert "layer_height" not in explorer.controls.held()
    assert explorer.controls.sliders["layer_height"].layout.display == "none"


def test_other_axes_give_another_frame_and_fields_of_their_own(explorer):
    explorer.controls.up.value = "part_height"
    assert tuple(explorer.found.axes) == ("bore", "part_height")
    assert explorer.controls.point["up"].description == "part height H [mm]"
    assert explorer.controls.where()["part_height"] == pytest.approx(15 * mm)
    titles = {layer["encoding"]["y"]["title"] for layer in spec(explorer)["layer"]}
    assert titles == {"part height H [mm]"}
    assert explorer.controls.sliders["part_height"].layout.display == "none"
    assert explorer.controls.sliders["water_content"].layout.display is None


def test_a_click_picks_a_point(explorer):
    said = plain(explorer.answered)
    chart = explorer.picture._place.children[0]
    chart._vl_selections = {
        "pick": {"value": {"x": [3.0], "y": [0.95], "vlPoint": {"or": [{"x": 3.0, "y": 0.95}]}}, "store": []}
    }
    assert explorer.controls.where() == {"bore": pytest.approx(3 * mm), "water_content": pytest.approx(0.95)}
    assert plain(explorer.answered) != said
    assert plain(explorer.answered).startswith("bore at the tip D 3 mm, water content u (dry basis) 0.95:")
    assert spec(explorer)["datasets"]["point"] == [{"x": pytest.approx(3.0), "y": pytest.approx(0.95)}]


def test_a_typed_point_is_explained_without_another_map(explorer):
    found = explorer.found
    explorer.controls.point["across"].value = 2.4
    assert explorer.found is found
    assert plain(explorer.answered).startswith("bore at the tip D 2.4 mm")


def test_a_barrel_without_a_rating_is_stopped_with_caution(explorer):
    explorer.controls.rating.value = 0
    said = plain(explorer.answered)
    assert "stopped: pressure in the barrel must hold in 97.5 of 100 cases and holds in " in said
    assert "nothing is averaged over that" in said
    assert f"Caution. {LIMITS['rated pressure'].caution_for(explorer.found.case)}" in said
    assert "likely" not in said.replace("unlikely", "")


def test_a_stronger_drive_holds_more(explorer):
    explorer.controls.sliders["part_height"].value = 5
    explorer.controls.force.value = 30
    weak = explorer.found.probability.mean()
    explorer.controls.force.value = 120
    assert explorer.found.probability.mean() > weak


def test_two_equal_axes_are_refused_and_the_last_picture_stays(explorer):
    found, drawn = explorer.found, spec(explorer)
    explorer.controls.across.value = "water_content"
    assert plain(explorer.controls.both.note) == "Both axes are water content u (dry basis); choose two different ones."
    assert plain(explorer.message) == ""
    assert explorer.found is found
    assert spec(explorer) is drawn
    explorer.controls.across.value = "bore"
    assert explorer.message.value == ""


def test_an_error_inside_is_said_and_the_last_picture_stays(explorer):
    """A nozzle without a taper has none to vary: said below the field that was changed."""
    found = explorer.found
    explorer.extruder = rk.Extruder(
        barrel_diameter=5 * mm,
        fill_length=60 * mm,
        nozzle=rk.Nozzle(rk.Cylinder(diameter=4.9 * mm, length=10 * mm)),
        drive=explorer.extruder.drive,
    )
    explorer.job = rk.PrintJob(print_speed=15 * mm, layer_height_to_bore=0.6, line_width_to_bore=1.22)
    explorer.controls.sliders["taper"].value = 30
    said = plain(explorer.controls.sliders["taper"].note)
    assert "the nozzle has no Cone whose angle could be varied" in said
    assert "last one that worked" not in said and explorer.found is found


def test_best_values_are_a_map_of_room(explorer):
    explorer.controls.kind.value = "room with best values"
    assert explorer.found.probability is None
    assert "every limit judged holds with best values" in explorer.picture.contents.words
    assert "of 100 cases" in plain(explorer.answered), "the point keeps its probability"


def test_the_lines_of_what_will_do_are_those_of_the_windows(explorer):
    held = explorer.controls.where()
    for axis in ("bore", "print_speed", "water_content"):
        assert window(*asked(), axis, probability=0.9, draws=200, held=held).words in opened(explorer, "inverse")
    advised = nozzle_advice(*asked(), held={name: value for name, value in held.items() if name != "bore"}).words
    assert advised in opened(explorer, "inverse")
    assert "idest margin with" in opened(explorer, "inverse") or "Nothing within these bounds" in opened(
        explorer, "inverse"
    )


def test_the_page_sets_colours_and_width(explorer):
    found, said = explorer.found, explorer.answered.value
    explorer.picture.add_class("old")
    explorer.probe.page = "dark"
    explorer.probe.width = 400
    assert explorer.found is found and explorer.answered.value == said, "nothing is computed anew for a theme"
    assert "old" in explorer.picture._dom_classes, "what was old stays old"
    assert spec(explorer)["background"] == PAGES["dark"].background
    assert spec(explorer)["width"] == 400


def test_draws_of_a_law_are_made_once_for_each_count():
    calls = []

    def draws(count, seed):
        calls.append((count, seed))
        normal = np.random.default_rng(seed).standard_normal(count)[:, None, None]
        return rk.HerschelBulkley(yield_stress=650 * np.exp(0.1 * normal), consistency=210.0, flow_index=0.38), None

    material, extruder, job = asked()
    explorer = RegionExplorer(rk.Material(paste=material.paste, law_draws=draws), extruder, job, **SMALL)
    explorer.controls.sliders["part_height"].value = 10
    assert sorted(set(calls)) == sorted(calls)


def test_a_rest_lets_the_next_move_go_first():
    """With an event loop, steps after the first wait; a new start replaces those that wait."""
    done = []

    async def session():
        later = Later(done.append)
        later.start([lambda: done.append("quick 1"), lambda: done.append("fine 1")], 0.2)
        await asyncio.sleep(0.1)
        later.start([lambda: done.append("quick 2"), lambda: done.append("fine 2"), lambda: done.append("more")], 0.2)
        await asyncio.sleep(0.1)
        assert done == ["quick 1", "quick 2"]
        await asyncio.sleep(0.4)

    clock.run(session())
    assert done == ["quick 1", "quick 2", "fine 2", "more"]


def test_an_own_value_outside_the_usual_range_is_on_the_map():
    """u = 0.4: the axis, the field of the point and the slider reach from below it to above it."""
    material, extruder, job = asked()
    dry = replace(material, paste=replace(material.paste, water_content=0.4))
    page = RegionExplorer(dry, extruder, job, across="bore", up="water_content", fine=(4, 20), quick=(4, 20))
    across = page.found.axes["water_content"]
    assert across[0] < 0.4 < across[-1]
    assert page.controls.point["up"].value == pytest.approx(0.4)
    assert page.controls.where()["water_content"] == pytest.approx(0.4)


def test_a_dope_is_not_called_likely_and_what_cannot_be_asked_is_said():
    material, extruder, job = asked()
    thin = replace(material.paste, law=rk.PowerLaw(consistency=50.0, flow_index=0.5), density=None)
    dope = replace(material, paste=thin, law_spreads={})
    page = RegionExplorer(dope, extruder, job, across="bore", up="print_speed", fine=(4, 20), quick=(4, 20))
    said = plain(page.answered)
    assert "not to be called printable" in said and "likely" not in said.replace("most likely", "")
    assert "Cannot be called printable: the law has no yield stress" in said
    assert "line holds, stack (density, yield stress not known)" in said


def test_what_a_fit_warns_of_stands_first():
    material, extruder, job = asked()
    warned = replace(material, caveats=("9 of 22 checks failed: not to be used.",))
    page = RegionExplorer(warned, extruder, job, across="bore", up="print_speed", fine=(4, 20), quick=(4, 20))
    assert plain(page.answered).strip().startswith("9 of 22 checks failed: not to be used.")
    assert "Somewhere on the map, 9 of 22" not in page.message.value and "9 of 22 checks failed" in page.message.value


def test_a_point_as_typed_stands_there_again_with_its_axis(explorer):
    across, up = explorer.controls.point.values()
    across.text.value, up.text.value = "2,15", "five"
    explorer.controls.up.value = "wall_width"
    assert across.text.value == "2,15" and up.words.startswith("wall width")
    explorer.controls.pick(2.25, 3.1)
    explorer.controls.up.value = "water_content"
    assert (across.text.value, up.text.value) == ("2.25", "five") and "five" in up.note.value
    explorer.controls.across.value = "part_height"
    explorer.controls.sliders["bore"].text.value = "1.9"  # newer than the point
    explorer.controls.across.value = "bore"
    assert across.text.value == "1.9"
    explorer.controls.up.value = "wall_width"
    assert up.text.value == "3.1"


def test_a_closed_fold_costs_nothing_and_an_open_one_follows(explorer, monkeypatch):
    asked_for = []
    at_point = explorer.at_point
    monkeypatch.setattr(
        explorer, "at_point", lambda ask, *what, **how: asked_for.append(ask) or at_point(ask, *what, **how)
    )
    explorer.controls.sliders["part_height"].value = 12
    assert asked_for == [chance], "what nobody reads was computed"
    before = opened(explorer, "inverse")
    assert window in asked_for and before
    explorer.folds.inverse.opener.value = False
    explorer.controls.sliders["part_height"].value = 5
    asked_for.clear()
    assert opened(explorer, "inverse") != before and window in asked_for, "opened again it is of what stands now"
    asked_for.clear()
    explorer.folds.inverse.opener.value = False
    explorer.folds.inverse.unfold()
    assert asked_for == [], "nothing changed"
    explorer.controls.sliders["part_height"].value = 15
    assert window in asked_for and explorer.folds.inverse.is_open, "an open fold stays open and follows"


def test_the_strip_says_chance_trust_and_what_stops_it(explorer):
    share = 100 * float(explorer.alone.probability[0, 0])
    assert f"holds in {share:.0f} of 100 cases, with bore at the tip D 1.6 mm" in plain(explorer.strip.answer)
    assert "Not judged: speed floor" in plain(explorer.strip.trust)
    assert "lean: height before the wall leans, in" in plain(explorer.strip.binds)
    assert "To do: a thicker or curved wall" in plain(explorer.strip.binds)
    explorer.controls.rating.value = 0
    assert re.search(
        r"Stopped: pressure in the barrel must hold in 97.5 of 100 cases and holds in \d+", plain(explorer.strip.answer)
    )
    assert "■" in plain(explorer.strip.binds)


def test_the_strip_says_what_is_invented_extrapolated_and_failed():
    material, extruder, job = asked()
    warned = replace(
        material, caveats=("9 of 22 checks failed: not to be used. Roughen the walls.",), rate_range=(1, 2)
    )
    page = RegionExplorer(warned, extruder, job, machine="invented: for a test", fine=(4, 20), quick=(4, 20))
    trust = plain(page.strip.trust)
    assert "■ 9 of 22 checks failed: not to be used; INVENTED machine and part" in trust
    assert "extrapolated: " in trust


def test_nothing_old_stands_in_a_closed_fold(explorer):
    assert opened(explorer, "limits")
    explorer.folds.limits.opener.value = False
    explorer.controls.sliders["part_height"].value = 12
    assert not [one for one in dated_in(explorer) if "old" in one._dom_classes]
