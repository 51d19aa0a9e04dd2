"""What a fit is asked: tests, fixed values, a start, rates of use; refused where it cannot be."""

import numpy as np

from ..bench import Bench, BenchTest
from ..errors import DataError
from ..inputs import in_si, judged_number
from ..nomenclature import Quantity
from ..things import called
from .problem import Problem


def tests_and_benches(given):
    """Return all the tests that were given, those of benches too, and the benches; refuse what is neither."""
    tests, benches = [], []
    for thing in given:
        if isinstance(thing, Bench):
            benches.append(thing)
            tests.extend(thing.tests)
        elif isinstance(thing, BenchTest):
            tests.append(thing)
        else:
            several = "; give several one after the other, not in a list" if isinstance(thing, list | tuple) else ""
            raise TypeError(f"fit: {called(thing)} is neither a bench test nor a bench{several}.")
    return tests, benches


def check_names(law_class, tests, fixed, start):
    """Refuse to fix or to start from what is no parameter, or to start a nuisance parameter outside its bounds."""
    known = ", ".join(law_class.parameters())
    for name in fixed:
        if name not in law_class.parameters():
            raise DataError(f"fit: {name} is no parameter of {law_class.__name__}; it has {known}.")
    begin = start if isinstance(start, dict) else {}
    of_law = {name: value for name, value in begin.items() if name in law_class.parameters()}
    for what, values in (("fixed value", fixed), ("start", of_law)):
        for name, value in values.items():
            _possible(law_class, what, name, value)
    given = {name: value for name, value in begin.items() if name not in of_law}
    if not given:
        return
    nuisances = Problem(law_class, tests, fixed, ()).nuisances
    for name, value in given.items():
        if name not in nuisances:
            also = f", and the tests share {', '.join(nuisances)}" if nuisances else ""
            raise DataError(f"fit: {name} is no parameter of {law_class.__name__}; it has {known}{also}.")
        about = nuisances[name]
        if not (about.low <= value <= about.high and (value > 0 or not about.logarithmic) and np.isfinite(value)):
            above = "above 0" if about.logarithmic else f"from {about.low:g} to {about.high:g}"
            raise DataError(
                f"fit: start of {name} = {value:g} {about.unit} cannot be; give a number {above} {about.unit}."
            )


def _possible(law_class, what, name, value):
    """Refuse a value of a parameter that its law refuses."""
    about = law_class.parameters()[name]
    value = in_si("fit", f"{what} of {name}", value, Quantity(about.symbol, about.unit, about.meaning))
    unit = "" if about.unit == "-" else f" {about.unit}"
    wanted = (
        f"from {about.low:g} to {about.high:g}{unit}" if np.isfinite(about.high) else f"of {about.low:g}{unit} or more"
    )
    wanted = f"above 0{unit}" if about.logarithmic else wanted
    if np.ndim(value):
        raise DataError(f"fit: {what} of {name} = {value!r:.40} is not one number; give one {wanted}.")
    if not (about.low <= value <= about.high and np.isfinite(value) and (value > 0 or not about.logarithmic)):
        raise DataError(f"fit: {what} of {name} = {value:.6g}{unit} cannot be; give a number {wanted}.")


def rates_of_use(use_range):
    """Return the slowest and the fastest rate of use [1/s] as numbers; refuse what is no such pair."""
    if use_range is None:
        return None
    slowest, *rest = rates = np.ravel(judged_number("fit", "use_range", use_range, "shear_rate")).tolist()
    if len(rest) != 1 or not 0 < slowest <= rest[0]:
        raise DataError(
            f"fit: use_range = {tuple(rates)} must be the slowest and the fastest rate of use, both above 0, in 1/s."
        )
    return tuple(rates)
