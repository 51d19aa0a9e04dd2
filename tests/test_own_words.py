"""What a file of readings says beside its readings: comments and lines of words, each with its row. All files are invented."""

import io

import openpyxl
import pytest
from test_appendix_exports import COLUMNS, german, stress, study
from test_appendix_sections import folder, poor

import rheokit as rk
from rheokit.appendix import file_words
from rheokit.appendix.authors import APPARATUS, BOTH, COMMENTED, NOTED, PROTOCOL, points, unless_noted
from rheokit.appendix.document import Paragraph, Points
from rheokit.appendix.sections import apparatus, material, model, protocol, readings
from rheokit.appendix.study import Study
from rheokit.reading.own_words import remarks_in

PLAIN = b"# steady within 1 % over 20 s,,\r\nspeed [mm/s], force [N]\r\n0.1, 5\r\n  # refilled here; \r\n0.2, 6\r\n"
EXPORT = (
    b"Rotational instrument\tSN 4\nGeometry\tplates 25 mm\n\nPoint\tScherrate\tSchubspannung\tStatus\n\t[1/s]\t[Pa]\t\n"
    b"1\t0.1\t66\tok\n2\t1\t80\tok\n3\t10\t123\tok\nstopped by hand\n"
)


def opened(place):
    return Study(rk.Workbook.open(place))


def test_comments_of_a_plain_file_are_found_with_their_rows():
    assert remarks_in("f.csv", PLAIN) == ((1, "# steady within 1 % over 20 s"), (4, "# refilled here"))
    assert remarks_in("f.csv", b"a [s], b [N]\n1, 2\n") == ()


def test_words_about_the_table_of_an_export_are_found_and_no_reading_is():
    found = remarks_in("f.txt", EXPORT, export=True, read={4, 6, 7})
    assert [row for row, _ in found] == [1, 2, 5, 9]  # row 8, which nobody chose, is a reading with a word beside
    assert found[1].text == "Geometry\tplates 25 mm"


def test_words_of_a_sheet_are_found_in_both_ways():
    book = openpyxl.Workbook()
    for row in (("# gap 1.2 mm", None), ("speed", "force"), (0.1, 5.5)):
        book.active.append(row)
    raw = io.BytesIO()
    book.save(raw)
    assert remarks_in("f.xlsx", raw.getvalue()) == ((1, "# gap 1.2 mm"),)
    assert remarks_in("f.xlsx", raw.getvalue(), export=True, read={2}) == ((1, "# gap 1.2 mm"),)


@pytest.mark.parametrize("raw", [b"\xff\xfe", b"a\0b", b"# caf\xe9\n"])
def test_a_file_that_is_no_text_says_nothing(raw):
    assert remarks_in("f.csv", raw) == ()


def of_words(section):
    """Return the paragraphs and points of the subsections of raw readings, by title."""
    return {
        one.title: [block for block in one.blocks if isinstance(block, Paragraph | Points)] for one in section.sections
    }


def commented(place, note=""):
    """Return a folder with a plate of which the file holds a comment, and a slump without any."""
    bench = (
        f'[specimen]\npaste = "clay of mine"\ndensity = "1800 kg/m3"\n{note}'
        '[[test]]\nkind = "loaded plate"\nfile = "p.csv"\nvolume = "5 mL"\nforce = "9.81 N"\n'
        '[[test]]\nkind = "cylinder slump"\nfile = "s.csv"\nheight = "100 mm"\ndiameter = "100 mm"\n'
    )
    files = {"p_csv": "# read after 120 s, twice\nradius [mm]\n26.1\n25.7\n26.6\n", "s_csv": "slump [mm]\n31\n33\n29\n"}
    return opened(folder(place, bench, **files))


def test_a_comment_stands_beside_the_raw_readings_of_its_file_alone(tmp_path):
    told = of_words(readings.section(commented(tmp_path / "mine")))
    plate, slump = told.values()
    assert plate[0].text == "What p.csv says beside its readings, in its own words; no number is taken from it:"
    assert plate[1].texts == ("Row 1: # read after 120 s, twice",) and not slump


def test_nothing_is_called_not_stated_that_a_comment_may_state(tmp_path):
    study_, bare = commented(tmp_path / "mine"), opened(poor(tmp_path / "bare"))
    both = commented(tmp_path / "both", 'note = "sieved at 0.4 mm"\n')
    assert (unless_noted(study_), unless_noted(both), unless_noted(bare)) == (COMMENTED, BOTH, "")
    assert points(study_, PROTOCOL).texts[-1].startswith(f"Not stated{COMMENTED}; to be filled in by the authors")
    assert points(both, APPARATUS).texts[-1].startswith(f"Not stated{BOTH}; to be filled in by the authors")
    for section in (material, apparatus, protocol, model):
        found = repr(section.section(study_))
        assert found.lower().count("not stated") and COMMENTED in found and NOTED not in found
    for section, name in ((apparatus, "apparatus"), (protocol, "protocol"), (model, "error-model")):
        table = next(one for one in section.section(study_).blocks if getattr(one, "name", "") == name)
        assert COMMENTED in table.note


def test_a_comment_in_the_bench_file_may_state_it_too(tmp_path):
    assert unless_noted(opened(poor(tmp_path / "mine", more="# bore by pin gauge\n"))) == COMMENTED


def test_the_head_of_an_export_is_printed_and_counts_as_a_comment(tmp_path):
    rows = "".join(f"{one};{german(rate)};{german(stress(rate))}\n" for one, rate in enumerate((0.1, 1, 10, 100), 1))
    raw = f"Gerät;zwei Platten, Spalt 1,20 mm\n\nPunkt;Scherrate;Schubspannung\n;[1/s];[Pa]\n{rows}".encode()
    made = study(tmp_path / "export", raw, COLUMNS)
    (told,) = of_words(readings.section(made)).values()
    assert told[1].texts[0] == "Row 1: Gerät;zwei Platten, Spalt 1,20 mm"
    assert unless_noted(made) == COMMENTED


def test_many_comments_are_counted_and_long_ones_are_cut(tmp_path):
    study_ = commented(tmp_path / "mine")
    lines = "".join(f"# remark {one}\n" for one in range(60)) + f"# {'a' * 900}\n"
    (study_.book.folder / "p.csv").write_text(f"# {'b' * 900}\n{lines}radius [mm]\n26.1\n25.7\n", encoding="utf-8")
    told = file_words.blocks(again := opened(study_.book.folder), again.tests[0])[1].texts
    assert len(told) == file_words.MOST_REMARKS + 1 and told[-1] == "22 more; the file holds them, and is attached."
    assert told[0].endswith("b ... (902 characters)")


def test_a_second_test_of_one_file_says_where_its_words_stand(tmp_path):
    one = '[[test]]\nkind = "loaded plate"\nfile = "p.csv"\nvolume = "5 mL"\nforce = "9.81 N"\n'
    bench = f'[specimen]\npaste = "mine"\n{one}label = "first"\nrows = "3-4"\n{one}label = "second"\nrows = "5-6"\n'
    made = opened(folder(tmp_path / "mine", bench, p_csv="# by hand\nradius [mm]\n26.1\n25.7\n26.6\n26.2\n"))
    first, second = of_words(readings.section(made)).values()
    assert first[1].texts == ("Row 1: # by hand",)
    assert second[0].text == "What p.csv says beside its readings stands under “loaded plate 'first'”."
