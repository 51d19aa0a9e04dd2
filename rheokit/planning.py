"""The inverse of a region: the window of one axis, the point of the widest margin, what better measurements would change."""

from dataclasses import dataclass, fields, replace

import numpy as np

from .errors import DataError
from .inputs import in_si, number
from .limits import LIMITS, Case
from .limits.judgement import chosen
from .nomenclature import QUANTITIES
from .origins import is_fitted
from .paste.material import Paste
from .regions import AXES, region_map, value_of_axis, warned_once
from .regions.maps import NOT_ASKED
from .regions.unjudged import would_end

POINTS = 33  # of a first sweep
SAME_ROOM = 1e-9  # of ln of room, which is rounding
ZOOMS = 4  # each narrows a sweep to the steps around what was found
LAW, BATCH, ALL = "law", "batch", "all of these"
LIKELY = 0.9  # chance that every limit holds, from which a print is called likely; common practice, no source
WORDS = ((LIKELY, "likely"), (0.5, "try"), (0.1, "doubtful"), (0.0, "unlikely"))  # common practice, no source


@dataclass(frozen=True)
class Window:
    """The range of one axis in which every limit that could be judged holds.

    Attributes
    ----------
    axis : str
    low, high : float
        Ends, in SI; NaN where there is no window. [unit of the axis]
    stops_low, stops_high : str
        Names of the limits met below and above; "" where the sweep ended first.
    probability : float or None
        That was asked for; None: with best values. [-]
    best : float
        Value with the widest margin, or the greatest probability, of those looked at, window or not. [unit of the axis]
    best_probability : float
        The probability there [-], or with best values the ln of the ratio of room there is (0.1 is a factor exp(0.1)).
    words : str
        The window in one line: what the fit warns of first, what was not judged last.
    unjudged : str
        What the job asks and could not be judged, in one line: it may make the window narrower.
    """

    axis: str
    low: float
    high: float
    stops_low: str
    stops_high: str
    probability: float | None
    best: float
    best_probability: float
    words: str
    unjudged: str = ""

    @property
    def is_open(self):
        """True where there is any value at which every limit judged holds."""
        return bool(np.isfinite(self.low))

    def __str__(self):
        return self.words


@warned_once()
def window(
    material, extruder, job, axis, low=None, high=None, limits=None, probability=None, draws=1000, seed=0, held=None
):
    """Return the window of one axis: the least bore, the fastest speed, the range of water.

    Parameters
    ----------
    material, extruder, job, limits, held
        As for a region map.
    axis : str
        A name of ``AXES``.
    low, high : float, optional
        Where to look; by default the usual range of the axis, brought about the paste's or the job's own value where that
        lies outside. [SI, as the axis]
    probability : float, optional
        That all limits hold together, for example 0.9; without it best values decide. [-]
    draws, seed : int
        For the probability.

    Returns
    -------
    Window
        The window around the best value; where there are two apart, the other is not looked for.

    Raises
    ------
    DataError
        If the axis is not known, its ends are not in order, the probability is no probability, or what would end the window
        could not be judged: no limit that was judged depends on the axis, or one that was not would end it sooner, with
        usual values in place of those not known. Leave such a limit out by ``limits`` to ask without it.
    """
    limits = chosen("window", limits)
    if axis not in AXES:
        raise DataError(f"window: {axis!r} is no axis; choose from {', '.join(AXES)}.")
    if probability is not None and not 0 < number("window", "probability", probability, "probability") < 1:
        raise DataError(f"window: probability = {probability:g} must lie between 0 and 1, for example 0.9.")
    about = AXES[axis]
    usual = about.span(Case.of(material, extruder, job))
    low = usual[0] if low is None else value_of_axis("window", axis, low)
    high = usual[1] if high is None else value_of_axis("window", axis, high)
    if not low < high:
        raise DataError(f"window: low = {low:g} must be below high = {high:g}, both in SI.")
    held = {name: value for name, value in (held or {}).items() if name != axis}
    still = _still(material, extruder, job, held, but=axis)

    def sweep(values):
        count = draws if probability is not None else 0
        rest = {name: value for name, value in held.items() if name not in still}
        found = region_map(material, extruder, job, limits, {axis: values, **still}, draws=count, seed=seed, held=rest)
        room = found.margin[0] if probability is None else found.probability[0] - probability
        return room, (found.limited_by if probability is None else found.most_likely_first)[0], found

    values = _spaced(about, low, high, POINTS)
    room, first, asked = sweep(values)
    if _unknown(asked) and not _depends(asked):
        raise DataError(
            f"window: nothing that could be judged depends on {about.label}, so what ends its window is not known. "
            f"{asked.unjudged} Give what is missing, or ask another axis."
        )

    def answered(words):
        return " ".join(filter(None, [*material.caveats, words, asked.unjudged]))

    for _ in range(ZOOMS):
        if room.max() >= 0:
            break
        peak = int(np.argmax(room))
        near = _spaced(about, values[max(peak - 1, 0)], values[min(peak + 1, len(values) - 1)], 11)[1:-1]
        values, order = np.unique(np.concatenate([values, near]), return_index=True)
        room, first = (
            np.concatenate([old, new])[order] for old, new in zip((room, first), sweep(near)[:2], strict=True)
        )
    peak = int(np.argmax(room))
    best, most = float(values[peak]), float(room[peak]) + (probability or 0.0)
    if room[peak] < 0:
        words = f"{_capital(about.label)}: none from {_shown(about, low)} to {_shown(about, high)} will do"
        words += (
            _share(probability, most)
            + f"; the nearest is {_shown(about, best)}, where {_label(first[peak])} stops it first."
        )
        stop = first[peak]
        return Window(axis, np.nan, np.nan, stop, stop, probability, best, most, answered(words), asked.unjudged)
    ends, stops = [], []
    for step in (-1, 1):
        place = peak
        while 0 <= place + step < len(values) and room[place + step] >= 0:
            place += step
        if 0 <= place + step < len(values):
            end, stop = _crossing(sweep, about, values[place], values[place + step], first[place + step])
        else:
            end, stop = float(values[place]), ""
        ends.append(end)
        stops.append(stop)
    sooner = would_end(asked, _spaced(about, *ends, POINTS) if ends[0] < ends[1] else np.array(ends[:1]), limits)
    if sooner:
        raise DataError(
            f"window: {_capital(about.label)}: not known, since what would end its window could not be judged: "
            f"{'; '.join(sooner)}. Give what is missing, or leave that limit out on purpose."
        )
    words = answered(_words(about, ends, stops, probability)) + (
        " The window may be narrower." if asked.unjudged else ""
    )
    return Window(axis, *ends, *stops, probability, best, most, words, asked.unjudged)


