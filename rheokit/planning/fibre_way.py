"""The way of a fibre from the needle to the drum: how warm it is, how thick, and how far it has set, place by place.

Here the fibre thins along the gap, cools and sets as thick and as fast as it is at each place. The limits take the whole gap
at the speed of the drum, which a map can afford: over a long gap they have it cool in a fifth less time, and set in an eighth
more (see `fibre.airgap`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from ..brief import brief
from ..fibre.air import Course
from ..fibre.airgap import thread_time_constant
from ..fibre.bath import bath_progress, bath_temperature_left
from ..fibre.draw import exit_speed, wet_diameter
from ..fibre.setting import time_to_set
from ..fibre.thinning import thread_speeds
from ..framed import framed
from ..hints import Numbers, Table
from ..inputs import trusted
from ..limits import LIMITS, Case
from ..sampling import Normals, limits_of
from .asked import Known
from .extrapolation import outside_readings

NEEDLE, AIR, BATH = "needle", "air", "bath"
PLACES = 61  # of each stretch
BARELY = 1e-9  # of the nozzle: its inlet
COLUMNS = ("temperature", "diameter", "setting")


@dataclass(frozen=True, eq=False)
class FibreWay:
    """The way of a fibre, in stretches one after another.

    Attributes
    ----------
    table : DataFrame
        By place: stretch ("needle", "air", "bath"), position from the exit of the nozzle, below 0 in it [m]; temperature [K],
        diameter [m] and setting [-] with best values, and the 95 % limits of each, as in temperature_low and temperature_high.
        NaN where it is not known.
    unknown : mapping of str to str
        Columns that are not known, each with what they lack in words.
    gel_temperature : float or None
        [K]
    dry_diameter : Known or None
        With its 95 % limits. [m]
    taut : bool
        False where it comes or falls faster than it is wound: it is then taken to thin evenly.
    outside : sequence of str
        Ranges of the readings that it leaves, in words: it is then extrapolated.
    """

    table: pd.DataFrame
    unknown: Mapping[str, str]
    gel_temperature: Numbers | None = None
    dry_diameter: Known | None = None
    taut: bool = True
    outside: Sequence[str] = ()

    __repr__ = brief

    @property
    def stretches(self) -> list[str]:
        """Names of the stretches, in order."""
        return list(dict.fromkeys(self.table.stretch))

    @property
    def set_after(self) -> Known | None:
        """Position at which it has set [m], infinite where it has not at the drum; None where that is not known."""
        if self.table.setting.isna().all():
            return None
        reached = (
            self.table.position[self.table[column] >= 1] for column in ("setting", "setting_high", "setting_low")
        )
        return Known(*(float(places.iloc[0]) if len(places) else np.inf for places in reached))

    def of(self, stretch: str) -> Table:
        """Return the rows of a stretch."""
        return self.table[self.table.stretch == stretch]


def fibre_way(case: Case, drawn: Case | None = None, normals: Normals | None = None) -> FibreWay:
    """Return the way of the fibre of a case.

    Parameters
    ----------
    case : Case
        Of best values, with a `FibreJob`.
    drawn : Case, optional
        The same with joint draws, for the 95 % limits.
    normals : Normals, optional
        Of those draws: the setting is then off by the error of its limit too.

    Returns
    -------
    way : FibreWay
        The fibre thins as `fibre.thinning` has it of a Newtonian thread with the viscosity of the draw.
    """
    with trusted():
        best = _stretches(case)
        ends = {} if drawn is None else _stretches(drawn)
        error = 0.0 if normals is None else LIMITS["set before winding"].drawn_error(case, normals)
    frames = []
    for name, columns in best.items():
        rows = {"stretch": [name] * PLACES, "position": _row(columns["position"])}
        for what in COLUMNS:
            rows[what] = _row(columns[what])
            known = None if drawn is None else ends[name][what]
            if what == "setting" and known is not None:
                known = known * np.exp(error)
            rows[f"{what}_low"], rows[f"{what}_high"] = _limits(rows[what], known)
        frames.append(framed(rows))
    dry = None if case.paste.dry_section is None else _dry(case, drawn, normals)
    return FibreWay(
        framed(pd.concat(frames, ignore_index=True)),
        _unknown(case),
        case.paste.gel_temperature,
        dry,
        bool(np.all(best[AIR]["taut"])),
        outside_readings(case),
    )


def _dry(case, drawn, normals):
    """Return the dry diameter with the limits of its draws, off by the error of its limit."""
    if drawn is None:
        return Known(*[float(case.dry_diameter)] * 3)
    error = 0.0 if normals is None else LIMITS["dry diameter"].drawn_error(case, normals)
    return Known.of(case.dry_diameter, drawn.dry_diameter * np.exp(error))


def _row(values):
    return np.broadcast_to(np.nan if values is None else np.ravel(values), (PLACES,)).astype(float)


def _limits(best, drawn):
    """Return both limits, shape (places,), of draws of shape (count, 1, places), or the best values twice."""
    if drawn is None or np.ndim(drawn) < 3:
        return best, best
    return limits_of(np.broadcast_to(drawn, (len(drawn), 1, PLACES))[:, 0])


def _unknown(case):
    """Return what is not known, by column."""

    def lacking(names):
        return f"{', '.join(names)} not known".replace("_", " ")

    found = {}
    if heat := [*dict.fromkeys([*case.lacks_heat, *_cooling(case)])]:
        found["temperature"] = lacking(heat)
    if setting := case.lacks_setting:
        found["setting"] = lacking(setting)
    return found


def _cooling(case):
    return [name for name in ("density", "heat_capacity") if getattr(case.paste, name) is None]


def _stretches(case):
    """Return the columns of each stretch; None for what is not known, a shape that broadcasts with (count, 1, places)."""
    found = {NEEDLE: _in_needle(case), AIR: _in_air(case)}
    if case.job.has_bath:
        found[BATH] = _in_bath(case, found[AIR])
    return found


def _in_needle(case):
    segments = case.extruder.nozzle.segments
    lengths = np.array([float(np.mean(part.length)) for part in segments])
    begins = np.concatenate([[0.0], np.cumsum(lengths)])
    along = np.linspace(0.0, begins[-1], PLACES)
    bores = [part.diameter if hasattr(part, "diameter") else part.inlet_diameter for part in segments]
    ends = [part.diameter if hasattr(part, "diameter") else part.outlet_diameter for part in segments]
    place = np.clip(np.searchsorted(begins, along, side="right") - 1, 0, len(segments) - 1)
    share = (along - begins[place]) / lengths[place]
    first, last = (np.stack(np.broadcast_arrays(*one), axis=-1)[..., place] for one in (bores, ends))
    first, last = (one if one.ndim == 1 else one[..., 0, :] for one in (first, last))
    diameter = first + (last - first) * share
    return {
        "position": along - begins[-1],
        "temperature": case.temperature_after(np.maximum(along, BARELY * begins[-1])),
        "diameter": diameter,
        "setting": None if case.lacks_setting else np.zeros(PLACES),
    }


def _in_air(case):
    share, job = np.linspace(0.0, 1.0, PLACES), case.job
    speed, taut = _speeds(case, share)
    diameter = wet_diameter(flow_rate=case.flow_rate, winding_speed=speed)
    columns = {"position": job.gap * share, "diameter": diameter, "temperature": None, "setting": None, "taut": taut}
    if case.lacks_heat or _cooling(case):
        return columns
    constant = thread_time_constant(
        diameter=diameter, speed=speed, volumetric_heat=case.volumetric_heat, draught=job.draught
    )
    course = Course(job.air_temperature, job.relative_humidity, case.paste.water_activity)
    start = course.time_at(case.exit_temperature)
    scaled = _summed(job.gap / speed / constant, share)
    columns["temperature"] = np.minimum(course.temperature_at(start + scaled), case.exit_temperature)
    if not case.lacks_setting:
        columns["setting"] = _summed(job.gap / speed / time_to_set(columns["temperature"], **_gel(case)), share)
    return columns


def _speeds(case, share):
    """Return the speed at shares of the gap, and whether the fibre is taut there; of a paste evenly in ln v."""
    begin = exit_speed(case.flow_rate, case.bore)
    if case.has_strength or case.paste.density is None:
        return begin * np.asarray(case.draw_ratio) ** share, True
    there = {"flow_rate": case.flow_rate, "bore": case.bore, "winding_speed": case.wound_speed, "gap": case.job.gap}
    return thread_speeds(
        share, case.draw_viscosity, surface_tension=case.paste.surface_tension, density=case.paste.density, **there
    )


def _in_bath(case, air):
    job, share = case.job, np.linspace(0.0, 1.0, PLACES)
    columns = {
        "position": job.gap + job.bath_length * share,
        "diameter": case.wet_diameter,
        "temperature": None,
        "setting": None,
    }
    start, time = air["temperature"], job.bath_length * share / case.wound_speed
    if start is None:
        return columns
    start, diffusivity = np.asarray(start)[..., -1:], case.paste.thermal_diffusivity
    fourier = diffusivity * time / (np.square(case.wet_diameter) / 4)
    columns["temperature"] = job.bath_temperature + (start - job.bath_temperature) * bath_temperature_left(fourier)
    if air["setting"] is not None:
        within = bath_progress(
            time, start, job.bath_temperature, diameter=case.wet_diameter, thermal_diffusivity=diffusivity, **_gel(case)
        )
        columns["setting"] = np.asarray(air["setting"])[..., -1:] + within
    return columns


def _gel(case):
    return {name: getattr(case.paste, name) for name in ("gel_temperature", "setting_time", "setting_exponent")}


def _summed(density, share):
    """Return the integral over shares of the gap from 0, along the last axis."""
    density = np.broadcast_to(density, np.broadcast_shapes(np.shape(density), share.shape))
    parts = (density[..., 1:] + density[..., :-1]) / 2 * np.diff(share)
    return np.concatenate([np.zeros_like(parts[..., :1]), np.cumsum(parts, axis=-1)], axis=-1)
