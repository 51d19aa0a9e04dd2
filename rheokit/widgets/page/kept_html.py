"""What stays in a notebook of a page that is gone: pictures, tables and words as HTML that needs no kernel, no script and no network.

A picture is an ``<img>`` of its own SVG: it shows in a notebook that is not trusted, where scripts, styles and SVG are taken out.
"""

from base64 import b64encode
from collections.abc import Iterable, Sequence
from datetime import datetime

from ...nomenclature import number
from ...reading.keeping import Kept
from ...release import version_line
from .elements import escape, table_row

KEPT, LAST = "rheokit-kept", "rheokit-last"
MOST_ROWS = 24  # of the numbers of one kind of mark that are shown; the file has all
INPUT_HEADS = ("made with", "value", "95 % interval", "where it comes from")

HIDDEN_STYLE = f"""<style>
.jp-OutputArea:has(.rheokit-page) .jp-OutputArea-child:has(.{LAST}), .jp-OutputArea-child:has(> * .rheokit-empty) {{ display: none; }}
</style>"""
"""Of a page that lives: it shows its results itself."""

GONE_STYLE = f"""<style>
.jp-OutputArea:has(.{LAST}):not(:has(.rheokit-page)) .jp-OutputArea-child:has(> .jupyter-widgets) {{ display: none; }}
.{KEPT} table, .{LAST} table {{ font-size: 14px; }}
@media print {{
  :is(.{KEPT}, .{LAST}) :is(figure, img, tr, .kept-head) {{ break-inside: avoid; }}
  :is(.{KEPT}, .{LAST}) figcaption {{ break-before: avoid; }}
  :is(.{KEPT}, .{LAST}) details::details-content {{ content-visibility: visible; height: auto; }}
  .jp-OutputArea-output:has(.{KEPT}, .{LAST}) {{ overflow: visible !important; max-height: none !important; }}
}}
</style>"""
"""Of what stays, where a notebook is trusted: no error in place of the page that is gone, and nothing cut on paper."""


def date(when: datetime) -> str:
    """Return a date as it is written in words."""
    return f"{when.day} {when:%B %Y, %H:%M}"


def figure(svg: str, title: str, words: str) -> str:
    """Return a picture with its words."""
    source = b64encode(svg.encode("utf-8", "backslashreplace")).decode()
    told = words if words.startswith(title) else f"{title}. {words}"
    image = f'<img alt="{escape(told)}" style="max-width: 100%" src="data:image/svg+xml;base64,{source}">'
    return f'<figure style="margin: 8px 0">{image}<figcaption>{escape(words)}</figcaption></figure>'


def kept_html(results: Sequence[Kept], place: str) -> str:
    """Return the pictures that were kept, one below the other; `place` is the id of what holds them."""
    inside = "".join(map(_one, results)) or '<span class="rheokit-empty"></span>'
    return f'<div class="{KEPT}" id="{place}">{GONE_STYLE if results else ""}{inside}</div>'


def last_html(when: datetime, answers: Iterable[str], figures: Iterable[str], place: str) -> str:
    """Return the last result of a page: its answers (HTML) and its pictures (of `figure`)."""
    told = (
        f"<p><b>Last result, {date(when)}, by {escape(version_line())}.</b> The page that showed it is not running, and does not answer: choose Run, then Run All "
        "Cells, in the menu of the notebook.</p>"
    )
    inside = "".join(f"<div>{one}</div>" for one in answers) + "".join(figures)
    return f'<div class="{LAST}" id="{place}">{GONE_STYLE}{told}{inside}</div>'


def _one(kept):
    invented = "<p><b>INVENTED numbers, for demonstration.</b></p>" if kept.invented else ""
    by = f"<p>Made by {escape(kept.by)}.</p>" if kept.by else ""
    where = f"; all of them, and the picture, stand in {kept.folder.name}" if kept.folder else ""
    head = f'<div class="kept-head"><h4>{escape(kept.title)}, kept {date(kept.when)}</h4>{by}{invented}</div>'
    tables = [_folded("Numbers of the picture", *_shown(kept, where))]
    if kept.inputs:
        tables.append(_folded("What it was made with", _table(INPUT_HEADS, kept.inputs), ""))
    return f"<section>{head}{figure(kept.svg, kept.title, kept.words)}{''.join(tables)}</section>"


def _shown(kept, where):
    """Return the table of the numbers, of each kind of mark evenly chosen rows, and what it leaves out."""
    shown: list = []
    for kind in dict.fromkeys(row[0] for row in kept.rows):
        rows = [row for row in kept.rows if row[0] == kind]
        step = -(-len(rows) // MOST_ROWS)
        shown += rows[::step]
    left = (
        f"{len(shown)} of {len(kept.rows)} rows, evenly chosen" if len(shown) < len(kept.rows) else f"{len(shown)} rows"
    )
    return _table(kept.heads, [[_cell(one) for one in row] for row in shown]), left + where


def _cell(value):
    if value is None or value == "":
        return ""
    try:
        return number(float(value))
    except (TypeError, ValueError):
        return str(value)


def _folded(title, inside, note):
    note = f"<p>{escape(note)}.</p>" if note else ""
    return f"<details><summary>{title}</summary>{inside}{note}</details>"


def _table(heads, rows):
    below = "".join(table_row(row, "td") for row in rows)
    return f"<table><thead>{table_row(heads, 'th')}</thead><tbody>{below}</tbody></table>"
