"""What is typed into a number field is taken exactly or refused beside it; no page changes it or answers with a traceback.

Kind: exact, by the definitions of the units (International System of Units; 1 kgf = 9.80665 N).
"""

import json
import math
import re
from pathlib import Path

import pytest

import rheokit as rk
from rheokit.errors import DataError
from rheokit.units import kPa, mm
from rheokit.widgets import FitExplorer, RecipeExplorer, RegionExplorer
from rheokit.widgets.exercise.explorer import Exercise
from rheokit.widgets.fit.force_panel import ForcePanel
from rheokit.widgets.page.elements import Message
from rheokit.widgets.page.fields import Grid
from rheokit.widgets.page.machine_panel import OF_PRINT, MachinePanel
from rheokit.widgets.page.machine_words import EXAMPLE
from rheokit.widgets.page.number_field import NotKnown, NumberField, SlidingNumber
from rheokit.widgets.page.page_words import labels_of, once, page_words
from rheokit.widgets.page.typed_numbers import Bounds, Refused, number_typed
from rheokit.widgets.recipe.desk import Room
from rheokit.workbook.draft import Draft

WIDGETS = Path(__file__).parents[1] / "rheokit" / "widgets"
SUCH = "is not a number; type one such as 1.6, or with its unit: 1.6 mm."
OUT = "is out of bounds; type 0.1 mm to 20 mm."
UNIT = "is no unit that goes here; write mm, cm or m."


@pytest.mark.parametrize(
    ("typed", "unit", "number"),
    [
        ("10.5", "mm", 10.5), ("10,5", "mm", 10.5), (" 10,5 ", "mm", 10.5), ("10.5 mm", "mm", 10.5), ("10.5mm", "mm", 10.5),
        ("1,05 cm", "mm", 10.5), ("1e1", "mm", 10.0), ("0,046", "mm", 0.046), ("1.046", "mm", 1.046), ("1046,5", "mm", 1046.5),
        ("−5", "mm", -5.0), ("+.5", "mm", 0.5), ("0.1", "mm", 0.1), ("10.5\u00a0mm", "mm", 10.5), ("12 µm", "mm", 0.012),
        ("3 kgf", "N", 3 * 9.80665), ("300 mN m", "N·m", 0.3), ("25 %", "-", 0.25), ("150 %", "× fitted", 1.5), ("1.5 × fitted", "× fitted", 1.5),
        ("1 bar", "kPa", 100.0), ("1.2 mL/min", "mm³/s", 20.0), ("23 mm³/s", "mm³/s", 23.0), ("0.6 cm/min", "mm/min", 6.0),
        ("295.15 K", "°C", 22.0), ("45°", "°", 45.0), ("1 h", "min", 60.0), ("9 Pa/min", "Pa/s", 0.15), ("1.11 g/cm3", "kg/m³", 1110.0),
        ("60 g/(m²·h)", "g/(m²·h)", 60.0), ("0.06 kg m-2 h-1", "g/(m²·h)", 60.0), ("3e-10 m2/s", "10⁻¹⁰ m²/s", 3.0), ("3", "10⁻¹⁰ m²/s", 3.0),
        ("50 1/s", "1/s", 50.0), ("300 1/min", "1/s", 5.0), ("2 times", "times", 2.0), ("5", None, 5.0), ("0.5 kg", "g", 500.0), ("3.4 %", "%", 3.4),
    ],
)  # fmt: skip
def test_a_number_is_taken_with_point_or_comma_and_its_unit_or_none(typed, unit, number):
    assert number_typed(typed, "x", unit) == pytest.approx(number, rel=1e-15)


