"""Classical corrections of capillary readings, one a file, as tables to follow beside the direct fit.

They chain: `two_lengths` or `bagley` takes out the end loss, `mooney` finds slip between bores, `rabinowitsch` turns
apparent rates into true ones. The direct fit does all of it at once and carries every uncertainty; these show it step
by step, and say which step the readings do not allow.
"""

from .bagley import bagley
from .base import Correction
from .mooney import mooney
from .rabinowitsch import rabinowitsch
from .readings import Runs, rows_of, runs_of
from .two_lengths import two_lengths

__all__ = ["Correction", "all_of", "bagley", "mooney", "rabinowitsch", "two_lengths"]


def all_of(bench: Runs) -> tuple[Correction, ...]:
    """Return every correction of the capillary and syringe runs of a bench, each a table or the reason why not.

    Slip and true rates start from the wall stresses of Bagley's plot, or else of two lengths; where neither is
    analysable for every bore from the raw stresses, and a note says so.

    Parameters
    ----------
    bench : Bench, sequence of PressureRun and ForceRun, or FitResult
        Of a fit the friction taken off a force is the one that it found, else the one as stated.

    Returns
    -------
    corrections : tuple of Correction
        Two lengths, Bagley, Mooney, Weissenberg-Rabinowitsch.
    """
    runs = runs_of(bench, "all_of")
    lengths, plot = two_lengths(runs), bagley(runs)
    bores = len({round(float(diameter), 6) for diameter in rows_of(runs)[0].get("diameter", ())})
    whole = (one for one in (plot, lengths) if one.analysable and one.table.diameter.nunique() >= bores)
    start = next(whole, runs)
    return lengths, plot, mooney(start), rabinowitsch(start)
