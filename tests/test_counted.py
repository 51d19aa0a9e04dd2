"""What the readings know of a machine counts where nobody typed it: page, script and workbook say so."""

import re
import shutil

import numpy as np
import pytest

import rheokit as rk
from rheokit.fitting.predictions import Interval
from rheokit.nomenclature import with_limits
from rheokit.widgets.nozzle.start import start_words
from rheokit.widgets.nozzle.words import of_open
from rheokit.widgets.page.machine_panel import MachinePanel
from rheokit.workbook import demo

SYRINGE = rk.Extruder(
    barrel_diameter=20e-3, fill_length=50e-3, nozzle=rk.Nozzle(rk.Cylinder(diameter=1.5e-3, length=12e-3))
)


def without_friction(name, tmp_path, monkeypatch):
    """Return the workbook of a copy of a demo whose plan says no friction."""
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    book = rk.Workbook.open(shutil.copytree(demo(name), tmp_path / "mine"))
    for key in ("plunger_friction", "break_loose_friction"):
        book.plan.put("machine", key, "")
    if not book.plan.text("machine", "barrel_diameter"):  # that of its bench
        barrel = next(test.extruder.barrel_diameter for test in book.bench.tests if getattr(test, "extruder", None))
        book.plan.put("machine", "barrel_diameter", f"{1e3 * barrel:.10g} mm")
        for entry, text in (("fill_length", "50 mm"), ("bore", "1.4 mm"), ("land_length", "20 mm")):
            book.plan.put("machine" if entry == "fill_length" else "nozzle", entry, text)
        for entry, text in (("print_speed", "10 mm/s"), ("layer_height", "1 mm"), ("line_width", "1.7 mm")):
            book.plan.put("print", entry, text)
    return book


def panel_of(book):
    """Return fields of the machine of a workbook, their group opened, and the note below that of the friction."""
    panel = MachinePanel(book.plan, lambda: None, counts=lambda: book.counted)
    for group in panel.groups.values():
        group.unfold()
    return panel, panel.fields["machine", "plunger_friction"].note


@pytest.mark.parametrize(
    ("name", "whence"), [("kitchen", "from the empty barrel test"), ("olive-stone-paste", "as fitted to the readings")]
)
@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_a_friction_that_the_readings_know_counts_and_is_said_to(name, whence, tmp_path, monkeypatch):
    """Kind: exact. The friction of the rig that every force is computed with."""
    book = without_friction(name, tmp_path, monkeypatch)
    rig = book.material.rig(book.extruder).extruder
    assert book.extruder.plunger_friction == 0 < rig.plunger_friction
    one = book.counted["plunger_friction"]
    assert (one.value, one.origin) == (pytest.approx(float(rig.plunger_friction), rel=1e-9), whence)
    assert "plunger friction F_f not known" not in " ".join(book.left_out)
    low, high = one.limits
    said = with_limits(one.value, low, high, "N", before="")
    assert low < one.value < high and said == with_limits(
        *book.fit.table.loc["plunger_friction[syringe]", ["value", "low", "high"]], "N", before=""
    )
    assert f"# plunger friction F_f: {said} counts, {whence}\n" in book.script()
    panel, note = panel_of(book)
    assert f"Empty: {said} counts, {whence}." in note.value and note.layout.display is None
    panel.fields["machine", "barrel_diameter"].text.value = "47"
    assert "Not known: the force is then without the friction." in note.value, "another barrel is not that of the bench"
    assert "plunger friction F_f not known" in " ".join(book.left_out) and "counts" not in book.script()


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_a_friction_that_is_typed_is_not_said_to_come_from_the_readings(tmp_path, monkeypatch):
    book = without_friction("olive-stone-paste", tmp_path, monkeypatch)
    book.plan.put("machine", "plunger_friction", "5 N")
    assert book.counted.keys() <= {"barrel_drag"} and "plunger friction" not in book.script().partition("rk.Nozzle")[0]


@pytest.mark.parametrize(
    ("friction", "said"),
    [(0.0, "must be overcome, which is not known."), (7.0, "overcome, at least 7 N on the plunger.")],
)
def test_without_a_yield_stress_nothing_but_friction_is_overcome_at_the_start(friction, said):
    extruder = rk.Extruder(barrel_diameter=20e-3, fill_length=50e-3, nozzle=SYRINGE.nozzle, plunger_friction=friction)
    told = start_words(extruder, rk.Paste(law=rk.Newtonian(viscosity=12.0)))
    assert told.startswith("The law has no yield stress: ") and told.endswith(said) and " 0 N" not in told
    stiff = start_words(extruder, rk.Paste(law=rk.Bingham(yield_stress=100.0, plastic_viscosity=12.0)))
    assert re.match(r"To start it takes at least [\d.]+ N on the plunger, [\d.]+ kPa in the paste\.", stiff)


@pytest.mark.parametrize(("value", "told"), [(0.0, False), (3.0, True), (np.nan, False)])
def test_a_start_of_nothing_is_not_said_to_take_so_much(value, told):
    start = Interval(value, value, value, False)
    assert ("To start it takes" in of_open("Force not identified", start)) is told
