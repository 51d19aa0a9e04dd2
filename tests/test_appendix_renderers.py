"""One document as PDF, page, CSV and XLSX: text stays text, numbers keep their digits, the same bytes twice."""

import base64
import csv
import html
import io
import math
import re
import warnings
import zipfile
from dataclasses import replace
from hashlib import sha256

import openpyxl
import pypdf
import pytest
from appendices import HEBREW, HOSTILE, LONG, MARKUP, SVG, THIRD, document, hostile, table

import rheokit
from rheokit.appendix import page, tables, typeset
from rheokit.appendix.columns import ON_ITS_SIDE, UPRIGHT, setting
from rheokit.appendix.document import Attached, Caution, Figure, Listing, Paragraph, Section, Shown, Table
from rheokit.appendix.figures import WIDTH, within
from rheokit.appendix.latex import ESCAPED, as_latex, latex
from rheokit.appendix.letters import in_font, pieces, visible, width
from rheokit.charts.looks import TEXT
from rheokit.charts.subtitles import Caveat, below_title


def read(raw):
    return pypdf.PdfReader(io.BytesIO(raw))


def words_of(raw):
    """Return the text of a PDF without spaces and line ends."""
    return re.sub(r"\s+", "", "".join(one.extract_text() for one in read(raw).pages))


# --- letters ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("τ_y ≥ 5 Pa·sⁿ, γ̇, −5 °C", "τ_y ≥ 5 Pa·sⁿ, γ̇, −5 °C"),
        ("🧪 test", "⟨U+1F9EA TEST TUBE⟩ test"),
        ("漢", "⟨U+6F22 CJK UNIFIED IDEOGRAPH-6F22⟩"),
        ("a\x07b", "a⟨U+0007⟩b"),
        ("a\ud800b", "a⟨U+D800⟩b"),
        ("abc\u202edef", "abc⟨U+202E RIGHT-TO-LEFT OVERRIDE⟩def"),
        ("a\ufeffb", "a⟨U+FEFF ZERO WIDTH NO-BREAK SPACE⟩b"),
        ("a\U000e0041b", "a⟨U+E0041 TAG LATIN CAPITAL LETTER A⟩b"),
        (HEBREW, HEBREW),
    ],
)
def test_what_the_font_has_no_letter_for_is_named(text, expected):
    assert in_font(text) == expected


def test_a_page_shows_what_a_browser_can_and_names_what_hides_or_turns_a_line():
    assert visible("🧪 漢字 " + HEBREW) == "🧪 漢字 " + HEBREW
    assert visible("a\u202eb\x00") == "a⟨U+202E RIGHT-TO-LEFT OVERRIDE⟩b⟨U+0000⟩"


def test_pieces_of_a_text_are_the_text():
    for text in (*HOSTILE.values(), "a " * 50, ""):
        assert "".join(pieces(text, 16)) == text
    assert max(map(len, pieces(LONG, 16))) == 16
    assert pieces("e\u0301" * 20, 3)[1].startswith("e")  # no accent is torn off


def test_widths_are_those_of_the_font():
    """DejaVu Sans has an m of 1995 of 2048 units (its table hmtx), set 2 % wider."""
    assert width("mm", 10.0) == pytest.approx(1.02 * 2 * 10 * 1995 / 2048)
    assert width("m", 10.0, bold=True) > width("m", 10.0)


# --- PDF ----------------------------------------------------------------------------------------------------------------


def test_the_pdf_says_and_keeps_both_standards():
    """PDF/A-3a (ISO 19005-3) and PDF/UA-1 (ISO 14289-1) are named in its metadata, and tags, title and language are there."""
    raw = typeset.pdf(document())
    pdf, xmp = read(raw), read(raw).trailer["/Root"]["/Metadata"].get_data().decode()
    assert "<pdfaid:part>3</pdfaid:part>" in xmp and "<pdfaid:conformance>A</pdfaid:conformance>" in xmp
    assert "<pdfuaid:part>1</pdfuaid:part>" in xmp
    root = pdf.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] and root["/Lang"] == "en"
    assert pdf.metadata.title == "Appendix of an invented paste"
    assert pdf.metadata.creation_date.isoformat() == "2026-01-02T03:04:05+00:00"


