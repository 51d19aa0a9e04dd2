"""A paste and a gel of one's own, from nothing to force, map, recipe, shape, dry size and thread, touching no code: the folder holds all of it."""

import json
import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from playwright.sync_api import expect
from test_script import RUN, forces

import rheokit as rk
from rheokit.units import kPa
from rheokit.workbook import ASKED

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.filterwarnings("ignore")]
PASTE, GEL = "walnut paste", "amber gel"
SLUMP = {"height": "60 mm", "diameter": "50 mm", "density": "1,18 g/cm3"}
SYRINGE = {
    "barrel diameter": "15.8 mm", "fill length": "40 mm", "plunger friction": "3.0 ± 0.3 N", "bore": "2.10 mm", "length": "30 mm",
    "uncertainty of a reading (optional)": "3 %",
}  # fmt: skip
SLUMPS = ["12.9", "12.4", "13.3"]
PUSHES = [("4", "7.1"), ("16", "8.4"), ("60", "10.9"), ("200", "14.6"), ("500", "19.3")]
OF_FIT = {"slowest_rate": "8,5", "fastest_rate": "120"}
OF_NOZZLE = {
    "nozzle": {"bore": "1.3", "land_length": "0.75 in", "inlet_diameter": "4.0", "taper_length": "12"},
    "machine": {"barrel_diameter": "15.8", "fill_length": "5 cm", "plunger_friction": "3.0"},
    "print": {"print_speed": "12.5", "layer_height": "0.8", "line_width": "1.4", "part_height": "18"},
}
POWDERS = [("walnut shell", "150", "6,5", "1.42 g/cm3"), ("guar", "4.5", "11", "1500")]
WATERED = [("1.2", "0.21 kPa"), ("1.45", "97")]
OF_RECIPE = {
    "recipe": {
        "batch": "0.4 kg", "water_content": "1,3", "reading_error": "12", "paste_there": "380", "water_in_it": "1.2",
        "yield_stress_now": "205", "yield_stress_wanted": "150", "premix_moisture": "6.6",
    },
    "properties": {
        "air_content": "4", "modulus": "14", "static_ratio": "1.4", "build_up_rate": "0", "build_up_time": "0",
        "shrinkage_xy": "9.5", "shrinkage_z": "12", "diffusivity": "2.4",
    },
    "shape": {"modulus_water": "1.3", "rise_speed": "2.5"},
    "print": {"wall_width": "1.5", "span": "6"},
    "drying": {
        "length": "40", "width": "30", "height": "1.5 cm", "shrinkage_error": "0.8", "dry_solids": "0.55", "humidity": "48",
        "temperature": "21.5", "water_left_by_air": "0.09", "water_in_the_end": "0.12",
    },
}  # fmt: skip
DRAIN = {
    "density": "1,1 g/cm3", "start level": "80 mm", "end level": "50 mm", "barrel diameter": "20 mm", "bore": "1.6 mm", "length": "40 mm",
}  # fmt: skip
DRAINS = [("251", "40"), ("247", "40"), ("178", "47"), ("127", "55"), ("125", "55")]
THREAD = {"turns": "90", "drum diameter": "58 mm", "density": "1.1 g/cm3", "dry density": "1.3 g/cm3"}
THREADS = [("1.95", "0.74"), ("1.99", "0.77"), ("1.92", "0.72")]
OF_FIBRE = {
    "fibre": {
        "winding_speed": "90", "throughput": "8.5", "gap": "3.5", "nozzle_temperature": "42", "barrel_temperature": "46",
        "bath_length": "30 cm", "bath_temperature": "9", "air_temperature": "20", "dry_diameter": "0.21", "drum_diameter": "58",
    },
    "nozzle": {"bore": "0.84", "land_length": "12.7"},
    "machine": {"barrel_diameter": "20", "fill_length": "55", "plunger_friction": "3"},
}  # fmt: skip


