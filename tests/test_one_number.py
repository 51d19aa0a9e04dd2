"""A number is said with the same digits and the same limits wherever it stands: page, table, picture, text. Kind: exact."""

import re
from dataclasses import replace

import pytest

import rheokit as rk
from rheokit.limits import LIMITS, judge
from rheokit.limits.base import room_in_words
from rheokit.nomenclature import cells, numbers, with_limits, with_unit
from rheokit.planning.chances import held_too_seldom
from rheokit.widgets.nozzle.words import asked_and_read
from rheokit.widgets.recipe.explorer import RecipeExplorer
from rheokit.widgets.recipe.planned import draft_of
from rheokit.workbook import demo

pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore")]


@pytest.fixture(scope="module")
def book():
    """The demo, its recipe at the water of the paste that was tested."""
    book = draft_of(demo("olive-stone-paste"))
    book.plan.put("recipe", "water_content", f"{book.read.known['water_content'].value!r}")
    return book


@pytest.fixture(scope="module")
def pages(book):
    return rk.widgets.NozzleExplorer.of(book), rk.widgets.RegionExplorer.of(book), RecipeExplorer.of(book)


def plain(html):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html)).strip()


def test_the_law_is_written_alike_on_every_page(book, pages):
    nozzle, region, recipe = pages
    for name, row in book.fit.table.loc[["yield_stress", "consistency", "flow_index"]].iterrows():
        value, limits, unit = cells(row.value, row.low, row.high, row.unit)
        wanted = [with_unit(value, unit), with_unit(limits, unit)]
        for rows in (nozzle.rows(), region.rows()):
            (said,) = [list(one[1:3]) for one in rows if one[0] == f"{name.replace('_', ' ')} {row.symbol}"]
            assert said == wanted
        assert f"{name} = {with_limits(row.value, row.low, row.high, row.unit)}, " in repr(book.material)
    low, high = book.fit.limits("yield_stress")
    offered = with_limits(book.fit.law.yield_stress, low, high, "Pa", before="")
    assert f"From the readings: {offered}, of the fitted law" in recipe.recipe.fields["yield_stress_now"].note.value


def test_the_friction_is_written_alike(book, pages):
    row = book.fit.table.loc["plunger_friction[syringe]"]
    said = with_limits(row.value, row.low, row.high, "N", before="")
    assert f"friction {said}" in pages[0].case.about_extruder
    assert book.counted["plunger_friction"].limits == (row.low, row.high) if book.counted else True
    (shown,) = [one[1:3] for one in pages[1].rows() if one[0].startswith("plunger friction")]
    value, limits, unit = cells(row.value, row.low, row.high, "N")
    assert list(shown) == [with_unit(value, unit), with_unit(limits, unit)]


def test_the_foot_and_the_wall_are_written_alike_in_strip_picture_and_table(pages):
    shape = pages[2].shape
    told, rows = plain(shape.picture.words.value), plain(shape.numbers.value)
    for words, known in (("foot yields at", shape.standing.foot), ("wall leans at", shape.standing.leans)):
        assert f"{words} {with_limits(*known, 'mm')}" in told
        value, low, high = numbers(*(1e3 * one for one in known))
        assert f"{words} {value} {low} to {high} mm" in rows
    _, first = shape.standing.first
    assert f"first, at {with_limits(*first, 'mm')}" in plain(pages[2].strip.binds.value)


def test_a_part_leans_at_one_height_on_every_page(pages):
    """The density that was measured counts beside a recipe, too: at the water of its batch all pages have one paste."""
    nozzle, _, recipe = pages
    standing = recipe.shape.standing
    assert float(standing.case.paste.density) == pytest.approx(float(nozzle.case.paste.density), rel=1e-12)
    assert standing.leans.value == pytest.approx(float(LIMITS["lean"].high(nozzle.case)), rel=1e-9)
    assert "kg/m³ as measured" in plain(recipe.shape.numbers.value)
    (row,) = [one for one in recipe.shape.rows() if one[0] == "density with its air ρ"]
    assert row[1] == f"{nozzle.case.paste.density:.0f} kg/m³" and row[3].startswith("invented")


def test_a_density_that_was_measured_moves_with_the_water_as_that_of_the_ingredients(book):
    mixed = book.mixed
    wetter = replace(mixed, recipe=replace(mixed.recipe, water_content=1.3))
    assert wetter.density / mixed.density == pytest.approx(wetter.reckoned_density / mixed.reckoned_density, rel=1e-12)
    assert mixed.density == pytest.approx(mixed.measured[0], rel=1e-12) != mixed.reckoned_density


def test_a_part_is_judged_of_the_paste_that_was_tested_where_no_recipe_is_typed():
    book = draft_of(demo("olive-stone-paste"))
    book.plan.put_rows("recipe", "ingredient", [])
    page, nozzle = RecipeExplorer.of(book), rk.widgets.NozzleExplorer.of(book)
    height = page.shape.standing.leans
    assert height.value == pytest.approx(float(LIMITS["lean"].high(nozzle.case)), rel=1e-9)
    assert f"first, at {with_limits(*page.shape.standing.first[1], 'mm')}" in plain(page.strip.binds.value)
    assert "Of the paste that was tested" in plain(page.shape.headline.value) and page.shape.picture.chart is not None
    book.plan.put("print", "part_height", "")
    page = RecipeExplorer.of(book)
    assert "What brings the wall down is not known: needs part height H." in plain(page.strip.binds.value)


def test_the_rates_of_a_case_are_those_at_the_wall_everywhere(book, pages):
    """The sentence of pages 1 and 2, the limit of verdict and map, and the fit have one rate of the bore, and one that was read."""
    case, fit = pages[0].case, book.fit
    rates = case.extruder.channel.wall_rates(case.pressure_law, float(case.flow_rate))
    row = judge(case, ["rates read"]).iloc[0]
    assert row.label == "shear rate at the wall, from barrel to bore"
    assert row.value == pytest.approx(float(rates[1]), rel=1e-9) and row.high == fit.rate_range[1]
    assert f"{row.high:.3g} 1/s" in row.words and f"{row.high:.3g} 1/s" in asked_and_read(rates, fit.rate_range)


@pytest.mark.parametrize(
    ("margin", "said", "cell"),
    [
        (23.5, "more than a factor 1000", "more than 1000 times"),
        (2.31, "a factor 10.1", "10.1 times"),
        (-0.012, "a factor 0.988", "0.988 times"),
        (-9.0, "less than a factor 0.001", "less than 0.001 times"),
    ],
)
def test_room_beyond_meaning_is_said_by_its_bound(margin, said, cell):
    assert room_in_words(margin) == said and LIMITS["lean"].times(margin) == cell


def test_a_limit_that_holds_too_seldom_is_said_in_one_sentence():
    assert (
        held_too_seldom("pressure in the barrel", 0.931)
        == "pressure in the barrel must hold in 97.5 of 100 cases and holds in 93"
    )
