"""What is typed stays as typed through a save, whatever else in the bench changed; what is assumed stays unstated. Kind: exact."""

from dataclasses import replace

import numpy as np
import pytest
from alike import same_benches
from hypothesis import given, settings
from hypothesis import strategies as st

import rheokit as rk
from rheokit.reading import joined
from rheokit.reading.compare import differences
from rheokit.reading.document import document_of
from rheokit.reading.files import Memory
from rheokit.reading.folder import read_files
from rheokit.reading.writer import bench_files
from rheokit.widgets.fit.typed_bench import typed_bench

TOML = """\
# my bench; do not lose this
[specimen]
paste = "clay"   # from the bag

[apparatus.press]   # the steel one
barrel_diameter = "26.70 ± 0.05 mm"
fill_length = "2.40 in"
plunger_friction = "0.512 kgf"   # three times, empty

# Day one: before the holiday.

[[test]]
kind = "syringe force"
file = "force.csv"
apparatus = "press"
bore = "2.00 mm"   # by microscope
length = "20.0 mm"
read = "force"

# the second day
[[test]]
kind = "loaded plate"
file = "raw/plate.csv"
volume = "5.0 mL"
load_mass = "1.00 kg"

# What follows is by another student.

[apparatus.'vane; small']
vane_diameter = "20 mm"
vane_height = "40 mm"

[[test]]
kind = "vane peak"
file = "vane.csv"
apparatus = "vane; small"
# the end of it

# good bye
"""
FILES = {
    "bench.toml": TOML.encode(),
    "force.csv": b"plunger speed [mm/s], force [kgf]   # slow\n0.010, 1.512\n0.020, 1.60\n".replace(b"   # slow", b""),
    "raw/plate.csv": b"# with a ruler\nradius [mm]\n25.0\n26.50\n",
    "vane.csv": b"torque [mN m]\n12.50\n13\n",
}


def made(files=FILES):
    return read_files(Memory(dict(files)))


def written(bench):
    """Return the files of a bench, which must read back as it, and the bench that they read as."""
    files = bench_files(bench)
    back = read_files(Memory(files))
    assert not differences(back.specimen, bench.specimen)
    for one, other in zip(bench.tests, back.tests, strict=True):
        assert set(differences(one, other)) <= {"model_error"}
    return files, back


def toml_of(bench):
    return written(bench)[0]["bench.toml"].decode()


def added(old, new):
    """Return the lines of a text beyond those of another, which must stand in it in order and unchanged."""
    lines, found = iter(new.splitlines(keepends=True)), []
    for line in old.splitlines(keepends=True):
        for other in lines:
            if other == line:
                break
            found.append(other)
        else:
            raise AssertionError(f"{line!r} is lost")
    return "".join([*found, *lines])


