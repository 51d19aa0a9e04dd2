"""The inverse of a region: the window of one thing in which all limits hold, and the point with the widest margin."""

from dataclasses import dataclass

import numpy as np

from .errors import DataError
from .limits import LIMITS, Case
from .regions import AXES, region_map

POINTS = 33  # of a first sweep
ZOOMS = 4  # each narrows a sweep to the steps around what was found


@dataclass(frozen=True)
class Window:
    """The range of one axis in which every limit holds.

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
        Value with the widest margin, or the greatest probability, in the whole sweep, window or not. [unit of the axis]
    best_probability : float
        The probability there [-], or with best values the ln of the room there is.
    words : str
        The window in one line.
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

    @property
    def is_open(self):
        """True where there is any value at which every limit holds."""
        return bool(np.isfinite(self.low))

    def __str__(self):
        return self.words


def window(material, extruder, job, axis, low=None, high=None, limits=None, probability=None, draws=1000, seed=0):
    """Return the window of one axis: the least bore, the fastest speed, the range of water.

    Parameters
    ----------
    material, extruder, job, limits
        As for a region map.
    axis : str
        A name of ``AXES``.
    low, high : float, optional
        Where to look, in SI; the usual range of the axis by default.
    probability : float, optional
        That all limits hold together, for example 0.9; without it best values decide. [-]
    draws, seed : int
        For the probability.

    Returns
    -------
    Window
    """
    if axis not in AXES:
        raise DataError(f"window: {axis!r} is no axis; choose from {', '.join(AXES)}.")
    if probability is not None and not 0 < probability < 1:
        raise DataError(f"window: probability = {probability:g} must lie between 0 and 1, for example 0.9.")
    about = AXES[axis]
    low = about.low * about.scale if low is None else low
    high = about.high * about.scale if high is None else high
    if not low < high:
        raise DataError(f"window: low = {low:g} must be below high = {high:g}, both in SI.")
    other = "print_speed" if axis != "print_speed" else "bore"

    def sweep(values):
        count = draws if probability is not None else 0
        still = AXES[other].get(Case.of(material, extruder, job))
        found = region_map(material, extruder, job, limits, {axis: values, other: [float(still)]}, draws=count, seed=seed)
        room = found.margin[0] if probability is None else found.probability[0] - probability
        first = (found.limited_by if probability is None else found.most_likely_first)[0]
        return room, first

    spaced = np.geomspace if about.logarithmic and low > 0 else np.linspace
    values = spaced(low, high, POINTS)
    room, first = sweep(values)
    peak = int(np.argmax(room))
    lift = 0.0 if probability is None else probability
    best, most = float(values[peak]), float(room[peak]) + lift
    if room[peak] < 0:
        words = f"No {about.label} from {_shown(about, low)} to {_shown(about, high)} will do; {_label(first[peak])} stops it at the best."
        return Window(axis, np.nan, np.nan, first[peak], first[peak], probability, best, most, _asked(words, probability))
    ends, stops = [], []
    for step in (-1, 1):
        place = peak
        while 0 <= place + step < POINTS and room[place + step] >= 0:
            place += step
        if not 0 <= place + step < POINTS:
            ends.append(float(values[place]))
            stops.append("")
            continue
        end, stop = _crossing(sweep, values[place], values[place + step], spaced, first[place + step])
        ends.append(end)
        stops.append(stop)
    return Window(axis, *ends, *stops, probability, best, most, _asked(_words(about, ends, stops), probability))


def _crossing(sweep, inside, outside, spaced, stop):
    for _ in range(ZOOMS):
        values = spaced(inside, outside, 7)
        room, first = sweep(values)
        broken = np.flatnonzero(room < 0)
        place = int(broken[0]) if len(broken) else len(values) - 1
        inside, outside, stop = values[max(place - 1, 0)], values[place], first[place] or stop
    return float(inside), stop


def widest_margin(material, extruder, job, bounds, limits=None):
    """Return the point of the widest margin inside bounds.

    Parameters
    ----------
    material, extruder, job, limits
        As for a region map.
    bounds : dict of str to (float, float)
        Two axes with their least and greatest value, in SI.

    Returns
    -------
    found : dict
        The two values in SI, ``margin`` [-], ``limited_by``, and ``words``.
    """
    if len(bounds) != 2 or not all(name in AXES for name in bounds):
        raise DataError(f"widest_margin: bounds must name two of {', '.join(AXES)}, each with its ends in SI.")
    near = dict(bounds)
    for _ in range(ZOOMS):
        axes = {name: np.linspace(*ends, POINTS) for name, ends in near.items()}
        found = region_map(material, extruder, job, limits, axes)
        row, column = np.unravel_index(int(np.argmax(found.margin)), found.shape)
        for (name, values), place in zip(axes.items(), (column, row), strict=True):
            step = values[1] - values[0]
            near[name] = (max(bounds[name][0], values[place] - 2 * step), min(bounds[name][1], values[place] + 2 * step))
    point = {name: float(values[place]) for (name, values), place in zip(axes.items(), (column, row), strict=True)}
    margin, stop = float(found.margin[row, column]), found.limited_by[row, column]
    where = ", ".join(f"{AXES[name].label} {_shown(AXES[name], value)}" for name, value in point.items())
    if margin >= 0:
        words = f"Widest margin at {where}: a factor {np.exp(margin):.3g} of room to the nearest limit, {_label(stop)}."
    else:
        words = f"Nothing within these bounds will do; the least miss is at {where}, a factor {np.exp(-margin):.3g} beyond {_label(stop)}."
    return {**point, "margin": margin, "limited_by": stop, "words": words}


def _shown(about, value):
    return f"{value / about.scale:.3g}{'' if about.unit == '-' else ' ' + about.unit}"


def _label(name):
    return LIMITS[name].label if name in LIMITS else name or "nothing"


def _asked(words, probability):
    return words if probability is None else f"{words} (All limits hold together in {100 * probability:.0f} of 100 cases.)"


def _words(about, ends, stops):
    low, high = (_shown(about, end) for end in ends)
    below = f"below it {_label(stops[0])} stops the print" if stops[0] else "and perhaps less, which was not looked at"
    above = f"above it {_label(stops[1])} stops the print" if stops[1] else "and perhaps more, which was not looked at"
    return f"{about.label[0].upper()}{about.label[1:]} from {low} ({below}) to {high} ({above})."
