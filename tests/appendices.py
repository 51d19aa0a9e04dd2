"""A document of an appendix that holds every kind of block, and what nobody expects in a name."""

from rheokit.appendix.document import (
    Attached,
    Caution,
    Document,
    Equation,
    Figure,
    Listing,
    Paragraph,
    Points,
    Section,
    Shown,
    Table,
)

MARKUP = "<b>bold</b> $x^2$ #let a = 1 *a* _b_ \\emph{x} \\u0041 `raw` @ref <label> \"q\" 'q' &amp; = 5 // c {{ 7 * 7 }} {% x %}"
FORMULA = "=cmd|' /C calc'!A0"
HEBREW = "שלום עולם"
LONG = "x" * 10_000
HOSTILE = {
    "markup": MARKUP,
    "formula": FORMULA,
    "plus": "+1",
    "minus": "-2+3",
    "at": "@SUM(A1)",
    "tab": "\t=1",
    "return": "\r=1",
    "apostrophe": "'=1",
    "hyphen": "-",
    "right to left": f"{HEBREW} 123",
    "override": "abc\u202edef",
    "emoji": "🧪 漢字",
    "control": "a\x07b\x00c\x1b[0m",
    "half": "a\ud800b",
    "lines": "a\nb",
    "long": LONG,
}
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="600" height="200" viewBox="0 0 600 200"><text x="10" y="30" '
    'font-family="sans-serif" font-size="14">stress at the wall &lt;b&gt; 🧪 &#x6f22; &#60;i&#62;</text><path d="M0 200 L600 0" stroke="black"/></svg>'
)
THIRD = 1.0 / 3.0


def table(name="numbers", rows=3, columns=3):
    """Return a table of numbers that need every digit."""
    head = ("parameter", *(f"column {k} [Pa]" for k in range(1, columns)))
    body = tuple(
        (f"row {j}", *(Shown(j + k * THIRD, f"{j + k * THIRD:.3g}") for k in range(1, columns))) for j in range(rows)
    )
    return Table(name, f"Numbers of an invented paste, {rows} rows.", head, body, note="A note.")


def hostile():
    """Return the table of what nobody expects in a name."""
    return Table("names", f"Names: {MARKUP}", ("what", MARKUP), tuple(HOSTILE.items()))


def document(*blocks, date="2026-01-02T03:04:05Z", title="Appendix of an invented paste"):
    """Return a document of one section; of every kind of block where none is given."""
    every = (
        Paragraph("The yield stress τ_y is 5.2 kPa (95 % 4.8 to 5.6 kPa); γ̇ from 10⁻¹ to 10² 1/s."),
        Points(("the first", "the second")),
        Caution("A medical syringe is no pressure vessel. Follow your local rules."),
        Equation("τ = τ_y + K γ̇ⁿ", "stress is yield stress plus consistency times rate to the flow index", "a source"),
        Listing("python -m rheokit appendix my-paste\n    indented", "Command"),
        table(),
        Figure("curve", "A line that rises.", SVG, "It rises from 0 to 1 Pa."),
    )
    inner = Section("Within", (Paragraph("Deeper."),))
    attached = (Attached("workbook/bench.toml", b"a = 1\n", "application/toml", "the bench"),)
    return Document(title, ("Invented.",), date, (Section("First", blocks or every, (inner,)),), attached)