REFUSED = [
    ("-5", f"'-5' {OUT}"),
    ("99", f"'99' {OUT}"),
    ("50", f"'50' {OUT}"),
    ("1e400", f"'1e400' {OUT}"),
    ("5 m", f"'5 m' is 5000 mm, which {OUT}"),
    ("nan", f"'nan' {SUCH}"),
    ("inf", f"'inf' {SUCH}"),
    ("five", f"'five' {SUCH}"),
    ("5;", f"'5;' {SUCH}"),
    ("1e9999999999", f"'1e9999999999' {SUCH}"),
    ("0x10 0", "'0x10 0': 'x10 0' " + UNIT),
    ("1_0", "'1_0' " + SUCH),
    ("1\uff11", f"'1\uff11' {SUCH}"),
    ("\ud800", f"'\\ud800' {SUCH}"),
    ("5 \ud800", "'5 \\ud800' " + SUCH),
    ("<b>5</b>", f"'<b>5</b>' {SUCH}"),
    ("5 ** 2", f"'5 ** 2' {SUCH}"),
    ("5 apples", "'5 apples': 'apples' " + UNIT),
    ("5 kg", "'5 kg': 'kg' " + UNIT),
    ("5 dB", "'5 dB': 'dB' " + UNIT),
    ("5 -", "'5 -': '-' " + UNIT),
    ("5 % mm", "'5 % mm': '% mm' " + UNIT),
    ("5 mm %", "'5 mm %': 'mm %' " + UNIT),
    ("5 mm ppm", "'5 mm ppm': 'mm ppm' " + UNIT),
    ("5 ± 1 mm", "'5 ± 1 mm': an uncertainty has no place here; type the number alone."),
    ("1,046", "'1,046' can be 1.046 or 1046; write 1.046 or 1046."),
    ("1,046 mm", "'1,046 mm' can be 1.046 mm or 1046 mm; write 1.046 mm or 1046 mm."),
    ("12,345e1", "'12,345e1' can be 12.345e1 or 12345e1; write 12.345e1 or 12345e1."),
    ("1,046.5", "'1,046.5' is not a number; write 1046.5."),
    ("1.046,5", "'1.046,5' is not a number; write 1046.5."),
    ("1 046,5 mm", "'1 046,5 mm' is not a number; write 1046.5."),
    ("1\u202f046", "'1\\u202f046' is not a number; write 1046."),
    ("", "is empty; type a number such as 1.6."),
    (" ", "is empty; type a number such as 1.6."),
    ("9" * 400, f"a text of 400 characters is not a number that can be used; {SUCH[17:]}"),
]


@pytest.mark.parametrize(("typed", "why"), REFUSED, ids=[f"{why[:24]!a}" for _, why in REFUSED])
def test_what_is_no_number_of_a_field_is_refused_beside_it_and_stays_as_typed(typed, why):
    field = NumberField("bore D [mm]", 1.6, 0.1, 20.0)
    field.text.value = typed
    said = f"<div role='alert'><div>{html(why[0].upper() + why[1:])}</div></div>"
    assert (field.note.value, field.note.layout.display) == (said, None)
    assert field.text.value == typed
    with pytest.raises(Refused) as refusal:
        field.read()
    assert str(refusal.value) == f"bore D [mm]: {why}"
    field.text.value = "2,5"
    assert (field.value, field.text.value, field.note.value) == (2.5, "2,5", "")


def html(words):
    return words.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace("'", "&#x27;")


def test_a_number_too_small_or_too_great_for_any_computation_is_refused_where_there_are_no_bounds():
    for typed, size in (("1e-400", "small"), ("1e400", "great")):
        with pytest.raises(
            Refused, match=f"^x: '{typed}' is too {size} to be computed with; type one such as 1.05, or"
        ):
            number_typed(typed, "x", "mm")


def test_none_is_0_below_the_bounds_where_a_field_can_be_none():
    field = NumberField("land L [mm], 0: none", 8.0, 0.1, 500.0, or_0=True)
    field.text.value = "0"
    assert field.value == 0 and not field.refused
    field.text.value = "0,05"
    assert field.refused == "'0,05' is out of bounds; type 0, or 0.1 mm to 500 mm."