def tags(raw):
    """Return the kinds of all elements of the structure of a PDF."""
    found, todo = [], [read(raw).trailer["/Root"]["/StructTreeRoot"]]
    while todo:
        one = todo.pop().get_object()
        if isinstance(one, dict):
            found.append(one.get("/S"))
            kids = one.get("/K", [])
            kids = kids if isinstance(kids, list) else [kids]
            todo += [kid for kid in kids if not isinstance(kid, int)]
    return found


def test_headings_tables_and_figures_are_tagged():
    found = tags(typeset.pdf(document()))
    assert {"/H1", "/H2", "/Table", "/THead", "/TH", "/TR", "/TD", "/Figure", "/Caption", "/L", "/TOC"} <= set(found)


def test_the_standards_are_enforced_by_the_typesetter(monkeypatch):
    """A letter that the font lacks, and a picture without words, are refused: not by us, by the typesetter."""
    monkeypatch.setattr(typeset, "in_font", lambda text: text)
    with pytest.raises(
        rheokit.DataError, match=r"^the PDF of the appendix could not be made: .*could not be displayed with font"
    ):
        typeset.pdf(document(Paragraph("🧪")))
    bare = typeset.PAGE.read_text("utf-8").replace("alt: block.words, ", "")
    assert bare != typeset.PAGE.read_text("utf-8")
    described = {"main.typ": bare.encode()}
    monkeypatch.undo()
    monkeypatch.setattr(typeset, "_compiled", lambda files, at, _real=typeset._compiled: _real(files | described, at))
    with pytest.raises(rheokit.DataError, match="alt"):
        typeset.pdf(document())


def test_every_font_of_the_pdf_is_embedded_and_ours():
    fonts = {}
    for one in read(typeset.pdf(document(*document().sections[0].blocks, hostile()))).pages:
        fonts |= {
            font.get_object()["/BaseFont"]: font.get_object() for font in one["/Resources"].get("/Font", {}).values()
        }
    assert {name.split("+")[1] for name in fonts} == {"DejaVuSans", "DejaVuSans-Bold", "DejaVuSansMono"}
    for font in fonts.values():
        assert "/FontFile2" in font["/DescendantFonts"][0]["/FontDescriptor"]


def test_hostile_text_is_text_in_the_pdf():
    raw = typeset.pdf(document(hostile(), Paragraph(MARKUP), Caution(MARKUP), Listing(MARKUP, MARKUP), title=MARKUP))
    shown = words_of(raw)
    assert shown.count(re.sub(r"\s+", "", MARKUP)) >= 6
    assert "⟨U+1F9EATESTTUBE⟩" in shown and "abc⟨U+202ERIGHT-TO-LEFTOVERRIDE⟩def" in shown
    lines = re.findall(
        "x{20,}", words_of(typeset.pdf(document(Paragraph(LONG))))
    )  # a run a page: nothing is put between
    assert len(lines) == 3 and sum(map(len, lines)) == len(LONG)
    assert "are named: ⟨U+0000⟩, ⟨U+0007⟩" in re.sub(r"\s+", " ", read(raw).pages[0].extract_text())


def test_a_listing_shows_every_letter_that_the_other_text_shows():
    """The letters of a listing are those of a typewriter, which has fewer; the others come from the font of the text."""
    rare = f"{HEBREW} ⟨⟩ ℵ ∯ ⠿ {chr(0x1D4D0)} 🧪"
    shown = words_of(typeset.pdf(document(Listing(rare, rare), Paragraph(rare))))
    assert shown.count("ℵ∯⠿") == 3


def test_the_pdf_says_nothing_of_named_letters_where_there_are_none():
    plain = Figure("curve", "A line.", SVG.replace("🧪", "").replace("&#x6f22;", ""), "It rises.")
    assert "has no letter for" not in read(typeset.pdf(document(plain))).pages[0].extract_text()


def test_the_letters_of_a_picture_are_those_of_the_font():
    assert "stressatthewall<b>⟨U+1F9EATESTTUBE⟩⟨U+6F22" in words_of(typeset.pdf(document(document().figures[0])))


def test_what_is_attached_comes_out_of_the_pdf_as_it_was():
    assert dict(read(typeset.pdf(document())).attachments) == {"workbook/bench.toml": [b"a = 1\n"]}