TYPED = {
    "a plate": ("loaded plate", ["radius [mm]"], [["24,50"], ["25.0"]], {"volume": "5.00 mL", "force": "0.512 kgf"}),
    "a syringe": (
        "syringe force",
        ["plunger speed [mm/s]", "force [kgf]"],
        [["0.010", "1.7"], ["0.030", "1.90"]],
        {
            "read": "force", "barrel_diameter": "26.70 ± 0.05 mm", "fill_length": "60.0 mm", "plunger_friction": "0.512 kgf",
            "bore": "2.00 ± 0.02 mm", "length": "0.020 m", "uncertainty": "0.05 kgf",
        },
    ),
    "a slump": (
        "cylinder slump", ["slump [cm]"], [["3.50"], ["<0.5"]],
        {"height": "10.0 cm", "diameter": "100.0 ± 0.5 mm", "density": "1.110 ± 0.005 g/cm3", "label": "Day 3"},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", TYPED)
def test_a_typed_test_is_added_as_typed_and_turns_no_assumption_into_a_statement(name):
    kind, heads, rows, stated = TYPED[name]
    rows = [[cell.replace(",", ".") for cell in row] for row in rows]
    typed = typed_bench(kind, heads, rows, stated)
    bench = made()
    files, back = written(rk.Bench(bench.specimen, [*bench.tests, *typed.tests], bench.origin))
    new = added(TOML, files["bench.toml"].decode())
    assert "model_error" not in new and "wall_friction" not in new and "drag" not in new
    for key, text in stated.items():
        assert f'{key} = "{text}"' in new
    assert new.count(" = ") == len(stated) + 4, new  # kind, file, separator, decimal
    for file, raw in FILES.items():
        assert file == "bench.toml" or files[file] == raw
    (own,) = files.keys() - FILES.keys()
    assert files[own] == typed.origin.files[typed.tests[0].origin.file]
    before, told = ([note for note in b.origin.notes if "model_error" not in note] for b in (bench, back))
    assert told[: len(before)] == before
    assert back.tests[-1].origin.model_error_stated is False


def test_what_is_assumed_of_a_kind_is_assumed_of_all_its_tests_when_they_are_joined():
    """Else two records of one kind have two priors, and cannot be fitted together."""
    typed = typed_bench(*TYPED["a syringe"])
    assert typed.tests[0].model_error != made().tests[0].model_error
    bench = joined(made(), typed)
    assert len({test.model_error for test in bench.tests if test.kind == "syringe force"}) == 1
    assert bench_files(bench)["bench.toml"].decode().count("model_error") == 0


def test_the_density_typed_with_a_test_becomes_that_of_a_bench_that_states_none():
    bench = joined(made(), typed_bench(*TYPED["a slump"]))
    assert bench.specimen.density == 1110 and bench.specimen.spreads["density"] == pytest.approx(5 / 1110, rel=1e-5)
    stated = FILES | {"bench.toml": TOML.replace("[specimen]\n", '[specimen]\ndensity = "1200 kg/m3"\n').encode()}
    bench = joined(made(stated), typed_bench(*TYPED["a slump"]))
    assert (bench.specimen.density, bench.tests[-1].density) == (1200, 1110)
    assert 'density = "1.110 ± 0.005 g/cm3"' in bench_files(bench)["bench.toml"].decode()


CAUGHT = (
    "syringe force",
    ["caught mass [g]", "catch time [s]", "force [kgf]"],
    [["1.50", "60", "1.7"], ["3.1", "60.0", "1.90"]],
    {
        "read": "force", "barrel_diameter": "26.70 ± 0.05 mm", "fill_length": "60.0 mm", "plunger_friction": "0.512 kgf",
        "bore": "2.00 ± 0.02 mm", "length": "0.020 m", "density": "1.110 ± 0.005 g/cm3",
    },
)  # fmt: skip
CUP = ("cup density", ["mass [g]"], [["120.0"], ["121"]], {"cup_volume": "100.0 ± 0.3 mL"})


def test_a_density_serves_caught_masses_as_it_was_typed():
    """In the [[test]], where the bench has another one."""
    for bench in (made(), joined(made(), typed_bench(*CUP))):
        both = joined(bench, typed_bench(*CAUGHT))
        np.testing.assert_array_equal(both.tests[-1].flow_rate, typed_bench(*CAUGHT).tests[0].flow_rate)
        files = bench_files(both)
        assert (
            files["syringe-force.csv"]
            == b"caught mass [g]; catch time [s]; force [kgf]\n1.50; 60; 1.7\n3.1; 60.0; 1.90\n"
        )
        assert files["bench.toml"].decode().count('density = "1.110 ± 0.005 g/cm3"') == 1


def test_a_density_that_a_cup_measures_is_measured_anew_and_never_stated():
    files = bench_files(joined(made(), typed_bench(*CUP)))
    toml = (
        files["bench.toml"]
        + b'\n[[test]]\nkind = "cylinder slump"\nfile = "slump.csv"\nheight = "10.0 cm"\ndiameter = "10 cm"\n'
    )
    bench = made(files | {"bench.toml": toml, "slump.csv": b"slump [mm]\n35\n"})
    assert bench.tests[-1].density == pytest.approx(1205)
    again = joined(bench, typed_bench("cup density", ["mass [g]"], [["122.0"], ["123"]], CUP[3] | {"label": "again"}))
    assert again.tests[-2].density == pytest.approx(1215, rel=1e-3)
    assert "\ndensity" not in bench_files(again)["bench.toml"].decode()
    without = bench_files(bench.where(lambda test: test.kind != "cup density"))["bench.toml"].decode()
    assert 'diameter = "10 cm"\ndensity = "1205' in without


def test_a_bench_that_is_joined_can_be_saved_to_where_it_was_read(tmp_path):
    folder = tmp_path / "bench"
    rk.write_bench(made(), folder)
    bench = joined(rk.read_bench(folder), typed_bench(*TYPED["a syringe"]))
    for place in (folder, tmp_path / "another", folder):
        plate = typed_bench(
            "loaded plate", ["radius [mm]"], [[str(20 + len(bench.tests))]], {"volume": "5 mL", "force": "9.81 N"}
        )
        bench = joined(rk.write_bench(bench, place), plate)
        assert same_benches(rk.read_bench(place), rk.Bench(bench.specimen, bench.tests[:-1]))


# --- one thing changed ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "gone", "new"),
    [
        (dict(label="a name"), [], ['label = "a name"']),
        (dict(bore_uncertainty=0.02), ['bore = "2.00 mm"'], ['bore = "2.00 mm ± 2 %"']),
        (dict(plunger_friction_uncertainty=0.5), [], ['plunger_friction = "0.512 kgf ± 0.5 N"']),
        (dict(relative_uncertainty=0.03), [], ['uncertainty = "3 %"']),
        (dict(slip="fitted"), [], ['slip = "fitted"']),
        (dict(model_error=0.2), [], ["model_error = 0.2", 'model_error_reason = "as set in the record that was written"']),
    ],
    ids=str,
)  # fmt: skip
def test_a_field_changed_in_python_is_stated_and_no_other(change, gone, new):
    bench = made()
    force, *others = bench.tests
    text = toml_of(rk.Bench(bench.specimen, [replace(force, **change), *others], bench.origin))
    lines, before = text.splitlines(), TOML.splitlines()
    assert [line.partition("   #")[0] for line in before if line not in lines] == gone
    assert [line.partition("   #")[0] for line in lines if line not in before] == new


def test_a_dimension_changed_in_python_leaves_the_others_as_typed():
    bench = made()
    force, *others = bench.tests
    force = replace(force, extruder=replace(force.extruder, fill_length=0.05))
    new = added(TOML, toml_of(rk.Bench(bench.specimen, [force, *others], bench.origin)))
    assert 'fill_length = "50 mm"' in new
    assert "barrel_diameter" not in new and "plunger_friction" not in new and "bore" not in new


def test_a_density_taken_from_the_specimen_is_stated_as_it_was_typed_there():
    files = FILES | {
        "bench.toml": (TOML.replace('[specimen]\n', '[specimen]\ndensity = "1.76 g/cm3"\n') + '\n[[test]]\nkind = "spread"\nfile = "s.csv"\nvolume = "100 mL"\n').encode(),
        "s.csv": b"radius [mm]\n80\n",
    }  # fmt: skip
    bench = made(files)
    text = toml_of(rk.Bench(replace(bench.specimen, density=None), bench.tests, bench.origin))
    assert text.partition("[[test]]")[0].count("density") == 0
    assert text.endswith('volume = "100 mL"\ndensity = "1.76 g/cm3"\n')


def test_tests_of_another_folder_come_with_apparatus_and_comments():
    bench = made()
    other = FILES | {
        "vane.csv": b"torque [mN m]\n14.50\n15\n",
        "force.csv": b"plunger speed [mm/s], force [kgf]\n0.1, 2.5\n0.2, 2.6\n",
    }
    other = {
        n: raw.replace(b"'vane; small'", b'"vane; large"')
        .replace(b'"vane; small"', b'"vane; large"')
        .replace(b"0.512", b"0.400")
        for n, raw in other.items()
    }
    force, _, vane = made(other).tests
    text = toml_of(rk.Bench(bench.specimen, [*bench.tests, vane, force], bench.origin))
    new = added(TOML, text)
    assert '[apparatus."vane; large"]\nvane_diameter = "20 mm"\nvane_height = "40 mm"' in new
    assert 'plunger_friction = "0.400 kgf"' in new, "of one name and another content: it states its own"
    assert "barrel_diameter" not in new and "model_error" not in new
    assert new.count("# by microscope") == 1


def test_a_test_taken_out_takes_no_comment_along():
    bench = made()
    for k in range(3):
        kept = [test for j, test in enumerate(bench.tests) if j != k]
        text = toml_of(rk.Bench(bench.specimen, kept, bench.origin))
        for words in ("# my bench", "# from the bag", "# the steel one", "# Day one", "# What follows", "# good bye"):
            assert words in text
        assert "# the second day" in text and "# the end of it" in text and "# by microscope" in text
        assert ("# Of the test of 'force.csv' that stood here:\n# bore = \"2.00 mm\"  # by microscope\n\n" in text) == (
            k == 0
        )
        assert ("# Of the test of 'raw/plate.csv' that stood here:\n# the second day\n\n# What" in text) == (k == 1)
        assert ("# Of the test of 'vane.csv' that stood here:\n# the end of it\n\n# good bye" in text) == (k == 2)
        assert toml_of(read_files(Memory(written(rk.Bench(bench.specimen, kept, bench.origin))[0]))) == text
    for k in range(3):
        text = toml_of(rk.Bench(bench.specimen, [bench.tests[k]], bench.origin))
        assert text.count("[[test]]") == 1


def test_what_no_test_reads_any_more_becomes_a_comment():
    lines = '[apparatus.tools]\nmass = "80 g"   # with rod\napex_angle = "30 deg"\nvolume = "5 mL"\nforce = "1 kgf"\n\n'
    tests = '[[test]]\nkind = "fall cone"\nfile = "c.csv"\napparatus = "tools"\n\n[[test]]\nkind = "loaded plate"\nfile = "p.csv"\napparatus = "tools"\n'
    bench = made(
        {"bench.toml": (lines + tests).encode(), "c.csv": b"penetration [mm]\n10\n", "p.csv": b"radius [mm]\n25\n"}
    )
    text = toml_of(bench.where(lambda test: test.kind == "loaded plate"))
    assert '# mass = "80 g"   (read by no test)\n# apex_angle = "30 deg"   (read by no test)\n' in text
    assert 'volume = "5 mL"\nforce = "1 kgf"\n' in text


def test_a_record_made_in_python_states_no_more_than_it_must():
    vane = rk.VanePeak(vane_diameter=0.02, vane_height=0.04, torque=[0.0125], model_error=0.1)
    usual = type(vane).default_model_error
    text = toml_of(rk.Bench(rk.Specimen(), [replace(vane, model_error=usual)]))
    assert (
        text.strip()
        == '[[test]]\nkind = "vane peak"\nfile = "vane-peak.csv"\nvane_diameter = "20 mm"\nvane_height = "40 mm"'
    )
    assert "model_error = 0\n" in toml_of(rk.Bench(rk.Specimen(), [replace(vane, model_error=0.0)]))


def test_windows_line_ends_and_the_mark_of_the_file_stay():
    raw = b"\xef\xbb\xbf" + TOML.replace("\n", "\r\n").encode()
    bench = made(FILES | {"bench.toml": raw})
    files = bench_files(joined(bench, typed_bench(*TYPED["a syringe"])))
    new = files["bench.toml"]
    assert new.startswith(b"\xef\xbb\xbf# my bench") and new.count(b"\n") == new.count(b"\r\n")
    added(raw.decode(), new.decode())


# --- other ways to write it -----------------------------------------------------------------------------------------

OTHER_WAYS = {
    "in one line": """specimen = {paste = "clay"}\ntest = [{kind = "vane peak", file = "vane.csv", vane_diameter = "20 mm", vane_height = "40.0 mm"}]\n""",
    "dotted": """# head\nspecimen.paste = "clay"\napparatus.v.vane_diameter = "20 mm"\napparatus.v.vane_height = "40.0 mm"\n[[test]]\nkind = "vane peak"\nfile = "vane.csv"\napparatus = "v"\n""",
    "apparatus in one table": """[apparatus]\nv = {vane_diameter = "20 mm", vane_height = "40.0 mm"}\n[[test]]\nkind = "vane peak"\nfile = "vane.csv"\napparatus = "v"\n""",
    "apparatus dotted in its table": """[apparatus]\nv.vane_diameter = "20 mm"\nv.vane_height = "40.0 mm"\n[[test]]\nkind = "vane peak"\nfile = "vane.csv"\napparatus = "v"\n""",
    "specimen last": """[[test]]\nkind = "vane peak"\nfile = "vane.csv"\nvane_diameter = "20 mm"\nvane_height = "40.0 mm"\n[specimen]\npaste = "clay"\nnote = '''\n[[test]]\n# no\n'''\n""",
    "a table above its own": """[apparatus]\n[apparatus.v]\nvane_diameter = "20 mm"\nvane_height = "40.0 mm"\n[[test]]\nkind = "vane peak"\nfile = "vane.csv"\napparatus = "v"\n""",
}  # fmt: skip


@pytest.mark.parametrize("way", OTHER_WAYS)
def test_a_bench_toml_written_in_another_way_is_added_to(way):
    bench = made({"bench.toml": OTHER_WAYS[way].encode(), "vane.csv": FILES["vane.csv"]})
    text = toml_of(joined(bench, typed_bench(*TYPED["a syringe"])))
    assert '"40.0 mm"' in text and "0.512 kgf" in text and "model_error" not in text
    typed = typed_bench(*TYPED["a syringe"])
    assert '"40.0 mm"' in toml_of(rk.Bench(typed.specimen, [*typed.tests, *bench.tests], typed.origin))


WORDS = st.text(st.sampled_from("ab[]{}#\"'\\=., \n\t"), max_size=12)


@settings(max_examples=100)
@given(note=WORDS, comment=WORDS, quotes=st.sampled_from(['"""', "'''"]))
def test_any_document_is_the_sum_of_its_blocks(note, comment, quotes):
    comment = comment.replace("\n", " ")
    if quotes == '"""':
        note = note.replace("\\", "\\\\").replace('"""', '""\\"')
        note = note[:-1] + '\\"' if note.endswith('"') else note
    else:
        note = note.replace("'", "")
    text = f'#{comment}\n[specimen]   #{comment}\nnote = {quotes}{note}{quotes}   # {comment}\n#{comment}\n\n#{comment}\n[[test]]\nx = [ # [\n  "a]", #]]\n]\n#{comment}'
    document = document_of(text)
    assert str(document) == text
    assert [block.path for block in document.blocks] == [("specimen",), ("test",)]
    assert all(block.edited(lambda table: None).text == block.text for block in document.blocks)


@pytest.mark.parametrize(
    ("where", "words"),
    [
        (
            "label",
            'label = "a\\ud800b"\' holds a broken character, which no file can hold; take it out, or type it anew',
        ),
        (
            "paste",
            'paste = "a\\ud800b"\' holds a broken character, which no file can hold; take it out, or type it anew',
        ),
    ],
)
def test_half_a_character_is_refused_where_it_stands(tmp_path, where, words):
    vane = rk.VanePeak(
        vane_diameter=0.02, vane_height=0.04, torque=[0.0125], label="a\ud800b" if where == "label" else ""
    )
    with pytest.raises(rk.DataError) as caught:
        rk.write_bench(rk.Bench(rk.Specimen(paste="a\ud800b" if where == "paste" else ""), [vane]), tmp_path / "to")
    assert words in str(caught.value)
    assert not (tmp_path / "to").exists()
    with pytest.raises(rk.DataError, match="holds a broken character"):
        typed_bench(
            "spread", ["radius [mm]"], [["50"]], {"volume": "100 mL", "density": "1100 kg/m3", "label": "a\ud800b"}
        )


def test_numbers_of_any_text_survive(tmp_path):
    """Typed digits are bytes: not one changes, however the bench around them does."""
    bench = made()
    assert np.array_equal(bench.tests[0].force, np.array([1.512, 1.60]) * rk.units.kgf)
    files = bench_files(rk.Bench(bench.specimen, [*bench.tests[1:], bench.tests[0]], bench.origin))
    assert {n: files[n] for n in FILES if n != "bench.toml"} == {
        n: raw for n, raw in FILES.items() if n != "bench.toml"
    }
    assert sorted(line for line in files["bench.toml"].decode().splitlines() if line) == sorted(
        line for line in TOML.splitlines() if line
    )