def test_an_empty_field_is_not_known_where_it_may_be():
    field = NumberField("air [%]", 3.4, 0.0, 60.0, hint="not known; usually 3 to 8")
    field.text.value = ""
    assert "usually 3 to 8" in field.note.value and field.note.layout.display is None
    with pytest.raises(NotKnown):
        field.read()
    field.text.value = "many"
    assert "role='alert'" in field.note.value
    field.text.value = "5"
    assert field.note.layout.display == "none"


def test_a_number_that_was_set_is_held_exactly_though_fewer_digits_are_shown():
    field = NumberField("bore D [mm]", 1 / 3, 0.1, 20.0)
    assert (field.value, field.text.value) == (1 / 3, "0.333333")
    for typed in ("0.3333330", "0.333333"):
        field.text.value = typed
        assert field.value == 0.333333


# --- sliders ----------------------------------------------------------------------------------------------------------


@pytest.fixture(params=["linear", "logarithmic"])
def sliding(request):
    if request.param == "linear":
        return SlidingNumber("wall w [mm]", 2.0, 0.5, 20.0, 0.5)
    return SlidingNumber("speed v [mm/s]", 15.0, 15 * 10**-1.2, 15 * 10**0.8, 0.02, logarithmic=True)


def test_a_slider_holds_exactly_what_is_typed_and_stands_at_the_nearest_place(sliding):
    heard = []
    sliding.heard(lambda: heard.append(sliding.value))
    assert sliding.slider.readout is False  # ipywidgets' own would clamp, snap, and drop a comma
    sliding.text.value = "7,13"
    assert sliding.value == 7.13 and sliding.text.value == "7,13"
    assert heard == [7.13]
    step = sliding.slider.step
    places = (
        (math.log10(sliding.slider.value) - sliding.slider.min) / step
        if hasattr(sliding.slider, "base")
        else (sliding.slider.value - 0.5) / step
    )
    assert places == pytest.approx(round(places), abs=1e-6)
    assert sliding._place(7.13) == pytest.approx(sliding._place(sliding.slider.value), abs=0.51 * step)


def test_a_slider_that_moves_writes_its_number(sliding):
    step = 10**0.02 if hasattr(sliding.slider, "base") else 1.0
    sliding.slider.value = sliding.slider.value * step + (0 if step > 1 else 0.5)
    wanted = 15.71 if step > 1 else 2.5
    assert (sliding.value, sliding.text.value) == (wanted, f"{wanted:g}")
    sliding.slider.value = 10**sliding.slider.max if step > 1 else 20.0
    assert sliding.refused == ""


def test_out_of_bounds_a_slider_is_refused_and_never_clamped(sliding):
    before = sliding.slider.value
    for typed in ("99", "-5", "1e400", "10 apples", ""):
        sliding.text.value = typed
        assert sliding.refused and "role='alert'" in sliding.note.value
        assert (sliding.slider.value, sliding.text.value) == (before, typed)
    sliding.slider.value = before * 10**0.02 if hasattr(sliding.slider, "base") else 2.5
    assert not sliding.refused


def test_a_slider_says_its_number_with_the_unit_and_no_exponent(sliding):
    sliding.text.value = "7,13"
    assert sliding._spoken.said == f"7.13 {sliding.unit}"
    assert sliding._spoken.place == pytest.approx(sliding._place(sliding.slider.value))
    sliding.value = 11.85977912  # in as many digits as are seen
    assert sliding._spoken.said == f"11.86 {sliding.unit}" and sliding.value == 11.85977912


def test_a_slider_without_a_number_is_not_known_until_it_is_moved():
    """A slider that stands somewhere is taken for a number that somebody chose."""
    wall = SlidingNumber("wall w [mm]", 2.0, 0.5, 20.0, 0.5, hint="not known", begin=None)
    assert (wall.holds, wall.refused, wall.slider.value, wall._spoken.said) == ("", "", 0.5, "not known")
    assert "no-number" in wall._dom_classes and "not known" in wall.note.value and wall.note.layout.display is None
    with pytest.raises(NotKnown, match=r"wall w \[mm\]"):
        wall.read()
    wall.slider.value = 3.0
    assert (wall.value, wall._spoken.said) == (3.0, "3 mm")
    assert "no-number" not in wall._dom_classes and wall.note.layout.display == "none"
    wall.text.value = ""
    assert (wall.slider.value, wall._spoken.said) == (0.5, "not known") and "no-number" in wall._dom_classes