@pytest.mark.parametrize("raw", [b"", bytes(range(256)), b"\xff\xd8\xff\xe0", "größe".encode("latin-1")])
def test_any_bytes_are_attached_as_they_are(raw):
    one = Attached("workbook/photo", raw, "application/octet-stream", "a file")
    assert read(typeset.pdf(replace(document(), attached=(one,)))).attachments["workbook/photo"] == [raw]


def test_the_same_document_is_the_same_bytes():
    whole = document(*document().sections[0].blocks, hostile())
    assert typeset.pdf(whole) == typeset.pdf(whole)
    assert page.html(whole) == page.html(whole)
    assert tables.as_xlsx(whole) == tables.as_xlsx(whole)
    assert typeset.pdf(whole) != typeset.pdf(document(*document().sections[0].blocks, hostile(), date="2026-01-03"))


def test_a_long_table_repeats_its_headings_on_every_page():
    pdf = read(typeset.pdf(document(table(rows=150))))
    pages = [one.extract_text() for one in pdf.pages]
    with_rows = [text for text in pages if "row " in text]
    assert len(with_rows) >= 3
    assert all("parameter" in text for text in with_rows)


def ends(raw):
    """Return width [pt] of each page, with where its texts begin and end."""
    for one in read(raw).pages:
        found = []

        def note(text, current, own, _font, size, found=found):
            if line := text.strip("\n"):
                begin = own[4] * current[0] + own[5] * current[2] + current[4]
                found.append((begin, begin + width(line, size * abs(own[0] * current[0])) / 1.02))

        one.extract_text(visitor_text=note)
        yield float(one.mediabox.width), found


@pytest.mark.parametrize(("columns", "sideways"), [(6, False), (14, True), (40, False)])
def test_no_table_is_cut_off(columns, sideways):
    """Wide ones lie on their side, those that are wider still come in parts, each with the names of its rows."""
    wide = table(rows=4, columns=columns)
    raw = typeset.pdf(document(wide))
    assert any(of_page > 800 for of_page, _ in ends(raw)) is sideways
    for of_page, places in ends(raw):
        assert all(50 < begin < end < of_page - 50 for begin, end in places)
    shown = words_of(raw)
    assert all(f"column{k}[Pa]" in shown for k in range(1, columns))


def test_no_heading_stands_apart_from_a_table_on_its_side():
    """Neither its own nor those above it, which say nothing themselves."""
    wide = Section("Innermost", (table(rows=4, columns=14),))
    outer = Section("Outermost", (), (Section("Between", (), (wide, Section("Second within", (Paragraph("text"),)))),))
    raw = typeset.pdf(replace(document(), sections=(Section("Before", (Paragraph("text"),)), outer, Section("After"))))
    flipped = [one.extract_text() for one in read(raw).pages if one.mediabox.width > 800]
    assert len(flipped) == 1 and all(one in flipped[0] for one in ("Outermost", "Between", "Innermost"))
    whole = "".join(one.extract_text() for one in read(raw).pages)
    found = [
        whole.rindex(one) for one in ("2 Outermost", "2.1 Between", "2.1.1 Innermost", "2.1.2 Second within", "3 After")
    ]
    assert found == sorted(found)


def test_columns_are_as_wide_as_they_need_and_fill_the_page_at_most():
    for columns in (1, 3, 8, 12, 30):
        for words in ("5.2", "some words", "a sentence that goes on for quite a while, and on"):
            rows = [[f"{words} {k}" for k in range(columns)]] * 3
            how = setting(tuple(f"heading {k}" for k in range(columns)), rows, True)
            room = ON_ITS_SIDE if how.on_its_side else UPRIGHT
            assert sorted({k for part in how.parts for k in part.columns}) == list(range(columns))
            for part in how.parts:
                assert sum(part.widths) <= room + 1e-6
                assert all(
                    wide > max(width(one, how.size) for one in pieces(words, 16)[0].split()) for wide in part.widths
                )


