"""Which reading to take next, in words: what it leaves, what it shows, and what is left where none helps."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np

from ..bench.base import quantity_of
from ..fitting.between_batches import confounded
from ..nomenclature import between, number, or_, written
from .candidate import LOCAL

if TYPE_CHECKING:
    from ..fitting import FitResult
    from .candidate import Candidate
    from .foreseen import Foreseen, Outlook
    from .ranked_readings import NextReading, Ranked

NONE = 0.005  # of the width, below which a reading takes off next to nothing
FAR = 10  # standard deviations, beyond which it does not matter how many
NAMED = 3  # candidates that are named as good as the first; of more the table tells
COUNTS = 0.1  # share of the variance, from which it is worth a word
ROUGH = "rough: it narrows so much that few draws are left to say by how much"
FEW_DRAWS = "cannot be foretold: it is so sharp that next to none of the joint draws agree with what it would read, too few to tell a width"
OPEN_TOLD = "not known how far: it tells of what the readings leave open"
IDENTIFIED = "parameters identified"  # the check
SHOWS_OPEN = "what these readings leave open"
APART = "apart"
OPEN_NOT_TOLD = "leaves open what is open"
WIDENS_AT_BOUND = "may widen it: the interval of today is held narrow by the bound"
WIDENS = "may widen it: with it the interval is wider in the mean of the simulated readings"
MAY_WIDEN = "nothing: may widen it"
SHARED = {  # what readings share, in words
    "model_factor": "the formula of the {whose}",
    "criterion_factor": "the criterion of yield, which stands in the formulae",
    "static_ratio": "how far the static yield stress lies above the dynamic one",
    "batch_factor": "batches",
    "next_batch_factor": "batches",
    "lack_of_fit_factor": "the law, which leaves the readings by more than their scatter",
    "record_factor": "fillings",
    "plunger_friction": "the friction of the plunger",
    "barrel_drag": "the drag of the barrel",
    "bore_factor": "the bore",
    "wall_friction": "the roughness of the plates",
}
OVERLAP = (
    " Each share is how much of the variance of joint draws, as these readings leave them, goes with that one unknown: what they tell of several only together "
    "counts with each, so they overlap, and need not add up to 100 %. They are no shares of an uncertainty budget, whose inputs are what was put "
    "into the fit, each by itself: those add up to 100 %."
)
ASSUMED = "how far batches lie apart is assumed and not read: one batch alone was, and it takes three to tell"
ONE_BATCH = "how far the next batch lies is in no reading: one batch alone was read"


def open_too(fit: FitResult) -> str:
    """Return why what a candidate leaves cannot be foretold: what it reads rests on what the fit leaves open."""
    names = [one.replace("_", " ") for one in fit.problem.law_class.parameters() if one in fit.unidentified]
    asked = "; it is what the failed check asks for" if _fails(fit, IDENTIFIED) else ""
    return f"cannot be foretold from these readings: they do not fix {' and '.join(names) or 'what it rests on'}{asked}"


def _fails(fit, question):
    checks = fit.checks
    return bool((~checks.passed[checks.question == question].astype(bool)).any())


FEW_BATCHES = "cannot be foretold: how far batches lie apart is known of three that were read, or more"


def of_new_batch(foreseen: Foreseen) -> str:
    """Return in words what a batch more leaves of the width besides its mean, which few batches far off make up."""
    half, most = (written(float(np.quantile(foreseen.shares, share)), "%", 2) for share in (0.5, 0.9))
    return (
        "the width is the mean, and a batch more narrows or widens with how far it lies off: half of those that were simulated leave less than "
        f"{half} of the width of now, one in ten more than {most}"
    )


def left_of(outlook: Outlook, batch: str) -> tuple[str, ...]:
    """Return what the interval rests on beside scatter: formulae, batches and apparatus, with their shares of its variance."""
    shares: dict[str, float] = {}
    for key, share in outlook.rests_on.items():
        if share >= COUNTS:
            name = SHARED.get(key.name, key.name.replace("_", " ")).format(whose=key.of or "test")
            shares.setdefault(name, share)
    said = [f"{name} ({written(min(share, 1.0), '%', 2)} of its variance)" for name, share in shares.items()]
    problem = outlook.fit.problem
    if not problem.batches:
        said.append(ONE_BATCH if batch == "median" else ASSUMED)
    elif mixed_up := confounded(problem):
        said.append(f"how far batches lie apart ({mixed_up})")
    return tuple(said)


def sentence(found: NextReading) -> str:
    """Return what to take next in a sentence or two."""
    if not found.ranked:
        return "No candidate is left."
    return _of_open(found) if found.needed else _opens(found) + _of_known(found)


def _of_known(found):
    first = found.ranked[0]
    if first.foreseen is None:
        return f"Not known which reading helps: {first.doubt}"
    if not found.helps:
        return _nothing_helps(found, first)
    low, high = found.expected(first)
    said = (
        f"Take next: {first.candidate.name} ({_effort(first)}). The 95 % interval is {_width(found, found.width)} wide now, "
        f"{_between(found, found.today.low, found.today.high)}, and is expected to be {_width(found, high - low)} wide with it, "
        f"such as {_between(found, low, high)}."
    )
    return said + _at_hand(found) + _as_good(found) + _exposed(found) + _doubted(found)


def _effort(one):
    """Return the work of a candidate in words, and the tools that it asks for."""
    return "; needs ".join(filter(None, [minutes(one.candidate), one.needs]))


def _at_hand(found):
    """Return what is best with the tools of the readings so far, where the first candidate asks for others."""
    if not found.ranked[0].needs:
        return ""
    own = next((one for one in found.ranked if not one.needs and one.foreseen is not None), None)
    if own is None:
        return " Nothing that was foreseen is made with the tools of the readings so far alone."
    share = found.narrowing(own)
    return f" With the tools of the readings so far the best is {own.candidate.name}, expected to take {_taken(share, share)} off the width."


def _opens(found):
    """Return which candidates are not ranked though they tell of what is open or are too sharp for the draws, and why; each reason once."""
    why: dict[str, list[str]] = {}
    for one in found.ranked:
        if one.stands_apart and one.foreseen is None:
            why.setdefault(one.doubt, []).append(_with_tools(one))
    return "".join(
        f"Apart from the others stands {or_(names)}: what it leaves {doubt}. " for doubt, names in why.items()
    )


def _with_tools(one):
    return f"{one.candidate.name} (needs {one.needs})" if one.needs else one.candidate.name


def _as_good(found):
    """Return which candidates cannot be told from the first, in a sentence; the others by their number."""
    names = [_with_tools(one) for one in found.ranked if one.candidate in found.as_good and one.foreseen is not None]
    named = [*names[:NAMED], f"{len(names) - NAMED} more"] if len(names) > NAMED + 1 else names
    return f" As good, as far as can be told: {or_(named)}." if names else ""


def _nothing_helps(found, first):
    share = found.narrowing(first)
    left = "; ".join(found.left) or "scatter, which many repeats wear down slowly"
    best = "the best" if not found.as_good else f"the first of {len(found.as_good) + 1} that cannot be told apart"
    needs = f" (needs {first.needs})" if first.needs else ""
    return (
        f"Nothing cheap will help: {best}, {first.candidate.name}{needs}, is expected to take {_taken(share, share)} off the width of "
        f"{_width(found, found.width)}.{_as_good(found)} What is left is {left}.{_overlap(found)}{_exposed(found)}{_doubted(found)}"
    )


def _overlap(found):
    """Return that shares of the variance overlap, where several are told."""
    return OVERLAP if sum("of its variance" in one for one in found.left) > 1 else ""


def _of_open(found):
    telling = [one for one in found.ranked if one.tells_open]
    if not telling:
        return f"No interval yet: {found.needed}. None of these candidates tells of it."
    more = f" Others that do: {or_(map(_with_tools, telling[1:4]))}." if telling[1:] else ""
    return (
        f"No interval yet: {found.needed}. Take next: {telling[0].candidate.name} ({_effort(telling[0])}), which tells of it; how wide the interval "
        f"will be is not known before.{more}"
    )


def _exposed(found):
    one = found.exposing
    if one is None:
        return " No candidate would show a wrong law: all repeat what was read."
    same = found.helps and one is found.ranked[0]
    lead = (
        "It would also show"
        if same
        else f"To expose what is wrong rather than repeat it: {_with_tools(one)}, which would show"
    )
    far = f"{number(one.apart, 2)}" if one.apart < FAR else f"more than {FAR}"
    other = one.rival if one.rival.endswith("law") else f"{one.rival} law"
    rival = f" (there the {other}, which these readings do not rule out, lies {far} standard deviations off)"
    return f" {lead} {one.candidate.shows}{rival if one.apart >= 1 else ''}."


def _doubted(found):
    first, said = found.ranked[0], ""
    if first.doubt:
        said += f" {first.doubt[0].upper()}{first.doubt[1:]}."
    if found.today.extrapolated:
        said += " The answer lies outside what was read: the width holds if the law does."
    return said


def minutes(candidate: Candidate) -> str:
    """Return the work of a candidate in words."""
    return f"about {number(candidate.minutes, 2)} min of work"


def reading_words(candidate: Candidate, foreseen: Foreseen | None) -> str:
    """Return in words the readings that are expected of a candidate, with their 95 % range."""
    if foreseen is None:
        return ""
    said, first = [], 0
    for test in candidate.tests:
        about, count = quantity_of(test, test.reads), len(test.readings)
        low, high = foreseen.reading[0, first : first + count], foreseen.reading[2, first : first + count]
        first += count
        least, most = float(low.min()), float(high.max())
        ends = between(least, most, about) if least > NONE * most else f"up to {written(most, about)}"
        said.append(f"{test.reads.replace('_', ' ')} {ends}")
    return "; ".join(dict.fromkeys(said))


def _width(found, width):
    return written(width, found.unit) if found.unit else number(width)


def _between(found, low, high):
    return between(low, high, found.unit) if found.unit else f"{number(low)} to {number(high)}"


HEADINGS = (
    *("place", "reading", "expected width", "taken off the width", "work", "taken off the width per minute"),
    "expected to read",
)
NOT_KNOWN = "not known"
TIED = "Cannot be told from the first."


def rows_of(found: NextReading) -> list[tuple[str, ...]]:
    """Return the table of candidates as text, the cells below `HEADINGS`."""
    rows: list[tuple[str, ...]] = []
    for one, place in zip(found.ranked, found.places, strict=True):
        candidate, work = one.candidate, f"{number(one.candidate.minutes, 2)} min"
        if one.foreseen is None:
            rows.append((place, candidate.name, NOT_KNOWN, NOT_KNOWN, work, NOT_KNOWN, NOT_KNOWN))
            continue
        narrowing = found.narrowing(one)
        taken, per_minute = (_taken(share, narrowing) for share in (narrowing, narrowing / candidate.minutes))
        taken = MAY_WIDEN if one.may_widen else taken
        width = _width(found, found.expected_width(one))
        rows.append((place, candidate.name, width, taken, work, per_minute, reading_words(candidate, one.foreseen)))
    return rows


def _taken(share, narrowing):
    """Return a share of the width in words: a simulation does not tell one below half a percent from none."""
    return written(share, "%", 2) if narrowing >= NONE else "next to nothing"


def remarks_of(found: NextReading) -> list[tuple[str, str]]:
    """Return each candidate with what it would show, what is doubtful of it and whether it is as good as the first."""
    said = []
    for one in found.ranked:
        shows = f"Would show {one.shows}." if one.shows else REPEATS if one.repeats else ""
        needs = f"Needs {one.needs}." if one.needs else ""
        tied = TIED if one.candidate in found.as_good and one.foreseen is not None else ""
        doubt = f"{one.doubt[0].upper()}{one.doubt[1:]}." if one.doubt else ""
        said.append((one.candidate.name, " ".join(filter(None, [tied, shows, needs, doubt.replace("..", ".")]))))
    return said


def cautions_of(ranked: Iterable[Ranked]) -> tuple[str, ...]:
    """Return what can hurt where candidates are taken, each sentence once, the deference to local rules last."""
    said: dict[str, None] = {}
    found = []
    for caution in dict.fromkeys(one for each in ranked for one in each.candidate.cautions if one != LOCAL):
        new = [one for one in SENTENCE.split(caution) if one not in said and not DEFERS.fullmatch(one)]
        said |= dict.fromkeys(new)
        found += [" ".join(new)] if new else []
    return (*found, LOCAL) if found else ()


SENTENCE = re.compile(r"(?<=\.)\s+(?=[A-Z])")
DEFERS = re.compile(r"Your laboratory's own rules( and risk assessment)? decide\.")  # which LOCAL says once, at the end
REPEATS = "Would show nothing new: it repeats what was read."


def notes_of(found: NextReading) -> tuple[str, ...]:
    """Return in sentences what the table rests on, and what no reading of it changes."""
    said = [HOW]
    if found.left:
        said.append(f"What these readings leave as it is: {'; '.join(found.left)}.{_overlap(found)}")
    return (*said, USUAL)


HOW = (
    "Each width is the mean over many simulated readings, drawn with their scatter, the errors of theory and of apparatus from what is known now. "
    "It holds if the law does: what repeats others cannot show that it does not. "
    "Candidates that share a place (=) cannot be told apart: their widths lie nearer than 3 % of the present one, or than chance."
)
USUAL = (
    "Minutes, scatter of tests that were not made and errors of theory are the usual ones: common practice, no source."
)