# --- every field of every page ----------------------------------------------------------------------------------------


def within(place, kind):
    """Return the widgets of a kind in another, at any depth."""
    found = [place] if isinstance(place, kind) else []
    return found + [one for child in getattr(place, "children", ()) for one in within(child, kind)]


@pytest.fixture(scope="module")
def pages():
    """Return every explorer with number fields; each hears what computes nothing."""
    law = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)  # INVENTED
    material = rk.Material(paste=rk.Paste(law=law, density=1110.0, water_content=1.045, air_content=0.034))
    nozzle = rk.Nozzle(
        rk.Cone(inlet_diameter=10 * mm, outlet_diameter=1.6 * mm, length=20 * mm),
        rk.Cylinder(diameter=1.6 * mm, length=8 * mm),
    )
    extruder = rk.Extruder(
        barrel_diameter=26.7 * mm, fill_length=60 * mm, nozzle=nozzle, pressure_rating=1000 * kPa,
        drive=rk.ScrewDrive(torque=0.1, lead=2 * mm, efficiency=0.25),
    )  # fmt: skip
    job = rk.PrintJob(print_speed=15 * mm, layer_height_to_bore=0.6, line_width_to_bore=1.22)
    with pytest.MonkeyPatch.context() as nothing:
        nothing.setattr(FitExplorer, "read", lambda self, folder: None)
        nothing.setattr(FitExplorer, "refresh", lambda self: None)
        nothing.setattr(RegionExplorer, "refresh", lambda self: None)
        nothing.setattr(RegionExplorer, "_new_point", lambda self: None)
        nothing.setattr(Room, "refresh", lambda self: None)
        fitted = FitExplorer("nowhere")
        fitted.forces.unfold()
        return {
            "fit": fitted,
            "force": ForcePanel(),
            "nozzle": MachinePanel(Draft(EXAMPLE), lambda: None, opened=OF_PRINT),
            "region": RegionExplorer(material, extruder, job),
            "recipe": RecipeExplorer(),
        }


COUNTS = {"fit": 10, "force": 8, "nozzle": 20, "region": 11, "recipe": 37}


@pytest.mark.parametrize("page", COUNTS)
def test_every_number_field_of_a_page_takes_a_comma_and_refuses_what_it_cannot_hold(pages, page):
    fields = within(pages[page], NumberField)
    assert len(fields) >= COUNTS[page]
    for field in fields:
        begun, low, high = field.text.value, *field.bounds[:2]
        typed = f"{0.3 * low + 0.7 * high:.4f}".replace(".", ",")
        field.text.value = typed
        assert field.value == float(typed.replace(",", ".")) and not field.refused, field.words
        assert field.unit is not None, field.words  # labels name the unit
        for wrong in (
            "nonsense",
            "5 apples",
            f"{2 * high + 1:.0f}",
            f"{-high - 1:.0f}",
            "1,046",
            "1e400",
            "nan",
            "9" * 400,
            "\ud800",
        ):
            field.text.value = wrong
            assert field.refused and field.text.value == wrong, (field.words, wrong)
            assert "role='alert'" in field.note.value and field.note.layout.display is None
            if isinstance(field, SlidingNumber):
                assert field.slider.min <= field._place(field.slider.value) <= field.slider.max
        field.text.value = begun
        assert field.refused == "" or not begun