def test_a_table_is_turned_only_where_small_letters_do_not_fit_and_sentences_get_the_room_before_headings():
    numbers = [[f"row {k}", *["+0.66"] * 14] for k in range(3)]
    assert not setting(("parameter", *(f"({k})" for k in range(1, 15))), numbers, True).on_its_side
    prose = "a sentence that goes on for quite a while, and on, and on, and on"
    how = setting(("what it means", "share of variance [%]", "note"), [[prose, "81", prose]] * 3, True)
    (first, number, _) = how.parts[0].widths
    assert first > 2.5 * number


def test_a_column_that_makes_many_rows_tall_gets_more_room_than_one_with_a_single_long_cell():
    prose = "a sentence that goes on for quite a while, and on, and on, and on, and on, and on, and on"
    rows = [[prose, str(k), prose if k == 0 else "stated"] for k in range(10)]
    (first, _, last) = setting(("input", "value", "from"), rows, True).parts[0].widths
    assert first > 1.3 * last


# --- page ---------------------------------------------------------------------------------------------------------------


def test_the_page_asks_for_nothing_and_runs_nothing():
    text = page.html(document(hostile(), *document().figures, *document().sections[0].blocks[:5]))
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', text).group(1)
    style = re.search(r"<style>(.*?)</style>", text, re.S).group(1)
    digest = base64.b64encode(sha256(style.encode()).digest()).decode()
    assert (
        policy == f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; base-uri 'none'; form-action 'none'"
    )
    assert not re.findall(r"<(script|link|iframe|object|embed|form|base)\b", text)
    assert not re.findall(r"\s(?:on\w+|style)=", re.sub(r">[^<]*<", "><", text))
    assert {one.partition(":")[0] for one in re.findall(r'(?:src|href)="([^"#][^"]*)"', text)} == {"data"}
    assert "url(" not in style and "@import" not in style


def test_hostile_text_is_text_on_the_page():
    text = page.html(document(hostile(), Paragraph(MARKUP), Caution(MARKUP), Listing(MARKUP, MARKUP), title=MARKUP))
    assert "<b>" not in text and "<label>" not in text
    shown = html.unescape(re.sub(r"<[^>]+>", "", text))
    assert shown.count(MARKUP) >= 7
    assert "{{ 7 * 7 }}" in shown and "🧪 漢字" in shown and HEBREW in shown and LONG in shown
    assert text.isprintable() or {one for one in text if not one.isprintable()} == {"\n", "\t"}


def test_tables_of_the_page_name_their_columns_and_rows():
    text = page.html(document(table()))
    assert '<th scope="col">parameter</th>' in text and '<th scope="row" dir="auto">row 0</th>' in text
    assert re.search(
        r'<p class="caption" id="table-1">.*?</p>\s*<div class="wide" role="region" tabindex="0" aria-labelledby="table-1">\s*<table aria-labelledby="table-1">',
        text,
    )
    assert '<td class="number">0.333</td>' in text


def test_the_page_and_the_pdf_number_alike():
    two = document(table("a"), *document().figures, table("b"), *document().figures)
    captions = [one.strip(".") for one in re.findall(r"<strong>((?:Table|Figure) \d)\.</strong>", page.html(two))]
    assert captions == ["Table 1", "Figure 1", "Table 2", "Figure 2"]
    shown = words_of(typeset.pdf(two))
    places = [shown.index(re.sub(" ", "", f"{one}.")) for one in captions]
    assert places == sorted(places)


# --- files of tables ----------------------------------------------------------------------------------------------------


def rows_of(raw):
    return list(csv.reader(io.StringIO(raw.decode(), newline="")))


def test_csv_keeps_twelve_digits():
    rows = rows_of(tables.as_csv(table()))
    assert rows[0] == ["parameter", "column 1 [Pa]", "column 2 [Pa]"]
    assert rows[2][1:] == ["1.33333333333", "1.66666666667"]


def unguarded(text):
    return text[1:] if text.startswith("'") else text


def test_csv_holds_text_that_no_spreadsheet_runs_and_from_which_it_is_got_back():
    rows = dict(rows_of(tables.as_csv(hostile()))[1:])
    assert all(not one.startswith(("=", "+", "@", "\t", "\r")) for one in rows.values())
    assert rows["formula"] == f"'{HOSTILE['formula']}" and rows["minus"] == "'-2+3" and rows["hyphen"] == "-"
    back = {name: unguarded(text) for name, text in rows.items()}
    assert back == HOSTILE | {"half": "a⟨U+D800⟩b"}


