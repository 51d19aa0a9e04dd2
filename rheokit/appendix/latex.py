r"""The tables of an appendix as LaTeX, each a file of its own to be put into a thesis by \input: longtable and booktabs, numbers as they are read.

Text is text: what LaTeX would run or turn into another letter is escaped. A letter that the font of the PDF lacks is named, as
there; a word that is too long for a cell may end a line.
"""

import re

from ..release import version_line
from .columns import LONGEST, ON_ITS_SIDE, PADDING, UPRIGHT, setting
from .document import Shown, Table
from .letters import in_font, pieces

NEEDS = r"\usepackage{longtable, booktabs, array, pdflscape, fontspec}, and a font that has these letters, such as DejaVu Sans"
ESCAPED = {
    "\\": r"\textbackslash{}",
    "~": r"\textasciitilde{}",
    "^": r"\textasciicircum{}",
    "`": r"\textasciigrave{}",
    "'": r"\textquotesingle{}",
    '"': r"\textquotedbl{}",
    **{one: f"\\{one}" for one in "{}$&#_%"},
    **{one: f"{{{one}}}" for one in "[]*-<>,?!"},  # which LaTeX takes for options, or joins to other letters
}
_ESCAPED = str.maketrans(ESCAPED)


def as_latex(table: Table) -> bytes:
    """Return a table as LaTeX (UTF-8), for XeLaTeX or LuaLaTeX, its columns as in the PDF.

    A longtable with its caption, headings repeated on each page, and its note below; in parts, or on its side, where it is wide.
    """
    rows = [[in_font(str(one)) for one in row] for row in table.rows]
    found = setting(tuple(map(in_font, table.columns)), rows, table.row_names)
    lines = [
        f"% {version_line()}; for XeLaTeX or LuaLaTeX with {NEEDS}",
        *([r"\begin{landscape}"] if found.on_its_side else []),
        rf"\begingroup\fontsize{{{found.size}}}{{{1.2 * found.size:.1f}}}\selectfont\setlength{{\tabcolsep}}{{{PADDING / 2}pt}}",
    ]
    for number, part in enumerate(found.parts):
        caption = rf"\caption{{{latex(table.caption)}}}\label{{tab:{_label(table.name)}}}\\"
        lines += _longtable(table, part, ON_ITS_SIDE if found.on_its_side else UPRIGHT, caption if number == 0 else "")
    if table.note:
        lines += [rf"\noindent {latex(table.note)}\par"]
    lines += [r"\endgroup", *([r"\end{landscape}"] if found.on_its_side else [])]
    return ("\n".join(lines) + "\n").encode()


def _longtable(table, part, room, caption):
    """Return the lines of some columns of a table, each as wide as its share of the room."""
    columns = "".join(
        rf">{{\{_side(table, k)}\arraybackslash}}p{{{(width - PADDING) / room:.3f}\linewidth}}"
        for k, width in zip(part.columns, part.widths, strict=True)
    )
    head = _row(rf"\textbf{{{latex(table.columns[k])}}}" for k in part.columns)
    return (
        rf"\begin{{longtable}}{{{columns}}}",
        *([caption] if caption else []),
        *(r"\toprule", head, r"\midrule", r"\endfirsthead"),
        *(r"\toprule", head, r"\midrule", r"\endhead"),
        *(r"\bottomrule", r"\endlastfoot"),
        *(_row(latex(str(row[k])) for k in part.columns) for row in table.rows),
        r"\end{longtable}",
    )


def _side(table, column):
    return "raggedleft" if any(isinstance(row[column], Shown) for row in table.rows) else "raggedright"


def latex(text: str) -> str:
    r"""Return a text as LaTeX that shows it letter by letter.

    >>> latex("50 % of [a_1]")
    '50 \\% of {[}a\\_1{]}'
    """
    words = " ".join(in_font(text).split())
    return r"\allowbreak{}".join(one.translate(_ESCAPED) for one in pieces(words, LONGEST))


def _row(cells):
    return f"{' & '.join(cells)} \\\\"


def _label(name):
    """Return a name as a label takes it."""
    return "-".join(re.findall("[A-Za-z0-9]+", name)) or "unnamed"