def test_no_page_uses_a_number_control_that_alters_what_is_typed():
    """Those of ipywidgets made 105 of 10,5, 0 of -5 and 4 of 99, silently."""
    for path in WIDGETS.rglob("*.py"):
        bare = re.findall(r"\bW\.\w*(?:Float|Int)\w*", path.read_text(encoding="utf-8"))
        assert path.name == "number_field.py" or not bare, f"{path.name}: {bare}; use number_field.py"


def test_no_page_reads_a_typed_number_on_its_own():
    for path in WIDGETS.rglob("*.py"):
        bare = re.findall(r".*float\([^()]*(?:text|typed|\.strip\(\)|cell).*", path.read_text(encoding="utf-8"))
        assert not bare, f"{path.name}: {bare}; use number_typed of typed_numbers.py"


# --- tables, the exercise, what the library says -----------------------------------------------------------------------


@pytest.mark.parametrize("page", COUNTS)
def test_every_example_that_a_field_or_a_cell_gives_is_one_that_it_takes(pages, page):
    """1.05 was said of a density from 100 to 25000 kg/m³."""
    such = re.compile(r"type one such as ([^,;]*?)(?:, without a unit|, or with its unit: (.*))?\.$")
    for field in within(pages[page], NumberField):
        begun, field.text.value = field.text.value, "abc"
        for example in filter(None, such.search(field.refused).groups()):
            field.text.value = example
            assert field.refused == "", (field.words, example)
        field.text.value = begun
    for grid in within(pages[page], Grid):
        for column, head in enumerate(grid.heads):
            if column < grid._texts or head.endswith("?"):
                continue
            told = grid.fault("abc", 1, column)
            assert told.startswith(f"{grid.title}, row 1, {head}: "), told
            assert all(not grid.fault(one, 1, column) for one in filter(None, such.search(told).groups())), told


def test_a_cell_is_read_as_a_field_and_refused_below_its_table():
    grid = Grid(
        "Readings",
        ("water content", "yield stress [Pa]"),
        2,
        lambda: None,
        bounds={"yield stress [Pa]": Bounds(0.1, 1e6)},
    )
    grid.cells[0][0].value, grid.cells[0][1].value = "1,5", "0,63 kPa"
    assert grid.rows() == [(1.5, 630.0)]
    for column, typed, why in (
        (0, "51 %", "water content: '51 %': no unit goes here; type the number alone."),
        (1, "-5", "yield stress [Pa]: '-5' is out of bounds; type 0.1 Pa to 1000000 Pa."),
        (1, "1,046", "yield stress [Pa]: '1,046' can be 1.046 or 1046; write 1.046 or 1046."),
    ):
        before, grid.cells[0][column].value = grid.cells[0][column].value, typed
        assert grid.note.value == f"<div role='alert'><div>{html(f'Readings, row 1, {why}')}</div></div>"
        grid.cells[0][column].value = before
        assert grid.note.value == ""


def test_a_second_tab_follows_what_is_typed_and_half_a_character_arrives_all_the_same():
    """A tab hears of another one what the kernel sends back; JSON in UTF-8 holds no half character."""
    field, sent = NumberField("bore at the tip D [mm]", 1.6, 0.1, 20.0), []

    def send(data, buffers):
        sent.append(json.dumps(data, ensure_ascii=False).encode())

    field.text.comm.send = send
    field.text.set_state({"value": "1.2"})
    assert any(b'"echo_update"' in one and b'"value": "1.2"' in one for one in sent)
    field.text.set_state({"value": "1\ud800"})
    assert field.text.value == "1\ud800"


def test_half_a_character_can_be_said():
    message = Message()
    message.complain("\ud800")
    message.value.encode()
    assert "\\ud800" in message.value


def test_a_prediction_is_read_as_every_number():
    asked = Exercise("Doubling", "How high?", 30.0, unit="mm")
    for typed, why in (("1,046", "can be 1.046 or 1046"), ("3 apples", "no unit that goes here; write mm, cm or m")):
        asked.field.value = typed
        asked.show.click()
        assert why in asked.message.value and asked.prediction is None
    asked.field.value = "2,5 cm"
    asked.show.click()
    assert asked.prediction == 25.0


