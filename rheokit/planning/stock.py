"""Which needle from stock to take: every gauge with the probability that the job prints through it."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from textwrap import wrap

import numpy as np

from ..brief import one_screen
from ..flow.gauges import luer_cone, needles
from ..framed import framed
from ..hints import Table
from ..limits import LIMITS, Case
from ..limits.base import Limit
from ..machine.extruder import Extruder
from ..nomenclature import with_decimals, written
from ..part.job import Job
from ..paste.material import Material
from ..regions import AXES, region_map, speed_of, warned_once
from ..units import mm
from .chances import LIKELY, in_a_word

HEAD = ["gauge", "bore [mm]", "tolerance of the bore [mm]", "outer diameter [mm]", "luer taper of 10 mm begins at [mm]"]
JUDGED = ["it prints", "what stops it first"]
TAPER = 10 * mm  # a length of luer taper for the table


@dataclass(frozen=True, eq=False)
class NozzleAdvice:
    """What to take from stock.

    Attributes
    ----------
    words : str
        The advice in a sentence or two, with the caveats of the fit first and what was not judged last.
    table : DataFrame
        By gauge, the widest first: bore [m], probability that every limit judged holds [-], verdict (likely, possible, doubtful,
        unlikely; stopped by a limit that can hurt), stops_first (name of the limit; "" where all hold in every draw).
    unjudged : str
        What the job asks and could not be judged, in one line.
    take : str
        The gauges to take, in a few words; nothing where no gauge is likely to do.
    """

    words: str
    table: Table
    unjudged: str = ""
    take: str = ""

    def __repr__(self):
        return one_screen("NozzleAdvice:", wrap(self.words, 96, initial_indent="    ", subsequent_indent="    "))

    def __str__(self):
        return self.words


@warned_once()
def nozzle_advice(
    material: Material,
    extruder: Extruder,
    job: Job,
    limits: Collection[Limit | str] | None = None,
    draws: int = 1000,
    seed: int = 0,
    held: Mapping[str, float] | None = None,
) -> NozzleAdvice:
    """Return which gauge to take: those through which the job prints, each with its probability.

    Parameters
    ----------
    material, extruder, job, limits, draws, seed, held
        As for `chance`. Lengths and taper of the extruder's nozzle are kept, its bore is that of each gauge.

    Returns
    -------
    NozzleAdvice
        Nominal bores of a trade table (see ``rk.needles``): measure the needle in hand.
    """
    case, stock = Case.of(material, extruder, job), needles()
    bores = stock.bore[stock.bore < np.min(extruder.barrel_diameter)].sort_values()
    rest = {name: value for name, value in (held or {}).items() if name != "bore"}
    speed = speed_of(job)
    own = rest.pop(speed, None)
    axes = {"bore": bores.to_numpy(), speed: [float(AXES[speed].get(case) if own is None else own)]}
    found = region_map(material, extruder, job, limits, axes, draws=draws, seed=seed, held=rest)
    chances, first = found.probability[0], found.most_likely_first[0]
    stopping = {limit.name for limit in found.refused}
    rows = [
        (f"{gauge}G", float(bore), float(chance), in_a_word(chance, stop in stopping), str(stop or ""))
        for gauge, bore, chance, stop in zip(bores.index, bores, chances, first, strict=True)
    ]
    table = framed(rows[::-1], columns=["gauge", "bore", "probability", "verdict", "stops_first"]).set_index("gauge")
    judged = "As far as it could be judged: " if found.unjudged else ""
    take, advice = _advice(rows)
    said = " ".join(filter(None, [*material.caveats, judged + advice, found.unjudged]))
    return NozzleAdvice(said, table, found.unjudged, take)


def _advice(rows):
    """Return which gauges to take, of rows from the narrowest to the widest: in a few words, and in a sentence."""
    chances = np.array([chance for _, _, chance, *_ in rows])
    best = int(np.argmax(chances))
    if chances[best] < LIKELY:
        return "", (
            f"No needle from stock prints with a probability of {with_decimals(LIKELY)} or more: the nearest is {_one(rows[best])}, {with_decimals(chances[best], 2)} "
            "of 1; "
            f"{_stop(rows[best])} stops it first."
        )
    low = high = best
    while low > 0 and chances[low - 1] >= LIKELY:
        low -= 1
    while high + 1 < len(rows) and chances[high + 1] >= LIKELY:
        high += 1
    sides = []
    if low > 0:
        sides.append(f"{rows[low - 1][0]} and narrower: {_stop(rows[low - 1])}")
    if high + 1 < len(rows):
        sides.append(f"{rows[high + 1][0]} and wider: {_stop(rows[high + 1])}")
    take = f"Take {_one(rows[low])}"
    take += " or wider" if high + 1 == len(rows) and low < high else f" to {_one(rows[high])}" if low < high else ""
    return take, f"{'; '.join([take, *sides])}."


def _one(row):
    return f"{row[0]} ({written(row[1], 'm')})"


def _stop(row):
    """Return what stops a row first, as it is read by who does not know the names of limits."""
    name = row[-1]
    return f"{LIMITS[name].label} ({name})" if name in LIMITS else name or "nothing"


def needle_rows(advice: NozzleAdvice | None = None) -> list[list[str]]:
    """Return the gauges as rows of text below `HEAD`, with an advice below `HEAD` and `JUDGED`."""
    rows = []
    for gauge, size in needles().iterrows():
        begins = luer_cone(size.bore, TAPER).inlet_diameter
        row = [f"{gauge}G", *(f"{v / mm:.4g}" for v in (size.bore, size.bore_tolerance, size.outer_diameter, begins))]
        if advice is not None:
            name = row[0]
            known = name in advice.table.index
            one = advice.table.loc[name] if known else None
            row += [f"{one.verdict}, {one.probability:.2f}", one.stops_first] if known else ["-", "-"]
        rows.append(row)
    return rows
