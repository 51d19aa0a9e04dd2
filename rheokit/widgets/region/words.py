"""What the page of a region says: its labels; a point, its limits and what would change it, as words and rows; no widget."""

import numpy as np

from ...charts import place_words, zone_words
from ...limits import LIMITS, judge
from ...limits.base import room_of
from ...limits.judgement import broken_anyway, withheld
from ...nomenclature import QUANTITIES, between, written
from ...planning import ALL, BATCH, LAW, in_a_word
from ...regions.maps import NOT_ASKED
from ..page.elements import caution, details, paragraph, result, stamped, table

PROBABLE, BEST = "probability (joint draws)", "room with best values"
FOLLOWS = {"layer_height": "layer height follows the bore", "wall_width": "walls are one line wide"}
STIFFNESS = "yield stress as tested, K and E along [Pa]"
FORCE = "greatest force of the drive [N]"
RATING = "printed rating of the barrel [kPa], 0: none"
POINT = "A point: click the picture, or type it here."
BEFORE = "Below stands the last map that worked."
FINE_MAP, WHAT_WILL_DO = "Computing the fine map ...", "Computing what will do ..."
MEASURED_BETTER = "Computing what better measurements would change ..."
OFTEN = 0.05  # of the draws
NO_CHANGE = 0.005  # of a probability
TABLE = "Every limit judged at the point, the first to bind first"
CALIBRATE = (
    "The words likely, try, doubtful and unlikely are common practice, no source. A probability that was never held against "
    "prints of one's own is an opinion: write down what was predicted and what came out."
)


def answer(alone, point):
    """Return what is to be said of a point: the answer first, then why, and what to do.

    Parameters
    ----------
    alone : RegionMap
        Of that single point, with draws.
    point : dict of str to float
    """
    probability = float(alone.probability[0, 0])
    case = alone.at(**{name: float(values[0]) for name, values in alone.axes.items()})
    return "".join(map(stamped, case.caveats)) + _answer(alone, point, case.without_caveats, probability)


def _answer(alone, point, case, probability):
    anyway = broken_anyway(case, LIMITS.values())
    if anyway:
        row = judge(case, anyway).iloc[0]
        said = result(f"{place_words(point)}: stopped, {row.words}.") + paragraph(_sentence(row.remedy))
        return said + paragraph(alone.unjudged) + caution(row.caution)
    where, unjudged = place_words(point), paragraph(alone.unjudged)
    if alone.refused:
        limit = alone.refused[0]
        row = judge(case, limit).iloc[0]
        held = 100 * float(alone.holds[limit.name][0, 0])
        said = f"{where}: stopped, {limit.label}. It must hold in 97.5 of 100 cases and holds in {held:.0f}; nothing is averaged over that."
        return result(said) + paragraph(f"{_limits(row)} {_sentence(limit.remedy)}") + unjudged + caution(row.caution)
    error = 100 * float(alone.probability_error[0, 0])
    open_ = withheld(case, LIMITS.values())
    word = "not to be called printable" if open_ else in_a_word(probability)
    every = "Every limit judged" if alone.unjudged else "Every limit"
    said = f"{where}: {word}. {every} holds in {100 * probability:.0f} of 100 cases (± {max(error, 1.0):.0f} by the number of draws)."
    said = result(said) + unjudged
    first = max(alone.stops_first, key=lambda name: float(alone.stops_first[name][0, 0]))
    share = float(alone.stops_first[first][0, 0])
    if share <= 0:
        return said + paragraph("No limit judged stopped a single draw.")
    limit = next(one for one in alone.limits if one.name == first)
    broken = f"What stops it first, most often: {zone_words(first)}, in {100 * share:.0f} of 100 cases. {_sentence(limit.remedy)}"
    return said + paragraph(broken) + caution(judge(case, [limit]).iloc[0].caution)


def _sentence(words):
    return f"{words[0].upper()}{words[1:]}." if words else ""


def _limits(row):
    return f"{row.label[0].upper()}{row.label[1:]}: {written(row.value, row.unit)} with best values, allowed {_range(row)}."