def test_negative_numbers_are_numbers_and_what_is_no_number_is_its_text():
    odd = Table(
        "odd",
        "c",
        ("a", "b"),
        (("x", Shown(-2.5, "-2.5")), ("y", Shown(math.nan, "not identified")), ("z", Shown(math.inf, "no limit"))),
    )
    assert rows_of(tables.as_csv(odd))[1:] == [["x", "-2.5"], ["y", "not identified"], ["z", "no limit"]]
    sheet = openpyxl.load_workbook(io.BytesIO(tables.as_xlsx(document(odd))))["odd"]
    assert [sheet.cell(row, 2).value for row in (2, 3, 4)] == [-2.5, "not identified", "no limit"]


def test_xlsx_holds_text_as_text_and_numbers_as_numbers():
    book = openpyxl.load_workbook(io.BytesIO(tables.as_xlsx(document(hostile(), table()))))
    assert book.sheetnames == ["contents", "names", "numbers"]
    texts = {row[0].value: row[1] for row in list(book["names"].rows)[1:]}
    assert all(cell.data_type == "s" for cell in texts.values())
    expected = HOSTILE | {name: visible(HOSTILE[name]) for name in ("control", "half", "override", "return")}
    assert {name: cell.value for name, cell in texts.items()} == expected
    assert texts["formula"].quotePrefix and not texts["emoji"].quotePrefix
    assert book["numbers"]["B3"].value == pytest.approx(1 + THIRD, rel=1e-11) and book["numbers"]["B3"].data_type == "n"


def test_names_of_sheets_are_those_that_a_spreadsheet_takes():
    names = ("a/b:c*d?[e]\\", "A/B:C*D?[E]\\", "x" * 50, "x" * 40, "contents", "", "🧪", "'quoted'")
    book = openpyxl.load_workbook(io.BytesIO(tables.as_xlsx(document(*map(table, names)))))
    titles = book.sheetnames
    assert len({one.lower() for one in titles}) == len(names) + 1
    assert all(0 < len(one) <= 31 and not re.search(r"[\[\]:*?/\\']", one) for one in titles)


def test_what_a_cell_has_no_room_for_is_said_to_be_cut():
    """32767 characters is the most that a cell of XLSX holds (ECMA-376, 18.3.1.96 and the limits that its makers print; from memory)."""
    long = Table("long", "c", ("a",), (("y" * 40_000,),))
    with warnings.catch_warnings(action="error"):
        cell = openpyxl.load_workbook(io.BytesIO(tables.as_xlsx(document(long))))["long"]["A2"].value
    assert len(cell) == 32767 and cell.endswith("… (cut: 40000 characters; the CSV holds all)")
    assert rows_of(tables.as_csv(long))[1] == ["y" * 40_000]


