"""What the authors wrote of what no column tells, beside what is called not stated. All folders are invented."""

import re

import pytest
from test_appendix_sections import folder

import rheokit as rk
from rheokit.appendix import stated_errors
from rheokit.appendix.authors import KEYS, PLACES, not_stated, unless_noted
from rheokit.appendix.sections import apparatus, corrections, material, model, protocol, statements, symbols
from rheokit.appendix.study import Study

CURVE = "shear rate [1/s], shear stress [Pa]\n" + "".join(
    f"{rate}, {60 + 25 * rate**0.5:.4g}\n" for rate in (0.1, 0.3, 1, 3, 10, 30, 100)
)
TESTS = '[[test]]\nkind = "flow curve"\nfile = "a.csv"\nbatch = "P"\n[[test]]\nkind = "flow curve"\nfile = "b.csv"\nlabel = "second"\nbatch = "Q"\n'


def written(place, **entries):
    """Return the study of two flow curves of two batches with entries of the authors in the plan."""
    folder(
        place, f'[specimen]\npaste = "mine"\nbatch = "P"\n{TESTS}', a_csv=CURVE, b_csv=CURVE.replace("0.1,", "0.12,")
    )
    lines = "".join(f'{key} = "{text}"\n' for key, text in entries.items())
    (place / "plan.toml").write_text(f"[page.appendix]\n{lines}" if lines else "", encoding="utf-8")
    return Study(rk.Workbook.open(place))


def said(section):
    return [
        text
        for one in section.blocks
        for text in (*getattr(one, "texts", ()), getattr(one, "text", ""), getattr(one, "note", ""))
        if text
    ]


def line(section, begins):
    return next(one for one in said(section) if one.startswith(begins))


def test_where_the_entries_of_the_authors_stand_is_named_as_the_sections_are():
    assert [title for _, title in PLACES] == [material.TITLE, apparatus.TITLE, protocol.TITLE]


def test_when_and_by_whom_a_batch_was_read_is_not_called_not_stated_beside_what_the_authors_wrote(tmp_path):
    told = line(
        protocol.section(written(tmp_path / "told", operator="A. Reader", test_order="Q on the next day")),
        "When and by whom",
    )
    assert told == (
        "When and by whom batch Q was read: no entry or column of its own tells; what the authors wrote under “Protocol” of "
        "“order of the tests among each other” and “who read” may."
    )
    assert (
        line(protocol.section(written(tmp_path / "bare")), "When and by whom")
        == "When and by whom batch Q was read: not stated."
    )
    other = written(tmp_path / "other", competing_interests="none")
    assert line(protocol.section(other), "When and by whom") == "When and by whom batch Q was read: not stated."


@pytest.mark.parametrize(
    ("section", "begins", "key"),
    [
        (material, "Date: ", "test_order"),
        (material, "Temperature of the specimen: ", "temperature_control"),
        (material, "Age, time since mixing: ", "storage"),
        (material, "Density, air and water content: ", "mixing"),
        (material, "Recipe: ", "suppliers"),
        (protocol, "Not stated: not typed", "steadiness"),
        (protocol, "When and by whom", "operator"),
        (model, "Not stated: not typed", "instruments"),
    ],
)  # fmt: skip
def test_each_claim_that_nothing_states_it_knows_the_entries_that_may(tmp_path, section, begins, key):
    entry = f"“{re.split(r' [(]|,|:', KEYS[key])[0]}”"
    assert entry not in line(section.section(written(tmp_path / "bare")), begins)
    told = line(section.section(written(tmp_path / "told", **{key: "as it was"})), begins)
    assert entry in told
    assert not re.search(r": not stated[.,]", told)


def test_an_entry_a_note_and_a_comment_are_named_together(tmp_path):
    study = written(tmp_path / "mine", operator="A. Reader")
    assert unless_noted(study) == "" and unless_noted(study, "operator") == (
        ", unless what the authors wrote under “Protocol” of “who read” states it"
    )
    (tmp_path / "mine" / "a.csv").write_text(f"# on Monday\n{CURVE}", encoding="utf-8")
    study = Study(rk.Workbook.open(tmp_path / "mine"))
    assert not_stated(study, "operator").endswith("of “who read” may, as may a comment of a file")
    assert unless_noted(study, "operator").endswith(
        " states it, or a comment of a file states it (all comments stand under “Raw readings”)"
    )


