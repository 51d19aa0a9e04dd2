"""What a plan cannot be is told with its file, its entries as they were typed, and what to do. Kind: contract."""

import shutil

import pytest

import rheokit as rk
from rheokit.command import main
from rheokit.workbook import demo


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    """Return a workbook of one's own, fitted once."""
    place = tmp_path_factory.mktemp("plan") / "mine"
    shutil.copytree(demo("olive-stone-paste"), place)
    whole = rk.Workbook.open(place)
    _ = whole.fit
    return whole


def typed(book, entries):
    """Type entries into a plan, and return what they were."""
    were = {one: book.plan.text(*one) for one in entries}
    for one, text in entries.items():
        book.plan.put(*one, text)
    return were


@pytest.mark.parametrize(
    ("what", "entries", "said"),
    [
        (
            "extruder",
            {("machine", "break_loose_friction"): "2 N"},
            "plan.toml, [machine] plunger_friction = '8 N', [machine] break_loose_friction = '2 N': break_loose_friction = 2 N is below "
            "plunger_friction, 8 N, and the peak at the start never is; check which is which",
        ),
        (
            "extruder",
            {("machine", "barrel_diameter"): "9 mm"},
            "plan.toml, [machine] barrel_diameter = '9 mm', [nozzle] inlet_diameter = '10 mm': the bore of the barrel D_0, 9 mm, is "
            "narrower than the inlet of the taper D_in, 10 mm: a nozzle narrows. Correct one of them.",
        ),
        (
            "job",
            {("print", "layer_height"): "50 mm"},
            "plan.toml, [print] layer_height = '50 mm', [print] line_width_to_bore = '1.22': layer height h 50 mm is too high "
            "for line width w 1.95 mm: nothing is left",
        ),
        (
            "material",
            {("properties", "grain_size"): "0.3 mm"},
            "plan.toml, [properties] grain_size = '0.3 mm': grain_size = 0.3 mm is above largest_grain = 0.25 mm: nine grains in ten are "
            "smaller than the first, all than the second; correct one of them",
        ),
        (
            "use_range",
            {("fit", "slowest_rate"): "100 1/s", ("fit", "fastest_rate"): "600 min-1"},
            "plan.toml', [fit]: slowest_rate = 100 1/s is above fastest_rate = 600 min-1; exchange them, or correct one",
        ),
    ],
)
def test_entries_that_cannot_be_together_are_named(book, what, entries, said):
    were = typed(book, entries)
    try:
        with pytest.raises(rk.DataError) as told:
            getattr(book, what)
        assert said in str(told.value)
    finally:
        typed(book, were)


def test_rows_that_make_no_recipe_are_told_with_their_table(book):
    rows = book.plan.rows("recipe", "ingredient")
    book.plan.put_rows("recipe", "ingredient", [*rows, rows[0]])
    try:
        with pytest.raises(
            rk.DataError, match=r"^plan\.toml, \[recipe\]: olive-stone flour stands in it twice; add the masses up"
        ):
            _ = book.recipe
    finally:
        book.plan.put_rows("recipe", "ingredient", rows)


def test_a_plan_that_leaves_out_all_that_could_be_fitted_is_named(book):
    names = [test.label or test.kind for test in book.bench.tests if not test.gives]
    book.plan.put_list("fit", "leave_out", names)
    try:
        with pytest.raises(rk.DataError) as told:
            _ = book.fit
        assert f"{str(book.plan.place)!r}, [fit], leave_out leaves out {names[0]!r}" in str(told.value)
    finally:
        book.plan.put_list("fit", "leave_out", [])


def test_the_command_says_which_rates_of_a_plan_cannot_be(tmp_path, capsys):
    place = tmp_path / "mine"
    shutil.copytree(demo("kitchen"), place)
    (place / "plan.toml").write_text('[fit]\nslowest_rate = "100 1/s"\nfastest_rate = "5 1/s"\n', encoding="utf-8")
    assert main(["fit", str(place)]) == 2
    said = capsys.readouterr()
    assert (
        said.err.strip()
        == f"{str(place / 'plan.toml')!r}, [fit]: slowest_rate = 100 1/s is above fastest_rate = 5 1/s; exchange them, or correct one"
    )
    assert not said.out
