"""How the readings lie about the law: their size, a pattern among them, a single one that pulls; and what that means where the law is used.

Each is asked twice: whether it is more than chance, and whether it moves the stress by more than it is known (see `consequence`).
What is real and small passes, as seen, and its size is said. Stated uncertainties that are too small also make the limits of the parameters
false, whatever the stress: those fail where the limits are too narrow by more than a quarter. A drift in the order of reading, or a stray, is in no
interval: it fails where it puts these off by as much.
"""

from functools import partial
from typing import NamedTuple

import numpy as np

from ..checking import Check
from ..nomenclature import and_, number, with_decimals, written
from . import consequence
from .consequence import beside, beside_off, share
from .estimate import inside, leverages
from .lack_of_fit import LEAST, left, smoothed
from .residuals import FEWEST, chance_words, limit, lines, neighbours, studentised

RARE = 0.0015  # tail on either side of the misfit
UNLIKELY = 0.25  # of the reading: an unknown error as large is no scatter; common practice, no source
STRAY = " That is more than readings scatter: the law does not describe them, or rows do not belong."
MOST_NAMES = 12  # of tests that a sentence names
NARROW = 1.25  # by which limits may be too narrow: those of 95 % then hold 0.88
RATE = "shear_rate"
QUESTIONS = {RATE: "readings follow the law at all rates", "run_order": "readings do not drift in the order of reading"}
ALONG = {RATE: "along the rate", "run_order": "in the order of reading"}
TRENDS = {  # what may leave a pattern along a column of the residuals
    RATE: "Another law, slip or an end effect looks like this: compare laws, and look where the residuals leave the line.",
    "run_order": "The paste changed while it was read (drying, rest, temperature): repeat the first row last.",
}


def misfit(result):
    """Do the residuals have the size that was stated, or a usual one where none was?"""
    return [*_size_that_was_estimated(result), *_size_that_was_stated(result)]


def _scatters(result):
    """Return the scatter that was found beside rounding, by the name of its test."""
    return {
        test.name: test.relative_uncertainty
        for test in result.tests
        if test.rounding_alone and test.relative_uncertainty
    }


def _size_that_was_estimated(result):
    """Are errors that nobody stated as large as readings scatter?"""
    scatters = _scatters(result)
    sizes = {
        test.name: size
        for test, size in zip(result.tests, result.problem.sizes, strict=True)
        if not test.error_is_known and test.error == "relative"
    } | scatters
    if not sizes:
        return []
    alike: dict[tuple[bool, str], list[str]] = {}  # tests that share one size, the largest first
    for name in sorted(sizes, key=sizes.get, reverse=True):
        alike.setdefault((name in scatters, written(sizes[name], "%", 2)), []).append(name)
    first, *others = [
        (_beside_rounding if rounded else _not_stated)(_named(names), size) for (rounded, size), names in alike.items()
    ]
    largest = max(sizes.values())
    passed = largest < UNLIKELY
    comment = " ".join([first + ("" if passed else STRAY), *others])
    return [Check("scatter about the law as expected", largest, UNLIKELY, passed, comment)]


def _squares_as_stated(result):
    """Return the sum of squares of what has a stated uncertainty, and its degrees of freedom.

    Beside readings of unknown error those of the others count for themselves, less what they pay of the parameters.
    """
    problem, tests = result.problem, result.tests
    known = [place for place, test in enumerate(tests) if test.error_is_known]
    scatter, inside_means = inside(problem, known)
    if result.freedom is None:
        return result.chi_square + scatter, result.degrees_of_freedom
    first = np.cumsum([0, *problem.counts])
    rows = np.concatenate([np.zeros(0, int), *(np.arange(first[place], first[place + 1]) for place in known)])
    squares = float(np.sum(result.minimum.residuals[rows] ** 2)) + scatter
    return squares, len(rows) - float(leverages(result.minimum)[rows].sum()) + inside_means


