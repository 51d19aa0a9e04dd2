"""The probability of one point, and what better measurements would make of it."""

from collections.abc import Collection, Mapping
from dataclasses import replace

import numpy as np

from ..errors import DataError
from ..framed import framed
from ..hints import Table
from ..inputs import in_si
from ..limits import Case
from ..limits.base import Limit
from ..machine.extruder import Extruder
from ..nomenclature import QUANTITIES, with_decimals
from ..origins import is_fitted
from ..part.job import Job
from ..paste.material import Material
from ..regions import AXES, region_map, speed_of, warned_once
from ..regions.maps import RegionMap
from ..sampling import TAILS

LAW, BATCH, ALL = "law", "batch", "all of these"
LIKELY = 0.9  # chance that every limit holds, from which a print is called likely; common practice, no source
WORDS = ((LIKELY, "likely"), (0.5, "possible"), (0.1, "doubtful"), (0.0, "unlikely"))  # common practice, no source
STOPPED = "stopped"  # by a limit that can hurt and does not hold in 97.5 of 100 cases, whatever the others come to


def chance(
    material: Material,
    extruder: Extruder,
    job: Job,
    limits: Collection[Limit | str] | None = None,
    draws: int = 2000,
    seed: int = 0,
    held: Mapping[str, float] | None = None,
) -> RegionMap:
    """Return the map of a single point (arrays of shape (1, 1)): the job as it is, but for what is held elsewhere.

    Its probability is that of the limits that could be judged; ``unjudged`` names the others.
    """
    case, rest = Case.of(material, extruder, job), dict(held or {})
    axes = {}
    for name in ("bore", speed_of(job)):
        own = rest.pop(name, None)
        axes[name] = [float(AXES[name].get(case) if own is None else own)]
    return region_map(material, extruder, job, limits, axes, draws=draws, seed=seed, held=rest)


def held_too_seldom(label: str, share: float) -> str:
    """Return in words that a limit that can hurt stops everything, since it holds in too small a share of the draws [-]."""
    return f"{label} must hold in {with_decimals(100 * TAILS[1])} of 100 cases and holds in {100 * share:.0f}"


def in_words(alone: RegionMap) -> str:
    """Return what a map of a single point, with draws, comes to: the limits that can hurt and stop it, else how often all hold; what was not judged last."""
    stops = [held_too_seldom(limit.label, float(alone.holds[limit.name][0, 0])) for limit in alone.refused]
    often = f"every limit judged holds in {100 * float(alone.probability[0, 0]):.0f} of 100 cases"
    said = f"{STOPPED}: {'; '.join(stops)}" if stops else often
    return " ".join(filter(None, [f"{said}.", alone.unjudged]))


def in_a_word(probability: float, refused: bool = False) -> str:
    """Return what a probability [-] means for somebody who wants to print: likely, possible, doubtful, unlikely; stopped where refused."""
    return STOPPED if refused else next(word for least, word in WORDS if probability >= least)


@warned_once()
def what_if(
    material: Material,
    extruder: Extruder,
    job: Job,
    limits: Collection[Limit | str] | None = None,
    spread: float = 0.1,
    draws: int = 2000,
    seed: int = 0,
    held: Mapping[str, float] | None = None,
) -> Table:
    """Return what the probability of one point would be if its numbers were measured better, and came out as they are.

    Parameters
    ----------
    material, extruder, job, limits, draws, seed, held
        As for `chance`.
    spread : float
        Standard deviation of ln of a number that is measured well. [-]

    Returns
    -------
    table : DataFrame
        One row for each number less well known than that, and for all of them; one for the batch, which no test of a single
        batch reduces, as if all batches were alike. Columns name, spread and spread_then [-], probability and
        probability_then [-], reducible, stopped and
        stopped_then (limits that can hurt and make it 0).
    """
    spread = float(in_si("what_if", "spread", spread, QUANTITIES["spread"]))
    if not 0 < spread < 1:
        raise DataError(f"what_if: spread = {spread:g} must lie between 0 and 1, for example 0.1.")
    asked = (extruder, job, limits, draws, seed, held)
    found = chance(material, *asked)
    now, rows, everything = _comes_to(found), [], material

    def row(name, own, then, reducible, better):
        (often, stopped), (often_then, stopped_then) = now, _comes_to(chance(better, *asked))
        rows.append((name, own, then, often, often_then, reducible, stopped, stopped_then))

    for name, own in _spreads(material, draws, seed).items():
        if own > spread:
            everything = _sharper(everything, name, spread, own)
            row(name, own, spread, True, _sharper(material, name, spread, own))
    if len(rows) > 1:
        row(ALL, np.nan, spread, True, everything)
    if material.batch_spread:
        row(BATCH, material.batch_spread, 0.0, False, replace(material, batch_spread=0.0))
    columns = [
        "name",
        "spread",
        "spread_then",
        "probability",
        "probability_then",
        "reducible",
        "stopped",
        "stopped_then",
    ]
    table = framed(rows, columns=columns)
    table.attrs["unjudged"] = found.unjudged
    return table


def _comes_to(alone):
    """Return the probability of a single point, and the labels of the limits that can hurt and make it 0."""
    return float(alone.probability[0, 0]), ", ".join(limit.label for limit in alone.refused)


def _spreads(material, draws, seed):
    """Return the standard deviation of ln of every number that is known, the law by its yield stress."""
    found = {}
    law, ratios = material.law_draws(draws, seed) if material.law_draws else (None, None)
    if law is not None and material.paste.law.yield_stress > 0:
        drawn = np.maximum(law.yield_stress, 1e-3 * material.paste.law.yield_stress)
        found[LAW] = float(np.std(np.log(drawn)))
    for name in material.paste.asked_of_it:
        if getattr(material.paste, name):
            found[name] = material.spread(name)
    if ratios is not None:
        found["static_ratio"] = float(np.std(np.log(ratios)))
    return found


def _sharper(material, name, spread, own):
    """Return the material with one number less spread about what it is."""
    share = spread / own
    best = material.paste

    def drawn(count, seed):
        law, ratios = material.law_draws(count, seed)
        if name == LAW:
            return replace(
                law,
                **{
                    key: _nearer(getattr(law, key), getattr(material.own_law, key), share)
                    for key in type(law).parameters()
                },
            ), ratios
        return law, None if ratios is None else _nearer(ratios, best.static_ratio, share)

    if name == LAW or (name == "static_ratio" and is_fitted(material.origin(name))):
        return replace(material, law_draws=drawn)
    return replace(material, spreads={**material.spreads, name: spread})


def _nearer(values, best, share):
    """Return draws moved towards the best value until that share of their spread is left."""
    if best <= 0 or np.any(np.less_equal(values, 0)):
        return best + (values - best) * share
    return best * (values / best) ** share
