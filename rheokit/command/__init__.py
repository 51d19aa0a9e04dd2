"""The command ``rheokit``, also ``python -m rheokit``: one file a subcommand.

Each says in `DOES` what it does and in `EXAMPLE` how it is called, tells a parser its `arguments`, and is carried out by
`run`, which returns the exit code.
"""

import argparse
import contextlib
import os
import sys
import textwrap
import traceback
from collections.abc import Sequence
from types import ModuleType
from typing import NoReturn

from .. import terminal
from ..errors import DataError
from ..nomenclature import sentence
from ..release import version_line
from ..things import nearest
from . import appendix, completion, fit, new, verify
from . import open as opening
from .codes import BROKEN, CODES, INTERRUPTED, UNUSABLE, UNWRITTEN
from .typed import quoted

SUBCOMMANDS: dict[str, ModuleType] = {
    "new": new,
    "fit": fit,
    "open": opening,
    "appendix": appendix,
    "verify": verify,
    "completion": completion,
}


class _Parser(argparse.ArgumentParser):
    def __init__(self, **about):
        codes = textwrap.fill(CODES, 79)
        super().__init__(formatter_class=argparse.RawDescriptionHelpFormatter, epilog=codes, **about)

    def _print_message(self, message, file=None):
        if file is sys.stdout:
            terminal.write(message, file)
        else:
            terminal.complain(message.rstrip("\n"))


class _Version(argparse.Action):
    """Tells version and commit, which are found only when they are asked for."""

    def __call__(self, parser, *_):
        terminal.write(f"{version_line()}\n", sys.stdout)
        parser.exit()


def parser() -> argparse.ArgumentParser:
    """Return the parser of the whole command."""
    whole = _Parser(prog="rheokit", description="From bench readings of a paste to the force that will extrude it.")
    whole.add_argument("--version", action=_Version, nargs=0, help="tell version and commit, and end")
    subcommands = whole.add_subparsers(dest="subcommand", metavar="subcommand", required=True)
    for name, subcommand in SUBCOMMANDS.items():
        does = sentence(subcommand.DOES)
        told = "\n\n".join(filter(None, (does, getattr(subcommand, "TOLD", ""))))
        text = f"{told}\n\nexample: {subcommand.EXAMPLE}"
        part = subcommands.add_parser(name, help=subcommand.DOES, description=text)
        subcommand.arguments(part)
    return whole


def _told(arguments):
    """Return what the command is told; a folder alone is fitted, and what follows ``open --`` is for JupyterLab."""
    first, whole = arguments[0] if arguments else "--", parser()
    if first not in {*SUBCOMMANDS, "-h", "--help", "--version", "--"}:
        near = nearest(first, SUBCOMMANDS)
        if near and not os.path.lexists(first):
            whole.error(f"{first!r} is no subcommand and no folder{near}")
        arguments = ["fit", *arguments]
    end = arguments.index("--") if first == "open" and "--" in arguments else len(arguments)
    told = whole.parse_args(arguments[:end])
    told.further = arguments[end + 1 :]
    return told


def main(arguments: Sequence[str] | None = None) -> int:
    """Do what the arguments say, those of the process where none are given; return the exit code, as ``--help`` tells them."""
    told = None
    try:
        told = _told([*(sys.argv[1:] if arguments is None else arguments)])
        return SUBCOMMANDS[told.subcommand].run(told)
    except DataError as fault:
        make = f"with: rheokit new {quoted(getattr(told, 'folder', 'FOLDER'))}"
        terminal.complain(str(fault).replace("with new_bench", make))
        return UNUSABLE
    except KeyboardInterrupt:
        return INTERRUPTED
    except terminal.Unwritten as fault:
        terminal.complain(
            f"rheokit: the output could not be written: {fault}. Read it to its end, or write it to a file on a disk with room."
        )
        return UNWRITTEN
    except Exception as fault:  # nobody who fits readings is helped by a traceback
        last = traceback.extract_tb(fault.__traceback__)[-1]
        terminal.complain(
            f"rheokit: a fault of {version_line()}, not of the readings: {type(fault).__name__}: {fault} "
            f"({os.path.basename(last.filename)}, line {last.lineno}). Please report this line with the folder and the command."
        )
        return BROKEN


def start() -> NoReturn:
    """Run the command as a process of its own, and end it with the exit code."""
    code = main()
    if code == INTERRUPTED:  # an interruption inside text that Python itself compiles would else end it as if killed
        for stream in (sys.stdout, sys.stderr):
            with contextlib.suppress(AttributeError, OSError, ValueError):  # closed, or none
                stream.flush()
        os._exit(code)
    sys.exit(code)