class Page:
    """The page of one notebook, in which fields are found by the words of `ASKED`."""

    def __init__(self, notebook):
        self.notebook, self.page = notebook, notebook.page

    def type_into(self, name, text):
        field = self.page.get_by_role("textbox", name=name, exact=True).locator("visible=true")
        field.fill(text)
        field.press("Enter")

    def enter(self, typed):
        """Type entries of a plan into fields and sliders, and wait until all is computed."""
        for table, entries in typed.items():
            for key, text in entries.items():
                label = ASKED[table][key].label
                slid = self.page.get_by_role("textbox", name=f"{label}, typed")
                field = self.page.get_by_role("textbox", name=label, exact=True).or_(slid).locator("visible=true").first
                field.fill(text)
                field.press("Enter")
        self.notebook.settle()

    def unfold(self, *titles):
        for title in titles:
            opener = self.page.get_by_role("button", name=title, exact=True)
            if "mod-active" not in opener.get_attribute("class"):
                opener.click()
            expect(opener).to_have_attribute("aria-expanded", "true")

    def choose(self, name, option):
        self.page.get_by_role("combobox", name=name, exact=True).select_option(option)

    def press(self, name):
        self.page.get_by_role("button", name=name).locator("visible=true").click()

    @property
    def answer(self):
        return self.page.locator(".rheokit-strip .of-answer").inner_text()

    def new(self, name):
        """Make a paste, which is then shown."""
        self.press("New paste")
        for wrong in ("../up", "a: b"):
            self.type_into("folder to make for these tests", wrong)
            self.press(re.compile("^Make an empty one"))
            expect(self.page.get_by_role("alert").locator("visible=true")).to_contain_text(
                f"'{wrong}' cannot be the name"
            )
        self.type_into("folder to make for these tests", name)
        self.press(re.compile("^Make an empty one"))
        expect(self.page.get_by_role("combobox", name="paste", exact=True).locator("option:checked")).to_have_text(name)
        self.notebook.settle()
        expect(self.page.get_by_role("alert").locator("visible=true")).to_have_count(0)
        expect(self.page.get_by_role("status").filter(has_text=f"{name} is made and open")).to_be_visible()
        expect(self.page.get_by_role("button", name="New paste", exact=True)).to_have_attribute(
            "aria-expanded", "false"
        )

    def add_test(self, kind, fields, heads, rows, also=()):
        """Type a test and its readings, with columns that are ticked, and add it to the bench."""
        self.choose("kind of test", kind)
        for name, text in fields.items():
            self.type_into(name, text)
        for column in also:
            self.page.get_by_role("checkbox", name=column, exact=True).check()
        for row, cells in enumerate(rows, 2):  # as in a file: the heading is row 1
            for head, cell in zip(heads, cells, strict=True):
                self.type_into(f"{head}, row {row}", cell)
        self.press("Add this test to the open bench")
        self.notebook.settle()
        expect(self.page.get_by_role("alert").locator("visible=true")).to_have_count(0)

    def script(self):
        """Copy the script, and return what the clipboard holds."""
        self.unfold("The same as a script")
        expect(self.page.locator(".rheokit-script pre")).to_contain_text("import rheokit")
        self.notebook.settle()
        self.page.context.grant_permissions(["clipboard-read", "clipboard-write"])
        self.press("Copy the script")
        expect(self.page.get_by_text("Copied.", exact=True)).to_be_visible()
        return self.page.evaluate("() => navigator.clipboard.readText()")


@pytest.fixture
def shown(notebooks):
    """Return a function that opens a notebook, runs it, and returns its page."""

    def opened(name):
        notebook = notebooks.open(name)
        notebook.run()
        notebook.in_sight()
        notebook.settle()
        return Page(notebook)

    return opened


def numbers(words):
    return re.findall(r"\d+(?:\.\d+)?", words)


def rounded(shown, value):
    """Whether a number that is shown is a value, rounded to its last digit."""
    return abs(float(shown) - value) <= 0.501 * 10 ** -len(shown.partition(".")[2])


