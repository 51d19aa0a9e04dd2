"""A record that loses nothing and takes nothing odd: remarks, numbers, links, pipes, and files that a spreadsheet has saved."""

import os
import re
import shutil
from datetime import date, datetime

import numpy as np
import pytest

import rheokit as rk
from rheokit.appendix import differences, own_files, placing, writing
from rheokit.command import main
from rheokit.command.codes import UNWRITTEN
from rheokit.errors import DataError
from rheokit.planning import predicted as of
from rheokit.planning.predicted import Predicted
from rheokit.scoring import ratio
from rheokit.workbook import shelf
from rheokit.workbook.outcomes import NAME

FORCE = Predicted(of.FORCE, 50.0, 40.0, 65.0)
PRINTED = Predicted(of.PRINTED, 0.8, holds="Every limit judged holds: lean.")


@pytest.fixture
def book(tmp_path):
    """Return the workbook of a folder of one's own."""
    shutil.copytree(shelf.demo("olive-stone-paste"), tmp_path / "paste")
    return rk.Workbook.open(tmp_path / "paste")


def changed(book, old, new):
    """Change the file as an editor does."""
    place = book.folder / NAME
    text = place.read_text("utf-8")
    assert old in text
    place.write_text(text.replace(old, new), "utf-8")


# --- nothing is lost --------------------------------------------------------------------------------------------------


def test_every_value_observed_before_stays_in_the_remark(book):
    book.outcomes.keep([FORCE])
    book.outcomes.observe(1, "72 N", remark="first", batch="A")
    for force in (73, 74, 75):
        book.outcomes.observe(1, f"{force} N", correct=True, remark="y" * 700)
    kept = book.outcomes.all[0]
    assert all(f"before: {force} N on " in kept.remark for force in (72, 73, 74)) and kept.remark.endswith("first")
    assert kept.remark.count("y") == 2100 + kept.remark.replace("y" * 700, "").count("y") and kept.batch == "A"


def test_a_correction_that_has_no_room_is_refused_and_nothing_is_written(book):
    book.outcomes.keep([FORCE])
    book.outcomes.observe(1, "72 N", remark="y" * 3900)
    before = (book.folder / NAME).read_bytes()
    with pytest.raises(
        DataError, match="with what the row held before, 4000 at most, and nothing is cut off; write it shorter"
    ):
        book.outcomes.observe(1, "73 N", correct=True, remark="z" * 100)
    assert (book.folder / NAME).read_bytes() == before


def test_a_batch_before_stays_in_the_remark(book):
    book.outcomes.keep([FORCE])
    book.outcomes.observe(1, "72 N", batch="A")
    one = book.outcomes.observe(1, "72 N", batch="B", correct=True)
    assert one.batch == "B" and one.remark == f"corrected, before: 72 N on {date.today()}, batch A"


def test_a_remark_typed_into_the_file_before_stays(book):
    book.outcomes.keep([FORCE])
    place = book.folder / NAME
    place.write_text(place.read_text("utf-8").rstrip("\n") + "nozzle was worn\n", "utf-8")
    assert book.outcomes.observe(1, "72 N", remark="mine").remark == "mine; nozzle was worn"


def test_a_number_is_never_given_twice(book):
    book.outcomes.keep([FORCE] * 3)
    place = book.folder / NAME
    place.write_text("".join(place.read_text("utf-8").splitlines(keepends=True)[:-1]), "utf-8")
    assert [one.number for one in book.outcomes] == [1, 2]
    assert book.outcomes.keep([FORCE])[0].number == 4


def test_an_absurd_number_is_told_by_its_row(book):
    book.outcomes.keep([FORCE])
    changed(book, "\n1,", "\n999999999,")
    with pytest.raises(DataError, match=r"row 3, column 1 \(number\): '999999999' is no number of a prediction"):
        book.outcomes.keep([FORCE])
    changed(book, "\n999999999,", "\n99999,")
    with pytest.raises(DataError, match="number 99999 is the last that there is; begin a new file"):
        book.outcomes.keep([FORCE])


