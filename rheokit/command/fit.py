"""``rheokit fit FOLDER``: read the bench of a folder, fit a law, print estimates, intervals and checks."""

import argparse
import os
import re
import sys
import warnings

from .. import terminal
from ..errors import DataError
from ..laws import LAWS
from ..progress import part_of, step, told_to
from ..release import version_line
from ..things import nearest
from ..workbook.plan import NAME
from ..workbook.shelf import BENCH
from .codes import FAILED, PASSED
from .typed import Hyphened, checked_folder, quoted, without_quote

DOES = "fit a flow law to the readings of a folder; what takes long is told on standard error"
EXAMPLE = "rheokit fit my-paste --use 5 150 --compare"
NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?", re.ASCII | re.IGNORECASE)


def arguments(parser: argparse.ArgumentParser) -> None:
    """Tell a parser what a fit asks for."""
    parser.add_argument("folder", type=without_quote, help="a folder with bench.toml and one CSV or XLSX a test")
    parser.add_argument(
        "--law",
        default=None,
        choices=list(LAWS),
        type=_Laws(LAWS),
        metavar="LAW",
        help=f"the law to fit: {', '.join(LAWS)} (default: that of plan.toml, else Herschel-Bulkley)",
    )
    parser.add_argument("--compare", action="store_true", help="rank all laws as well, and say which to take")
    parser.add_argument(
        "--use",
        nargs=2,
        metavar=("SLOW", "FAST"),
        help="shear rates at which the law will be used [1/s], such as --use 5 150",
    )


class _Laws(Hyphened):
    """Names of flow laws; what is nearly one is refused, with which."""

    def __call__(self, typed):
        law = super().__call__(typed)
        if law not in LAWS and (near := nearest(law, list(LAWS))):
            raise argparse.ArgumentTypeError(f"{typed!r} is no flow law{near}")
        return law


def run(told: argparse.Namespace) -> int:
    """Print the fit, each part as it is ready."""
    from ..fitting.comparison import compared
    from ..fitting.text import properties, ranked
    from ..workbook import Workbook
    from ..workbook.of_fit import LEAVE_OUT

    use = _rates(told.use)
    # each warning has its row among the checks
    with warnings.catch_warnings(action="ignore"), terminal.Progress() as progress, told_to(progress):
        step("reading the folder")
        whole = _read(told.folder)
        book = Workbook.open(told.folder)  # which refuses a plan that cannot be
        book.bench, use = whole, use or book.use_range
        result = book.fit_of(told.law or book.law, use)
        bench, left_out = book.tests, book.plan.listed(*LEAVE_OUT)
        lines = [result.summary]
        lines += [f"  measured  {line}" for line in properties(bench)]
        lines += [f"  note    {note}" for note in getattr(bench.origin, "notes", ())]
        lines += [f"  note    left out, as plan.toml says: {name}" for name in left_out]
        lines += [f"  computed by {version_line()}"]
        terminal.write("\n".join(lines) + "\n", sys.stdout)
        if told.compare:
            with part_of("comparing laws"):
                table = compared(list(LAWS.values()), [bench], known=[result], use_range=use)
                terminal.write(f"\n{ranked(table)}\n", sys.stdout)
        return PASSED if result.checks.passed.all() else FAILED


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
    """Return the bench of a folder; refuse a place that the system does not open."""
    from ..reading import read_bench

    try:
        checked_folder(folder, BENCH)
        if os.path.isdir(folder) and not os.path.lexists(os.path.join(folder, BENCH)):
            told = f"holds no {BENCH}; name the folder of a paste, or make one to fill in with: rheokit new FOLDER"
            if os.path.exists(os.path.join(folder, NAME)):
                told = f"holds a plan and no readings yet; type them into notebook 1: rheokit open {quoted(folder)}"
            raise DataError(f"{folder!r} {told}")
        return read_bench(folder)
    except OSError as fault:
        where = fault.filename or folder
        raise DataError(
            f"{where!r}: it cannot be read: {fault.strerror or fault}; see to its permissions, or copy the folder elsewhere."
        ) from None
