"""``python -m rheokit FOLDER``: read a bench folder, fit a law, print estimates, intervals and checks."""

import argparse
import sys
import warnings

from . import LAWS, DataError, compare, fit, read_bench
from .fitting.text import properties


def main(arguments=None):
    """Print the fit of a bench folder; return 0 if every check passed, 1 if one failed, 2 if the folder cannot be used."""
    parser = argparse.ArgumentParser(
        prog="python -m rheokit", description="Fit a flow law to the readings of a bench folder."
    )
    parser.add_argument("folder", help="a folder with bench.toml and one CSV or XLSX a test")
    parser.add_argument(
        "--law", default="Herschel-Bulkley", choices=list(LAWS), help="the law to fit (default: %(default)s)"
    )
    parser.add_argument("--compare", action="store_true", help="rank all laws as well")
    parser.add_argument(
        "--use", nargs=2, type=float, metavar=("SLOW", "FAST"), help="shear rates at which the law will be used [1/s]"
    )
    told = parser.parse_args(arguments)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # each warning has its row among the checks
        try:
            bench = read_bench(told.folder)
            result = fit(LAWS[told.law], bench, use_range=told.use and tuple(told.use))
            print(result.summary)
            for line in properties(bench):
                print(f"  measured  {line}")
            for note in getattr(bench.origin, "notes", ()):
                print(f"  note    {note}")
            if told.compare:
                print("\n" + compare(list(LAWS.values()), bench).to_string())
        except DataError as fault:
            print(fault, file=sys.stderr)
            return 2
    return 0 if result.checks.passed.all() else 1


if __name__ == "__main__":
    sys.exit(main())
