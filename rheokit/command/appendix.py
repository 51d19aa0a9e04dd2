"""``rheokit appendix FOLDER``: write the appendix of a report: page, PDF, tables and figures."""

import argparse
import sys

from .. import terminal
from ..progress import step, told_to
from .codes import FAILED, PASSED, UNWRITTEN
from .typed import checked_folder, quoted, without_quote

DOES = "write the appendix of a report: a page, a PDF that holds the workbook, tables and figures"
TOLD = """What only its authors know (suppliers, mixing, make and model of each instrument,
calibration, pre-shear, who read, licence) they write as texts into the table
[page.appendix] of plan.toml, such as suppliers = "flour: lot 12"; the appendix
names each entry that is still open."""
EXAMPLE = "rheokit appendix my-paste"


def arguments(parser: argparse.ArgumentParser) -> None:
    """Tell a parser what an appendix asks for."""
    parser.add_argument(
        "folder", type=without_quote, help="a folder with bench.toml, and plan.toml where something is planned"
    )
    parser.add_argument(
        "--out",
        type=without_quote,
        metavar="FOLDER",
        help="where it is written: a new or empty folder, or that of an earlier appendix (default: appendix in the folder of the paste; "
        "for a demo, which stays as it came, in your own folder)",
    )
    parser.add_argument(
        "--decimal",
        choices=["point", "comma"],
        default="point",
        help="how numbers are written on the page and in the PDF (default: point); CSV and XLSX hold numbers",
    )


def run(told: argparse.Namespace) -> int:
    """Write it, and say where it is."""
    from ..appendix.placing import NotWritten
    from ..appendix.writing import PAGE, PDF, write
    from ..workbook.shelf import BENCH

    checked_folder(told.folder, BENCH)
    with terminal.Progress() as progress, told_to(progress):
        step("reading the folder")
        try:
            written = write(told.folder, told.out, told.decimal)
        except NotWritten as fault:
            terminal.complain(str(fault))
            return UNWRITTEN
    lines = [
        f"{written.folder} holds {PAGE}, {'' if written.lacks else f'{PDF}, '}tables, figures and a manifest: {len(written.files)} files.",
        *(f"  note    {one}" for one in (*written.told, written.invented) if one),
        *(f"  FAILED  {one}" for one in (written.forbids, written.lacks) if one),
        f"To check it later: rheokit verify {quoted(written.folder)}",
    ]
    terminal.write("\n".join(lines) + "\n", sys.stdout)
    if written.lacks:
        return UNWRITTEN
    return FAILED if written.forbids else PASSED
