"""What failed checks mean for every number of a fit: may it be used, what is the likeliest cause, what to do first.

One fault makes several checks fail: rows read too early also push the apparatus away from its description, pull the fit
and leave a trend. So causes stand in an order, and what comes later may be the consequence of what comes before:

1. the computation itself: a search that did not end says nothing about the paste;
2. a plate, a fill or a barrel that cannot be: a unit slip; grains too large for a bore or a gap;
3. what the paste did on the bench, each looked for by a sign of its own: rows before the flow was steady, slip, friction,
   drift. They come before 4, since each of them pushes friction, bore and model factors from their description: of the
   demonstration benches with planted faults two fail "apparatus as described" as well, and nothing is wrong with it;
4. flow below the yield stress, what was told of the apparatus, tests that contradict each other: no law follows both;
5. the end loss, and single readings;
6. what any of these leaves behind: trends, and how far the readings scatter.

A check is grave where the numbers themselves are wrong if it is right. It is a caution where they stand but for a doubt
that they already carry (open or one-sided limits, "not identified") or that one must add (a narrow interval, rates not
read). A question that is not in this list counts as grave, before the consequences.
"""

from collections import Counter
from typing import NamedTuple

from ..checking import beyond
from ..origins import NOT_TO_BE_USED


class Cause(NamedTuple):
    """What a failed check says went wrong, what to do about it in one sentence, and whether the numbers may be used."""

    words: str
    remedy: str
    grave: bool = True


FILL = Cause("fill length or barrel diameter cannot be as stated", "Check both, and their units, before anything else.")
CONTRADICT = Cause(
    "tests of one paste contradict each other",
    "Look for slip, drainage, a sliding foot, a wrong unit or another batch, and leave out the test that is wrong.",
)
CHANGED = "the paste changed while it was read"
CAUSES = {
    "converged": Cause(
        "the search stopped before the best fit was found",
        "Fit a simpler law; in a script, give start= near the answer.",
    ),
    "gap of the plate as usual": Cause(
        "a plate's radius or volume cannot be", "Check whether a diameter was entered as a radius, and the volume."
    ),
    "fill as usual for the barrel": FILL,
    "no more pushed than filled in": FILL,
    "grains small against bores and gaps": Cause(
        "grains are too large for a bore or a gap", "Sieve finer, or take a wider bore or a thicker layer."
    ),
    "needle keeps its temperature": Cause(
        "a bare needle was colder than the barrel",
        "Heat it or push faster, purge it after every rest, and repeat these rows.",
    ),
    "rows read when steady": Cause(
        "rows were read before the flow was steady", "Wait longer, take the air out, or leave those rows out."
    ),
    "ball in a liquid without a yield stress": Cause(
        "the ball is held or slowed by a yield stress, which its formula does not know",
        "Take a heavier ball, or measure with a nozzle or a viscometer.",
    ),
    "ball falls slowly enough": Cause(
        "the ball falls too fast for its formula", "Take a smaller or lighter ball, or a narrower tube."
    ),
    "drains slowly enough": Cause("the jet carries off part of the head", "Take a longer or a finer nozzle."),
    "no flow below yield (slip)": Cause(
        "the paste slips at the wall",
        "Roughen the walls and read again, or fit the slip: "
        'write slip = "fitted" in the [[test]] of each bore in bench.toml (three bores).',
    ),
    "friction known well enough": Cause(
        "friction is most of the force and not well known", "Measure it with an empty barrel and state its uncertainty."
    ),
    "no drift through the stroke": Cause(
        "the paste was filtered or dried along the stroke",
        "Weigh and dry the first and the last extrudate; go faster, grind finer or add gum.",
    ),
    "first setting repeats": Cause(CHANGED, "Cover it, fix the rest before each reading, read faster."),
    "no flow below the tests' yield stress": Cause(
        "rows flow below the yield stress that the tests give",
        "Look for slip, rows read too early, or a wrong unit in the tests of the yield stress.",
    ),
    "kinds of test agree": CONTRADICT,
    "apparatus as described": Cause(
        "what was told of the apparatus contradicts the readings",
        "Check dimensions, fill, friction and units of the records named.",
    ),
    "yield stresses agree": CONTRADICT,
    "no batch apart from the others": Cause(
        "a batch differs from the others by more than its conditions explain",
        "Look at its filling, rest, drying and lot; make it again.",
        False,
    ),
    "records differ by their conditions alone": Cause(
        "records of one batch differ by more than their conditions explain",
        "The limits hold it: look at filling, rest, drying and lot to narrow them.",
        False,
    ),
    "end loss as the formula says": Cause(
        "the ends cost something else than the formula says",
        'Fit them: write end_correction = "fitted" in the [[test]] of each length in bench.toml.',
    ),
    "no reading pulls the fit": Cause(
        "single readings lie far off", "Read them again; leave them out only for a reason found outside the fit."
    ),
    "readings do not drift in the order of reading": Cause(
        CHANGED, "Repeat the first row last; fix the rest before each reading."
    ),
    "readings follow the law at all rates": Cause(
        "the law bends otherwise than the readings", "Compare laws, and look for slip."
    ),
    "scatter about the law as expected": Cause(
        "the readings lie farther from the law than their error, so limits are too narrow",
        "Look for stray rows and another law; else state larger uncertainties, or none.",
    ),
    "effects of conditions shown": Cause(
        "the readings leave open whether a condition matters at all",
        "Read farther apart in it; in a script, its effect can be stated, fixed=.",
        False,
    ),
    "parameters identified": Cause(
        "the readings do not fix every parameter", "What rests on it is not identified: add the test named.", False
    ),
    "plausible for a paste": Cause("a value is not that of a paste", "Check units and the law.", False),
    "yield stress identified": Cause(
        "the yield stress is hardly known", "Use its limits, and settle it with the test named.", False
    ),
    "no parameter at a bound": Cause("a parameter rests on its bound", "Read its one-sided limit.", False),
    "friction leaves little of the force open": Cause(
        "friction is most of the force, and its uncertainty leaves much of the paste's share open",
        "The intervals hold it; to narrow them measure friction with several plungers, grease them, or push harder.",
        False,
    ),
    "plate squeezed far enough": Cause(
        "a plate has hardly squeezed its paste, and tells only a bound",
        "Check its volume and whether the mass of the plate was counted; else take more load or less paste.",
        False,
    ),
    "runs repeat": Cause(
        "runs of one record differ more than repeats do",
        "Fix filling, pre-shear and rest, or fit the runs that are meant.",
        False,
    ),
    "up and down branch agree": Cause(
        "up and down branch lie apart, so that the stress depends on which is meant",
        'Fit one of them: write branch = "down" in the [[test]] of each loop in bench.toml.',
        False,
    ),
    "barrel drag described": Cause(
        "drag in the barrel is not described and is read as yield stress", "State the fill length.", False
    ),
    "converging flow in range": Cause(
        "converging flow leaves the range of its formula", "Measure the end loss with two lengths of one bore.", False
    ),
    "use range covered": Cause("the law will be used at rates that were not read", "Read at those rates too.", False),
    "no theory taken as exact": Cause(
        "a test's own theory is taken as exact, so intervals are too narrow",
        "State how far its theory may be off, model_error.",
        False,
    ),
}
OTHER = Cause("a check that failed, named below", "Read its comment.")
FIRST_CONSEQUENCE = "readings do not drift in the order of reading"
SEEN_WORDS = "Seen, more than chance, but too small to fail"
TOO_QUIET = Cause(
    "the readings scatter less than was stated, so intervals are too wide", "State smaller uncertainties.", False
)
SEARCHED = ("no flow below yield (slip)", "end loss as the formula says", "kinds of test agree")
NOT_TOLD = Cause(
    "a search that a check asks for has not ended, so that its question is open", "Read its comment.", False
)