def _size_that_was_stated(result):
    """Are stated uncertainties as large as the residuals? They are never rescaled, so smaller ones make false limits.

    What the scatter leaves open of the stress may be little beside a model error, and the parameters' limits, which hold no model
    error of the kind that moves all readings alike, still be false: both are asked.
    """
    squares, free = _squares_as_stated(result)
    if free < 1:
        return []
    from scipy.special import chdtri

    low, high = (float(chdtri(free, tail)) / free for tail in (1 - RARE, RARE))
    value = squares / free
    of_these = (
        [] if result.freedom is None else list(dict.fromkeys(test.name for test in result.tests if test.error_is_known))
    )
    of = f" of {and_(of_these)} alone (over the degrees of freedom that these readings have)" if of_these else ""
    numbers = f"Reduced chi-square{of} {with_decimals(value, 2)}; with the stated uncertainties {with_decimals(low, 2)} to {with_decimals(high, 2)} is usual."
    comment = "The readings lie about as far from the law as their stated uncertainties say."
    passed = low <= value <= high
    if value > high:
        times = float(np.sqrt(value))
        more, allowed = consequence.open_by_scatter(result, times)
        passed = more < allowed and times <= NARROW
        comment = (
            f"The readings lie {number(times, 2)} times as far from the law as their stated uncertainties allow, so the limits of every "
            f"parameter are too narrow by about that factor, as far as they rest on them. Errors of that size leave another {share(more)} "
            f"of the stress open {consequence.where(result)}: {beside(more, allowed)}."
        )
        if not passed:
            comment += (
                " State larger uncertainties, or none: then they are estimated from the scatter. Look for stray rows and another law "
                "first."
            )
    if value < low:
        comment = "The readings scatter less than stated: the uncertainties are too large, or rows were smoothed."
    return [
        Check(
            "scatter about the law as expected",
            value,
            f"{with_decimals(low, 2)} to {with_decimals(high, 2)}",
            bool(passed),
            f"{comment} {numbers}",
            seen=bool(value > high),
        )
    ]


def _named(names):
    """Return the names of tests, the first of them where there are many."""
    more = [f"{len(names) - MOST_NAMES} more"] if len(names) > MOST_NAMES else []
    return and_([*names[:MOST_NAMES], *more])


def _not_stated(names, size):
    """Return in words how far readings scatter of which nobody stated an uncertainty."""
    return f"No uncertainty was stated for {names}; the residuals say {size}."


def _beside_rounding(names, size):
    """Return in words how far readings scatter beside what they, or what they are computed from, were rounded to."""
    return (
        f"Of {names} it was stated to what a value was rounded, which says nothing of how readings scatter; the residuals show another "
        f"{size} of each reading, and that was taken. State it beside if it is known."
    )


class Pattern(NamedTuple):
    """What is left along a column of the residuals: three normal deviates as rare, and its size as a share of the stress."""

    line: float
    bend: float
    alike: float
    size: float
    allowed: float
    place: str
    beyond: bool

    @property
    def real(self):
        """Whether it is more than chance."""
        return max(abs(self.line), abs(self.bend), self.alike) >= limit(3)

    def words(self, along):
        """Return the beginning of a sentence on it: how readings leave the law `along` something."""
        if not self.real:
            return f"The readings leave the law without a pattern {along}:"
        line, bend = abs(self.line), abs(self.bend)
        if max(line, bend) < limit(3):
            return f"The readings wave about the law {along}:"
        return f"The readings {'drift' if line > bend else 'bend'} away from the law {along}:"

    @property
    def matters(self):
        """Whether it is real and moves the stress by more than is allowed, or the law is used beyond the rates read."""
        return bool(self.real and (abs(self.size) >= self.allowed or self.beyond))


def pattern(result, column):
    """Return the `Pattern` along the rate or the order of reading; None where too few readings have a place in it."""
    frame = result.residuals
    order = frame[column].to_numpy(float)
    with np.errstate(divide="ignore", invalid="ignore"):
        order = np.where(frame.bound == 0, np.log(order) if column == RATE else order, np.nan)
    order[~np.isfinite(order)] = np.nan
    if np.isfinite(order).sum() < FEWEST or np.nanmax(order) == np.nanmin(order):
        return None
    x = 2 * (order - np.nanmin(order)) / (np.nanmax(order) - np.nanmin(order)) - 1
    _, (line, bend) = lines(result, np.nan_to_num([-x, np.nanmean(x * x) - x * x]))  # read minus predicted
    found = _size(result, order, along_rate=column == RATE)
    return Pattern(line, bend, neighbours(result, order), *found, column == RATE and consequence.goes_beyond(result))


def trends(result):
    """Is a pattern left in the residuals along the rate, or along the order of reading, and does it matter where the law is used?"""
    rows = []
    for column, remedy in TRENDS.items():
        found = pattern(result, column)
        if found is None:
            continue
        comment = f"{found.words(ALONG[column])} they lie up to {share(found.size)} of the stress "
        comment += f"{'above' if found.size > 0 else 'below'} the law {found.place}"
        held = beside if column == RATE else partial(beside_off, result)
        comment += f", {held(found.size, found.allowed)}." if found.real else ", no more than chance."
        if found.real and not found.matters and result.problem.lack_of_fit:
            comment += " The intervals hold it."
        if found.real and found.beyond:
            comment += " The law is used beyond the rates read, where a bend goes on to grow: read at those rates too."
        if found.matters:
            comment += f" {remedy}"
        comment += (
            f" In standard deviations: {with_decimals(found.line, 1)} (slope), {with_decimals(found.bend, 1)} (bend), "
            f"{with_decimals(found.alike, 1)} (neighbours alike); chance alone seldom passes {with_decimals(limit(3), 1)}."
        )
        rows.append(
            Check(QUESTIONS[column], abs(found.size), found.allowed, not found.matters, comment, seen=found.real)
        )
    return rows


