"""The map of a region: the margin of every limit at every point, and the probability that all of them hold."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ..brief import one_screen, told_in
from ..errors import DataError
from ..framed import framed
from ..hints import Numbers, Table
from ..inputs import judged_number, trusted
from ..limits import Case
from ..limits.base import Limit
from ..limits.chosen import chosen
from ..limits.judgement import BY_EVERY_LAW, broken_anyway, withheld
from ..limits.judgement import not_judged as not_judged_words
from ..limits.sure import kept_free
from ..machine.extruder import Extruder
from ..nomenclature import QUANTITIES, between, with_decimals
from ..part.job import Job
from ..paste.material import Material
from ..sampling import SURE, Normals
from ..things import a, whole
from .axes import AXES, moved
from .blocks import margins_of, probabilities, refused
from .warned_once import warned_once

NOT_ASKED = "not asked by this job"


@dataclass(frozen=True, eq=False)
class RegionMap:
    """Two axes, and what every limit says at every point; arrays have shape (values of the second axis, of the first).

    Attributes
    ----------
    axes : dict of str to ndarray
        The two axes in SI, the first along the columns of the arrays.
    case : Case
        The case of best values with what is held, before the axes were varied.
    limits : tuple of Limit
        Those that could be judged.
    not_judged : dict of str to str
        Limits left out, and why.
    unjudged : str
        Those that the job asks and that could not be judged, or in part only, in one line; empty where all were.
    margins : dict of str to ndarray
        By limit, ln of the ratio of room there is (0.1 is a factor exp(0.1)), or of a temperature the room in widths of 10 K:
        negative where it is broken; each broadcasts to the shape of the map. [-]
    probability : ndarray or None
        That every limit holds; 0 where a hard one does not hold in 97.5 of 100 draws, and for a map of one point where
        every law that the readings leave open breaks one that is not judged. [-]
    holds, stops_first : dict of str to ndarray, or None
        By limit, the share of draws in which it holds, and in which it is the one broken most. [-]
    kept_free : dict of str to float
        Of a map of one point with draws: what its hard limits keep free (see `Case`). [-]
    notes : tuple of str
        What the fit warns of, and where a formula was used outside its range somewhere on the map.
    draws, seed : int
    """

    axes: dict
    case: Case
    limits: tuple
    not_judged: dict
    margins: dict
    unjudged: str = ""
    probability: np.ndarray | None = None
    holds: dict | None = None
    stops_first: dict | None = None
    notes: tuple = ()
    draws: int = 0
    seed: int = 0
    material: Material | None = field(default=None, repr=False)
    kept_free: dict = field(default_factory=dict, repr=False)

    def __repr__(self):
        lines = [
            f"    {AXES[name].label}: {len(values)} from {between(values[0], values[-1], QUANTITIES.get(name, AXES[name].unit))}"
            for name, values in self.axes.items()
        ]
        share = (
            f"{self.draws} draws"
            if self.draws
            else f"inside all at {int(self.printable.sum())} of {self.margin.size} points, by best values: hard limits with "
            f"{with_decimals(SURE, 2)} standard deviations of formula and batch kept free"
        )
        lines += told_in(f"{len(self.limits)} limits: {share}")
        return one_screen(
            "RegionMap:", [*lines, *(line for said in (self.unjudged, *self.notes) for line in told_in(said))]
        )

    @property
    def shape(self) -> tuple[int, int]:
        """Number of values of the second and of the first axis."""
        first, second = self.axes.values()
        return len(second), len(first)

    @cached_property
    def _stack(self):
        """Margins of the limits whose breaking is a failure, shape (limits, ...)."""
        names = [limit.name for limit in self.limits if not limit.advice]
        return names, np.stack([np.broadcast_to(self.margins[name], self.shape) for name in names])

    @cached_property
    def margin(self) -> np.ndarray:
        """Least margin of all limits [-]: positive where everything holds."""
        return self._stack[1].min(axis=0)

    @property
    def printable(self) -> np.ndarray:
        """Where everything holds with best values, hard limits at their 97.5 % value."""
        return self.margin >= 0

    @cached_property
    def limited_by(self) -> np.ndarray:
        """Name of the limit with the least margin, at every point."""
        names, stack = self._stack
        return np.array(names, dtype=object)[stack.argmin(axis=0)]

    @cached_property
    def extrapolated(self) -> np.ndarray:
        """Where a limit of advice is left: the prediction asks for what was not read."""
        out = np.zeros(self.shape, bool)
        for limit in self.limits:
            if limit.advice:
                out |= np.broadcast_to(self.margins[limit.name] < 0, self.shape)
        return out

    @cached_property
    def most_likely_first(self) -> np.ndarray:
        """Name of the limit that most often stops the print first, at every point; "" where none ever does."""
        names = list(self.stops_first or ())
        if not names:
            return np.full(self.shape, "", dtype=object)
        stack = np.stack([self.stops_first[name] for name in names])
        return np.where(stack.max(axis=0) > 0, np.array(names, dtype=object)[stack.argmax(axis=0)], "")

    @property
    def probability_error(self) -> np.ndarray | None:
        """Standard error of the probability for the number of draws [-]; None without any."""
        return None if self.probability is None else np.sqrt(self.probability * (1 - self.probability) / self.draws)

    @property
    def refused(self) -> list[Limit]:
        """Hard limits that somewhere do not hold in 97.5 of 100 draws; without draws, at their 97.5 % value."""
        hard = [limit for limit in self.limits if limit.hard]
        if self.holds is None:
            return [limit for limit in hard if np.any(self.margins[limit.name] < 0)]
        return [limit for limit in hard if np.any(refused(self.holds[limit.name]))]

    @property
    def table(self) -> Table:
        """The map as a long table: axes in SI, the margin of each limit, printable, limited_by, extrapolated, probability."""
        (x_name, x), (y_name, y) = self.axes.items()
        grid_y, grid_x = np.meshgrid(y, x, indexing="ij")
        columns = {x_name: grid_x.ravel(), y_name: grid_y.ravel()}
        columns |= {name: np.broadcast_to(m, self.shape).ravel() for name, m in self.margins.items()}
        columns |= {"printable": self.printable.ravel(), "limited_by": self.limited_by.ravel()}
        columns["extrapolated"] = self.extrapolated.ravel()
        if self.probability is not None:
            columns["probability"] = self.probability.ravel()
            columns["most_likely_first"] = self.most_likely_first.ravel()
        return framed(columns)

    def at(self, **values: float) -> Case:
        """Return the `Case` of one point: values of the axes in SI, by name; an axis left out stays as it was.

        At the point of a map of one alone, hard limits keep free what its draws ask for.
        """
        here = {name: own[0] for name, own in self.axes.items()} == values
        case = replace(self.case, kept_free=self.kept_free) if here else self.case
        for name, value in values.items():
            value = float(value_of_axis("RegionMap.at", name, value))
            with trusted():
                case = AXES[name].set(case, value)
        return case


def region_map(
    material: Material,
    extruder: Extruder,
    job: Job,
    limits: Collection[Limit | str] | None = None,
    axes: Mapping[str, ArrayLike] | None = None,
    draws: int = 0,
    seed: int = 0,
    held: Mapping[str, Numbers] | None = None,
) -> RegionMap:
    """Return the map of a region.

    Parameters
    ----------
    material : Material
    extruder : Extruder
    job : PrintJob or FibreJob
    limits : iterable of Limit or str, optional
        Limits, or names in ``LIMITS``; by default all that are asked of its kind of job. Those not asked or not to be judged are left out and named.
    axes : dict of str to array-like
        Two names of ``AXES``, each with its values: the first runs along the columns. [SI, as the axes]
    draws : int
        Joint draws for the probability; 0 for best values alone.
    seed : int
    held : dict of str to float, optional
        Other names of ``AXES``, each held at a value instead of its own. [SI, as the axis]

    Returns
    -------
    RegionMap

    Raises
    ------
    DataError
        If an axis is not known, or no limit can be judged.

    Warns
    -----
    ModelRangeWarning
        Once for every part of the nozzle that leaves the range of its formula somewhere on the map.
    """
    axes, held = _checked(axes), dict(held or {})
    a("Job", "region_map", "job", job)
    limits, draws = chosen("region_map", limits, job), whole("region_map", "draws", draws)
    for name in held:
        if name not in AXES or name in axes:
            raise DataError(
                f"region_map: {name!r} cannot be held; choose from {', '.join(n for n in AXES if n not in axes)}."
            )
        held[name] = value_of_axis("region_map", name, held[name])
    with warned_once() as notes, trusted():
        found = _region_map(material, extruder, job, limits, axes, draws, seed, held)
    return replace(found, notes=(*material.caveats, *notes))


def _region_map(material, extruder, job, limits, axes, draws, seed, held):
    base = moved(Case.of(material, extruder, job), held)
    corner = moved(base, {name: float(values[0]) for name, values in axes.items()})
    judged, not_judged = [], {}
    for limit in limits:
        if limit.judges(corner):
            judged.append(limit)
        else:
            not_judged[limit.name] = limit.missing(corner).replace("_", " ") if limit.concerns(corner) else NOT_ASKED
    if all(limit.advice for limit in judged):
        raise DataError(
            "region_map: no limit can be judged: " + "; ".join(f"{k}: {v}" for k, v in not_judged.items()) + "."
        )
    (_, x), (_, y) = axes.items()
    stopped = broken_anyway(corner, limits) if len(x) == len(y) == 1 else []  # elsewhere on a map laws may hold
    rest = [limit for limit in limits if limit not in stopped]
    said = [f"Broken {BY_EVERY_LAW}: {', '.join(limit.name for limit in stopped)}."] if stopped else []
    unjudged = " ".join(filter(None, [*said, *withheld(corner, rest), not_judged_words(corner, rest)]))
    found = RegionMap(
        axes=axes,
        case=base,
        limits=tuple(judged),
        not_judged=not_judged,
        unjudged=unjudged,
        margins=margins_of(base, judged, axes, x, y),
        draws=draws,
        seed=seed,
        material=material,
    )
    if not draws:
        return found
    normals = Normals(draws, seed)
    rig = material.rig(extruder, draws, seed)
    drawn = moved(Case.of(material, extruder, job).drawn(material.draws(draws, seed), normals, rig), held)
    probability, holds, first = probabilities(drawn, normals, judged, axes)
    found = replace(found, probability=0.0 * probability if stopped else probability, holds=holds, stops_first=first)
    if len(x) > 1 or len(y) > 1:
        return found
    point = {name: float(values[0]) for name, values in axes.items()}
    free = kept_free(corner, moved(drawn, point), normals, judged)
    alone = replace(corner, kept_free=free)
    hard = {limit.name: np.atleast_2d(limit.margin(alone)) for limit in judged if limit.hard}
    return replace(found, margins=found.margins | hard, kept_free=free)


def _checked(axes):
    if not axes or len(axes) != 2:
        raise DataError(f"region_map: axes must name two of {', '.join(AXES)}, each with its values in SI.")
    checked = {}
    for name, values in axes.items():
        if name not in AXES:
            raise DataError(f"region_map: {name!r} is no axis; choose from {', '.join(AXES)}.")
        values = np.atleast_1d(np.asarray(value_of_axis("region_map", name, values), float))
        if values.ndim != 1 or not len(values):
            raise DataError(f"region_map: the values of {name} must be one row of numbers, in SI.")
        checked[name] = values
    return checked


def value_of_axis(where: str, name: str, value: Numbers) -> Any:
    """Return values of an axis in SI, judged by the nomenclature where it knows the axis."""
    return judged_number(where, name, value, name) if name in QUANTITIES else value
