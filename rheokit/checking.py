"""A question that a result answers about itself, and the worked example that a law, bench test or limit must reproduce."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from .errors import DataError


class Check(NamedTuple):
    """One question, what was found, what would be too much, the verdict, and in words what it means and what to do.

    `rows` are the readings it is about, each as (place of the test, place of the reading in it), both from 0.
    """

    question: str
    value: float | str
    threshold: float | str
    passed: bool
    comment: str
    rows: tuple = ()


class Example(NamedTuple):
    """Numbers from outside the code, which the code must reproduce.

    `given` are inputs by name, in SI, each different from 1 and from the others, so that none can stand for another or
    be left out; `expected` are results by name, to seven digits; `source` is the printed page they stand on, or the
    arithmetic itself, written out with these numbers; `idle` names what must be given and changes no result.
    """

    given: dict
    expected: dict
    source: str
    idle: tuple = ()


AGREE = 1e-6  # relative: worked examples stand to seven digits
MOVED = 1.02  # what an input is multiplied by, to see that it counts
COUNTS = 1e-4  # least relative change of a result that such an input makes


def examples_of(thing: type, results: str) -> list[Example]:
    """Return the worked examples of a law, bench test or limit, as a list.

    Parameters
    ----------
    thing : type
        With an attribute `example`: an `Example`, or several.
    results : str
        What is expected of such a class, in words, for one who writes the first.

    Raises
    ------
    LookupError
        If there is none; the text says what to write.
    """
    found = getattr(thing, "example", ())
    if not found:
        raise LookupError(
            f"{thing.__name__} has no worked example, so nothing outside its own code holds it to its formula. Add:\n\n"
            "    example = (\n"
            "        Example(\n"
            "            given={...},  # inputs by name, in SI, each different from 1 and from the others\n"
            f"            expected={{...}},  # {results}: to seven digits\n"
            '            source="by hand: 4*714*8/1.6 = ...",  # the arithmetic, or a printed page\n'
            "        ),\n"
            "    )\n\n"
            "with one Example for each branch of the formula, worked out without the class itself. It stands in "
            "rheokit.checking; the other files of this folder show how."
        )
    return [found] if isinstance(found, Example) else list(found)


def example_faults(example: Example, results: Callable[[dict], dict]) -> list[str]:
    """Return what is wrong with a worked example, a list of sentences; empty where the code reproduces it.

    `results` takes what is given and returns results by name.
    """
    numbers = {name: np.asarray(value, float) for name, value in example.given.items() if _is_number(value)}
    faults = [] if len(example.source) > 20 else ["Its source is no page and no arithmetic: write one out."]
    seen = {1.0: "1"}
    for name, value in numbers.items():
        if value.ndim == 0 and seen.setdefault(float(value), name) != name:
            faults.append(f"{name} = {value:g} equals {seen[float(value)]}, so a fault may hide: take another number.")
    found = results(example.given)
    for name, value in example.expected.items():
        if name not in found:
            faults.append(f"{name} is no result; there are: {', '.join(f'{k} = {v}' for k, v in found.items())}.")
        elif not np.allclose(found[name], value, rtol=AGREE, atol=0.0):
            faults.append(f"{name} is {_shown(found[name])} here and {_shown(value)} by its source.")
    known = [name for name in example.expected if name in found]
    for name, value in numbers.items():
        if not np.any(value):
            continue  # 0 is moved by no factor
        if _counts(name, value, example.given, {key: found[key] for key in known}, results) == (name in example.idle):
            says = "changes a result, and is called idle" if name in example.idle else "changes no result: leave it out"
            faults.append(f"{name} {says}.")
    return faults


def _counts(name, value, given, found, results):
    try:
        moved = results(given | {name: (value * (MOVED if value.ndim == 0 else np.linspace(MOVED, 2, len(value))))[()]})
    except DataError:  # it is held to a few values
        return True
    return not all(key in moved and np.allclose(moved[key], found[key], rtol=COUNTS, atol=0.0) for key in found)


def _is_number(value):
    return np.asarray(value).dtype.kind in "if"


def _shown(value):
    return np.array2string(np.asarray(value, float), formatter={"float": "{:.9g}".format})
