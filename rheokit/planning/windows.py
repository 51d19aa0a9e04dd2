"""The window of one axis: how far it may be moved before a limit stops it."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from textwrap import wrap

import numpy as np

from ..brief import one_screen
from ..errors import DataError
from ..inputs import judged_number
from ..limits import LIMITS, Case
from ..limits.base import Limit
from ..limits.chosen import chosen
from ..machine.extruder import Extruder
from ..nomenclature import capital
from ..part.job import Job
from ..paste.material import Material
from ..regions import AXES, region_map, speed_of, value_of_axis, warned_once
from ..regions.blocks import refused
from ..regions.maps import NOT_ASKED
from ..regions.unjudged import would_end
from .chances import held_too_seldom
from .sweeps import POINTS, SAME_ROOM, ZOOMS, depends, label, shown, spaced


@dataclass(frozen=True)
class Window:
    """The range of one axis in which every limit that could be judged holds.

    Attributes
    ----------
    axis : str
    low, high : float
        Ends, in SI; NaN where there is no window. [unit of the axis]
    stops_low, stops_high : str
        Names of the limits met below and above; "" where the sweep ended first. With a probability it is the limit that the axis moves: the one
        of which the chance to fail grows most from the best value to the end, which need not be the one that fails most often there.
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
    def is_open(self) -> bool:
        """True where there is any value at which every limit judged holds."""
        return bool(np.isfinite(self.low))

    def __repr__(self):
        return one_screen("Window:", wrap(self.words, 96, initial_indent="    ", subsequent_indent="    "))

    def __str__(self):
        return self.words


@warned_once()
def window(
    material: Material,
    extruder: Extruder,
    job: Job,
    axis: str,
    low: float | None = None,
    high: float | None = None,
    limits: Collection[Limit | str] | None = None,
    probability: float | None = None,
    draws: int = 1000,
    seed: int = 0,
    held: Mapping[str, float] | None = None,
) -> Window:
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
    case = Case.of(material, extruder, job)
    limits = chosen("window", limits, job)
    if axis not in AXES:
        raise DataError(f"window: {axis!r} is no axis; choose from {', '.join(AXES)}.")
    if probability is not None and not 0 < judged_number("window", "probability", probability, "probability") < 1:
        raise DataError(f"window: probability = {probability:g} must lie between 0 and 1, for example 0.9.")
    about = AXES[axis]
    usual = about.span(case)
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
        room = found.margin[0] if probability is None else found.probability[0] - _short_of(found) - probability
        return room, (found.limited_by if probability is None else found.most_likely_first)[0], found

    values = spaced(about, low, high, POINTS)
    room, first, asked = sweep(values)
    if _unknown(asked) and not depends(asked):
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
        near = spaced(about, values[max(peak - 1, 0)], values[min(peak + 1, len(values) - 1)], 11)[1:-1]
        values, order = np.unique(np.concatenate([values, near]), return_index=True)
        room, first = (
            np.concatenate([old, new])[order] for old, new in zip((room, first), sweep(near)[:2], strict=True)
        )
    peak = int(np.argmax(room))
    best, most = float(values[peak]), float(room[peak]) + (probability or 0.0)
    if room[peak] < 0:
        words = f"{capital(about.label)}: none from {shown(about, low)} to {shown(about, high)} will do"
        stop = first[peak]
        there = f"; the nearest is {shown(about, best)}, where "
        seldom = held_too_seldom(label(stop), 1 + most) if probability and most < 0 else ""
        share = "" if seldom else _share(probability, most)
        if not _changes(asked, stop):  # then no value of the axis is nearer than another
            why = seldom or f"{label(stop)} stops it"
            words += f"{share}: whatever it is, {why}, which does not depend on it."
        else:
            words += f"{there}{seldom}." if seldom else f"{share}{there}{label(stop)} stops it first."
        most = max(most, 0.0) if probability else most
        return Window(axis, np.nan, np.nan, stop, stop, probability, best, most, answered(words), asked.unjudged)
    ends, stops, often = [], [], []
    for step in (-1, 1):
        place = peak
        while 0 <= place + step < len(values) and room[place + step] >= 0:
            place += step
        if 0 <= place + step < len(values):
            end, beyond, stop = _crossing(sweep, about, values[place], values[place + step], first[place + step])
            most_often = stop
            if probability is not None:
                stop = _moved(sweep(np.unique([best, beyond]))[2], beyond > best, stop)
        else:
            end, stop, most_often = float(values[place]), "", ""
        ends.append(end)
        stops.append(stop)
        often.append(most_often)
    sooner = would_end(
        asked, spaced(about, ends[0], ends[1], POINTS) if ends[0] < ends[1] else np.array(ends[:1]), limits
    )
    if sooner:
        raise DataError(
            f"window: {capital(about.label)}: not known, since what would end its window could not be judged: "
            f"{'; '.join(sooner)}. Give what is missing, or leave that limit out on purpose."
        )
    words = answered(f"{_words(about, ends, stops, often, probability)}{_unread(asked, ends)}") + (
        " The window may be narrower." if asked.unjudged else ""
    )
    return Window(axis, ends[0], ends[1], stops[0], stops[1], probability, best, most, words, asked.unjudged)