@pytest.mark.skipif(not hasattr(os, "symlink"), reason="no links")
def test_a_link_is_followed_within_the_folder_and_never_replaced(book, tmp_path):
    book.outcomes.keep([FORCE])
    place, inside, outside = book.folder / NAME, book.folder / "record-here.csv", tmp_path / "shared.csv"
    place.rename(inside)
    place.symlink_to(inside.name)
    book.outcomes.keep([FORCE])
    assert place.is_symlink() and inside.read_text("utf-8").count(",force,") == 2
    inside.rename(outside)
    place.unlink()
    place.symlink_to(outside)
    before = outside.read_bytes()
    with pytest.raises(DataError, match="is a link that leads out of its folder; nothing was written"):
        book.outcomes.keep([FORCE])
    assert place.is_symlink() and outside.read_bytes() == before
    outside.unlink()
    with pytest.raises(DataError, match="is a link that leads to nothing; nothing was written"):
        book.outcomes.keep([FORCE])
    assert place.is_symlink()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes")
@pytest.mark.parametrize("name", [NAME, "plan.toml"])
def test_a_pipe_is_refused_at_once(book, name):
    (book.folder / name).unlink(missing_ok=True)
    os.mkfifo(book.folder / name)
    with pytest.raises(DataError, match=f"{re.escape(name)}' is a device or a pipe, no file; take it away"):
        rk.Workbook.open(book.folder).outcomes.keep([FORCE])


# --- odd arguments ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("number", "observed", "more", "told"),
    [
        (1, None, {}, "'None' is nothing that can have come out; give a number with its unit"),
        (1, [1], {}, "'[1]' is nothing that can have come out"),
        (2, [1], {}, "'[1]' is nothing that can have come out; give 'yes' or 'no'"),
        (1, 10**400, {}, "is larger than anything observed; correct it"),
        (1, np.bool_(True), {}, "True is no number; force is observed as a number"),
        (1, "72 N", {"remark": 5}, "remark = '5' is no text; put it in quotes"),
        (1, "72 N", {"batch": None}, "batch = 'None' is no text; put it in quotes"),
        (1, "72 N", {"on": 20260131}, "on = '20260131' is no date; write year, month and day, such as 2026-01-31"),
        (True, "72 N", {}, "'True' is no number of a prediction; give a whole number, such as 1"),
        ("1", "72 N", {}, "is no number of a prediction; give a whole number, such as 1"),
        (1.0, "72 N", {}, "'1.0' is no number of a prediction"),
    ],
)
def test_an_argument_of_an_odd_type_is_refused_in_words(book, number, observed, more, told):
    book.outcomes.keep([FORCE, PRINTED])
    before = (book.folder / NAME).read_bytes()
    with pytest.raises(DataError, match=re.escape(told)):
        book.outcomes.observe(number, observed, **more)
    assert (book.folder / NAME).read_bytes() == before


def test_arguments_that_mean_the_same_are_taken(book):
    book.outcomes.keep([FORCE, PRINTED])
    assert book.outcomes.observe(np.int64(1), np.float64(72.0), on=datetime.now()).on == date.today()
    assert book.outcomes.observe(2, np.bool_(False)).came is False


def test_a_decimal_sign_of_an_odd_type_is_refused_in_words(book):
    with pytest.raises(DataError, match=r"decimal = .* is not known; give one of"):
        writing.write(book, decimal=["comma"])


# --- what a spreadsheet has saved -------------------------------------------------------------------------------------


