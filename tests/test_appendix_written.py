"""The appendix of a folder on the disk: all of it or none, the same bytes twice, an archive that is checked from itself alone."""

import csv
import io
import json
import os
import re
import shlex
import shutil
from hashlib import sha256
from pathlib import Path

import pypdf
import pytest

import rheokit as rk
from rheokit import command, progress
from rheokit.appendix import archive, composing, differences, manifest, placing, unpacking, verifying, writing
from rheokit.appendix.document import Paragraph, Section, Shown, Table
from rheokit.appendix.sections import environment
from rheokit.appendix.study import Study
from rheokit.command.codes import UNWRITTEN
from rheokit.nomenclature import with_comma
from rheokit.workbook import Workbook, shelf, whence

ROOT = Path(rk.__file__).parents[1]
DEMO = ROOT / "data" / "kitchen"
QUICK = ROOT / "data" / "gelatin-dope"  # whose whole appendix is composed soonest
DATE = "1767225600"  # 2026-01-01T00:00:00Z


@pytest.fixture(autouse=True)
def _one_date(monkeypatch):
    monkeypatch.setenv(writing.EPOCH, DATE)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """Return a folder of a paste with its appendix, for tests that leave it as it is."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(writing.EPOCH, DATE)
        folder = tmp_path_factory.mktemp("made") / "my-paste"
        shutil.copytree(QUICK, folder)
        rk.appendix.write(folder)
    return folder


@pytest.fixture
def paste(made, tmp_path):
    """Return a copy of it, to change."""
    shutil.copytree(made, tmp_path / "my-paste")
    return tmp_path / "my-paste"


@pytest.fixture
def quick(monkeypatch):
    """Let an appendix be a small document, where what it says does not matter."""

    def appendix_of(study, date):
        table = Table(
            "numbers", "Numbers.", ("what", "value [Pa]"), (("a", Shown(1 / 3, "0.333")), ("b", Shown(1e-9, "0")))
        )
        return composing.Document(study.book.name, (), date, (Section("One", (Paragraph("text"), table)),))

    for module in (writing, verifying):
        monkeypatch.setattr(module, "appendix_of", appendix_of)


@pytest.fixture
def small(quick, tmp_path):
    """Return a folder of a paste whose appendix is that document."""
    shutil.copytree(DEMO, tmp_path / "small")
    return tmp_path / "small"


def contents(folder):
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def attached(raw):
    return {name: held[0] for name, held in pypdf.PdfReader(io.BytesIO(raw)).attachments.items()}


# --- what is written ----------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_an_appendix_is_a_page_a_pdf_tables_and_a_manifest(made):
    found = contents(made / "appendix")
    assert {"appendix.html", "appendix.pdf", "tables.xlsx", "manifest.json"} <= set(found)
    told = json.loads(found["manifest.json"])
    assert (
        told["made"] == "2026-01-01T00:00:00Z"
        and told["seed"] == 0
        and told["environment"]["rheokit"] == rk.__version__
    )
    assert set(told["appendix"]) == set(found) - {"manifest.json"}
    for name, about in told["appendix"].items():
        assert about == {"bytes": len(found[name]), "sha256": sha256(found[name]).hexdigest()}
    assert {f"tables/{name}.csv" for name in told["results"]} == {one for one in found if one.startswith("tables/")}
    assert {f"latex/{name}.tex" for name in told["results"]} == {one for one in found if one.startswith("latex/")}
    assert found["appendix.html"].startswith(b"<!doctype html>") and len(found["appendix.pdf"]) < 4_000_000


@pytest.mark.slow
def test_the_pdf_holds_the_workbook_and_the_manifest(made):
    held = attached((made / "appendix" / "appendix.pdf").read_bytes())
    own = {f"workbook/{path.name}": path.read_bytes() for path in made.iterdir() if path.is_file()}
    assert {name: raw for name, raw in held.items() if name != "manifest.json"} == own
    told, beside = json.loads(held["manifest.json"]), json.loads((made / "appendix" / "manifest.json").read_bytes())
    assert beside["appendix"].pop("appendix.pdf")
    assert told == beside
    assert {name: one["sha256"] for name, one in told["workbook"]["files"].items()} == {
        path.name: sha256(path.read_bytes()).hexdigest() for path in made.iterdir() if path.is_file()
    }


@pytest.mark.slow
def test_two_runs_on_the_same_folder_are_the_same_bytes(made, tmp_path):
    """Another process, another hour and another place, the date apart that can be fixed."""
    import subprocess
    import sys

    shutil.copytree(made, tmp_path / "else where" / "my-paste", ignore=shutil.ignore_patterns("appendix"))
    (tmp_path / "else where" / "html.py").write_text(
        "raise SystemExit('no part of it')\n"
    )  # a script of the person's own
    page = (made / "appendix" / "appendix.html").read_text(encoding="utf-8")
    printed = re.search(r"SOURCE_DATE_EPOCH=\d+ python -P -m rheokit appendix [^<\n]+", page)[0]
    own = {**os.environ, "PYTHONHASHSEED": "17", "TZ": "Pacific/Auckland", "PYTHONPATH": str(ROOT)}
    del own[writing.EPOCH]
    ran = subprocess.run(
        ["sh", "-c", printed.replace(" python ", f" {shlex.quote(sys.executable)} ")],
        cwd=tmp_path / "else where", env=own, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    first, second = contents(made / "appendix"), contents(tmp_path / "else where" / "my-paste-appendix")
    assert [name for name in {*first, *second} if first.get(name) != second.get(name)] == []


def test_the_command_that_is_printed_holds_date_decimal_mark_and_place():
    """Not where it was written: the same appendix has the same bytes wherever it stands."""
    study = Study(Workbook.open(DEMO))
    assert environment.commands(study)[0] == "python -P -m rheokit appendix kitchen --out kitchen-appendix"
    study.date = "2026-01-01T00:00:00Z"
    with with_comma():
        made, verified = environment.commands(study)
    dated = f"SOURCE_DATE_EPOCH={DATE} python -P -m rheokit appendix kitchen --decimal comma --out kitchen-appendix"
    assert (made, verified) == (dated, "python -P -m rheokit verify kitchen-appendix")


def test_the_date_is_now_or_what_is_told(monkeypatch):
    assert writing.moment() == "2026-01-01T00:00:00Z"
    monkeypatch.delenv(writing.EPOCH)
    assert re.fullmatch(r"20\d\d-\d\d-\d\dT\d\d:\d\d:\d\dZ", writing.moment()) and writing.moment() > "2026-01-02"
    monkeypatch.setenv(writing.EPOCH, "yesterday")
    with pytest.raises(
        rk.DataError,
        match=r"^SOURCE_DATE_EPOCH = 'yesterday' is no date; give seconds since 1970, such as 1767225600, or unset it$",
    ):
        writing.moment()


def test_each_step_is_told(small):
    heard = []
    with progress.told_to(heard.append):
        writing.write(small)
    own = [
        one for one in heard if one.startswith(("writing", "setting"))
    ]  # what is told before them is the fit, which no section made here
    assert (
        own == ["writing the page, the tables and the pictures", "setting the PDF", "writing the files"] == heard[-3:]
    )


def test_a_demo_stays_as_it_came(quick):
    before = contents(DEMO)
    written = writing.write(DEMO)
    assert contents(DEMO) == before
    assert written.folder == shelf.place_of_plan(DEMO).parent.resolve() / "appendix"
    assert json.loads((written.folder / "manifest.json").read_text())["workbook"]["demo"] is True


def test_what_a_folder_lacks_to_be_a_workbook_is_told(tmp_path):
    with pytest.raises(rk.DataError, match=r"holds no bench\.toml; name the folder of a paste"):
        writing.write(tmp_path)


def test_without_what_it_needs_it_says_what_to_install(monkeypatch, small):
    monkeypatch.setattr(writing, "find_spec", lambda name: None if name == "typst" else 1)
    with pytest.raises(
        rk.DataError,
        match=r'^an appendix needs typst, not installed here; install with: python -m pip install "rheokit\[notebooks\]"$',
    ):
        writing.write(small)


# --- all or none --------------------------------------------------------------------------------------------------------


def test_a_run_that_fails_leaves_the_old_appendix_whole(small, monkeypatch):
    writing.write(small)
    before = contents(small)
    monkeypatch.setenv(writing.EPOCH, "1767225601")

    def full(path, raw, _real=placing.write_file):
        if path.name == "tables.xlsx":
            raise OSError(28, "No space left on device")
        _real(path, raw)

    monkeypatch.setattr(placing, "write_file", full)
    with pytest.raises(
        rk.DataError,
        match=r"small/appendix': nothing was saved: the disk is full; free some space, or name a folder in another place$",
    ):
        writing.write(small)
    assert contents(small) == before


def test_a_folder_that_cannot_take_its_place_leaves_the_old_one(small, monkeypatch):
    writing.write(small)
    before, renamed = contents(small), []

    def refuse(act, source, target):
        renamed.append(target.name)
        if len(renamed) == 2:
            raise PermissionError(13, "Permission denied")
        return act(source, target)

    monkeypatch.setattr(placing, "patiently", refuse)
    with pytest.raises(rk.DataError, match="nothing was saved: writing there is not permitted"):
        writing.write(small)
    assert renamed == [".appendix.rheokit-old", "appendix"]
    assert contents(small) == before


def test_a_run_that_was_killed_between_the_two_renamings_is_mended(small):
    writing.write(small)
    (small / "appendix" / "mine.txt").write_text("mine")
    (small / "appendix").rename(small / ".appendix.rheokit-old")
    writing.write(small)
    assert (small / "appendix" / "mine.txt").read_text() == "mine"
    assert not [one for one in small.iterdir() if one.name.startswith(".")]


def test_what_rheokit_did_not_write_stays(small):
    folder = writing.write(small).folder
    (folder / "notes").mkdir()
    (folder / "notes" / "mine.txt").write_text("mine")
    (folder / "appendix.html").write_text("corrected by hand")
    (folder / "tables" / "gone.csv").write_text("theirs")
    written = writing.write(small)
    assert written.told == (
        "'appendix.html' was changed since it was written; what it held is kept as 'appendix as changed.html'.",
    )
    assert (folder / "notes" / "mine.txt").read_text() == "mine"
    assert (folder / "tables" / "gone.csv").read_text() == "theirs"
    assert (folder / "appendix as changed.html").read_text() == "corrected by hand"
    assert (folder / "appendix.html").read_text().startswith("<!doctype html>")
    assert writing.write(small).told == ()


def test_a_folder_of_other_things_is_not_written_into(small, tmp_path):
    (tmp_path / "thesis").mkdir()
    (tmp_path / "thesis" / "chapter.tex").write_text("mine")
    with pytest.raises(
        rk.DataError, match=r"thesis' holds files and no appendix \(manifest\.json is missing\); nothing was written\."
    ):
        writing.write(small, tmp_path / "thesis")
    assert contents(tmp_path / "thesis") == {"chapter.tex": b"mine"}


def test_an_appendix_goes_where_it_is_told(small, tmp_path):
    (tmp_path / "empty").mkdir()
    for name in ("empty", "new"):
        assert writing.write(small, tmp_path / name).folder == (tmp_path / name).resolve()
        assert (tmp_path / name / "appendix.pdf").is_file()


@pytest.mark.parametrize("foreign", [b"", b"{", b"[]", b'{"name": "a page of mine"}', b"\xff\xfe", b"[" * 100_000])
def test_a_folder_with_the_manifest_of_something_else_is_not_touched(small, tmp_path, foreign):
    folder = tmp_path / "site"
    (folder / "empty").mkdir(parents=True)
    (folder / "manifest.json").write_bytes(foreign)
    (folder / "appendix.html").write_text("mine")
    with pytest.raises(
        rk.DataError, match=r"site' holds files and no appendix \(manifest\.json is none that rheokit wrote\); nothing"
    ):
        writing.write(small, folder)
    assert contents(folder) == {"manifest.json": foreign, "appendix.html": b"mine"} and (folder / "empty").is_dir()


@pytest.mark.parametrize("up", [0, 1, 2])
def test_neither_the_folder_of_the_workbook_nor_one_above_it_becomes_an_appendix(small, up):
    """Not even where it holds a manifest that rheokit wrote."""
    folder = [small, *small.parents][up]
    kept = writing.write(small).folder / "manifest.json"
    if up < 2:
        shutil.copy(kept, folder / "manifest.json")
    before = contents(small)
    with pytest.raises(
        rk.DataError, match=r"is the folder of the workbook, or one above it; nothing was written\. Name"
    ):
        writing.write(small, folder)
    assert contents(small) == before


def test_an_empty_folder_in_an_appendix_stays_and_so_does_one_beside_it(small):
    folder = writing.write(small).folder
    (folder / "mine" / "empty").mkdir(parents=True)
    for ending in ("old", "new"):
        (small / f".appendix.{ending}").mkdir()
        (small / f".appendix.{ending}" / "thesis.txt").write_text("mine")
    writing.write(small)
    assert (folder / "mine" / "empty").is_dir()
    assert all((small / f".appendix.{ending}" / "thesis.txt").is_file() for ending in ("old", "new"))


# --- what travels -------------------------------------------------------------------------------------------------------


def test_what_travels_and_what_stays_behind_is_named(tmp_path):
    paste = tmp_path / "paste"
    shutil.copytree(DEMO, paste)
    (tmp_path / "secret.txt").write_text("secret")
    (paste / "link.txt").symlink_to(tmp_path / "secret.txt")
    (paste / "outside").symlink_to(tmp_path)
    (paste / ".hidden").write_text("hidden")
    (paste / "photo.bin").write_bytes(b"x" * (archive.LARGEST_BESIDE + 1))
    (paste / "notes").mkdir()
    (paste / "notes" / "day.txt").write_text("stirred twice")
    (paste / "appendix").mkdir()
    (paste / "appendix" / "old.html").write_text("old")
    found = archive.archive_of(rk.Workbook.open(paste))
    assert set(found.files) == {*(one.name for one in DEMO.iterdir()), "notes/day.txt"}
    assert found.left_out == (
        "'link.txt': it is a link that leads out of the folder; copy the file into it",
        "'outside': it is a link that leads out of the folder; copy the file into it",
        f"'photo.bin': it has {archive.LARGEST_BESIDE + 1} bytes; a file that is not read travels up to {archive.LARGEST_BESIDE} bytes",
    )


def test_small_files_travel_until_there_is_no_room(tmp_path, monkeypatch):
    monkeypatch.setattr(archive, "LARGEST_OF_ALL", 250)
    shutil.copytree(DEMO, tmp_path / "paste")
    for name in "abc":
        (tmp_path / "paste" / f"{name}.txt").write_text("x" * 100)
    found = archive.archive_of(rk.Workbook.open(tmp_path / "paste"))
    assert {"a.txt", "b.txt"} <= set(found.files) and "c.txt" not in found.files
    assert found.left_out == ("'c.txt': it has no room: 250 bytes of files that are not read travel at most",)


@pytest.mark.parametrize(
    "name", ["../up", "/etc/x", "a/../../b", "a\\b", "", "a//b", ".", "a/./b", "a\0b", "x" * 300, "/".join("a" * 20)]
)
def test_names_that_lead_out_of_a_folder_are_not_safe(name):
    assert not archive.is_safe(name)


def test_usual_names_are_safe():
    assert all(map(archive.is_safe, ("bench.toml", "runs/day 1.csv", "Pâte à l'olive.csv", "שלום.csv", "..hidden.csv")))


BYTES = {
    "photo.png": b"\x89PNG\r\n\x1a\n" + bytes(range(256)),
    "notes in latin.txt": "größe".encode("latin-1"),
    "export.txt": "a\tb\n".encode("utf-16"),
    "all.bin": bytes(range(256)) * 10,
    "empty": b"",
    "Notes.txt": b"one",
    "notes.txt": b"two",
    "caf\u00e9.txt": b"one letter",
    "cafe\u0301.txt": b"two letters",
    "day\u00a01 \u202eab.txt": b"a space that does not break, and a mark that turns a line",
    "-x": b"a hyphen",
    "#read(\"x\") $ 100% 'q'`.txt": b"markup",
    "Runs/a.dat": b"\xff",
    "runs/a.dat": b"\xfe",
}


def test_files_of_any_bytes_and_names_travel_and_are_verified(small):
    """Pictures, other encodings; names that differ in capitals or in how an accent is written, as Linux takes them."""
    for name, raw in BYTES.items():
        (small / name).parent.mkdir(exist_ok=True)
        (small / name).write_bytes(raw)
    if len([one for one in small.rglob("*") if one.name.lower() == "notes.txt"]) < 2:
        pytest.skip("names that differ in capitals are one here")
    (small / os.fsdecode(b"\xff.bin")).write_bytes(b"a name that is no text")
    (small / "a\nb.txt").write_bytes(b"a name of two lines")
    written = writing.write(small)
    held = attached((written.folder / "appendix.pdf").read_bytes())
    assert {
        archive.name_of_attached(name): raw for name, raw in held.items() if name.startswith("workbook/")
    }.items() >= BYTES.items()
    assert written.told == (
        "'a\\nb.txt': not every system takes its name, or it lies too deep",
        "'\\udcff.bin': not every system takes its name, or it lies too deep",
    )
    assert verifying.verify(written.folder).changed == ()
    assert verifying.verify(written.folder / "appendix.pdf") == (("what is attached",), (), ())


def test_names_that_a_system_takes_for_one_are_refused_in_words(tmp_path):
    (tmp_path / "notes.txt").write_bytes(b"one")  # which such a system finds for the other
    with pytest.raises(
        rk.DataError, match=r"'notes\.txt' and another attached file have names that this system takes for one"
    ):
        unpacking.put_into(tmp_path, {"notes.txt": b"two"})


def test_names_of_files_are_plain_and_each_its_own():
    names = ["checks", "Checks", "a b/c", "../../etc", "🧪", "", "x" * 100]
    assert manifest.own_names(names) == ["checks", "Checks-2", "a-b-c", "etc", "unnamed", "unnamed-2", "x" * 60]


@pytest.mark.slow
def test_a_folder_of_names_that_nobody_expects_is_written_and_verified(tmp_path):
    """Of the folder, the paste, its note and a file: markup, a formula, quotes, right to left, emoji, control characters, 10 000 letters."""
    folder = tmp_path / "=cmd $x$ שלום 🧪 'q' 100%"
    shutil.copytree(QUICK, folder)
    text = (folder / "bench.toml").read_text("utf-8").replace("weights.csv", "=weights $1$ ü🧪 50%.csv")
    text = re.sub(
        "^paste = .*$", lambda _: "paste = '=cmd|x $y^2$ *a* _b_ שלום 🧪 漢字 \"q\" \\emph{z} #let'", text, flags=re.M
    )
    text = re.sub(
        "^note = .*$",
        lambda _: f'note = "{"x" * 10_000} <script>alert(1)</script> a\\u202eb\\u0007c"',
        text,
        flags=re.M,
    )
    (folder / "bench.toml").write_text(text, "utf-8")
    (folder / "weights.csv").rename(folder / "=weights $1$ ü🧪 50%.csv")
    written = writing.write(folder)
    page = (written.folder / "appendix.html").read_text("utf-8")
    assert "<script" not in page and "&lt;script&gt;alert(1)" in page and "x" * 10_000 in page and "漢字" in page
    for path in (written.folder / "tables").iterdir():
        rows = csv.reader(io.StringIO(path.read_text("utf-8"), newline=""))
        assert not [one for row in rows for one in row if one.startswith(("=", "+", "@", "\t", "\r"))], path.name
    assert verifying.verify(written.folder).changed == ()
    assert verifying.verify(written.folder / "appendix.pdf").changed == ()


# --- verified -----------------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_nothing_changed(made):
    assert verifying.verify(made / "appendix") == (((f"the workbook '{made.resolve()}'"),), (), ())
    assert verifying.verify(made / "appendix" / "appendix.pdf") == (("what is attached",), (), ())


@pytest.mark.slow
def test_the_pdf_of_a_demo_is_verified_as_one_of_a_demo(tmp_path):
    """What is attached is computed in another folder, and stays invented all the same."""
    written = writing.write(QUICK, tmp_path / "out")
    assert verifying.verify(written.folder / "appendix.pdf").changed == ()
    assert verifying.verify(written.folder) == (("what is attached to appendix.pdf",), (), ())


def test_what_a_demo_says_of_where_numbers_come_from_is_said_wherever_its_files_are_computed(tmp_path):
    """The place of the folder decides nothing where it is recorded whether it was a demo."""
    demo = ROOT / "data" / "olive-stone-paste"
    folder = shutil.copytree(demo, tmp_path / "anywhere")
    (folder / "plan.toml").write_text('[recipe]\nwater_content = 1.045\n[print]\nprint_speed = "15 mm/s"\n', "utf-8")
    for was_demo in (True, False):
        kind = type("Workbook", (verifying._AsRecorded,), {"recorded": {"name": demo.name, "demo": was_demo}})
        plan = kind.open(folder).plan
        told = {whence.told_in(plan, table) for table in ("shape", "drying", "print", "machine")}
        assert told == {whence.FOR_DEMONSTRATION if was_demo else "assumed: origin not given"}
        assert {*whence.origins_of(plan)} == told
    assert whence.told_in(Workbook.open(demo).plan, "shape") == whence.FOR_DEMONSTRATION


def test_a_copy_of_a_demo_says_of_machine_and_job_that_they_are_invented(tmp_path):
    for demo in sorted((ROOT / "data").iterdir()):
        if demo.is_dir() and (demo / "plan.toml").is_file():
            plan = Workbook.open(shutil.copytree(demo, tmp_path / demo.name)).plan
            tables = [one for one in ("machine", "job") if plan.keys(one)]
            assert {whence.told_in(plan, one) for one in tables} == {whence.FOR_DEMONSTRATION}, demo.name


@pytest.mark.slow
def test_the_first_demo_verifies_from_itself_alone(tmp_path):
    """It has a part, a recipe and drying, of which its plan says less than of the extruder."""
    written = writing.write(ROOT / "data" / "olive-stone-paste", tmp_path / "out")
    assert verifying.verify(written.folder) == (("what is attached to appendix.pdf",), (), ())


def test_a_key_of_the_authors_that_nobody_reads_is_named_with_the_nearest(small):
    plan = (small / "plan.toml").read_text("utf-8")
    for key, told in (
        ("supplier", "'supplier' is no entry of it; did you mean 'suppliers'? Correct its name, or take it out."),
        ("bogus", "'bogus' is no entry of it; correct its name, or take it out. There are suppliers, grades, "),
    ):
        (small / "plan.toml").write_text(f'{plan}\n[page.appendix]\n{key} = "hello"\n', "utf-8")
        with pytest.raises(rk.DataError, match=re.escape(f"plan.toml': [page.appendix], {told}")):
            writing.write(small)
        assert not (small / "appendix").exists()


@pytest.mark.slow
def test_one_changed_byte_of_a_reading_is_named_with_what_follows_from_it(paste):
    text = (paste / "weights.csv").read_text()
    changed = text.replace("0.635", "0.636")
    assert changed != text
    (paste / "weights.csv").write_text(changed)
    found = verifying.verify(paste / "appendix").changed
    assert found[0].startswith("The file of the workbook 'weights.csv' is not as it was written: SHA-256 ")
    assert any(one.startswith("Table ") and ", and was " in one for one in found)


@pytest.mark.slow
def test_a_byte_that_changes_no_number_is_named_alone(paste):
    with open(paste / "weights.csv", "a") as file:
        file.write("\n")
    told = [one for one in verifying.verify(paste / "appendix").changed if not one.startswith("Table 'files'")]
    assert len(told) == 1 and "'weights.csv' is not as it was written" in told[0]
    with open(paste / "weights.csv", "a") as file:
        file.write("# said later\n")
    told = [one for one in verifying.verify(paste / "appendix").changed if not one.startswith("Table 'files'")]
    assert len(told) == 2 and "says something else beside its tables" in told[1], "what the file says is printed"


def test_outcomes_recorded_since_it_was_made_are_said_to_move_no_fitted_number(small):
    written = writing.write(small)
    assert verifying.verify(written.folder).not_compared == ()
    with open(small / "outcomes.csv", "w") as file:
        file.write("number\n")
    found = verifying.verify(written.folder)
    assert any("'outcomes.csv'" in one for one in found.changed), "it is told all the same"
    assert found.not_compared == (verifying.OUTCOMES_SINCE,)
    assert "No fitted number and no prediction rests on them" in verifying.OUTCOMES_SINCE
    (small / "outcomes.csv").unlink()
    with open(small / "notes.txt", "w") as file:
        file.write("said later")
    assert verifying.verify(written.folder).not_compared == ()


def test_files_of_the_appendix_that_changed_are_named(small):
    folder = writing.write(small).folder
    raw = (folder / "tables" / "numbers.csv").read_bytes()
    (folder / "tables" / "numbers.csv").write_bytes(raw.replace(b"0.3", b"0.4", 1))
    (folder / "tables.xlsx").unlink()
    (folder / "mine.txt").write_text("mine")
    (small / "late.txt").write_text("late")
    (small / "cup.csv").rename(small / "cup2.csv")
    told = verifying.verify(folder)
    found = told.changed
    assert "Put into the folder of the appendix by somebody, and no part of it: 'mine.txt'." in told.not_compared
    assert [re.sub("SHA-256 .*", "...", one) for one in found[:2]] == [
        "The file of the appendix 'tables.xlsx' is missing.",
        "The file of the appendix 'tables/numbers.csv' is not as it was written: ...",
    ]
    assert found[2:] == (
        "The file of the workbook 'cup.csv' is missing.",
        "'cup2.csv' is in the workbook, and was not when it was made.",
        "'late.txt' is in the workbook, and was not when it was made.",
    )


def change(folder, act):
    """Change the manifest of a folder."""
    path = folder / "manifest.json"
    told = json.loads(path.read_text())
    act(told)
    path.write_text(json.dumps(told))


@pytest.mark.parametrize(
    ("shift", "seen"), [(0.0, False), (1e-7, False), (1e-5, True), (-1e-5, True), (0.5, True)]
)  # relative to the number
def test_a_number_beyond_rounding_is_named_with_its_place(small, shift, seen):
    folder = writing.write(small).folder

    def act(told):
        told["results"]["numbers"]["rows"][0][1] *= 1 + shift

    change(folder, act)
    found = verifying.verify(folder).changed
    assert len(found) == seen
    if seen:
        assert (
            found[0]
            == f"Table 'numbers', row 1 ('a'), 'value [Pa]': 0.333333333333, and was {0.333333333333 * (1 + shift)!r}."
        )


def test_what_is_small_beside_its_column_is_held_against_that(small):
    folder = writing.write(small).folder
    change(folder, lambda told: told["results"]["numbers"]["rows"][1].__setitem__(1, 1.2e-9))
    assert verifying.verify(folder).changed == ()
    change(folder, lambda told: told["results"]["numbers"]["rows"][1].__setitem__(1, 2e-9))
    assert len(verifying.verify(folder).changed) == 1


def test_versions_texts_tables_and_rows_that_differ_are_named(small):
    folder = writing.write(small).folder

    def act(told):
        told["environment"] |= {"numpy": "1.0", "fortran": "77"}
        told["words"]["1 One"] = "0"
        told["results"]["numbers"]["rows"][0][0] = "c"
        told["results"]["numbers"]["rows"].append(["d", 1.0])
        told["results"]["older"] = {"columns": [], "rows": []}

    change(folder, act)
    import numpy

    assert verifying.verify(folder).changed == (
        f"numpy is {numpy.__version__}, and was 1.0.",
        "fortran is not known, and was 77.",
        "Table 'numbers': 2 differences, of which the first: it has 2 rows, and had 3.",
        "The table 'older' is not there any more.",
        "The section '1 One' says something else beside its tables.",
    )


def test_many_differences_of_one_table_are_counted(small):
    folder = writing.write(small).folder
    change(folder, lambda told: told["results"]["numbers"].__setitem__("rows", [["x", 5.0]] * 2))
    assert len(verifying.verify(folder).changed) == 1
    columns, rows = ["a"] * 9, [[float(k) for k in range(9)]]
    old = {"t": {"columns": columns, "rows": rows}}
    new = {"t": {"columns": columns, "rows": [[one + 1 for one in rows[0]]]}}
    told = differences.other_results(old, new)
    assert told == ["Table 't': 9 differences, of which the first: row 1, 'a': 1.0, and was 0.0."]
    (told,) = differences.other_results(
        {"t": {"columns": ["a"], "rows": [["same " * 40 + "old"]]}},
        {"t": {"columns": ["a"], "rows": [["same " * 40 + "new"]]}},
    )
    assert told.endswith("e new', and was … '" + told.rpartition("… '")[2]) and told.endswith("e old'.")


def test_what_cannot_be_computed_any_more_is_told(small):
    folder = writing.write(small).folder
    (small / "plan.toml").write_text("[nozzle]\nbore = 5")
    assert re.match("It cannot be computed anew: .*plan.toml", verifying.verify(folder).changed[-1])


# --- what was put, taken or turned by hand ------------------------------------------------------------------------------


def test_a_bench_that_is_missing_is_named_though_the_pdf_holds_one(small):
    folder = writing.write(small).folder
    (small / "bench.toml").rename(small / "Bench2.toml")
    found = verifying.verify(folder)
    assert found.changed == ("The file of the workbook 'bench.toml' is missing.",)
    assert found.against == (f"what is attached to appendix.pdf, since the workbook '{small}' holds no bench.toml",)
    (folder / "appendix.pdf").unlink()
    with pytest.raises(rk.DataError, match=r"stands in no workbook and holds no appendix\.pdf; name the folder"):
        verifying.verify(folder)


def test_an_appendix_that_is_a_link_is_held_against_the_workbook_it_is_reached_through(small, tmp_path):
    written = writing.write(small, tmp_path / "one")
    (small / "appendix").symlink_to(written.folder)
    found = verifying.verify(small / "appendix")
    assert found == ((f"the workbook '{small}', in which the link 'appendix' stands",), (), ())
    (small / "cup.csv").write_text((small / "cup.csv").read_text() + "\n")
    assert verifying.verify(small / "appendix").changed[0].startswith("The file of the workbook 'cup.csv' is not as")
    assert verifying.verify(written.folder).against == ("what is attached to appendix.pdf",)


@pytest.mark.parametrize(
    ("keys", "held", "said"),
    [
        (("seed",), 7, "The manifest says 7 for 'seed', its copy in the PDF 0."),
        (("draws",), "x", "The manifest says 'x' for 'draws', its copy in the PDF 1000."),
        (("made",), "1999-01-01", "The manifest says '1999-01-01' for 'made', its copy in the PDF '2026-01-01T00:00:00Z'."),
        (("decimal",), "comma", "The manifest says 'comma' for 'decimal', its copy in the PDF 'point'."),
        (("workbook", "left out"), ["secret\x1b[31m"], "The manifest says [\"secret\\u001b[31m\"] for 'workbook' / 'left out', its copy in the PDF []."),
        (("workbook", "files", "cup.csv", "bytes"), -1, "The manifest says -1 for 'workbook' / 'files' / 'cup.csv' / 'bytes', its copy in the PDF "),
        (("mine",), 1e400, "The manifest says Infinity for 'mine', its copy in the PDF nothing."),
        (("seed",), False, "The manifest says false for 'seed', its copy in the PDF 0."),
    ],
)  # fmt: skip
def test_an_entry_of_the_manifest_that_its_copy_has_otherwise_is_named(small, keys, held, said):
    folder = writing.write(small).folder
    assert verifying.verify(folder).changed == ()

    def act(told):
        for key in keys[:-1]:
            told = told[key]
        told[keys[-1]] = held

    change(folder, act)
    found = verifying.verify(folder).changed
    assert found[0].startswith(said) and all(one.isprintable() for one in found)


def test_entries_of_a_manifest_within_a_pdf_are_looked_at_too(small):
    folder = writing.write(small).folder
    held = attached((folder / "appendix.pdf").read_bytes())
    told = json.loads(held["manifest.json"]) | {"seed": 7, "mine": 1, "draws": True}
    told["workbook"]["files"]["cup.csv"]["bytes"] = -1
    held["manifest.json"] = json.dumps(told).encode()
    (small / "x.pdf").write_bytes(a_pdf(held.items()))
    size = (small / "cup.csv").stat().st_size
    assert verifying.verify(small / "x.pdf").changed == (
        f"The attached file 'cup.csv' has {size} bytes, and other ones in the manifest.",
        "The manifest says 'mine', which rheokit does not write.",
        "The manifest says 7 for seed, and it is computed with 0.",
        "The manifest says true for draws, and it is computed with 1000.",
    )
    told["format"] = True
    with pytest.raises(rk.DataError, match="has the format True; this rheokit reads 1"):
        manifest.read(json.dumps(told).encode(), "it")


def test_a_manifest_that_says_strange_things_is_told_in_words(small):
    """Numbers of 400 digits, and lists in lists in lists."""
    folder = writing.write(small).folder
    deep = json.loads("[" * 400 + "]" * 400)
    change(
        folder,
        lambda told: told.update(mine=10**400, other={"a": {"b": {"c": {"d": {"e": {"f": deep}}}}}}, draws=10**400),
    )
    change(folder, lambda told: told["results"]["numbers"]["rows"][0].__setitem__(1, 10**400))
    found = verifying.verify(folder).changed
    assert any(
        one.startswith("Table 'numbers', row 1 ('a'), 'value [Pa]': 0.333333333333, and was 1000") for one in found
    )
    assert any(one.startswith("The manifest says 1000") and len(one) < 400 for one in found)


def test_what_else_is_attached_to_a_pdf_is_named(small):
    folder = writing.write(small).folder
    held = attached((folder / "appendix.pdf").read_bytes())
    (small / "x.pdf").write_bytes(a_pdf([*held.items(), ("virus.exe", b"x"), ("/tmp/x\x1b", b"y")]))
    found = verifying.verify(small / "x.pdf").changed
    assert set(found) == {
        "'virus.exe' is attached, and is no file of the workbook.",
        "'/tmp/x\\x1b' is attached, and is no file of the workbook.",
    }


def test_folders_and_hidden_files_that_were_put_into_an_appendix_are_told(small):
    folder = writing.write(small).folder
    (folder / "empty" / "within").mkdir(parents=True)
    (folder / ".DS_Store").write_text("x")
    (folder / "tables" / ".git").mkdir()
    (folder / "tables" / ".git" / "config").write_text("x")
    found = verifying.verify(folder)
    assert found.changed == ("'empty/within' is an empty folder, and was not when it was made.",)
    assert found.not_compared == (
        "Hidden in the folder of the appendix, and no part of it: '.DS_Store', 'tables/.git', 'tables/.git/config'.",
    )


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes")
def test_a_folder_or_a_pipe_in_place_of_a_table_is_named_and_nothing_is_lost(small):
    folder = writing.write(small).folder
    table = folder / "tables" / "numbers.csv"
    table.unlink()
    table.mkdir()
    told = "'tables/numbers.csv' is an empty folder, and was not when it was made."
    assert verifying.verify(folder).changed == (told,)
    (table / "mine.txt").write_text("mine")
    (folder / "tables.xlsx").unlink()
    (folder / "tables.xlsx").symlink_to(small / "cup.csv")
    assert verifying.verify(folder).changed == (
        told.replace("an empty", "a"),
        "'tables.xlsx' is a link, a device, a pipe or longer than any file that was written, and was not when it was made.",
    )
    assert set(writing.write(small).told) == {
        "'tables/numbers.csv' was changed since it was written; what it held is kept as 'tables/numbers as changed.csv'.",
        "'tables.xlsx' was changed since it was written; what it held is kept as 'tables as changed.xlsx'.",
    }
    assert table.is_file() and (folder / "tables" / "numbers as changed.csv" / "mine.txt").read_text() == "mine"
    assert (folder / "tables as changed.xlsx").is_symlink()
    for place in (folder / "pipe", table):
        place.unlink(missing_ok=True)
        os.mkfifo(place)
        before = contents(folder)
        with pytest.raises(
            rk.DataError,
            match=rf"{place.name}' is a pipe or a device, which cannot be carried over; nothing was written\. Take it",
        ):
            writing.write(small)
        assert contents(folder) == before and not [one for one in small.iterdir() if one.name.startswith(".")]
        told = verifying.verify(folder)
        assert any(place.name in one for one in (*told.changed, *told.not_compared))
        place.unlink()


def test_a_film_in_an_appendix_is_named_and_the_rest_is_held_against_the_workbook(small):
    folder = writing.write(small).folder
    for name in ("film.mov", "tables.xlsx"):
        with open(folder / name, "wb") as film:
            film.truncate(verifying.LARGEST_OWN + 1)  # takes no room
    (small / "late.txt").write_text("late")
    assert verifying.verify(folder).changed == (
        "'tables.xlsx' is a link, a device, a pipe or longer than any file that was written, and was not when it was made.",
        "'late.txt' is in the workbook, and was not when it was made.",
    )


def test_after_a_run_that_was_cut_off_the_earlier_appendix_is_pointed_to(small):
    folder = writing.write(small).folder
    folder.rename(small / ".appendix.rheokit-old")
    with pytest.raises(
        rk.DataError, match=r"appendix': there is no such folder or PDF; writing it anew was cut off, and the earlier one stands in "
        r"'.*/small/\.appendix\.rheokit-old': name that, or write the appendix again, which puts it back first$"
    ):  # fmt: skip
        verifying.verify(folder)
    assert verifying.verify(small / ".appendix.rheokit-old").changed == ()


def test_a_manifest_that_somebody_wrote_into_is_kept(small):
    folder = writing.write(small).folder
    for without_pdf in (False, True):
        change(folder, lambda told: told.__setitem__("mine", 5))
        if without_pdf:
            (folder / "appendix.pdf").unlink()
        kept = (folder / "manifest.json").read_bytes()
        told = writing.write(small).told
        assert told == (
            "'manifest.json' was changed since it was written; what it held is kept as 'manifest as changed.json'.",
        )
        assert (folder / "manifest as changed.json").read_bytes() == kept
        assert "mine" not in json.loads((folder / "manifest.json").read_bytes())
        (folder / "manifest as changed.json").unlink()
        assert writing.write(small).told == ()
    (folder / "appendix.pdf").unlink()
    assert writing.write(small).told == ()


def test_where_the_pdf_cannot_be_set_the_rest_is_written_and_that_is_said(small, monkeypatch, capsys):
    def refuse(*_):
        raise rk.DataError("the typesetter fails")

    monkeypatch.setattr(writing, "pdf", refuse)
    assert command.main(["appendix", str(small)]) == UNWRITTEN
    out, folder = capsys.readouterr().out, small / "appendix"
    assert out.startswith(f"{folder} holds appendix.html, tables, figures and a manifest: ")
    lacks = "appendix.pdf is not there, and with it the archive of the workbook; all else is: the typesetter fails"
    assert f"  FAILED  {lacks}" in out
    assert {"appendix.html", "manifest.json", "tables.xlsx", "tables/numbers.csv"} <= set(contents(folder))
    page = (folder / "appendix.html").read_text("utf-8")
    assert f"Nothing is attached: {lacks}." in page and "is an archive" not in page
    assert "appendix.pdf" not in contents(folder) and verifying.verify(folder).changed == ()


def test_whether_numbers_may_be_used_is_asked_once_and_before_anything_is_written(small, monkeypatch):
    studies, order = [], []

    class Counted(writing.Study):
        def __init__(self, book):
            studies.append(book)
            super().__init__(book)

    monkeypatch.setattr(writing, "Study", Counted)
    monkeypatch.setattr(writing, "forbids", lambda study: order.append("asked") or "")
    monkeypatch.setattr(writing, "put", lambda files, target: order.append("written") or ())
    writing.write(small)
    assert len(studies) == 1 and order == ["asked", "written"]


TRAPS = ("trap-migration", "trap-plug-slip", "trap-transient-rows")  # trap-cooling-needle takes a minute more


@pytest.mark.slow
@pytest.mark.parametrize("name", TRAPS)
def test_the_appendix_of_a_bench_that_misleads_is_written_and_verified(name, tmp_path):
    """Its numbers are not to be used, which is told, and all the same each is computed anew as it was."""
    shutil.copytree(DEMO.parent / name, tmp_path / name)
    written = writing.write(tmp_path / name)
    assert written.lacks == "" and bool(written.forbids) == (
        not rk.Workbook.open(tmp_path / name).fit.checks.passed.all()
    )
    assert verifying.verify(written.folder / "appendix.pdf") == (("what is attached",), (), ())


# --- refused ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", r"^manifest\.json is no JSON \(JSONDecodeError: "),
        ("[" * 100_000, r"^manifest\.json is no JSON \(RecursionError: "),
        ("[]", 'it does not say "what": "appendix by rheokit"'),
        ('{"what": "appendix by rheokit", "format": 9}', "has the format 9; this rheokit reads 1: verify it with the version that made it"),
        ('{"what": "appendix by rheokit", "format": 1}', "is broken: 'made' is missing, or of another kind; make the appendix anew"),
        ('{"what": "appendix by rheokit", "format": 1, "made": "2026-01-01", "decimal": "point", "environment": {}, "workbook": {"name": 5}, '
         '"appendix": {}, "results": {}, "words": {}}', "'workbook' does not say its name"),
    ],
)  # fmt: skip
def test_a_manifest_that_is_none_is_refused(tmp_path, text, words):
    (tmp_path / "manifest.json").write_text(text)
    with pytest.raises(rk.DataError, match=words):
        verifying.verify(tmp_path)


def test_results_that_are_broken_are_refused_or_told(small):
    folder = writing.write(small).folder
    for broken in (5, {"columns": ["a"], "rows": [5]}, {"rows": []}):
        change(folder, lambda told, broken=broken: told["results"].__setitem__("numbers", broken))
        with pytest.raises(rk.DataError, match=r"the table 'numbers' has no columns and rows"):
            verifying.verify(folder)
    change(
        folder,
        lambda told: told["results"].__setitem__(
            "numbers", {"columns": ["what", "value [Pa]"], "rows": [["a"], [None, True]]}
        ),
    )
    assert len(verifying.verify(folder).changed) == 1
    change(folder, lambda told: told.__setitem__("made", "never"))
    with pytest.raises(rk.DataError, match="'made' is no date"):
        verifying.verify(folder)


def test_what_is_no_appendix_is_refused(tmp_path, small):
    with pytest.raises(
        rk.DataError,
        match=r"nowhere': there is no such folder or PDF; name the folder of an appendix, or its appendix\.pdf$",
    ):
        verifying.verify(tmp_path / "nowhere")
    writing.write(small)
    with pytest.raises(
        rk.DataError, match=r"holds no manifest\.json, so it is no appendix; did you mean '.*small/appendix'\?$"
    ):
        verifying.verify(small)


def a_pdf(files):
    writer = pypdf.PdfWriter()
    writer.add_blank_page(100, 100)
    for name, raw in files:
        writer.add_attachment(name, raw)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


GOOD = json.dumps({
    "what": "appendix by rheokit", "format": 1, "made": "2026-01-01T00:00:00Z", "decimal": "point", "environment": {},
    "workbook": {"name": "x", "demo": False, "files": {}}, "appendix": {}, "results": {}, "words": {},
}).encode()  # fmt: skip


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "it cannot be read as a PDF"),
        (b"%PDF-1.7\n" + b"\0" * 1000, "it cannot be read as a PDF"),
        (a_pdf([]), "nothing of an appendix is attached; some programs drop what is attached when they save a PDF: take the original"),
        (a_pdf([("other.txt", b"x")]), "nothing of an appendix is attached"),
        (a_pdf([("workbook/bench.toml", b"x")]), r"no manifest\.json is attached, so it is no appendix that can be verified"),
        (a_pdf([("manifest.json", b"{")]), r"manifest\.json, attached to 'x\.pdf' is no JSON"),
        (a_pdf([("manifest.json", GOOD), ("workbook/../../up.txt", b"x")]), r"a file is attached as 'workbook/\.\./\.\./up\.txt', which may lead out of a folder"),
        (a_pdf([("manifest.json", GOOD), ("workbook//etc/x", b"x")]), "a file is attached as 'workbook//etc/x', which may lead out of a folder"),
        (a_pdf([("manifest.json", GOOD), ("workbook/%2e%2e/up.txt", b"x")]), "which may lead out of a folder"),
        (a_pdf([("manifest.json", GOOD), ("workbook/%ff", b"x")]), "which may lead out of a folder or be none"),
        (a_pdf([("manifest.json", GOOD), ("workbook/%00", b"x")]), "which may lead out of a folder or be none"),
        (a_pdf([("manifest.json", GOOD), ("workbook/a", b"x"), ("workbook/%61", b"x")]), "is attached twice"),
        (a_pdf([("manifest.json", GOOD), ("workbook/a", b"x"), ("workbook/a/b", b"x")]), "an attached file has the name of the folder of another"),
    ],
)  # fmt: skip
def test_a_hostile_pdf_is_refused_in_words(tmp_path, raw, words):
    (tmp_path / "x.pdf").write_bytes(raw)
    with pytest.raises(rk.DataError, match=words):
        verifying.verify(tmp_path / "x.pdf")
    assert [one.name for one in tmp_path.iterdir()] == ["x.pdf"]


def test_too_much_that_is_attached_is_refused(monkeypatch):
    monkeypatch.setattr(unpacking, "LARGEST_OF_ALL", 1000)
    with pytest.raises(rk.DataError, match="more than 1000 bytes are attached; it is no appendix"):
        unpacking.unpacked(a_pdf([("manifest.json", GOOD), ("workbook/a", b"x" * 1000)]), "x.pdf")
    monkeypatch.setattr(unpacking, "MOST_FILES", 2)
    with pytest.raises(rk.DataError, match="more than 2 files are attached; it is no appendix"):
        unpacking.unpacked(a_pdf([("a", b""), ("b", b""), ("c", b"")]), "x.pdf")


def test_a_file_that_was_changed_within_the_pdf_is_named(small):
    folder = writing.write(small).folder
    held = attached((folder / "appendix.pdf").read_bytes())
    held["workbook/plan.toml"] += b"# changed\n"
    del held["workbook/cup.csv"]
    (small / "other.pdf").write_bytes(a_pdf(held.items()))
    found = verifying.verify(small / "other.pdf").changed
    assert found[0] == "The attached file 'cup.csv' is missing."
    assert found[1].startswith("The attached file 'plan.toml' is not as it was written: SHA-256 ")


def test_other_pages_with_the_same_files_attached_are_found(small):
    """One blank page, or one page more, beneath everything that is attached to the real PDF."""
    folder = writing.write(small).folder
    real = (folder / "appendix.pdf").read_bytes()
    more = pypdf.PdfWriter(clone_from=io.BytesIO(real))
    more.add_blank_page(100, 100)
    more.write(small / "more.pdf")
    (small / "blank.pdf").write_bytes(a_pdf(attached(real).items()))
    for name in ("more.pdf", "blank.pdf"):
        found = verifying.verify(small / name)
        assert found == (("what is attached",), (verifying.OTHER_PAGES,), ())
        assert found.changed[0].startswith("The pages are not those that were set")
    assert verifying.verify(folder / "appendix.pdf") == (("what is attached",), (), ())


def test_that_pages_were_not_compared_is_said(small, monkeypatch, capsys):
    folder = writing.write(small).folder
    monkeypatch.setattr(differences, "versions", lambda: {**writing.manifests.versions(), "typst": "0.0.1"})
    found = verifying.verify(folder / "appendix.pdf")
    assert len(found.changed) == 1 and found.not_compared == (verifying.NOT_COMPARED,)
    assert command.main(["verify", str(folder / "appendix.pdf")]) != 0
    assert "note    The pages of the PDF were not compared" in capsys.readouterr().out


# --- the command --------------------------------------------------------------------------------------------------------


def test_the_commands_say_what_they_did_by_words_and_exit_code(small, capsys):
    assert command.main(["appendix", str(small)]) == 0
    out, err = capsys.readouterr()
    assert all(line.endswith(" ...") for line in err.splitlines()), "steps at work, and nothing else"
    assert out.splitlines()[0].startswith(
        f"{small / 'appendix'} holds appendix.html, appendix.pdf, tables, figures and a manifest: "
    )
    assert out.splitlines()[-1] == f"To check it later: rheokit verify {small / 'appendix'}"
    assert command.main(["verify", str(small / "appendix")]) == 0
    assert capsys.readouterr().out.splitlines() == [
        f"Computed anew from the workbook '{small}'.",
        "Nothing changed: files, versions, texts and pages are the same, and numbers within 1e-06 of each other.",
    ]
    (small / "cup.csv").write_text((small / "cup.csv").read_text() + "\n")
    assert command.main(["verify", str(small / "appendix")]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert (
        lines[1].startswith("  changed The file of the workbook 'cup.csv' is not as it was written")
        and lines[-1] == "1 differs: see above."
    )
    assert command.main(["verify", str(small / "nowhere")]) == 2
    assert "there is no such folder or PDF" in capsys.readouterr().err
    assert command.main(["appendix", str(small / "nowhere")]) == 2


def test_the_command_says_that_no_law_was_fitted(small, capsys):
    name = next(one for one in small.iterdir() if one.suffix == ".csv")
    name.write_text("abc\n1\n")
    assert command.main(["appendix", str(small)]) == 1
    assert "  FAILED  No law was fitted: " in capsys.readouterr().out


def test_the_command_says_how_many_checks_failed(quick, tmp_path, capsys):
    shutil.copytree(DEMO.parent / "trap-migration", tmp_path / "bad")
    fit = rk.Workbook.open(tmp_path / "bad").fit
    failed = sum(not one for one in fit.checks.passed)
    assert failed
    assert command.main(["appendix", str(tmp_path / "bad")]) == 1
    assert f"  FAILED  {failed} of {len(fit.checks)} checks of the fit FAILED: " in capsys.readouterr().out


def test_a_workbook_that_is_open_is_written_as_it_stands(small):
    book = rk.Workbook.open(small)
    assert rk.appendix.write(book).folder == small / "appendix"


# --- a decimal comma ----------------------------------------------------------------------------------------------------


def test_a_decimal_that_is_none_is_refused(small):
    with pytest.raises(rk.DataError, match=r"^decimal = 'dot' is not known; give one of 'point', 'comma'$"):
        rk.appendix.write(small, decimal="dot")
    folder = writing.write(small).folder
    change(folder, lambda told: told.__setitem__("decimal", "dot"))
    with pytest.raises(rk.DataError, match=r"manifest\.json has the decimal 'dot', which is none of point, comma"):
        verifying.verify(folder)


@pytest.mark.slow
def test_numbers_have_a_comma_on_the_page_and_a_point_in_files(made, tmp_path):
    """What was typed, versions and scripts stay as they are; the numbers are the same."""
    shutil.copytree(made, tmp_path / "my-paste")
    book = rk.Workbook.open(tmp_path / "my-paste")
    _ = book.fit.checks  # whose comments were made with points
    written = writing.write(book, decimal="comma")
    told, before = (json.loads((one / "manifest.json").read_text()) for one in (written.folder, made / "appendix"))
    assert told["decimal"] == "comma"
    for name, table in before["results"].items():
        for old, new in zip(table["rows"], told["results"][name]["rows"], strict=True):
            assert [one for one in old if not isinstance(one, str)] == [one for one in new if not isinstance(one, str)]
    page = (written.folder / "appendix.html").read_text("utf-8")
    assert f"rheokit {rk.__version__}" in page
    cells = re.findall(r'<td class="number">([^<]*)</td>', page)
    assert len(cells) > 100 and not [one for one in cells if "." in one] and any("," in one for one in cells)
    svg = "".join(path.read_text("utf-8") for path in (written.folder / "figures").iterdir())
    texts = re.findall(r">([^<>]*\d[.,]\d[^<>]*)</text>", svg)
    assert texts and not [one for one in texts if re.search(r"\d\.\d", one)]
    assert verifying.verify(written.folder).changed == ()
    assert rk.nomenclature.number(0.5) == "0.5"
