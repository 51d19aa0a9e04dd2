"""Where a number comes from: one of five words, and after a colon the detail.

>>> word_of("measured: oven moisture test of the bench")
'measured'
"""

from .errors import DataError

MEASURED = "measured"  # by a test of this paste or machine that says nothing about the law
FITTED = "fitted"  # with the law, to readings
TABLE = "table"  # a handbook, a data sheet, what is printed on the part
ASSUMED = "assumed"  # nobody measured it: usual values, or typed without a source
INVENTED = "invented"  # for demonstration, and whatever follows from it
ORIGINS = (MEASURED, FITTED, TABLE, ASSUMED, INVENTED)

USUAL = f"{ASSUMED}: usual for pastes, common practice"
NOT_IDENTIFIED = "not identified"  # what the readings leave open has no value, and this in place of an origin
UNSAID = f"{ASSUMED}: given without an origin"
TYPED = f"{ASSUMED}: typed into the page, its source was not asked"


def word_of(origin):
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


def of_invented(origin):
    """Return the origin of what follows from invented readings: it is invented too.

    >>> of_invented("measured: cup density, 3 readings"), of_invented("fitted")
    ('invented: cup density, 3 readings', 'invented: fitted to invented readings')
    """
    word, _, detail = origin.partition(": ")
    return origin if word == INVENTED else f"{INVENTED}: {detail or f'{word} to invented readings'}"


def is_fitted(origin):
    """Return whether a number was fitted along with the law, to readings of a bench or to invented ones."""
    return origin.removeprefix(f"{INVENTED}: ").startswith(FITTED)