def _short_of(found):
    """Return in how large a share of the draws the limits that can hurt fail where they stop all [-]: a row of points, 0 where they do not."""
    shares = [found.holds[limit.name][0] for limit in found.limits if limit.hard]
    return np.max([np.where(refused(share), 1 - share, 0.0) for share in shares], axis=0) if shares else 0.0


def _unknown(found):
    """Return whether a limit whose breaking is a failure was asked and could not be judged."""
    advice = {limit.name for limit in LIMITS.values() if limit.advice}
    return any(why != NOT_ASKED for name, why in found.not_judged.items() if name not in advice)


def _unread(found, ends):
    """Return in sentences which readings a window leaves, where it was looked at first; empty where none."""
    (looked, _), told = found.axes.values(), []
    there = (looked >= ends[0]) & (looked <= ends[1])
    for limit in found.limits:
        left = np.broadcast_to(found.margins[limit.name] < 0, found.shape)[0][there]
        if limit.advice and left.any():
            told.append(f" Extrapolated in {'all' if left.all() else 'part'} of it: {limit.label}.")
    return "".join(told)


def _still(material, extruder, job, held, but):
    """Return an axis of one value, that it has anyway: a map needs two."""
    speed = speed_of(job)
    name = speed if but != speed else "bore"
    own = AXES[name].get(Case.of(material, extruder, job))
    return {name: [float(held.get(name, own))]}


def _crossing(sweep, about, inside, outside, stop):
    """Return the last value on the way out at which all limits hold, that just beyond it, and the limit met there."""
    for _ in range(ZOOMS):
        values = spaced(about, inside, outside, 7)
        room, first, _ = sweep(values)
        broken = np.flatnonzero(room < 0)
        place = int(broken[0]) if len(broken) else len(values) - 1
        inside, outside, stop = values[max(place - 1, 0)], values[place], first[place] or stop
    return float(inside), float(outside), stop


def _moved(found, upwards, stop):
    """Return the limit that an axis moves most, of a sweep of its best value and one beyond an end: by how much oftener it fails there; `stop` where none does."""
    grown = {}
    for name, share in found.holds.items():
        failed = 1 - np.broadcast_to(share, found.shape)[0]
        grown[name] = float(failed[-1] - failed[0]) * (1 if upwards else -1)
    most = max(grown, key=lambda name: (np.nan_to_num(grown[name]), name == stop), default=stop)
    return most if grown.get(most, 0.0) > 0 else stop


def _share(probability, most):
    return "" if probability is None else f" in {100 * probability:.0f} of 100 cases (at most in {100 * most:.0f})"


def _words(about, ends, stops, often, probability):
    said = []
    for end, stop, most, beyond, way in zip(ends, stops, often, ("below", "above"), ("down to", "up to"), strict=True):
        stopped = f"{way} {shown(about, end)}, where the search ended"
        beside = f" ({label(most)} fails there more often, but moves less with the setting)" if most != stop else ""
        said.append(f"not {beyond} {shown(about, end)}, where {label(stop)} stops it{beside}" if stop else stopped)
    asked = "" if probability is None else f" (all limits judged hold in {100 * probability:.0f} of 100 cases)"
    return f"{capital(about.label)}: {said[0]}; {said[1]}{asked}."


def _changes(asked, name):
    """Return whether the room to a limit, by its name, changes along the axis of a sweep."""
    room = np.asarray(asked.margins[name])
    return bool(np.ptp(np.where(np.isfinite(room), room, 0.0)) > SAME_ROOM)
