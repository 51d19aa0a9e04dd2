"""``rheokit verify APPENDIX``: compute an appendix anew, and name what differs."""

import argparse
import sys

from .. import terminal
from ..progress import step, told_to
from .codes import FAILED, PASSED
from .typed import without_quote

DOES = "compute an appendix anew from its workbook, or from its PDF alone, and name what changed"
EXAMPLE = "rheokit verify my-paste/appendix"


def arguments(parser: argparse.ArgumentParser) -> None:
    """Tell a parser what a check asks for."""
    parser.add_argument("appendix", type=without_quote, help="the folder of an appendix, or its PDF alone")
    parser.add_argument(
        "--workbook",
        type=without_quote,
        metavar="FOLDER",
        help="of the paste, where the appendix does not stand in it (default: what is attached to the PDF)",
    )


def run(told: argparse.Namespace) -> int:
    """Say what it was held against and what differs, or that nothing does."""
    from ..appendix.differences import ROUNDING
    from ..appendix.verifying import verify

    with terminal.Progress() as progress, told_to(progress):
        step("reading the appendix")
        found = verify(told.appendix, told.workbook)
    lines = [f"Computed anew from {one}." for one in found.against] + [f"  changed {one}" for one in found.changed]
    lines += [f"  note    {one}" for one in found.not_compared]
    if found.changed:
        lines.append(f"{len(found.changed)} differ{'s' if len(found.changed) == 1 else ''}: see above.")
    else:
        lines.append(
            f"Nothing changed: files, versions, texts and pages are the same, and numbers within {ROUNDING:g} of each other."
        )
    terminal.write("\n".join(lines) + "\n", sys.stdout)
    return FAILED if found.changed else PASSED