def test_a_remark_of_two_lines_in_quotation_marks_is_read(book):
    """RFC 4180, section 2, rule 6: fields with line breaks are enclosed in quotation marks."""
    book.outcomes.keep([FORCE, FORCE])
    book.outcomes.observe(1, "72 N", remark="REMARK")
    changed(book, ",REMARK\n", ',"first, line\nsecond ""line"""\n')
    assert book.outcomes.all[0].remark == 'first, line second "line"' and len(book.outcomes) == 2
    book.outcomes.observe(2, "71 N")
    assert [one.observed for one in book.outcomes] == [72, 71]


def test_an_inch_mark_joins_no_rows(book):
    book.outcomes.keep([FORCE, FORCE])
    for number, word in ((1, "ONE"), (2, "TWO")):
        book.outcomes.observe(number, "72 N", remark=word)
    changed(book, ",ONE\n", ',bore 5"\n')
    changed(book, ",TWO\n", ',bore 6"\n')
    assert [one.remark for one in book.outcomes] == ['bore 5"', 'bore 6"']


def test_a_mark_that_does_not_close_is_told(book):
    book.outcomes.keep([FORCE, FORCE])
    book.outcomes.observe(1, "72 N", remark="ONE")
    changed(book, ",ONE\n", ',"ONE\n')
    with pytest.raises(DataError, match=r"row 3: .* has a quotation mark that does not close"):
        len(book.outcomes)


def test_true_and_false_and_the_case_of_headers_as_a_spreadsheet_saves_them(book):
    book.outcomes.keep([PRINTED, PRINTED])
    book.outcomes.observe(1, "yes")
    book.outcomes.observe(2, "no")
    changed(book, ",yes,", ",TRUE,")
    changed(book, ",no,", ",FALSE,")
    changed(book, "\nnumber,predicted at [UTC],", "\nNumber,Predicted At [utc],")
    assert [one.came for one in book.outcomes] == [True, False] and all(one.is_scored for one in book.outcomes)


def test_a_time_without_seconds_says_where_the_right_one_is(book):
    book.outcomes.keep([FORCE])
    when = f"{book.outcomes.all[0].when:%Y-%m-%d %H:%M:%S}"
    changed(book, when, "28.11.2026 02:39")
    with pytest.raises(DataError, match=r"\(a spreadsheet drops the seconds: take the row from an older copy\)"):
        len(book.outcomes)


# --- batches that are not told ----------------------------------------------------------------------------------------


def factor_of(batches):
    """Return the ratio of outcomes 1.3 times what was predicted, but for a little, of such batches."""
    off = 1.3 * (1 + 0.01 * np.arange(len(batches)) / len(batches))
    return ratio([50.0] * len(off), 50 * off, [40.0] * len(off), [65.0] * len(off), batches)


@pytest.mark.parametrize(
    ("batches", "counted"),
    [
        (["A", "A", "B", "B", "", ""], 2),
        (["A", "a", "B", "b"], 2),
        (["A", "A", "", ""], 1),
        (["A  1", "a 1", "B", "", "  "], 2),
    ],
)
def test_a_batch_that_is_not_told_is_no_batch_more(batches, counted):
    found = factor_of(batches)
    assert found.batches == counted and not found.is_offered and found.high == float("inf")


@pytest.mark.parametrize("others", [["B", "B"], ["B"], ["", ""], ["B", "", "B"]])
def test_outcomes_of_another_batch_take_nothing_from_what_is_known_of_one(others):
    """Seven of A and two of B are known no worse than the seven of A alone, whose limits are of that batch and offer no factor."""
    off = 1.3 * (1 + 0.01 * np.arange(7) / 7)
    alone = ratio([50.0] * 7, 50 * off, [40.0] * 7, [65.0] * 7, ["A"] * 7)
    count = 7 + len(others)
    more = ratio(
        [50.0] * count, [*(50 * off), *[80.0] * len(others)], [40.0] * count, [65.0] * count, ["A"] * 7 + others
    )
    assert more[:3] == pytest.approx(alone[:3], rel=1e-12) and more.of == alone.of == 7
    assert more.is_systematic and not more.is_offered and not more.of_batches