def ran(script, tmp_path):
    """Return what a script holds in the end, run outside Jupyter."""
    (tmp_path / "paste.py").write_text(script, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", RUN, "paste.py"], capture_output=True, text=True, cwd=tmp_path, check=False
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return json.loads(done.stderr.splitlines()[-1])


def holds(book, typed):
    """Whether a plan holds what was typed, each number in the unit of its field where none was typed."""
    for table, entries in typed.items():
        for key, text in entries.items():
            held = book.plan.text(table, key)
            assert held.startswith(text.replace(",", held[1] if held[1:2] in ".," else ",")), (table, key, held)
    return True


def test_a_paste_goes_from_its_readings_to_force_and_map(shown, notebooks, pastes, tmp_path):
    first = shown("1-fit-bench-data.ipynb")
    first.new(PASTE)
    first.unfold("Type readings into the page")
    first.add_test("cylinder slump", SLUMP, ["slump [mm]"], [(one,) for one in SLUMPS])
    first.add_test("syringe force", SYRINGE, ["flow rate [mm3/s]", "force [N]"], PUSHES)
    first.enter({"fit": OF_FIT})
    assert "Herschel-Bulkley" in first.answer

    second = shown("2-nozzle-and-force.ipynb")
    second.unfold("Line and speed", "Walls and time")
    second.enter(OF_NOZZLE)
    third = shown("3-printable-region.ipynb")
    assert re.search(r"holds in \d+ of 100 cases", third.answer)
    expect(third.page.locator(".beside-picture canvas").first).to_be_visible()

    book = rk.Workbook.open(pastes / PASTE)
    assert holds(book, OF_NOZZLE | {"fit": OF_FIT})
    slump, push = book.bench.tests
    np.testing.assert_allclose(slump.slump, [float(one) * 1e-3 for one in SLUMPS])
    np.testing.assert_allclose(push.force, [float(force) for _, force in PUSHES])
    np.testing.assert_allclose(push.flow_rate, [float(flow) * 1e-9 for flow, _ in PUSHES])
    found, (case, wanted) = ran(second.script(), tmp_path), forces(book)
    for what, ends in wanted.items():
        np.testing.assert_allclose(found[what], ends, rtol=1e-9)
    np.testing.assert_allclose(found["best"], case.force, rtol=1e-9)
    force, _, *ends, pressure, _, low, high = numbers(second.answer)
    assert all(map(rounded, [force, *ends], found["force"]))
    assert all(map(rounded, [pressure, low, high], [one / kPa for one in found["pressure"]]))

    fourth = shown("4-recipe-shape-drying.ipynb")
    for row, cells in enumerate(POWDERS, 1):
        for head, cell in zip(("ingredient", "mass [g]", "moisture [%]", "density [kg/m³]"), cells, strict=True):
            fourth.type_into(f"Ingredients, {head}, row {row}", cell)
    for row, (water, stress) in enumerate(WATERED, 1):
        cell = fourth.page.get_by_role("textbox", name=f"Readings, yield stress [Pa], row {row}", exact=True)
        fourth.type_into(f"Readings, water content, row {row}", water)
        cell.fill(stress)  # and not yet done with while the kernel answers to the cell before
        fourth.notebook.settle()
        expect(cell).to_have_value(stress)
        cell.press("Enter")
    fourth.enter(OF_RECIPE)
    book = rk.Workbook.open(pastes / PASTE)
    assert holds(book, OF_RECIPE)
    stresses = [row["yield_stress"] for row in book.plan.rows("recipe", "reading")]
    assert stresses == ["0.21 kPa", "97 Pa"]
    assert [row["name"] for row in book.plan.rows("recipe", "ingredient")] == [powder for powder, *_ in POWDERS]
    with ThreadPoolExecutor(1) as apart:  # from the loop of the browser, where a page would compute later
        page = apart.submit(rk.widgets.RecipeExplorer.of, book).result()
    found = ran(fourth.script(), tmp_path)
    standing, drying, sheet = page.shape.standing, page.drying.drying, book.recipe.batch_sheet(0.4).weigh
    for what, wanted in {
        "sheet": sheet, "leans": standing.leans, "foot": standing.foot, "total": drying.times.total, "index": drying.index,
    }.items():  # fmt: skip
        np.testing.assert_allclose(found[what], wanted, rtol=1e-9)
    assert f"{sheet['water']:.1f} g of water" in fourth.answer


def test_a_gel_goes_from_its_readings_to_its_thread(shown, notebooks, pastes, tmp_path):
    first = shown("1-fit-bench-data.ipynb")
    first.new(GEL)
    first.unfold("Type readings into the page")
    first.add_test("timed drain", DRAIN, ["drain time [s]", "temperature [°C]"], DRAINS, ["temperature"])
    first.add_test("wound thread", THREAD, ["wet mass [g]", "dry mass [g]"], THREADS)
    first.choose("flow law", "Newtonian")
    first.notebook.settle()
    sixth = shown("6-gels-and-fibres.ipynb")
    sixth.press("heated")
    sixth.enter(OF_FIBRE)
    book = rk.Workbook.open(pastes / GEL)
    assert holds(book, OF_FIBRE | {"fit": {"law": "Newtonian"}, "job": {"kind": "fibre"}})
    found, (_, wanted) = ran(sixth.script(), tmp_path), forces(book)
    np.testing.assert_allclose(found["force"], wanted["force"], rtol=1e-9)
    winding = rk.planning.Winding(book.material, book.extruder, book.job)
    np.testing.assert_allclose(found["speed"], winding.winding_speed, rtol=1e-9)
