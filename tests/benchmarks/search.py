"""The free search against lmfit's, over many fits, from the same starts and Jacobian:   python tests/benchmarks/search.py

Processor time as a ratio, and how often each ends above the least sum of squares that any of them reached. It says why
`rheokit.fitting.search` has a search of its own; nothing is asserted here.
"""

import sys
import time
import warnings
from pathlib import Path

import lmfit
import numpy as np

import rheokit as rk
from rheokit.bench.gathered import gathered
from rheokit.fitting.estimate import first_size, starts_of
from rheokit.fitting.problem import Problem
from rheokit.fitting.search import minimise

sys.path.insert(0, str(Path(__file__).parents[1]))
from test_fitting import BENCHES, curve, generator

MISSED = 0.01  # of chi-square, above the least that was reached


def own(problem, start):
    """Return the sum of squares where the search of `rheokit.fitting` ends."""
    return minimise(problem, start, problem.scales(start), most=200).chi_square


def of_lmfit(method):
    """Return the same for a method of lmfit, as a function of problem and start."""

    def search(problem, start):
        low, high = problem.box
        names, scales = [f"p{place}" for place in range(len(start))], problem.scales(start)
        parameters = lmfit.Parameters()
        for name, value, a, b in zip(names, start, low, high, strict=True):
            room = 1e-6 * (b - a if np.isfinite(b - a) else max(abs(value), 1.0))  # at a bound lmfit sees no slope
            parameters.add(name, value=np.clip(value, a + room, b - room), min=a, max=b)

        def theta(parameters):
            return np.array([parameters[name].value for name in names])

        def residuals(parameters):
            return problem.residuals(theta(parameters)[None])[0]

        def slopes(parameters, *_, **__):
            return problem.jacobian(problem.residuals, theta(parameters), scales)[1]

        fitter = lmfit.Minimizer(residuals, parameters, nan_policy="propagate", calc_covar=False)
        exact = {"max_nfev": 400, "ftol": 1e-10, "xtol": 1e-10}
        if method == "leastsq":
            found = fitter.leastsq(Dfun=slopes, **exact)
        else:
            found = fitter.least_squares(jac=slopes, x_scale="jac", gtol=1e-10, **exact)
        return float(np.sum(np.square(residuals(found.params))))

    return search


WAYS = {"own": own, "lmfit leastsq": of_lmfit("leastsq"), "lmfit least_squares": of_lmfit("least_squares")}


def searches():
    """Return (problem, start) of every search: demonstration benches with every law, synthetic ones, some at a bound."""
    fits = []
    for folder in sorted((Path(__file__).parents[2] / "data").glob("*/bench.toml")):
        tests = gathered([test for test in rk.read_bench(folder.parent).tests if not test.gives])
        fits += [(law, tests) for law in (rk.Newtonian, rk.PowerLaw, rk.Bingham, rk.HerschelBulkley, rk.Casson)]
    for _, make in BENCHES.values():
        fits += [(rk.HerschelBulkley, make(generator(7, k))) for k in range(8)]
    liquid = rk.HerschelBulkley(yield_stress=0.0, consistency=210.0, flow_index=0.38)
    fits += [(rk.HerschelBulkley, [curve(generator(11, k).standard_normal(10), liquid)]) for k in range(8)]
    for law, tests in fits:
        problem = Problem(law, tuple(tests), {}, tuple(map(first_size, tests)))
        yield from ((problem, np.clip(start, *problem.box)) for start in starts_of(problem))


def main():
    """Print time and misses of every search."""
    warnings.simplefilter("ignore")
    asked = list(searches())
    spent, reached = dict.fromkeys(WAYS, 0.0), {way: [] for way in WAYS}
    for problem, start in asked:
        for way, search in WAYS.items():
            begin = time.process_time()
            try:
                reached[way].append(search(problem, start))
            except (ValueError, TypeError):  # lmfit gives up on what is not finite
                reached[way].append(np.inf)
            spent[way] += time.process_time() - begin
    least = np.min(list(reached.values()), axis=0)
    for way in WAYS:
        missed = np.count_nonzero(reached[way] - least > MISSED)
        print(f"{way}: {spent[way] / spent['own']:.1f} times the time; missed {missed} of {len(asked)}")


if __name__ == "__main__":
    main()
