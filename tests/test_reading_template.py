"""The folder to fill in: refused with what is still missing, read once the examples it shows are filled in. Kind: exact."""

import re

import numpy as np
import pytest
from worked import examples_of

import rheokit as rk
from rheokit.bench import KINDS
from rheokit.reading.forms import form_of
from rheokit.units import unit_scale


def readings(kind, titles):
    """Return the rows of the first worked example of a kind, in the units of the titles of its columns."""
    (example, *_) = examples_of(KINDS[kind], "see tests/test_bench.py")
    given = example.expected | example.given  # what a property test expects may be called as what it reads
    columns = []
    for title in titles.split(", "):
        words, unit = re.fullmatch(r"(?:gauge )?(.+) \[(.+)\]", title.strip()).groups()
        name = words.replace(" ", "_")
        size = unit_scale(unit, form_of(KINDS[kind]).quantity(name).unit)
        columns.append([size.to_text(float(value)) for value in np.atleast_1d(given[name])])
    count = max(map(len, columns))
    return [", ".join(row) for row in zip(*(c * (count if len(c) == 1 else 1) for c in columns), strict=True)]


def fill_in(folder):
    """Put into every empty value the example that stands in the comment beside it, and readings into every file."""
    path = folder / "bench.toml"
    text = path.read_text(encoding="utf-8")
    text = re.sub(r'^(\w+) = ""(   #.*such as )("[^"]*")', r"\1 = \3\2\3", text, flags=re.MULTILINE)
    text = re.sub(r'^read = ""(   #.*set: )("\w+") or ("\w+")', r"read = \3\1", text, flags=re.MULTILINE)
    path.write_text(text, encoding="utf-8")
    for file in folder.glob("*.csv"):
        kind = re.sub(r"-\d+$", "", file.stem).replace("-", " ")
        titles = file.read_text(encoding="utf-8").splitlines()[-1]
        with file.open("a", encoding="utf-8") as opened:
            opened.write("\n".join(readings(kind, titles)) + "\n")


def faults(folder):
    with pytest.raises(rk.ReadingError) as caught:
        rk.read_bench(folder)
    return caught.value.faults


@pytest.mark.parametrize("kind", KINDS)
def test_a_template_says_what_is_still_to_be_filled_in_and_then_reads(tmp_path, kind):
    folder = rk.new_bench(tmp_path / "bench", [kind])
    form = form_of(KINDS[kind])
    lines = faults(folder)
    needed = [n for n, item in form.dimensions.items() if item.required] + (["bore", "length"] if form.nozzle else [])
    for name in needed:
        assert any(f"{name} = '' is still to be filled in, such as" in line for line in lines), (name, lines)
    assert any("no readings; type them below" in line for line in lines)
    assert "read" not in form.choices or any("which column was read" in line for line in lines)
    fill_in(folder)
    (test,) = rk.read_bench(folder).tests
    assert test.kind == kind
    if test.gives:
        assert all(np.isfinite(one.value) for one in test.properties().values())
    else:
        assert np.all(
            np.isfinite(test.predict(rk.HerschelBulkley(yield_stress=300.0, consistency=100.0, flow_index=0.4)))
        )


def test_all_kinds_in_one_folder(tmp_path):
    folder = rk.new_bench(tmp_path / "bench", list(KINDS))
    fill_in(folder)
    assert [t.kind for t in rk.read_bench(folder).tests] == list(KINDS)


def test_a_kind_named_twice_has_two_files_and_one_apparatus(tmp_path):
    folder = rk.new_bench(tmp_path / "bench", ["syringe force", "syringe force"])
    fill_in(folder)
    one, two = rk.read_bench(folder).tests
    assert one.apparatus == two.apparatus
    assert {p.name for p in folder.iterdir()} == {"bench.toml", "syringe-force-1.csv", "syringe-force-2.csv"}


@pytest.mark.parametrize("kind", KINDS)
def test_every_dimension_and_column_is_named_with_its_meaning(tmp_path, kind):
    folder = rk.new_bench(tmp_path / "bench", kind)
    toml = (folder / "bench.toml").read_text(encoding="utf-8")
    table = next(folder.glob("*.csv")).read_text(encoding="utf-8")
    form = form_of(KINDS[kind])
    for name, item in form.dimensions.items():
        assert re.search(rf"^(# )?{name} = ", toml, flags=re.MULTILINE), name
        assert name == "density" or item.quantity.meaning in toml
    for name in form.columns:
        assert name.replace("_", " ") in table


def test_the_caution_stands_beside_a_pressurised_barrel(tmp_path):
    rk.new_bench(tmp_path / "bench", "syringe force")
    assert "carries no pressure rating" in (tmp_path / "bench" / "bench.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("kinds", ["slump", ["spread", "slump"], []])
def test_an_unknown_kind_lists_all(tmp_path, kinds):
    with pytest.raises(rk.DataError) as caught:
        rk.new_bench(tmp_path / "bench", kinds)
    assert all(repr(kind) in str(caught.value) for kind in KINDS)
    assert not (tmp_path / "bench").exists()


def test_a_folder_that_holds_anything_is_refused(tmp_path):
    (tmp_path / "notes.txt").write_text("x")
    with pytest.raises(rk.DataError, match="not empty"):
        rk.new_bench(tmp_path, "spread")
    assert [p.name for p in tmp_path.iterdir()] == ["notes.txt"]


def test_what_one_test_lends_to_another_need_not_be_filled_in(tmp_path):
    folder = rk.new_bench(tmp_path / "new", ["empty barrel", "syringe force", "cylinder slump", "cup density"])
    text = (folder / "bench.toml").read_text(encoding="utf-8")
    assert "[apparatus.empty-barrel]" not in text
    assert text.count('apparatus = "syringe-force"') == 2
    assert (
        '# plunger_friction = "8 ± 1 N"   # force to move the plunger without paste; the empty barrel test lends it'
        in text
    )
    assert '# density = "1110 kg/m3"' in text
    assert "or of caught mass and catch time" in text
