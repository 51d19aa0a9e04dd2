"""A name that somebody gives a paste, a batch, an apparatus or a test is text: all that is text may stand in it, and it is shown as text."""

import json
import re
import shutil
import warnings
from pathlib import Path

import ipywidgets as W
import pytest

import rheokit as rk
from rheokit.reading.faults import name_fault, shown

ROOT = Path(rk.__file__).parents[1]
IMAGE = "<img src=x onerror=alert(1)>"
NAMES = {
    "joined emoji": "👩\u200d🔬 paste",
    "family": "👨\u200d👩\u200d👧\u200d👦",
    "Persian": "می\u200cخ",
    "less than": "u < 0.5, τ > 3",
    "markup": IMAGE,
    "end of script": "</script><script>alert(1)</script>",
    "quotes": "\"q\" 'q' `q` ''' \\",
    "Hebrew": "שלום \u200f(1)",
    "no-break space": "batch\u00a05\u202fmm",
    "formula": "=cmd|' /C calc'!A0 $x^2$ {{ 7 }} #let",
}
REFUSED = {
    "line break": "a\nb",
    "return": "a\rb",
    "tab": "a\tb",
    "escape": "a\x1b[31m",
    "zero": "a\0",
    "next line": "a\x85b",
    "line separator": "a\u2028b",
    "paragraph separator": "a\u2029b",
    "half": "a\ud800",
    "override": "a\u202eb",
    "isolate": "a\u2066b",
}  # the classes of control characters and breaks of the Unicode Standard (Cc, Cs, Zl, Zp), and its explicit directional marks (UAX 9, table 4)


@pytest.mark.parametrize("name", NAMES)
def test_text_may_stand_in_a_name(name):
    assert name_fault(NAMES[name]) == ""


@pytest.mark.parametrize("name", REFUSED)
def test_what_breaks_a_line_or_steers_a_page_may_not(name):
    said = name_fault(REFUSED[name])
    assert said.endswith("holds a line break or a control character; take it out") and said.isprintable()


def test_a_joined_emoji_stays_one_in_a_message():
    assert shown("👩\u200d🔬\u202e") == "'👩\u200d🔬\\u202e'"


def named(folder, name):
    """Return a folder of a bench whose paste, batch, apparatus and test have a name."""
    shutil.copytree(ROOT / "data" / "kitchen", folder)
    text = (folder / "bench.toml").read_text("utf-8")
    quoted = json.dumps(name, ensure_ascii=False)
    text = text.replace('"soft olive-stone paste"', quoted).replace('batch = "A"', f"batch = {quoted}")
    text = text.replace('label = "needle"', f"label = {quoted}")
    text = text.replace("[apparatus.syringe]", f"[apparatus.{quoted}]").replace(
        'apparatus = "syringe"', f"apparatus = {quoted}"
    )
    (folder / "bench.toml").write_text(text, "utf-8")
    return folder


@pytest.mark.parametrize("name", NAMES)
def test_a_bench_of_such_names_reads_and_is_shown_as_text(tmp_path, name):
    bench = rk.read_bench(named(tmp_path / "paste", NAMES[name]))
    assert bench.specimen.paste == bench.specimen.batch == NAMES[name]
    assert any(test.label == NAMES[name] for test in bench.tests)
    page = bench._repr_html_() + "".join(test._repr_html_() for test in bench.tests)
    assert not re.search("<(img|/?script)", page)
    rk.write_bench(bench, tmp_path / "written")
    again = rk.read_bench(tmp_path / "written")
    assert again.specimen.paste == again.specimen.batch == NAMES[name]
    assert [test.label for test in again.tests] == [test.label for test in bench.tests]


def html_of(widget, seen):
    """Give every text of a page that is read as HTML."""
    if id(widget) in seen:
        return
    seen.add(id(widget))
    if isinstance(widget, W.HTML | W.HTMLMath):
        yield widget.value
    if getattr(widget, "description_allow_html", False):
        yield widget.description
    for child in getattr(widget, "children", ()):
        yield from html_of(child, seen)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["markup", "end of script", "joined emoji"])
