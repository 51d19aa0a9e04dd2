"""What the page of a region says: its labels, and what better measurements would change; no widget."""

import numpy as np

from ...nomenclature import QUANTITIES
from ...planning import ALL, BATCH, LAW
from ...workbook import ASKED
from ..page.elements import paragraph, table

PROBABLE, BEST = "probability (joint draws)", "room with best values"
FOLLOWS = {"layer_height": "layer height follows the bore", "wall_width": "walls are one line wide"}
FORCE = "greatest force of the drive [N]"
RATING = f"{ASKED['machine']['pressure_rating'].label}, 0: none"
POINT = "The point: click the picture, or type it."
BEFORE = "The map is the last one that worked."
FINE_MAP, MORE = "Computing the fine map ...", "Computing what is open below ..."
LIMITS, INVERSE = "Limits at the point", "What will do"
BETTER = "What better measurements would change"
MACHINE = "Machine and part"
NO_MAP_BELOW = "No map: the reason stands in its place"
NOT_A_PRINT = 'A fibre is planned: its maps stand in notebook 6. To print it instead, choose "printed" there.'
NO_CHANGE = 0.005  # of a probability
CALIBRATE = (
    "The words likely, possible, doubtful and unlikely are common practice, no source. A probability that was never held against "
    "prints of one's own is an opinion: write down what was predicted and what came out."
)


def lacks(entries):
    """Return what keeps a map from being drawn, in words."""
    return f"There is no map. It needs: {'; '.join(entries)}. Type them into the fields of machine and part."


def what_if_words(frame, spread, unjudged=""):
    """Return what better measurements would change of the limits that are judged, and apart from it what they cannot."""
    names = {LAW: "flow law (by its yield stress)", ALL: "all of these"}
    rows, same = [], []
    for row in frame[frame.reducible].itertuples():
        symbol = f" {QUANTITIES[row.name].symbol}" if row.name in QUANTITIES else ""
        title = names.get(row.name) or f"{row.name.replace('_', ' ')}{symbol}"
        moves = abs(row.probability_then - row.probability) >= NO_CHANGE or row.stopped != row.stopped_then
        if not moves and row.name != ALL:
            same.append(title)
            continue
        own = "" if np.isnan(row.spread) else f"{100 * row.spread:.0f} %"
        rows.append([title, own, _now_and_then(row)])
    title = f"What if it were measured to {100 * spread:.0f} %, and came out the same"
    out = table(["measured better", "known to, now", "probability"], rows, title) if rows else ""
    if same:
        out += paragraph(f"Measured to {100 * spread:.0f} % it would change nothing here: {', '.join(same)}.")
    if not rows and not same:
        out = paragraph(f"Every number is known to {100 * spread:.0f} % or better.")
    for row in frame[frame.name == BATCH].itertuples():
        out += paragraph(
            f"Apart from that: batches differ by {100 * row.spread:.0f} %, and no test of one batch makes that less. Were all batches alike: "
            f"{_now_and_then(row)}. What is left then is the error of the formulas, which only "
            "prints of one's own reduce."
        )
    if unjudged:
        out += paragraph(
            "This is of the limits that are judged. Measure first what the others lack: until then nobody knows whether they hold."
        )
    return out + paragraph("Less doubt brings a probability nearer to 0 or to 100: where best values fail, it falls.")


def _now_and_then(row):
    """Return both probabilities of a row, or by what it is stopped: a limit that can hurt, over which nothing is averaged."""
    both = (row.probability, row.stopped), (row.probability_then, row.stopped_then)
    now, then = (f"stopped ({label})" if label else f"{100 * often:.0f}" for often, label in both)
    return f"{now} → {then}{'' if row.stopped_then else ' of 100'}"