def test_what_an_uncertainty_is_by_is_not_called_not_stated_beside_the_calibration(tmp_path):
    (first, *_) = stated_errors.how_stated(written(tmp_path / "mine", calibration="against class M1 masses")).texts
    assert (
        "no entry or column of its own tells; what the authors wrote under “Apparatus” of “calibration of each instrument” may"
        in first
    )


def table(section, name):
    return next((one for one in section.blocks if getattr(one, "name", "") == name), None)


def with_plan(place, plan, specimen=""):
    made = folder(
        place, f'[specimen]\npaste = "mine"\n{specimen}[[test]]\nkind = "flow curve"\nfile = "a.csv"\n', a_csv=CURVE
    )
    (made / "plan.toml").write_text(plan, encoding="utf-8")
    return Study(rk.Workbook.open(made))


RECIPE = (
    '[recipe]\nmasses = "dry masses"\nwater_content = {}\n{}[[recipe.ingredient]]\nname = "grounds"\nmass = "100 g"\nmoisture = "10 %"\n'
    'density = "1300 kg/m3"\ndissolves = "no"\n'
)


def test_what_to_weigh_stands_in_the_appendix_with_the_moisture_taken_off_the_water(tmp_path):
    """By hand: 300 g at u = 1 are 150 g dry and 150 g of water; 150/0.9 = 166.67 g of powder bring 16.67 g of it."""
    made = with_plan(tmp_path / "mine", RECIPE.format("1.0", 'batch = "300 g"\n'))
    told = table(material.section(made), "to-weigh")
    assert [str(row[0]) for row in told.rows] == ["grounds", "water", "all"]
    found = [[cell.value for cell in row[1:]] for row in told.rows]
    assert found == [
        pytest.approx(one, abs=0.01) for one in ([166.67, 150, 16.67], [133.33, 0, 133.33], [300, 150, 150])
    ]
    assert "holds all water, that in the powders too" in told.note
    assert table(material.section(with_plan(tmp_path / "bare", RECIPE.format("1.0", ""))), "to-weigh") is None
    dry = with_plan(tmp_path / "dry", RECIPE.format("0.05", 'batch = "300 g"\n'))
    (why,) = [one for one in said(material.section(dry)) if one.startswith("What to weigh")]
    assert why.startswith("What to weigh for a batch of 300 g: not known. ")


@pytest.mark.parametrize(("basis", "typed"), [("wet", "water, wet basis"), ("dry", "water content")])
def test_the_basis_on_which_the_water_was_typed_is_the_one_that_is_called_stated(tmp_path, basis, typed):
    made = with_plan(tmp_path / "mine", "", f'water_content = "54 %"\nwater_basis = "{basis}"\n')
    rows = {row[0]: row[-1] for row in table(material.section(made), "properties").rows}
    assert {name: origin.startswith("stated of the specimen") for name, origin in rows.items()} == {
        name: name == typed for name in ("water content", "water, wet basis")
    }
    assert sum(origin.startswith("follows from the water") for origin in rows.values()) == 1


@pytest.mark.slow
def test_brackets_are_explained_where_there_are_any_and_what_formulae_say_has_its_symbol(tmp_path):
    made = with_plan(tmp_path / "mine", "")
    note = table(corrections.section(made), "corrections").note
    rows = table(corrections.section(made), "corrections").rows
    assert ("A word in brackets" in note) == corrections._asks(rows)
    assert corrections._asks([("x", "as stated (walls)")]) and not corrections._asks([("x", "as stated")])
    shown = {row[0]: row[1] for row in table(symbols.section(made), "symbols").rows}
    assert shown["Φ"].startswith("distribution function") and "standard uncertainty" in shown["z"]


def test_whom_to_write_to_is_asked_of_the_authors_and_told(tmp_path):
    assert any(
        "whom to write to, and how (correspondence)" in one
        for one in said(statements.section(written(tmp_path / "bare")))
    )
    told = said(statements.section(written(tmp_path / "told", correspondence="a.reader@example.org")))
    assert "Whom to write to, and how: a.reader@example.org" in told