def test_limits_of_one_batch_say_that_they_are_of_it_alone(book):
    book.outcomes.keep([FORCE] * 6)
    for number, (force, batch) in enumerate(
        zip((65, 66, 65.5, 66.5, 80, 81), ("A", "a", "A", "A", "B", "B"), strict=True), 1
    ):
        book.outcomes.observe(number, f"{force} N", batch=batch)
    words = book.outcomes.words
    said = "which hold it alone and not the model: another batch may be off otherwise). All of batch A are off by a factor, more than the predictions left open"
    assert "Observed over predicted, of the 4 of batch A: 1.31 (95 % 1.29 to 1.34, " + said in words
    assert "whether others are, three batches tell." in words and "offered" not in words


def test_outcomes_of_no_told_batch_move_no_factor():
    told, more = (
        factor_of(["A", "B", "C"]),
        ratio([50.0] * 5, [65.0, 65.2, 65.4, 500.0, 400.0], [40.0] * 5, [65.0] * 5, ["A", "B", "C", "", ""]),
    )
    assert told.is_offered and more.is_offered and more.value == pytest.approx(65.2 / 50, rel=1e-3)


def test_the_words_tell_how_many_are_of_no_told_batch(book):
    book.outcomes.keep([FORCE] * 6)
    for number, (force, batch) in enumerate(
        zip((65, 66, 67, 68, 66, 67), ("A", "a", "B", "B ", "", ""), strict=True), 1
    ):
        book.outcomes.observe(number, f"{force} N", batch=batch)
    words = book.outcomes.words
    assert "4 outcomes are of 2 batches; the batch of the other 2 is not told (they count in no factor)" in words
    assert "is not known: needs three outcomes, of one batch or of three" in words and "offered" not in words


# --- what a stranger wrote, and the date ------------------------------------------------------------------------------


def test_versions_of_a_forged_manifest_reach_no_terminal_raw():
    told = differences.other_versions({"\x1b]0;t\x07": "\x1b[31m", "two": "a\nb\u202e"})
    assert all(one.isprintable() for one in told) and any(
        "\\x1b]0;t\\x07 is not known, and was \\x1b[31m." in one for one in told
    )


def test_an_empty_date_counts_as_not_set_and_digits_are_plain(monkeypatch):
    monkeypatch.setenv(writing.EPOCH, "")
    assert writing.moment() > "2026-01-02"
    monkeypatch.setenv(writing.EPOCH, "1767225600")
    assert writing.moment() == "2026-01-01T00:00:00Z"
    for odd in ("\uff11\uff12", "1_000", " 12", "12\n", "1.0"):
        monkeypatch.setenv(writing.EPOCH, odd)
        with pytest.raises(DataError, match="is no date; give seconds since 1970"):
            writing.moment()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes")
def test_a_pipe_or_a_film_put_into_an_appendix_is_named_and_not_read(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    with open(tmp_path / "film.mov", "wb") as film:
        film.truncate(own_files.LARGEST_OWN + 1)  # takes no room
    told = own_files.own_files(tmp_path, {"appendix": {}})
    assert told == ([], ("Put into the folder of the appendix by somebody, and no part of it: 'film.mov', 'pipe'.",))
    with pytest.raises(DataError, match="is a folder, a device or a pipe, no file; take it away"):
        own_files.bytes_of(tmp_path / "pipe", 10)


def test_a_disk_that_refuses_an_appendix_ends_as_the_help_says(monkeypatch, tmp_path, capsys):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(writing, "files_of", lambda *_: writing.Files({"appendix.html": b"x"}, (), "", ""))
    monkeypatch.setattr(placing, "write_file", full)
    code = main(["appendix", str(shelf.demo("kitchen")), "--out", str(tmp_path / "new")])
    assert code == UNWRITTEN and "nothing was saved: the disk is full" in capsys.readouterr().err
    assert not (tmp_path / "new").exists()