def _unknown(found):
    """Return whether a limit whose breaking is a failure was asked and could not be judged."""
    advice = {limit.name for limit in LIMITS.values() if limit.advice}
    return any(why != NOT_ASKED for name, why in found.not_judged.items() if name not in advice)


def _depends(found, along=-1):
    """Return whether the room of any limit whose breaking is a failure changes along an axis of a map, -1 the first."""
    margins = [np.asarray(found.margins[limit.name]) for limit in found.limits if not limit.advice]
    return any(np.any(np.ptp(np.where(np.isfinite(m), m, 0.0), axis=along) > SAME_ROOM) for m in margins)


def _still(material, extruder, job, held, but):
    """Return an axis of one value, that it has anyway: a map needs two."""
    name = "print_speed" if but != "print_speed" else "bore"
    own = AXES[name].get(Case.of(material, extruder, job))
    return {name: [float(held.get(name, own))]}


def _spaced(about, low, high, count):
    return (np.geomspace if about.logarithmic and low > 0 else np.linspace)(low, high, count)


def _crossing(sweep, about, inside, outside, stop):
    """Return the last value on the way out at which all limits hold, and the limit met just beyond it."""
    for _ in range(ZOOMS):
        values = _spaced(about, inside, outside, 7)
        room, first, _ = sweep(values)
        broken = np.flatnonzero(room < 0)
        place = int(broken[0]) if len(broken) else len(values) - 1
        inside, outside, stop = values[max(place - 1, 0)], values[place], first[place] or stop
    return float(inside), stop


@warned_once()
def widest_margin(material, extruder, job, bounds, limits=None, held=None):
    """Return the point of the widest margin inside bounds, with best values.

    Parameters
    ----------
    material, extruder, job, limits, held
        As for a region map.
    bounds : dict of str to (float, float)
        Two axes with their least and greatest value. [SI, as the axes]

    Returns
    -------
    found : dict
        The two values in SI, ``margin`` (ln of the ratio of room) [-], ``limited_by``, and ``words``.
    """
    if len(bounds) != 2 or not all(name in AXES for name in bounds):
        raise DataError(f"widest_margin: bounds must name two of {', '.join(AXES)}, each with its ends in SI.")
    near = {name: tuple(value_of_axis("widest_margin", name, end) for end in ends) for name, ends in bounds.items()}
    for _ in range(ZOOMS):
        axes = {name: _spaced(AXES[name], *ends, POINTS) for name, ends in near.items()}
        found = region_map(material, extruder, job, limits, axes, held=held)
        row, column = np.unravel_index(int(np.argmax(found.margin)), found.shape)
        for (name, values), place in zip(axes.items(), (column, row), strict=True):
            near[name] = (values[max(place - 2, 0)], values[min(place + 2, POINTS - 1)])
    point = {name: float(values[place]) for (name, values), place in zip(axes.items(), (column, row), strict=True)}
    margin, stop = float(found.margin[row, column]), found.limited_by[row, column]
    where = ", ".join(f"{AXES[name].label} {_shown(AXES[name], value)}" for name, value in point.items())
    if margin >= 0:
        words = f"Widest margin at {where}: a factor {np.exp(margin):.3g} of room to the nearest limit, {_label(stop)}."
    else:
        words = f"Nothing within these bounds will do; the least miss is at {where}, a factor {np.exp(-margin):.3g} beyond {_label(stop)}."
    idle = [AXES[name].label for name, along in zip(axes, (-1, -2), strict=True) if not _depends(found, along)]
    words += f" No limit that could be judged depends on {' or '.join(idle)}." if idle else ""
    words = " ".join(filter(None, [*material.caveats, words, found.unjudged]))
    return {**point, "margin": margin, "limited_by": stop, "words": words}