def cause(check):
    """Return the `Cause` of a failed check."""
    if check.question == "scatter about the law as expected" and isinstance(check.threshold, str) and check.value < 1:
        return TOO_QUIET
    if check.question in SEARCHED and isinstance(check.value, float) and check.value != check.value:
        return NOT_TOLD
    return CAUSES.get(check.question, OTHER)


def _rank(check):
    """Return what sorts failed checks: grave ones first, each by its place in the list of causes."""
    places = list(CAUSES)
    place = places.index(check.question if check.question in CAUSES else FIRST_CONSEQUENCE)
    return not cause(check).grave, place, check.question in CAUSES


def failed(result):
    """Return the failed checks as a DataFrame, the likeliest cause first: grave ones, then cautions."""
    found = result.checks_with_rows[~result.checks_with_rows.passed]
    checks = list(found.itertuples())
    return found.iloc[sorted(range(len(checks)), key=lambda place: _rank(checks[place]))]


def stamp(result):
    """Return whether the numbers may be used, the likeliest cause and what to do; empty where all checks passed."""
    found = failed(result)
    if found.empty:
        return ""
    first = cause(next(found.itertuples()))
    use = NOT_TO_BE_USED if first.grave else f"read {'it' if len(found) == 1 else 'them'} before use"
    return f"{len(found)} of {len(result.checks_with_rows)} checks failed: {use}. Likeliest cause: {first.words}. {first.remedy}"


def forbids(result):
    """Return whether the numbers are not to be used: a failed check is no mere caution."""
    found = failed(result)
    return not found.empty and cause(next(found.itertuples())).grave


def verdict(result):
    """Return the stamp and the questions that failed, the likeliest cause first, in one paragraph."""
    found, small = failed(result), _seen_words(result)
    over = passed_beyond(result)
    if found.empty:
        said = (
            f", {len(over)} of them although beyond {'its limit' if len(over) == 1 else 'their limits'}: {_questions(over)}"
            if len(over)
            else ""
        )
        return f"All {len(result.checks_with_rows)} checks passed{said}.{small}"
    small = (f" Passed, although beyond the limit: {_questions(over)}." if len(over) else "") + small
    return f"{stamp(result)} Failed: {', '.join(dict.fromkeys(found.question))}.{small}"


def passed_beyond(result):
    """Return the checks as a DataFrame that passed although what they found lies beyond their limit, for a reason that their comment says."""
    found = result.checks_with_rows
    return found[[bool(one.passed and not one.seen and beyond(one)) for one in found.itertuples()]]


def _questions(found):
    """Return the questions of some checks in words, each once, with how many asked it."""
    counts = Counter(found.question)
    return ", ".join(one if count == 1 else f"{one} ({count} times)" for one, count in counts.items())


def seen(result):
    """Return the checks as a DataFrame that passed although something more than chance was seen, which is too small to matter."""
    found = result.checks_with_rows
    return found[found.passed & found.seen]


def _seen_words(result):
    """Return a sentence on what was seen and is small, with a space before; nothing where there is none."""
    found = list(dict.fromkeys(seen(result).question))
    return f" {SEEN_WORDS}: {', '.join(found)}." if found else ""


def suspect_rows(result):
    """Return the readings that the likeliest cause points at: (place of the test, place of the reading); none where it names none.

    Rows of later checks may be sound ones, which a faulty test contradicts or pulls the fit away from.
    """
    return next(iter(failed(result).rows), ())
