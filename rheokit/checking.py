"""A question that a result answers about itself, and the worked example that a law, bench test or limit must reproduce."""

from typing import NamedTuple


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