@pytest.mark.slow
@pytest.mark.parametrize(
    ("panel", "key", "typed", "wrong"),
    [
        ("drying", "water_in_the_end", "0,05", "Water wanted in the end, u_f = 0.05, is never reached: the air leaves u_e = 0.08 in it. Correct one of them."),
        ("drying", "water_in_the_end", "1,5", "Water wanted in the end, u_f = 1.5, is more than the fresh paste holds, u = 1.045. Correct one of them."),
        (
            "drying", "dry_solids", "0,1",
            "The fresh paste holds 0.396 of solids by volume, more than the dry part with φ_d = 0.1: it would swell. Take a greater water "
            "content, or correct the solids in the dry part.",
        ),
        ("drying", "dry_solids", "0,99", "Air in the paste, ε_a = 3.71 %, is more than all the pores of the dry part with φ_d = 0.99. Correct one of them."),
        (
            "recipe", "moisture_left", "80",
            "Moisture still in the dried parts, 80 % on the wet basis, is more than the paste is to hold, u = 1.045 (51.1 % on the wet basis). "
            "Correct one of them.",
        ),
    ],
)  # fmt: skip
def test_why_numbers_cannot_be_together_is_said_beside_them_in_their_own_words(recipe_page, panel, key, typed, wrong):
    room = getattr(recipe_page, panel)
    field, beside = room.fields[key], {"recipe": "wrong_again", "drying": "wrong_air"}[panel]
    begun = field.text.value
    field.text.value = typed
    assert field.note.value == f"<div role='alert'><div>{html(wrong)}</div></div>"
    assert room.wrong_words == [wrong] and room.message.value == getattr(room, beside).value == ""
    field.text.value = begun
    assert "alert" not in field.note.value and room.message.value == getattr(room, beside).value == ""


@pytest.mark.slow
def test_a_correction_waits_for_nothing_that_it_does_not_need_and_nonsense_has_its_message(recipe_page):
    recipe = recipe_page.recipe
    recipe.ingredients.fill(())
    recipe.fields["yield_stress_wanted"].text.value = "600"
    assert "Add " in recipe.add.value and "old" not in recipe.add._dom_classes
    assert "the ingredients" in recipe.headline.value and recipe.mixed is None
    recipe.fields["yield_stress_wanted"].text.value = "soft"
    assert "&#x27;soft&#x27; is not a number" in recipe.fields["yield_stress_wanted"].note.value
    recipe.fields["yield_stress_wanted"].text.value = "650"
    recipe.ingredients.fill(recipe.came.ingredients)
    recipe.refresh()
    assert recipe.message.value == "" and recipe.mixed is not None


