"""``python -m rheokit FOLDER``: read a bench folder, fit a law, print estimates, intervals and checks."""

import argparse
import contextlib
import os
import re
import sys
import traceback
import warnings
from collections.abc import Sequence

from . import LAWS, DataError, __version__, fit, over_conditions, read_bench, terminal
from .fitting.comparison import compared
from .fitting.text import properties, ranked
from .progress import part_of, step, told_to

PASSED, FAILED, UNUSABLE, UNWRITTEN, BROKEN, INTERRUPTED = 0, 1, 2, 3, 4, 130
CODES = (
    "Exit codes: 0 every check passed; 1 a check failed; 2 the folder or the arguments cannot be used; 3 the output could not "
    "be written; 4 a fault of rheokit itself; 130 interrupted. What takes long is told on standard error."
)
NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?", re.ASCII | re.IGNORECASE)


class _Parser(argparse.ArgumentParser):
    def _print_message(self, message, file=None):
        if file is sys.stdout:
            terminal.write(message, file)
        else:
            terminal.complain(message.rstrip("\n"))


def _parser():
    parser = _Parser(
        prog="python -m rheokit", description="Fit a flow law to the readings of a bench folder.", epilog=CODES
    )
    parser.add_argument("folder", help="a folder with bench.toml and one CSV or XLSX a test")
    parser.add_argument(
        "--law", default="Herschel-Bulkley", choices=list(LAWS), help="the law to fit (default: %(default)s)"
    )
    parser.add_argument("--compare", action="store_true", help="rank all laws as well, and say which to take")
    parser.add_argument(
        "--use",
        nargs=2,
        metavar=("SLOW", "FAST"),
        help="shear rates at which the law will be used [1/s], such as --use 5 150",
    )
    return parser


def _rates(given):
    """Return the two shear rates [1/s] that were typed; refuse what are none, with what to write."""
    if given is None:
        return None
    typed = f"--use {' '.join(given)}"
    for one in given:
        if re.fullmatch(r"[+-]?\d+,\d+", one):
            raise DataError(f"{typed}: {one} has a decimal comma; write {one.replace(',', '.')}.")
    rates = [float(one) if NUMBER.fullmatch(one) else float("nan") for one in given]
    for one, rate in zip(given, rates, strict=True):
        if not 0 < rate < float("inf"):
            raise DataError(
                f"{typed}: {one} is no shear rate; write two numbers above 0, the slowest and the fastest in 1/s, such as "
                "--use 5 150."
            )
    if rates[0] > rates[1]:
        raise DataError(f"{typed}: the slowest rate comes first; write --use {given[1]} {given[0]}.")
    return tuple(rates)


def _read(folder):
    """Return the bench of a folder; refuse a name or a place that the system does not open."""
    if "\0" in folder:
        raise DataError(
            f"{folder!r}: no folder has a name with a NUL character; name the folder that holds bench.toml."
        )
    if not folder.strip():
        raise DataError(f"{folder!r} names no folder; name the one that holds bench.toml, or write . for this one.")
    try:
        if not os.path.isabs(folder):
            os.getcwd()
    except OSError:
        raise DataError(
            f"{folder!r}: the folder that this command was started in is gone; go to another (cd), or give a whole path."
        ) from None
    try:
        return read_bench(folder)
    except OSError as fault:
        where = fault.filename or folder
        raise DataError(
            f"{where!r}: it cannot be read: {fault.strerror or fault}; see to its permissions, or copy the folder elsewhere."
        ) from None


def _pages(told):
    """Give the text of each part of the answer as it is ready; return the exit code."""
    use = _rates(told.use)
    step("reading the folder")
    bench = _read(told.folder)
    result = fit(over_conditions(LAWS[told.law], bench), bench, use_range=use)
    lines = [result.summary]
    lines += [f"  measured  {line}" for line in properties(bench)]
    lines += [f"  note    {note}" for note in getattr(bench.origin, "notes", ())]
    yield "\n".join(lines) + "\n"
    if told.compare:
        with part_of("comparing laws"):
            table = compared(list(LAWS.values()), [bench], known=[result], use_range=use)
            yield f"\n{ranked(table)}\n"
    return PASSED if result.checks.passed.all() else FAILED


def _answer(arguments):
    told = _parser().parse_args(arguments)
    # each warning has its row among the checks
    with warnings.catch_warnings(action="ignore"), terminal.Progress() as progress, told_to(progress):
        pages = _pages(told)
        while True:
            try:
                page = next(pages)
            except StopIteration as end:
                return end.value
            except DataError as fault:
                terminal.complain(fault)
                return UNUSABLE
            terminal.write(page, sys.stdout)


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the fit of a bench folder; return the exit code, as ``--help`` tells them."""
    try:
        return _answer(arguments)
    except KeyboardInterrupt:
        return INTERRUPTED
    except terminal.Unwritten as fault:
        terminal.complain(
            f"python -m rheokit: the output could not be written: {fault}. Read it to its end, or write it to "
            "a file on a disk with room."
        )
        return UNWRITTEN
    except Exception as fault:  # nobody who fits readings is helped by a traceback
        last = traceback.extract_tb(fault.__traceback__)[-1]
        terminal.complain(
            f"python -m rheokit: a fault of rheokit {__version__} itself, not of the readings: {type(fault).__name__}: {fault} "
            f"({os.path.basename(last.filename)}, line {last.lineno}). Please report this line with the folder and the command."
        )
        return BROKEN


if __name__ == "__main__":
    code = main()
    if code == INTERRUPTED:  # an interruption inside text that Python itself compiles would else end it as if killed
        for stream in (sys.stdout, sys.stderr):
            with contextlib.suppress(AttributeError, OSError, ValueError):  # closed, or none
                stream.flush()
        os._exit(code)
    sys.exit(code)
