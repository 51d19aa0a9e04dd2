"""A question that a result answers about itself, and the worked example that a law, bench test or limit must reproduce."""

import math
from typing import Any, NamedTuple

PASSED, FAILED = "passed", "FAILED"
SEEN = "seen, small"
"""Of what passes although it is there and more than chance, since it is too small to matter where the result is used."""

AT_LEAST = (
    "gap of the plate as usual",
    "grains small against bores and gaps",
    "plate squeezed far enough",
)
"""Questions whose limit is the least that may be found; of all others it is the most."""
EITHER_WAY = ("no drift through the stroke", "first setting repeats")
"""Questions whose limit is the most that may be found either way."""


class Check(NamedTuple):
    """One question, what was found, what would be too much, the verdict, and in words what it means and what to do.

    `rows` are the readings it is about, each as (place of the test, place of the reading in it), both from 0. `seen` says of one that
    passed that its effect is there, more than chance, and too small to fail.
    """

    question: str
    value: float | str
    threshold: float | str
    passed: bool
    comment: str
    rows: tuple = ()
    seen: bool = False


def verdict_of(check: Any) -> str:
    """Return the word for what a check came to, one of `PASSED`, `SEEN` and `FAILED`.

    Parameters
    ----------
    check : Check
        Or a row of the table of checks.

    Examples
    --------
    >>> verdict_of(Check("readings do not drift", 0.02, 0.17, True, "", seen=True))
    'seen, small'
    >>> verdict_of(Check("readings do not drift", 0.20, 0.17, False, "", seen=True))
    'FAILED'
    """
    if not check.passed:
        return FAILED
    return SEEN if check.seen else PASSED


def _ends(one):
    """Return the least and the greatest number that is good of what a check found; None where it has no limit in numbers."""
    if isinstance(one.value, str):
        return None
    if isinstance(one.threshold, str):
        ends = one.threshold.replace(",", ".").split(" to ")
        try:
            low, high = map(float, ends)
        except ValueError:
            return None
        return low, high
    if one.question in AT_LEAST:
        return one.threshold, math.inf
    return (-one.threshold if one.question in EITHER_WAY else -math.inf), one.threshold


def beyond(check: Any) -> bool:
    """Return whether what a check found lies on the wrong side of its limit in numbers, as it may where it passed for a reason that its comment says.

    Parameters
    ----------
    check : Check
        Or a row of the table of checks.

    Examples
    --------
    >>> beyond(Check("friction known well enough", 0.48, 0.33, True, "well known"))
    True
    >>> beyond(Check("plate squeezed far enough", 12.0, 6.0, True, ""))
    False
    """
    ends = _ends(check)
    return ends is not None and not math.isnan(check.value) and not ends[0] <= check.value <= ends[1]


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
