"""A question that a result answers about itself."""

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