def limit_table(alone):
    """Return every limit judged at a point as a table, value, what is allowed, room and shares of the draws, and remedies."""
    case = alone.at(**{name: float(values[0]) for name, values in alone.axes.items()})
    rows, remedies = [], []
    for row in judge(case, alone.limits).itertuples():
        of_draws = alone.holds.get(row.Index), alone.stops_first.get(row.Index)
        holds, first = (share if share is None else float(share[0, 0]) for share in of_draws)
        shares = ["-" if share is None else f"{100 * share:.0f}" for share in (holds, first)]
        rows.append([row.Index, written(row.value, row.unit), _range(row), _room(row.margin, row.verdict), *shares])
        remedy = next(limit.remedy for limit in alone.limits if limit.name == row.Index)
        if row.verdict != "inside" or (first or 0) >= OFTEN:
            remedies.append(f"{zone_words(row.Index).capitalize()}. To do: {remedy}.")
    head = ["limit", "value", "allowed", "room", "holds in", "first in"]
    note = "Holds in, and broken first in, so many of 100 draws. Room: a factor on the value, 1 where it just holds."
    return table(head, rows, TABLE) + paragraph(note) + "".join(map(paragraph, remedies))


def _range(row):
    low, high = not (np.isnan(row.low) or row.low < 1e-6), not np.isnan(row.high)
    if low and high:
        return between(row.low, row.high, row.unit)
    return f"≥ {written(row.low, row.unit)}" if low else f"≤ {written(row.high, row.unit)}" if high else "any"


def _room(margin, verdict):
    room = room_of(margin)
    if room >= 100:
        return "> × 100"
    return f"× {room:.2f}{'' if verdict == 'inside' else ', ' + verdict}"


def not_judged_words(found):
    """Return the limits that could not be judged, and why, folded away; apart from them those that the job does not ask."""

    def label(name):
        return LIMITS[name].label if name in LIMITS else name

    rows = [[name, label(name), why] for name, why in found.not_judged.items() if why != NOT_ASKED]
    other = [f"{name} ({label(name)})" for name, why in found.not_judged.items() if why == NOT_ASKED]
    out = table(["limit", "what", "why"], rows, "Not judged") if rows else ""
    out = details(f"Not judged, and why ({len(rows)})", out) if rows else paragraph("Every limit asked was judged.")
    return out + (details(f"Not asked by this job ({len(other)})", paragraph(", ".join(other))) if other else "")


def what_if_words(frame, spread, unjudged=""):
    """Return what better measurements would change of the limits that are judged, and apart from it what they cannot."""
    names = {LAW: "flow law (by its yield stress)", ALL: "all of these"}
    rows, same = [], []
    for row in frame[frame.reducible].itertuples():
        symbol = f" {QUANTITIES[row.name].symbol}" if row.name in QUANTITIES else ""
        title = names.get(row.name) or f"{row.name.replace('_', ' ')}{symbol}"
        if abs(row.probability_then - row.probability) < NO_CHANGE and row.name != ALL:
            same.append(title)
            continue
        own = "" if np.isnan(row.spread) else f"{100 * row.spread:.0f} %"
        rows.append([title, own, f"{100 * row.probability:.0f} → {100 * row.probability_then:.0f} of 100"])
    title = f"What if it were measured to {100 * spread:.0f} %, and came out the same"
    out = table(["measured better", "known to, now", "probability"], rows, title) if rows else ""
    if same:
        out += paragraph(f"Measured to {100 * spread:.0f} % it would change nothing here: {', '.join(same)}.")
    if not rows and not same:
        out = paragraph(f"Every number is known to {100 * spread:.0f} % or better.")
    for row in frame[frame.name == BATCH].itertuples():
        out += paragraph(
            f"Apart from that: batches differ by {100 * row.spread:.0f} %, and no test of one batch makes that less. Were all batches alike: "
            f"{100 * row.probability:.0f} → {100 * row.probability_then:.0f} of 100. What is left then is the error of the formulas, which only "
            "prints of one's own reduce."
        )
    if unjudged:
        out += paragraph(
            "This is of the limits that are judged. Measure first what the others lack: until then nobody knows whether they hold."
        )
    return out + paragraph("Less doubt brings a probability nearer to 0 or to 100: where best values fail, it falls.")