def test_an_xlsx_tells_no_time_but_that_of_the_document():
    raw = tables.as_xlsx(document(table()))
    with zipfile.ZipFile(io.BytesIO(raw)) as held:
        assert {one.date_time for one in held.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        core = held.read("docProps/core.xml").decode()
    assert re.findall(r">([\dT:Z-]+)</dcterms", core) == ["2026-01-02T03:04:05Z"] * 2


def test_sections_within_sections_are_numbered():
    nested = document(Paragraph("a"))
    assert isinstance(nested.sections[0], Section)
    text = page.html(nested)
    assert '<h2 id="s1">1 ' in text and '<h3 id="s1.1">1.1 ' in text and 'href="#s1.1"' in text


# --- LaTeX --------------------------------------------------------------------------------------------------------------


def unescaped(text):
    """Return what LaTeX shows of an escaped text."""
    for one in sorted(ESCAPED.values(), key=len, reverse=True):
        text = text.replace(one, f"\0{ord(next(k for k, v in ESCAPED.items() if v == one))}\0")
    text = text.replace(r"\allowbreak{}", "")
    assert not re.search(r"[\\{}$&#_%~^`'\"\[\]]", text)  # nothing is left that LaTeX would run
    return re.sub("\0([0-9]+)\0", lambda found: chr(int(found.group(1))), text)


@pytest.mark.parametrize("name", HOSTILE)
def test_latex_shows_a_text_letter_by_letter(name):
    """The ten letters that LaTeX keeps for itself: \\ { } $ & # _ % ~ ^ (common practice, no source); the others join to ligatures or begin options."""
    assert unescaped(latex(HOSTILE[name])) == " ".join(in_font(HOSTILE[name]).split())


def test_a_table_in_latex_has_its_caption_headings_rows_and_note():
    one = Table(
        "n 1", "Stress & rate", ("what", "τ [Pa]"), (("[a]", Shown(THIRD, "0.333")), ("word " * 20, "-")), note="50 %"
    )
    lines = as_latex(one).decode().splitlines()
    assert lines[0].startswith("% rheokit ")
    assert lines[1] == r"\begingroup\fontsize{8.5}{10.2}\selectfont\setlength{\tabcolsep}{4.5pt}"
    sides = re.findall(r"\\(raggedright|raggedleft)\\arraybackslash}p{0\.[0-9]{3}\\linewidth}", lines[2])
    assert sides == ["raggedright", "raggedleft"]
    assert lines[3:5] == [r"\caption{Stress \& rate}\label{tab:n-1}\\", r"\toprule"]
    assert lines[5] == r"\textbf{what} & \textbf{τ {[}Pa{]}} \\"
    assert lines[-5:-2] == [r"{[}a{]} & 0.333 \\", f"{'word ' * 20}".strip() + r" & {-} \\", r"\end{longtable}"]
    assert lines[-2:] == [r"\noindent 50 \%\par", r"\endgroup"]


def test_a_wide_table_in_latex_lies_on_its_side_or_in_parts_as_in_the_pdf():
    cells = tuple("letters of a word " * 2 + str(k) for k in range(40))
    for count in (10, 40):
        one = Table("wide", "Wide", cells[:count], (cells[:count],))
        how = setting(one.columns, [list(one.columns)], True)
        said = as_latex(one).decode()
        assert ("{landscape}" in said) == how.on_its_side
        assert said.count(r"\begin{longtable}") == len(how.parts)
        assert said.count(r"\caption") == 1
        assert all(said.count(latex(cell) + " ") >= 1 for cell in one.columns)
    assert len(how.parts) > 1


# --- pictures -----------------------------------------------------------------------------------------------------------


def test_lines_below_a_title_fit_the_letters_of_the_pdf():
    line = "FAILED 1 of 23 checks: Check whether a diameter was entered as a radius, or WWWWWWWW as a MMMMMMMM of it"
    spec = {
        "title": {"text": "t", "subtitle": [line, "short"]},
        "config": {"title": {"subtitleFontSize": 14, "subtitleFontWeight": "bold"}},
    }
    assert width(line, 14, bold=True) > WIDTH
    *broken, last = within(spec)["title"]["subtitle"]
    assert last == "short" and " ".join(broken) == line
    assert all(width(one, 14, bold=True) < WIDTH for one in broken)
    assert within({"title": "plain"}) == {"title": "plain"}


def test_lines_fit_a_picture_that_is_narrower_than_most():
    """A picture 600 wide cut the e of "Fit one" off, since its lines were measured against 640."""
    line = "branch lie apart, so that the stress depends on which is meant. Fit one"
    look = {"title": {"subtitleFontSize": TEXT, "subtitleFontWeight": "bold"}}
    spec = {"width": 600, "title": {"text": "t", "subtitle": [line]}, "config": look}
    assert width(line, TEXT, bold=True) > 600
    broken = within(spec)["title"]["subtitle"]
    assert " ".join(broken) == line and all(width(one, TEXT, bold=True) < 600 - 10 for one in broken)


def test_a_line_that_the_chart_broke_is_broken_once():
    caveat = "7 of 23 checks failed: not to be used. Likeliest cause: tests of one paste contradict each other. Look for slip, drainage or a wrong unit."
    spec = {
        "title": {"text": "t", "subtitle": below_title([Caveat(caveat), "barley paste"], WIDTH)},
        "config": {"title": {"subtitleFontSize": TEXT, "subtitleFontWeight": "bold"}},
    }
    *broken, last = within(spec)["title"]["subtitle"]
    assert last == "barley paste" and " ".join(broken) == caveat
    assert min(map(len, broken[:-1])) > 50, "a word stands alone on a line"
