"""What a page says of limits at one point: the answer, every limit judged as a table, and what was not judged; no widget."""

from typing import NamedTuple

import numpy as np

from ...charts import zone_words
from ...limits import LIMITS, judge
from ...limits.chosen import chosen
from ...limits.judgement import broken_anyway, withheld
from ...nomenclature import between, sentence, written
from ...part.job import FIBRE, PRINT
from ...planning import in_a_word
from ...planning.chances import LIKELY, STOPPED, held_too_seldom
from ...planning.extrapolation import outside_readings
from ...regions.maps import NOT_ASKED
from .elements import caution, details, paragraph, result, stamped, table

OFTEN = 0.05  # of the draws
NEAR = 0.01  # K, a room that is no more than that is not told in digits
COULD_STOP = ("nozzle above gel point", "set before winding")
"""Without which there may be no fibre at all: not judged, they hold back what the others say."""
TABLE = "Every limit judged at the point, the first to bind first"
CALLED = {PRINT: "printable", FIBRE: "drawable"}


def answer(alone, where, below=()):
    """Return what is to be said of a point: the answer first, then why, and what to do.

    Parameters
    ----------
    alone : RegionMap
        Of that single point, with draws.
    where : str
        The point in words.
    below : collection of str
        Cautions that stand below it, and are not said twice.
    """
    said = finding(alone)
    why = " ".join(filter(None, [said.why, sentence(said.remedy)]))
    stamps = "".join(map(stamped, case_of(alone).caveats))
    told = result(f"{where}: {said.headline}.") + paragraph(alone.unjudged) + paragraph(why)
    return stamps + told + caution("" if said.caution in below else said.caution)


def case_of(alone):
    """Return the case of the map of a single point."""
    return alone.at(**{name: float(values[0]) for name, values in alone.axes.items()})


class Finding(NamedTuple):
    """What a point comes to, without a full stop: in full and in short, what stops it first in both, remedy and caution."""

    headline: str
    short: str
    why: str
    first: str
    remedy: str
    caution: str
    stopped: bool = True


def finding(alone):
    """Return the `Finding` of the map of a single point, with draws."""
    probability, case = float(alone.probability[0, 0]), case_of(alone).without_caveats
    asked = chosen("answer", None, case.job)
    if anyway := broken_anyway(case, asked):
        row = judge(case, anyway).iloc[0]
        return Finding(f"{STOPPED}, {row.words}", f"{STOPPED}, {row.words}", "", row.label, row.remedy, row.caution)
    if alone.refused:
        limit = alone.refused[0]
        row = judge(case, limit).iloc[0]
        short = f"{STOPPED}: {held_too_seldom(limit.label, float(alone.holds[limit.name][0, 0]))}"
        return Finding(
            f"{short}; nothing is averaged over that",
            short,
            sentence(row.words),
            limit.label,
            limit.remedy_for(case),
            row.caution,
        )
    error = 100 * float(alone.probability_error[0, 0])
    open_ = withheld(case, asked)
    word = f"not to be called {CALLED[case.job.kind]}" if open_ else _as_far_as_known(case, asked, probability)
    every = "Every limit judged" if alone.unjudged else "Every limit"
    holds = f"{every} holds in {100 * probability:.0f} of 100 cases"
    headline = f"{word}. {holds} (± {max(error, 1.0):.0f} by the number of draws)"
    short = f"{word.partition(';')[0]}: holds in {100 * probability:.0f} of 100 cases"
    first = max(alone.stops_first, key=lambda name: float(alone.stops_first[name][0, 0]))
    share = float(alone.stops_first[first][0, 0])
    if share <= 0:
        return Finding(
            headline, short, "No limit judged stopped a single draw.", "nothing that is judged", "", "", stopped=False
        )
    limit = next(one for one in alone.limits if one.name == first)
    stops = f"{zone_words(first)}, in {100 * share:.0f} of 100 cases"
    why = f"What stops it first, most often: {stops}."
    row = judge(case, [limit]).iloc[0]
    return Finding(headline, short, why, stops, limit.remedy_for(case), row.caution, stopped=False)


def _as_far_as_known(case, asked, probability):
    """Return what a probability means, held back by what was not judged and could stop it, and by what was not read."""
    open_ = [limit.name for limit in asked if limit.name in COULD_STOP and limit.concerns(case) and limit.missing(case)]
    likely = probability >= LIKELY
    word = in_a_word(probability)
    if open_:
        word = "nothing judged stops it" if likely else word
        word = f"{word}, as far as judged ({', '.join(open_)} not judged)"
    if outside := outside_readings(case):
        word = "nothing stops it" if likely and not open_ else word
        word = f"{word}; extrapolated, outside the readings ({'; '.join(outside)})"
    return word


def limit_table(alone):
    """Return every limit judged at a point as a table, value, what is allowed, room and shares of the draws, and remedies."""
    case, by_name = case_of(alone), {limit.name: limit for limit in alone.limits}
    rows, remedies = [], []
    for row in judge(case, alone.limits).itertuples():
        of_draws = alone.holds.get(row.Index), alone.stops_first.get(row.Index)
        holds, first = (share if share is None else float(share[0, 0]) for share in of_draws)
        shares = ["-" if share is None else f"{100 * share:.0f}" for share in (holds, first)]
        rows.append([row.Index, written(row.value, row.unit), allowed(row), _room(by_name[row.Index], row), *shares])
        if row.verdict != "inside" or (first or 0) >= OFTEN:
            remedies.append(f"{zone_words(row.Index).capitalize()}. To do: {by_name[row.Index].remedy_for(case)}.")
    head = ["limit", "value", "allowed", "room", "holds in", "first in"]
    note = "Holds in, and broken first in, so many of 100 draws. Room: a factor on the value, 1 where it just holds; of a temperature, kelvins."
    return table(head, rows, TABLE) + paragraph(note) + "".join(map(paragraph, remedies))


def allowed(row):
    """Return what a limit allows, from a row of `judge`, in words."""
    low, high = not (np.isnan(row.low) or row.low < 1e-6), not np.isnan(row.high)
    if low and high:
        return between(row.low, row.high, row.unit)
    return f"≥ {written(row.low, row.unit)}" if low else f"≤ {written(row.high, row.unit)}" if high else "any"


def _room(limit, row):
    broken = "" if row.verdict == "inside" else f", {row.verdict}"
    if limit.width:
        return f"{_difference(limit, row)}{broken}"
    return f"{limit.times(row.margin)}{broken}"


def _difference(limit, row):
    """Return how far a value is from the nearer bound, also where a setting that is kept has endless room on a map."""
    margin = row.margin
    if np.isinf(margin):
        margin = np.nanmin([row.value - row.low, row.high - row.value]) / limit.width
    near = limit.unit == "K" and 0 < abs(margin * limit.width) < NEAR
    return f"< {written(NEAR, 'temperature_difference')}" if near else limit.room(margin, 2)


def not_judged_words(found):
    """Return the limits that could not be judged, and why, folded away; apart from them those that the job does not ask."""

    def label(name):
        return LIMITS[name].label if name in LIMITS else name

    rows = [[name, label(name), why] for name, why in found.not_judged.items() if why != NOT_ASKED]
    other = [f"{name} ({label(name)})" for name, why in found.not_judged.items() if why == NOT_ASKED]
    out = table(["limit", "what", "why"], rows, "Not judged") if rows else ""
    out = details(f"Not judged, and why ({len(rows)})", out) if rows else paragraph("Every limit asked was judged.")
    return out + (details(f"Not asked by this job ({len(other)})", paragraph(", ".join(other))) if other else "")
