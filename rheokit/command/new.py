"""``rheokit new FOLDER [KIND ...]``: make the folder of a paste to fill in."""

import argparse
import sys

from .. import terminal
from ..bench import KINDS
from .codes import PASSED
from .typed import Hyphened, quoted, without_quote

DOES = "make the folder of a paste to fill in: a plan, and one file of readings for each kind of test"
EXAMPLE = "rheokit new my-paste loaded-plate cup-density syringe-force"


def arguments(parser: argparse.ArgumentParser) -> None:
    """Tell a parser what a new folder asks for."""
    parser.add_argument("folder", type=without_quote, help="new or empty")
    parser.add_argument(
        "kinds",
        nargs="*",
        default=[],  # or argparse calls it required where the folder lacks
        metavar="kind",
        type=Hyphened(KINDS),
        help=f"a kind of test, once for each file: {', '.join(KINDS)}; a hyphen may stand for a space; none where the readings are "
        "typed into notebook 1",
    )


def run(told: argparse.Namespace) -> int:
    """Make the folder, and say what it holds."""
    from ..workbook import new_workbook

    folder = new_workbook(told.folder, told.kinds)
    held = ", ".join(sorted(path.name for path in folder.iterdir()))
    then = (
        f"Fill them in, then: rheokit fit {quoted(folder)}, or" if told.kinds else "Type the readings into notebook 1:"
    )
    terminal.write(f"{folder} holds {held}. {then} rheokit open {quoted(folder)}\n", sys.stdout)
    return PASSED