@pytest.fixture(scope="module")
def recipe_page():
    return RecipeExplorer()


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (
            "Cylinder: diameter = 50 m is wider than any nozzle or barrel rheokit knows (0.2 m). Lengths are in metres; did you mean 50*mm?",
            "Diameter = 50000 mm is wider than any nozzle or barrel rheokit knows (200 mm).",
        ),
        ("Nozzle: bore = 0.0012 m cannot be (did you mean 1*mm?).", "Bore = 1.2 mm cannot be."),
        (
            "WaterLaw.fit: yield_stress = -5 Pa must be above 0 and finite.",
            "Yield stress = -5 Pa must be above 0 and finite.",
        ),
        ("dry_basis: moisture = 1 must be 0 to below 1 (is it u already?).", "Moisture = 1 must be 0 to below 1."),
        (
            "evaporation: temperature = 274.15 K is so cold and dry that the surface would freeze.",
            "Temperature = 1 °C is so cold and dry that the surface would freeze.",
        ),
        (
            "It needs bath temperature [°C] (notebook 6, or [fibre] bath_temperature in plan.toml).",
            "It needs bath temperature [°C] (notebook 6, or [fibre] bath_temperature in plan.toml).",
        ),
        (
            "plan.toml, [machine], fill_length = '9 km' is not between 1 and 1000 mm; correct it",
            "plan.toml, [machine], fill_length = '9 km' is not between 1 and 1000 mm; correct it",
        ),
        (
            "plan.toml, [[recipe.reading]], row 2, water_content = '9' cannot be; water_content is a ratio",
            "plan.toml, [[recipe.reading]], row 2, water_content = '9' cannot be; water content is a ratio",
        ),
        (
            "bench.toml, [[test]] 2: plunger_friction = '3' has no unit\nExtruder: plunger_friction = 3 N is below barrel_drag.",
            "bench.toml, [[test]] 2: plunger_friction = '3' has no unit\nplunger friction = 3 N is below barrel drag.",
        ),
        (
            "plunger_friction of its [[test]] is not stated; 5.35 N was taken",
            "plunger_friction of its [[test]] is not stated; 5.35 N was taken",
        ),
        (
            "bench.toml, [[test]] 1: label 'my_test' is there twice",
            "bench.toml, [[test]] 1: label 'my_test' is there twice",
        ),
    ],
)
def test_a_page_says_nothing_in_the_words_of_code(said, words):
    assert page_words(said) == words


def test_fields_raise_what_pages_catch():
    assert issubclass(Refused, DataError) and issubclass(NotKnown, DataError)


def test_a_table_tells_all_that_cannot_be_and_marks_it():
    grid = Grid(
        "Densities",
        ("name", "density [kg/m³]"),
        3,
        lambda: None,
        texts=1,
        bounds={"density [kg/m³]": Bounds(100.0, 25000.0)},
    )
    for place, (words, density) in enumerate([("a", "five"), ("", "10,5"), ("c", "1350")]):
        grid.cells[place][0].value, grid.cells[place][1].value = words, density
    wrong = [
        (place, column)
        for place in range(3)
        for column in range(2)
        if "wrong" in grid._held[place][column]._dom_classes
    ]
    assert wrong == [(0, 1), (1, 0), (1, 1)]
    told = re.findall("<div>(.*?)</div>", grid.note.value)
    assert len(told) == 3 and all(
        words in line for words, line in zip(("five", "give it a name", "10,5"), told, strict=True)
    )
    grid.cells[0][1].value = "1200"
    grid.cells[1][0].value = grid.cells[1][1].value = ""
    assert grid.note.value == "" and not any("wrong" in cell._dom_classes for row in grid._held for cell in row)


def test_a_bore_takes_a_needle_by_its_gauge_and_no_other_length_does():
    """Kind: published. The nominal inside diameter of 18G and 20G regular wall, as the table of needles has it."""
    assert number_typed("18G", "bore at the tip D [mm]", "mm") == pytest.approx(1000 * rk.needle_bore(18))
    assert number_typed(" 20 gauge", "bore at the tip D [mm]", "mm") == pytest.approx(1000 * rk.needle_bore(20))
    with pytest.raises(Refused, match="the table of needles has"):
        number_typed("99G", "bore at the tip D [mm]", "mm")
    with pytest.raises(Refused):
        number_typed("18G", "straight land L [mm]", "mm")
    field = NumberField("bore at the tip D [mm]", 1.6, 0.05, 50.0)
    field.text.value = "20G"
    assert field.value == pytest.approx(1000 * rk.needle_bore(20))


def test_a_doubt_is_said_once_whatever_its_value():
    far = "Thread Reynolds number Re = {} lies outside 0.2 to 200."
    assert once([far.format(0.00947), far.format("9.45e-3"), "Biot = 3.", far]) == [
        far.format(0.00947),
        "Biot = 3.",
        far,
    ]


def test_a_taper_that_lacks_is_named_by_both_of_its_fields():
    assert labels_of([("nozzle", "taper_length"), ("nozzle", "bore")]) == [
        "length or half angle of the taper",
        "bore at the tip D [mm]",
    ]