def chance(material, extruder, job, limits=None, draws=2000, seed=0, held=None):
    """Return the map of a single point (arrays of shape (1, 1)): the job as it is, but for what is held elsewhere.

    Its probability is that of the limits that could be judged; ``unjudged`` names the others.
    """
    axes, rest = {}, dict(held or {})
    for name in ("bore", "print_speed"):
        own = rest.pop(name, None)
        axes[name] = [float(AXES[name].get(Case.of(material, extruder, job)) if own is None else own)]
    return region_map(material, extruder, job, limits, axes, draws=draws, seed=seed, held=rest)


def in_a_word(probability):
    """Return what a probability [-] means for somebody who wants to print: likely, try, doubtful or unlikely."""
    return next(word for least, word in WORDS if probability >= least)


@warned_once()
def what_if(material, extruder, job, limits=None, spread=0.1, draws=2000, seed=0, held=None):
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
        probability_then [-], reducible.
    """
    from .frames import Frame

    spread = in_si("what_if", "spread", spread, QUANTITIES["spread"])
    if not 0 < spread < 1:
        raise DataError(f"what_if: spread = {spread:g} must lie between 0 and 1, for example 0.1.")
    asked = (extruder, job, limits, draws, seed, held)
    found = chance(material, *asked)
    now, rows, everything = float(found.probability[0, 0]), [], material
    for name, own in _spreads(material, draws, seed).items():
        if own > spread:
            then = float(chance(_sharper(material, name, spread, own), *asked).probability[0, 0])
            everything = _sharper(everything, name, spread, own)
            rows.append((name, own, spread, now, then, True))
    if len(rows) > 1:
        then = float(chance(everything, *asked).probability[0, 0])
        rows.append((ALL, np.nan, spread, now, then, True))
    if material.batch_spread:
        then = float(chance(replace(material, batch_spread=0.0), *asked).probability[0, 0])
        rows.append((BATCH, material.batch_spread, 0.0, now, then, False))
    table = Frame(rows, columns=["name", "spread", "spread_then", "probability", "probability_then", "reducible"])
    table.attrs["unjudged"] = found.unjudged
    return table


def _spreads(material, draws, seed):
    """Return the standard deviation of ln of every number that is known, the law by its yield stress."""
    found = {}
    law, ratios = material.law_draws(draws, seed) if material.law_draws else (None, None)
    if law is not None and material.paste.law.yield_stress > 0:
        drawn = np.maximum(law.yield_stress, 1e-3 * material.paste.law.yield_stress)
        found[LAW] = float(np.std(np.log(drawn)))
    for one in fields(Paste):
        value = getattr(material.paste, one.name)
        if one.name != LAW and value:
            found[one.name] = material.spread(one.name)
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
                **{key: _nearer(getattr(law, key), getattr(best.law, key), share) for key in type(law).parameters()},
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


def _shown(about, value):
    return f"{value / about.scale:.3g}{'' if about.unit == '-' else ' ' + about.unit}"


def _label(name):
    return f"{name} ({LIMITS[name].label})" if name in LIMITS else name or "nothing"


def _capital(words):
    return words[0].upper() + words[1:]


def _share(probability, most):
    return "" if probability is None else f" in {100 * probability:.0f} of 100 cases (at most in {100 * most:.0f})"


def _words(about, ends, stops, probability):
    said = []
    for end, stop, beyond, way in zip(ends, stops, ("below", "above"), ("down to", "up to"), strict=True):
        stopped = f"{way} {_shown(about, end)}, where the search ended"
        said.append(f"not {beyond} {_shown(about, end)}, where {_label(stop)} stops it" if stop else stopped)
    asked = "" if probability is None else f" (all limits judged hold in {100 * probability:.0f} of 100 cases)"
    return f"{_capital(about.label)}: {said[0]}; {said[1]}{asked}."
