"""Where the errors of the rows of a table come from, so that what rows have in common stays common through a chain."""

from typing import NamedTuple

import numpy as np

from ..nomenclature import marked, with_decimals
from ..sampling import widened

TIED = " Of three on a line it cannot be told which one is off; look at all three."


class Errors(NamedTuple):
    """Errors of ln apparent rate and ln wall stress of each row, by independent sources, one column each.

    A column is what one standard error of one source (a reading, a bore, a friction) does to every row; the covariance
    of the rows is ``matrix @ matrix.T``. `known` is False where the readings' own error is not stated; then they hold
    what is: the bores. `flow_read` says of each row whether that error is one of the rate; None: of none.
    """

    rate: np.ndarray
    stress: np.ndarray
    known: bool
    flow_read: np.ndarray | None = None

    def of(self, rows):
        """Return the errors of some rows."""
        flow_read = None if self.flow_read is None else self.flow_read[rows]
        return Errors(self.rate[rows], self.stress[rows], self.known, flow_read)


def size_of(matrix):
    """Return the standard uncertainty of each row of a matrix of errors by source."""
    return np.sqrt(np.sum(np.square(matrix), axis=-1))


def by_source(rows):
    """Return the matrix, shape (rows, sources), of one mapping of source to error a row."""
    sources = {source: place for place, source in enumerate(dict.fromkeys(s for row in rows for s in row))}
    matrix = np.zeros((len(rows), len(sources)))
    for place, row in enumerate(rows):
        for source, error in row.items():
            matrix[place, sources[source]] = error
    return matrix


def errors_of(table, own=None):
    """Return the `Errors` of a table of rates and stresses.

    A bore that is wider by a share lowers the apparent rate by three of it and raises the stress by one, in every row
    of that bore and length. `own` are errors of ln rate and of ln stress that are each row's own; without it they are
    what is left of the columns of uncertainty beside the bore.
    """
    bores = table.bore_share.to_numpy(float) if "bore_share" in table else np.zeros(len(table))
    if own is None:
        own = []
        for name, times in (("apparent_shear_rate", 3.0), ("wall_shear_stress", 1.0)):
            stated = table[f"{name}_uncertainty"] / table[name] if f"{name}_uncertainty" in table else 0.0 * table[name]
            own.append(np.sqrt(np.maximum(stated.to_numpy(float) ** 2 - (times * bores) ** 2, 0.0)))
    known = bool(np.all(np.isfinite(own)) and np.all(np.hypot(*own) > 0))
    rates, stresses = [], []
    for place in range(len(table)):
        row = table.iloc[place]
        rate = {f"rate {place}": own[0][place]} if known else {}
        stress = {f"stress {place}": own[1][place]} if known else {}
        if bores[place] > 0:
            die = f"bore {row.diameter:.9f} {row.get('length', 0.0):.9f}"
            rate[die], stress[die] = -3 * bores[place], bores[place]
        if row.get("friction_uncertainty", 0.0) > 0:
            friction = row.friction_uncertainty / (row.pressure - row.friction_pressure)
            stress[f"friction {row.entry}"] = -friction
        rates.append(rate)
        stresses.append(stress)
    both = by_source(rates + stresses)
    return Errors(both[: len(table)], both[len(table) :], known)


def own_scatter(residuals, fitted, shared):
    """Return the error of each reading, where it is not stated, from residuals about lines; 1.96 of it hold 95 %.

    `residuals`, shape (lines, readings), are shares of the readings, so many numbers `fitted` to each line. What is the
    same in every line, as the error of a bore, is taken out first where it is known and counted beside (`shared`).
    """
    lines, count = residuals.shape
    if shared and lines > 1:
        residuals, lines = residuals - residuals.mean(axis=0), lines - 1
    freedom = (count - fitted) * lines
    size = max(float(np.sqrt(np.sum(residuals**2) / freedom)), 1e-12)
    return size * widened(freedom)


def farthest(words, read, off, sizes, about):
    """Return a note that names the reading farthest off what it is `about`, whether or not that is far.

    `words` are what each reading is called, with its value; `off` is read minus fitted, of standard deviation `sizes`.
    """
    read, off, sizes = (np.asarray(v, float) for v in (read, off, sizes))
    away = np.divide(off, sizes, out=np.zeros(len(off)), where=sizes > 1e-9 * np.abs(read))
    row = int(np.argmax(np.abs(away))) if np.any(away) else int(np.argmax(np.abs(off)))
    return (
        f"Farthest off of {len(read)} readings is {words[row]}: {marked(f'{100 * off[row] / abs(read[row]):+.2g}')} %"
        f" off {about}, {with_decimals(away[row], 1, sign=True)} standard deviations (read minus fitted)."
    )
