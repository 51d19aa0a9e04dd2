"""Where a number comes from: one of six words, and after a colon the detail.

>>> word_of("measured: oven moisture test of the bench")
'measured'
"""

from .errors import DataError

MEASURED = "measured"  # by a test of this paste or machine that says nothing about the law
FITTED = "fitted"  # with the law, to readings
TABLE = "table"  # a handbook, a data sheet, what is printed on the part
STATED = "stated"  # typed, with a source in words of its author that are none of these
ASSUMED = "assumed"  # nobody measured it: usual values, or typed without a source
INVENTED = "invented"  # for demonstration, and whatever follows from it
ORIGINS = (MEASURED, FITTED, TABLE, STATED, ASSUMED, INVENTED)

USUAL = f"{ASSUMED}: usual for pastes, common practice"
NOT_TO_BE_USED = "not to be used"  # what is said of every number of a fit whose checks forbid to use it
NOT_IDENTIFIED = "not identified"  # what the readings leave open has no value, and this in place of an origin
SPREAD_ASSUMED = ", its spread assumed"  # after the origin of a value of which no limits were stated
UNSAID = f"{ASSUMED}: origin not given"


def word_of(origin: str) -> str:
    """Return the word of an origin, one of `ORIGINS`, or `NOT_IDENTIFIED`.

    Raises
    ------
    DataError
        If it begins with another word.
    """
    word = origin.partition(":")[0].strip()
    if word not in (*ORIGINS, NOT_IDENTIFIED):
        raise DataError(
            f"origin {origin!r}: begin with one of {', '.join(ORIGINS)}, and say more after a colon, as in "
            "'measured: cup of 100 mL'."
        )
    return word


def invented_of(machine: str, job: str, made: str = "job") -> str:
    """Return which of machine and job are invented, each by its own origin; empty where neither is. `made` is the word for the job.

    >>> invented_of("invented: round numbers", "stated: our test piece"), invented_of("measured", "invented", "fibre")
    ('machine', 'fibre')
    """
    return " and ".join(what for what, origin in (("machine", machine), (made, job)) if word_of(origin) == INVENTED)


def of_invented(origin: str) -> str:
    """Return the origin of what follows from invented readings: it is invented too.

    >>> of_invented("measured: cup density, 3 readings"), of_invented("fitted")
    ('invented: cup density, 3 readings', 'invented: fitted to invented readings')
    """
    word, _, detail = origin.partition(": ")
    return origin if word == INVENTED else f"{INVENTED}: {detail or f'{word} to invented readings'}"


def in_short(caveat: str) -> str:
    """Return the first sentence of a caveat without its full stop.

    >>> in_short("4 of 23 checks failed: not to be used. Likeliest cause: the paste slips at the wall. Roughen the walls.")
    '4 of 23 checks failed: not to be used'
    """
    return caveat.partition(". ")[0].removesuffix(".")


def of_fit(invented: bool = False, stamp: str = "") -> str:
    """Return the origin of what was fitted, to invented readings or not, with the stamp of that fit in short.

    >>> of_fit(stamp="4 of 23 checks failed: not to be used. Roughen the walls."), of_fit(invented=True)
    ('fitted: 4 of 23 checks failed: not to be used', 'invented: fitted to invented readings')
    """
    origin = of_invented(FITTED) if invented else FITTED
    return f"{origin}{'; ' if invented else ': '}{in_short(stamp)}" if stamp else origin


def is_fitted(origin: str) -> bool:
    """Return whether a number was fitted along with the law, to readings of a bench or to invented ones."""
    return origin.removeprefix(f"{INVENTED}: ").startswith(FITTED)
