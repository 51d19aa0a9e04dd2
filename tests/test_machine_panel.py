"""The fields of machine and part without a browser: what is typed stands in the plan, what is empty says what it leaves unknown.

Kind: exact. Lengths of a taper are held against the tangent of its half angle.
"""

from math import degrees, radians, tan

import ipywidgets as W
import pytest

from rheokit.errors import DataError
from rheokit.flow.gauges import needle_bore
from rheokit.units import kPa, mm
from rheokit.widgets.page.elements import is_shown, show
from rheokit.widgets.page.machine_panel import OF_FIBRE, MachinePanel
from rheokit.widgets.page.machine_words import WHENCE
from rheokit.widgets.page.typed_numbers import as_in_field
from rheokit.workbook import ASKED, Plan
from rheokit.workbook.draft import Draft

NOZZLE = """
[nozzle]
bore = "1.6 mm"  # read off its label
inlet_diameter = "4 mm"
taper_length = "10 mm"
land_length = "8 mm"
"""
ELSEWHERE = {("nozzle", "outer_diameter")}  # of a fibre


def panel(more=""):
    made = MachinePanel(Draft(NOZZLE + more), lambda: None)
    for group in made.groups.values():
        group.unfold()
    return made


def test_every_entry_has_a_field_and_says_what_it_leaves_unknown():
    made = MachinePanel(Draft(), lambda: None)
    for group in made.groups.values():
        group.unfold()
    tables = ("machine", "nozzle", "drive", "print")
    asked = {(table, key): one for table in tables for key, one in ASKED[table].items() if one.is_number}
    assert set(made.fields) == set(asked) - ELSEWHERE
    for place, field in made.fields.items():
        assert not field.holds and asked[place].without in field.note.value and is_shown(field.note)


def test_nothing_is_made_before_its_group_is_opened():
    made = MachinePanel(Draft(NOZZLE), lambda: None, opened=())
    assert not made.fields and not made.controls
    made.groups["Nozzle"].unfold()
    assert {table for table, _ in made.fields} == {"nozzle"}


def test_what_is_typed_stands_in_the_plan_with_its_unit_before_the_page_is_told():
    plan, seen = Draft(NOZZLE), []
    made = MachinePanel(plan, lambda: seen.append(plan.value("nozzle", "bore")))
    made.fields["nozzle", "bore"].text.value = "0,84"
    assert made.plan.text("nozzle", "bore") == "0,84 mm" and made.plan.value("nozzle", "bore") == 0.84 * mm
    assert seen[-1] == 0.84 * mm
    made.fields["nozzle", "bore"].text.value = "five"
    assert made.plan.text("nozzle", "bore") == "0,84 mm"  # the last that was taken
    with pytest.raises(DataError, match="'five' is not a number"):
        made.refuse()
    show(made.fields["nozzle", "bore"], False)
    made.refuse()  # it is not asked for
    made.fields["nozzle", "bore"].text.value = ""
    assert made.plan.value("nozzle", "bore") is None
    made.refuse()


def test_what_every_field_takes_its_plan_takes_and_shows_as_it_was_typed():
    """A decimal comma stays one, the unit of the field is not shown beside it, a needle goes by its gauge at the tip alone."""
    made, units = panel(), set()
    for (table, key), field in made.fields.items():
        for typed in (f"{ASKED[table][key].example:g}".replace(".", ","), f"{ASKED[table][key].example:g}"):
            field.text.value = typed
            assert not field.refused and made.plan.number(table, key) == pytest.approx(ASKED[table][key].example)
            assert as_in_field(made.plan.text(table, key), field.unit) == typed
        units.add(field.unit)
    assert {"mm", "%", "g/(m²·h)", "N·m"} < units
    bore, barrel = made.fields["nozzle", "bore"], made.fields["machine", "barrel_diameter"]
    bore.text.value = barrel.text.value = "14G"
    assert made.plan.text("nozzle", "bore") == "14G" and made.plan.value("nozzle", "bore") == needle_bore(14)
    assert barrel.refused and not made.plan.faults


