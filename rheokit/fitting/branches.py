"""Runs of one record side by side: how much they differ, and how far up and down branch of a loop lie apart.

Both are told with their size, and fail where the stress at the rates of use depends on which run is taken by more than a repeat may
differ, or by more than it is known (see `consequence`). The intervals hold what sets runs apart, and either branch of one loop (see
`run_factors`), so a failed row is to be read and forbids nothing. Those of several loops are narrower than what parts the branches, which has a sign:
where that is more than chance at every rate of use it is judged as what no interval holds. Judged so wherever it is more than chance at one rate,
13 of 600 benches failed whose runs differ by 4 % and whose branches do not, so 3; and so of 60 benches each with branches 8 % apart 1, 31 and 50 fail
of two, three and four loops. What two branches differ by is told only where it is more than chance (see `loops`).
"""

import numpy as np

from ..checking import Check
from ..nomenclature import with_limits, written
from ..sampling import SURE
from . import consequence
from .consequence import share
from .loops import compared, pairs_of
from .residuals import rows_of
from .run_factors import USUAL, is_loop, levels

REPEATS = 0.10  # of the stress, by which a repeat may differ; common practice, no source
ALL = ", all of which may pass since it may be chance at some of these rates"
FAR = 10.0  # share of a stress, from which on chance is given no number


def all_checks(result):
    """Return the rows that can be asked."""
    return [*runs_repeat(result), *hysteresis(result)]


def runs_repeat(result):
    """Say how much the runs of one record differ, beside what their readings scatter."""
    runs = result.problem.runs
    if not runs or is_loop(runs) or result.run_spread is None:
        return []
    spread, freedom = result.run_spread
    above, _ = levels(result.problem, result.minimum.theta)
    low, high = (runs[int(place)] for place in (np.argmin(above), np.argmax(above)))
    passed = bool(spread < REPEATS)
    comment = (
        f"{len(runs)} runs of {' and '.join(dict.fromkeys(result.tests[run.test].name for run in runs))} differ by {share(spread)} of the stress "
        f"(standard deviation, beside the scatter of their readings): run {low.number} lies {_by(above.min())} the law, run {high.number} "
        f"{_by(above.max())}. The law is that of the median run; intervals hold what sets runs apart."
    )
    if freedom < 3:
        comment += " So few runs hardly tell how much runs differ: read more."
    if not passed:
        comment += (
            " That is more than repeats of one paste differ: fix filling, pre-shear and rest, or choose the runs that are meant with runs "
            "in the [[test]] of bench.toml."
        )
    rows = () if passed else rows_of([result.tests[place] for place in {run.test for run in runs}], result)
    return [Check("runs repeat", spread, REPEATS, passed, comment, rows)]


def _by(level):
    return f"{share(np.expm1(level))} {'above' if level > 0 else 'below'}"


def hysteresis(result):
    """Say how far up and down branch of a loop lie apart, what of it is more than chance, and what it leaves open of the stress in use."""
    found = [_judged(result, test, pairs) for test in result.tests if (pairs := pairs_of(test, result.law))]
    found.sort(key=lambda row: (row.passed, -row.value / row.threshold))
    if len(found) < 2:
        return found
    rows = tuple(dict.fromkeys(one for row in found for one in row.rows))
    comment = " ".join(row.comment for row in found)
    return [found[0]._replace(comment=comment, rows=rows, seen=any(row.seen for row in found))]