def _size(result, order, along_rate):
    """Return how far the readings lie from the law, smoothed along an order, as a share of the stress; the share allowed; and where."""
    allowed, rates = (consequence.allowed if along_rate else consequence.may_be_off)(result)
    smooth = smoothed(order, *left(result))
    places = np.flatnonzero(np.isfinite(order))
    places = places[np.argsort(order[places], kind="stable")]
    if not along_rate:
        size = _farthest(result, order, smooth[places])
        return float(size), float(allowed.min()), "somewhere along it"
    here = np.interp(np.log(rates), order[places], smooth[places])
    size, most = consequence.worst(here, allowed)
    return size, most, f"{consequence.where(result)} (at {written(rates[np.flatnonzero(here == size)[0]], '1/s', 2)})"


def _farthest(result, order, together):
    """Return how far the readings lie from the law at most in their order, as a share of the stress: of all `together`, or of one record.

    Each record has an order of its own, and what one of them does another may hide.
    """
    shares, weights = left(result)
    tests = result.residuals.test.to_numpy()
    own = [(tests == place) & np.isfinite(order) for place in range(len(result.tests))]
    smooth = [smoothed(order[rows], shares[rows], weights[rows]) for rows in own if rows.sum() >= LEAST]
    sizes = np.concatenate([together, *smooth])
    return sizes[np.argmax(np.abs(sizes))]


def _of_farthest(frame, student, how):
    """Return in words which reading lies farthest off, with its residual as tables have it; "" where there is none."""
    if not len(frame):
        return ""
    row = frame.iloc[int(np.argmax(np.abs(student)))]
    return f" (the farthest, {row['name']} row {row['row']}: a residual of {with_decimals(row['residual'], 2, sign=True)}, {how})"


def strays(result):
    """Say whether a single reading pulls the fit, so far that it matters where the law is used."""
    frame, passed = result.residuals, True
    sound = (frame.bound == 0).to_numpy()
    independent = -result.minimum.residuals[: len(frame)][sound]  # of runs: with their factors integrated out
    frame = frame[sound]
    spread = np.sqrt(np.maximum(1 - frame.leverage, 0.02))
    student = studentised((independent / spread).to_numpy(), result.freedom)
    most = limit(len(frame))
    wrong = np.abs(student) > most
    value = float(np.max(np.abs(student), initial=0.0))
    how = f"{'in' if result.freedom is None else 'ex'}ternally studentised {chance_words(value, most)} among so many"
    comment = f"No reading lies farther off than readings scatter{_of_farthest(frame, student, how)}."
    if wrong.any():
        worst = np.flatnonzero(wrong)[np.argsort(-np.abs(student[wrong]))]
        which = "; ".join(
            f"{row['name']} row {row['row']} ({written(row['reading'], row['unit'], 4)}, law {written(row['predicted'], row['unit'], 4)})"
            for _, row in frame.iloc[worst[:4]].iterrows()
        )
        which += f"; and {len(worst) - 4} more" if len(worst) > 4 else ""
        moved, allowed = consequence.moves_without(result, np.flatnonzero(sound)[wrong])
        few = np.count_nonzero(~wrong) <= len(result.problem.free)  # to tell how the stress moves without
        passed = not few and abs(moved) < allowed
        comment = (
            f"Far off: {which} ({how}). Too few are left without them to tell what the law is."
            if few
            else f"Far off: {which} ({how}). Without {'it' if wrong.sum() == 1 else 'them'} the stress moves by up to {share(moved)} "
            f"{consequence.where(result)}: {beside_off(result, moved, allowed)}."
        )
    if not passed:
        comment += " Read again what pulls so; leave out only for a reason found outside the fit."
    places = result.residuals.groupby("test").cumcount()[frame.index]
    rows = () if passed else tuple(zip(frame.test[wrong].tolist(), places[wrong].tolist(), strict=True))
    return [Check("no reading pulls the fit", value, most, passed, comment, rows, bool(wrong.any()))]