def test_a_taper_is_the_same_by_its_half_angle_and_back():
    made = panel()
    taper, plan = made.controls["taper"], made.plan
    taper.value = "taper_half_angle"
    assert plan.text("nozzle", "taper_length") == ""
    assert degrees(plan.value("nozzle", "taper_half_angle")) == pytest.approx(degrees(radians(6.8428)), rel=1e-9)
    assert tan(plan.value("nozzle", "taper_half_angle")) == pytest.approx(1.2 / 10, rel=1e-5)
    assert is_shown(made.fields["nozzle", "taper_half_angle"]) and not is_shown(made.fields["nozzle", "taper_length"])
    taper.value = "taper_length"
    assert plan.text("nozzle", "taper_length") == "10 mm" and plan.text("nozzle", "taper_half_angle") == ""
    made.fields["nozzle", "bore"].text.value = ""
    taper.value = "taper_half_angle"  # no bore, no angle
    assert plan.text("nozzle", "taper_half_angle") == ""


def test_a_line_is_the_same_as_a_share_of_the_bore():
    made = panel('[print]\nlayer_height = "1 mm"\nline_width_to_bore = "1.25"')
    assert made.controls["line_width"].value == "line_width_to_bore"
    made.controls["layer_height"].value, made.controls["line_width"].value = "layer_height_to_bore", "line_width"
    assert made.plan.text("print", "layer_height_to_bore") == "0.625" and made.plan.text("print", "layer_height") == ""
    assert made.plan.text("print", "line_width") == "2 mm" and made.plan.text("print", "line_width_to_bore") == ""


def test_a_barrel_has_a_rating_or_none_or_nobody_knows():
    made = panel('[machine]\npressure_rating = "none"')
    rated, field = made.controls["rating"], made.fields["machine", "pressure_rating"]
    assert rated.value == "none" and not is_shown(field)
    rated.value = "printed"
    assert made.plan.value("machine", "pressure_rating") is None and is_shown(field)
    field.text.value = "8 bar"
    assert made.plan.text("machine", "pressure_rating") == "8 bar"
    assert made.plan.value("machine", "pressure_rating") == pytest.approx(800 * kPa)
    rated.value = "none"
    assert made.plan.text("machine", "pressure_rating") == "none" and field.text.value == "8 bar"


def test_a_drive_asks_for_its_own_fields():
    made = panel('[drive]\nkind = "air"\npressure = "2 bar"')
    for kind, own in {
        "air": {"pressure"},
        "hand": {"force"},
        "screw": {"torque", "lead", "efficiency"},
        "": set(),
    }.items():
        made.controls["drive"].value = kind
        assert {key for (table, key), field in made.fields.items() if table == "drive" and is_shown(field)} == own
        assert made.plan.text("drive", "kind") == kind


def test_where_the_numbers_come_from_is_said_in_one_of_five_ways():
    made = panel('[machine]\norigin = "measured: with a gauge"')
    assert made.controls["machine origin"].value == "measured" and made.controls["job origin"].value == ""
    assert made.plan.text("machine", "origin") == "measured: with a gauge"
    for word in WHENCE.values():
        made.controls["job origin"].value = word
        assert made.plan.text("job", "origin") == word


def test_every_control_of_the_panel_has_a_name():
    for control in panel().controls.values():
        assert isinstance(control, W.ToggleButtons)
        assert any(one.startswith("accessible-name:") for one in control._dom_classes)


def test_a_page_asks_elsewhere_for_what_it_says():
    made = MachinePanel(Draft(), lambda: None, besides=[("print", "print_speed")])
    for group in made.groups.values():
        group.unfold()
    assert ("print", "print_speed") not in made.fields


def test_a_fibre_has_a_needle_and_no_line():
    made = MachinePanel(Draft(), lambda: None, opened=OF_FIBRE, offered=OF_FIBRE)
    assert ("nozzle", "outer_diameter") in made.fields and "print" not in {table for table, _ in made.fields}


def test_groups_are_open_again_as_they_were_left(tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    for name in ("mine", "other"):
        (tmp_path / name).mkdir()

    def left_open(name):
        made = MachinePanel(Plan.read(tmp_path / name), lambda: None)
        return made, [title for title, group in made.groups.items() if group.is_open]

    made, usual = left_open("mine")
    assert usual == ["Nozzle", "Barrel"]
    made.groups["Walls and time"].unfold()
    made.groups["Barrel"].opener.value = False
    assert left_open("mine")[1] == ["Nozzle", "Walls and time"] and left_open("other")[1] == usual