def _judged(result, test, pairs):
    """Return the row of one record with its pairs of branches."""
    found = compared(pairs)
    alone = len(pairs) == 1
    most, used = consequence.allowed(result)
    used = np.clip(used, found.rates[0], found.rates[-1]) if used.max() > 0 else found.rates[:1]
    places = np.interp(np.log(used), np.log(found.rates), np.arange(len(found.rates)))
    apart, chance = (np.interp(places, np.arange(len(found.rates)), values) for values in (found.apart, found.chance))
    everywhere = not alone and bool(np.all(np.abs(apart) > chance))
    if everywhere:
        most, _ = consequence.may_be_off(result)
    place = int(np.argmax(np.abs(apart / 2) / most))
    size, allowed = float(apart[place] / 2), float(np.broadcast_to(most, apart.shape)[place])
    usual = SURE * np.sqrt(2) * USUAL
    real = abs(apart[place]) > max(chance[place], usual if alone else 0.0)
    passed = bool(abs(size) < allowed or not real)
    comment = (
        f"{test.name}{_numbers(pairs)}: {_farthest(found)} {_area_in_words(found, _alike(found))} The law is taken from both, and lies within "
        f"{share(size)} of the stress of either {consequence.where(result)}"
    )
    if real:
        held = consequence.beside_off(result, size, allowed) if everywhere else consequence.beside(size, allowed)
        comment += f": {held}" + (ALL if passed and not alone and not everywhere else "")
    comment += "."
    if alone:
        comment += (
            f" One pair of branches does not tell hysteresis from what sets two runs of one paste apart, {share(usual)} usually at the "
            "most (95 %): read several loops."
        )
    else:
        comment += (
            f" What is more than chance is told by how {len(pairs)} pairs of branches differ among themselves, at each rate by itself: limits "
            "are those of a rate that was chosen beforehand, and the farthest of many lies outside them more often than 5 times in 100."
        )
    if not passed:
        comment += (
            ' Which branch is meant matters: write branch = "down" in the [[test]] of bench.toml for paste that was sheared before, as in a '
            'nozzle, branch = "up" for paste at rest.'
        )
    rows = () if passed else rows_of([test], result)
    return Check("up and down branch agree", abs(size), allowed, passed, comment, rows, bool(real))


def _numbers(pairs):
    """Return the runs that were compared, in words; nothing where one run holds both branches."""
    said = [f"{one} and {other}" for pair in pairs for one, other in [pair.numbers] if one != other]
    return f" (runs {', '.join(said)})" if said else ""


def _farthest(found):
    """Return in words where the branches lie farthest apart beside chance."""
    place = int(np.argmax(np.abs(found.apart)))
    value, chance = float(found.apart[place]), float(found.chance[place])
    at = written(found.rates[place], "1/s", 2)
    if _alike(found):
        return (
            f"at no rate alone do the branches differ by more than chance (they lie farthest apart at {at}, by {share(np.expm1(abs(value)))}; "
            f"{_wide(np.expm1(chance), '%')} is chance)."
        )
    low, size, high = sorted(abs(float(np.expm1(one))) for one in (value - chance, value, value + chance))
    return (
        f"the branches lie farthest apart at {at}, where the up branch is {_limited(size, low, high, '%')} "
        f"{'above' if value > 0 else 'below'} the down branch."
    )


def _wide(value, unit):
    return "any size" if value > FAR else f"up to {written(value, unit, 2)}"


def _alike(found):
    """Return whether the branches differ by no more than chance where they lie farthest apart."""
    place = int(np.argmax(np.abs(found.apart)))
    return bool(abs(found.apart[place]) <= found.chance[place])


def _area_in_words(found, at_no_rate=False):
    """Return in words the area between the branches, and its share of that under the up branch; it may be told where `at_no_rate` a difference is."""
    if abs(found.area) <= found.area_chance:
        return (
            f"The area between them, {written(abs(found.area), 'W/m³')} (Pa/s), {share(found.share)} of that under the up branch, is not told "
            f"from 0 by these readings ({_wide(found.share_chance, '%')} is chance)."
        )
    area, part = abs(found.area), abs(found.share)
    begin = "All rates together they do: by" if at_no_rate else "By"
    return (
        f"{begin} the area between them, {_limited(area, area - found.area_chance, area + found.area_chance, 'W/m³')} (Pa/s), the up branch lies "
        f"{'above' if found.area > 0 else 'below'}: {_limited(part, part - found.share_chance, part + found.share_chance, '%')} of that "
        "under it."
    )


def _limited(value, low, high, unit):
    """Return a value with its limits, alone where they are the same to any reader."""
    return written(value, unit) if high - low < 1e-3 * value else with_limits(value, low, high, unit)