def test_a_page_of_such_names_shows_them_as_text(tmp_path, name):
    folder = named(tmp_path / "paste", NAMES[name])
    with warnings.catch_warnings(action="ignore"):
        book = rk.Workbook.open(folder)
        held = [*html_of(rk.widgets.FitPage(folder), set()), *html_of(rk.widgets.NozzlePage(folder), set())]
        held += [book.fit._repr_html_(), book.material._repr_html_()]
    assert any(NAMES[name].replace("<", "&lt;").replace(">", "&gt;") in one for one in held)
    assert not [one for one in held if re.search("<(img|/?script)", one)]


@pytest.mark.slow
def test_an_appendix_of_such_names_holds_them_as_text(tmp_path):
    """In page, PDF, CSV and XLSX; the joined emoji, which the font of the PDF has not, by name."""
    import io

    import openpyxl
    import pypdf

    from rheokit.appendix import verifying, writing

    folder = named(tmp_path / "paste", f"{NAMES['joined emoji']} {IMAGE} u<1")
    told = writing.write(folder)
    page = (told.folder / "appendix.html").read_text("utf-8")
    assert "<img src=x" not in page and "👩\u200d🔬 paste &lt;img src=x onerror=alert(1)&gt; u&lt;1" in page
    cells = "".join(one.read_text("utf-8") for one in (told.folder / "tables").iterdir())
    assert f"👩\u200d🔬 paste {IMAGE} u<1" in cells
    book = openpyxl.load_workbook(io.BytesIO((told.folder / "tables.xlsx").read_bytes()))
    held = [str(cell.value) for sheet in book for row in sheet.iter_rows() for cell in row]
    assert any(f"👩\u200d🔬 paste {IMAGE} u<1" in one for one in held)
    text = "".join("".join(one.extract_text().split()) for one in pypdf.PdfReader(told.folder / "appendix.pdf").pages)
    assert "<imgsrc=xonerror=alert(1)>u<1" in text and "U+1F469WOMAN" in text
    assert verifying.verify(told.folder / "appendix.pdf").changed == ()


# --- letters that break a line elsewhere, and none in TOML -------------------------------------------------------------------

ENDS = "a\u2028import os\u2029print(1)\x85b"


def test_a_bench_and_a_plan_with_such_letters_are_read_and_written(tmp_path):
    """TOML 1.0.0: a line ends with LF or CRLF alone; U+0085, U+2028 and U+2029 are letters of texts and comments."""
    folder = tmp_path / "paste"
    shutil.copytree(ROOT / "data" / "kitchen", folder)
    text = (
        (folder / "bench.toml")
        .read_text("utf-8")
        .replace('note = "', f'note = "{ENDS}')
        .replace("# 20 mL", f"# {ENDS}")
    )
    (folder / "bench.toml").write_text(text, "utf-8")
    plan = (folder / "plan.toml").read_text("utf-8").replace("invented: for", f"invented: {ENDS}") + f"# {ENDS}\n"
    (folder / "plan.toml").write_text(plan, "utf-8")
    book = rk.Workbook.open(folder)
    assert book.bench.specimen.note.startswith(ENDS) and ENDS in book.plan.text("job", "origin")
    compile(book.script(), "script", "exec")
    assert not [line for line in book.script().split("\n") if line.startswith("import os")]
    rk.write_bench(book.bench, folder)
    assert rk.read_bench(folder).specimen.note == book.bench.specimen.note
    (folder / "cup.csv").write_text(f"# {ENDS}\n" + (folder / "cup.csv").read_text("utf-8"), "utf-8")
    with pytest.raises(rk.DataError, match=r"cup\.csv.*holds a control character \(0x2028\) in row 1"):
        rk.read_bench(folder)


def test_such_letters_are_named_in_an_appendix():
    from rheokit.appendix.letters import visible

    assert visible("a\u2028b\x85") == "a⟨U+2028 LINE SEPARATOR⟩b⟨U+0085⟩"
