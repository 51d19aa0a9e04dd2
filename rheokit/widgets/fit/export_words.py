"""What the page says of the file of an instrument that is read into a bench folder."""

import re

from ..page.elements import details, paragraph, table

ABOUT_EXPORTS = (
    "A file as the instrument wrote it: text or workbook, in any language, with lines above its headers, with columns that nobody "
    "needs. What is understood of it is shown, and you confirm it."
)
EXPORT_FILE, EXPORT_SUCH = "file of the instrument", "its path; press Enter"
SHEET, OPTIONAL = "sheet of a workbook", "optional"
MORE_QUANTITIES = "more quantities: time, temperature, stroke, run, uncertainty ..."
WHICH_COLUMN, ROWS_TO_READ = "Which column is which:", "Which rows count, and what else there is to say:"
ROW_FIELDS = {
    "rows": ("rows, numbered as in the file", "all, or such as 12-45, 50"),
    "runs": ("runs", "all, or such as 1, 3"),
}
BRANCH, BOTH = "branch of each run", "up and down"
BESIDE = {"uncertainty": "uncertainty of a reading", "label": "name of this test"}
INTO, INTO_SUCH = "bench folder to write it into", "new, empty, or that of a bench, such as ../data/my-paste"
WRITE_DOWN = "Write it down and open the folder"
NO_TARGET_FOR_EXPORT = "Name a bench folder to write it into: a new or an empty one, or one that holds a bench."
COLUMNS_HEAD = ["column", "header", "unit", "taken as", "because"]
RUNS_HEAD = ["run", "way", "rows of the file", "settings"]
MOST_RUNS = 12  # that are shown
FOLDER_WORDS = (
    (r"^bench\.toml, \[\[test\]\] 1(: |, )", ""),
    (r" in its apparatus\b", ""),
    (r" in \[specimen\]", ""),
    (r"name it in columns\b", "choose it among the columns"),
    (r"write it behind the words in columns, such as .*", "type it in the field for the unit of this column"),
)
"""What a fault of a folder says of its bench.toml, and what is said of it on a page that has fields instead."""


def column_of(one):
    """Return a column of an export in words: its number, header and unit."""
    return f"{one.number}: {one.header}" + (f" [{one.unit}]" if one.unit and f"[{one.unit}]" not in one.header else "")


def unit_of(key):
    """Return what is asked for where a header has no unit."""
    return f"unit of {key.replace('_', ' ')}, which its header does not say"


def understood(found):
    """Return what a `Proposal` understood of a file, as HTML."""
    said, *_ = found.lines()
    heads = f"Headers stand in row {found.header_row}" if found.header_row else ""
    units = f", units in row {found.unit_row}" if found.unit_row else ""
    said = [f"{said}.", f"{heads}{units}. {found.count} rows of readings." if heads else ""]
    rows = [
        [one.number, one.header, one.unit or "none found", one.quantity.replace("_", " ") or "passed over", one.why]
        for one in found.columns
    ]
    runs = [[run.number, run.way, run.rows, run.settings] for run in found.runs[:MOST_RUNS]]
    more = len(found.runs) - MOST_RUNS
    shown = table(COLUMNS_HEAD, rows, "Columns of the file, and what is proposed") if rows else ""
    if len(found.runs) > 1:
        shown += details(
            f"{len(found.runs)} runs",
            table(RUNS_HEAD, runs, "Runs") + paragraph(f"and {more} more" if more > 0 else ""),
        )
    open_ = "".join(map(paragraph, found.problems))
    return (
        "".join(map(paragraph, said))
        + shown
        + (details("To be decided or mended", open_).replace("<details>", "<details open>") if open_ else "")
    )


def read_as(bench):
    """Return in words what is read of a file as it was chosen."""
    (test,) = bench.tests
    return f"As chosen it reads {test.heading}."


def export_written(file, folder):
    """Return in words that the file of an instrument is in a bench folder."""
    return f"{file}, and what was chosen of it, stand in {folder}, which is open above."


def of_export_page(fault):
    """Return a fault of an export in the words of the page."""
    for of_folder, of_page in FOLDER_WORDS:
        fault = re.sub(of_folder, of_page, fault)
    return fault
