"""What can be varied: one function (case, values) to case for each axis of a region.

To add an axis, write such a function and enter it in `AXES`. Values may have any shape that broadcasts.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from ..brief import brief
from ..errors import DataError
from ..flow.nozzles import Cone, Nozzle
from ..found import Named
from ..hints import Numbers
from ..laws import Shifted
from ..limits.case import Case
from ..nomenclature import QUANTITIES, unit_for
from ..part.job import FIBRE, KINDS, PRINT, Job


@dataclass(frozen=True)
class Axis:
    """One axis of a region: its words and unit at the edge, its function, and where it usually runs.

    Attributes
    ----------
    label, unit : str
        Words and symbol, and the unit of the edge.
    scale, offset : float
        That unit in SI, and its zero.
    set : callable
        (case, values in SI) to case.
    get : callable
        case to its value in SI, None where it has none.
    low, high : float
        Where it is usually swept, in the unit of the edge; common practice, no source.
    logarithmic : bool
    local : bool
        True where the usual range is that of one paste: for another it moves along, and does not widen.
    kind : str
        Of the jobs that have it; "" where all have.
    """

    label: str
    unit: str
    scale: float
    set: Callable
    get: Callable
    low: float
    high: float
    logarithmic: bool = False
    local: bool = False
    offset: float = 0.0
    kind: str = ""

    __repr__ = brief

    def in_si(self, value: Numbers) -> Numbers:
        """Return a value at the edge in SI."""
        return value * self.scale + self.offset

    def at_edge(self, value: Numbers) -> Numbers:
        """Return a value in SI as it stands at the edge, in its unit."""
        return (value - self.offset) / self.scale

    def span(self, case: Case) -> tuple[float, float]:
        """Return where to sweep it for a case, in SI: the usual range, brought about the case's own value if that lies outside.

        Then it reaches as far from that value, as ratios, as the usual range does from its own middle; of a temperature, as
        a difference.
        """
        low, high = (float(self.in_si(end)) for end in (self.low, self.high))
        own = self.get(case)
        if own is None or low <= own <= high:
            return low, high
        if self.offset:
            half = (high - low) / 2
            return float(own) - half, float(own) + half
        reach = (high / low) ** 0.5 if low > 0 else 2.0
        about = float(own) / reach, float(own) * reach
        return about if self.local else (min(low, about[0]), max(high, about[1]))

    def moves(self, case: Case) -> bool:
        """Return whether a case has a value of it, and all that is needed to move it: water also needs its slope."""
        own = None if self.kind not in ("", case.job.kind) else self.get(case)
        if own is None:
            return False
        try:
            self.set(case, own)
        except DataError:
            return False
        return True


def _job(name, **also):
    def apply(case, values):
        if name not in case.job.__dataclass_fields__:
            raise DataError(
                f"Axis {name}: a job that {KINDS[case.job.kind]} has no {name.replace('_', ' ')} to vary; take another axis."
            )
        return replace(case, job=replace(case.job, **{name: values}, **also))

    return apply


def _of_job(name):
    return lambda case: getattr(case.job, name, None)


def _bore(case, values):
    return replace(case, extruder=replace(case.extruder, nozzle=case.extruder.nozzle.with_bore(values)))


def _taper(case, values):
    """Set the half angle [rad] of the last taper: its ends stay, its length follows."""
    segments = list(case.extruder.nozzle.segments)
    places = [place for place, segment in enumerate(segments) if isinstance(segment, Cone)]
    if not places:
        raise DataError("Axis taper: the nozzle has no Cone whose angle could be varied.")
    cone = segments[places[-1]]
    length = (cone.inlet_diameter - cone.outlet_diameter) / 2 / np.tan(values)
    segments[places[-1]] = Cone(inlet_diameter=cone.inlet_diameter, outlet_diameter=cone.outlet_diameter, length=length)
    return replace(case, extruder=replace(case.extruder, nozzle=Nozzle(*segments)))


def _angle(case):
    cones = [segment for segment in case.extruder.nozzle.segments if isinstance(segment, Cone)]
    return cones[-1].half_angle if cones else None


def _law_parameter(name):
    """Set a parameter of the law: draws keep their spread about it, in proportion."""

    def apply(case, values):
        best = _value_of(case.best, name)
        if not best:
            raise DataError(f"Axis {name}: the law of this paste has no {name} to vary.")
        return replace(case, paste=replace(case.paste, law=_times(case.paste.law, name, values / best)))

    return apply


def _value_of(paste, name):
    law, factor = paste.law, 1.0
    while isinstance(law, Shifted):
        law, factor = law.law, factor * law.stress_factor
    value = getattr(law, name, None)
    return None if value is None else value * factor


def _times(law, name, factor):
    if isinstance(law, Shifted):
        return replace(law, law=_times(law.law, name, factor))
    return replace(law, **{name: getattr(law, name) * factor})


def _stiffness(case, values):
    """Set the yield stress [Pa], and the consistency and the modulus in proportion: a stiffer or softer batch."""
    best = case.best.yield_stress
    if not np.all(np.asarray(best) > 0):
        raise DataError("Axis stiffness: the law of this paste has no yield stress to scale with.")
    return replace(case, paste=case.paste.stiffer(values / best))


def _yield_stress(case):
    """Return the yield stress of the paste [Pa]; None where its law has none to vary."""
    own = case.best.yield_stress
    return own if np.any(np.asarray(own) > 0) else None


def _air(case, values):
    """Set the air content [-]; the density follows, but where the air in the density that was measured is not known."""
    air, density = case.paste.air_content, case.paste.density
    if air is not None and density is not None:
        density = density * (1 - values) / (1 - air)
    return replace(case, paste=replace(case.paste, air_content=values, density=density))


def _axis(name, change, get, low, high, words="", **kinds):
    """Return the axis of a quantity of the nomenclature: its name, or other words, with its symbol and its unit of the bench."""
    unit = unit_for(name)
    label = f"{words or name.replace('_', ' ')} {QUANTITIES[name].symbol}"
    return Axis(label, unit.text, unit.factor, change, get, low, high, offset=unit.zero, **kinds)


def _setting(name, low, high, kind="", **kinds):
    """Return the axis of a setting of a job; `kind` says of which, where not all have it."""
    return _axis(name, _job(name), _of_job(name), low, high, kind=kind, **kinds)


AXES = Named("axis", {
    "bore": _axis("bore", _bore, lambda case: case.nominal_bore, 0.6, 4.0, words="bore at the tip", logarithmic=True),
    "print_speed": _setting("print_speed", 3.0, 40.0, PRINT, logarithmic=True),
    "layer_height": _axis(
        "layer_height", _job("layer_height", layer_height_to_bore=None), lambda case: case.layer_height, 0.3, 2.0, kind=PRINT
    ),
    "water_content": Axis(
        "water content u (dry basis)", "-", 1.0, lambda case, u: replace(case, paste=case.paste.at_water(u)),
        lambda case: case.paste.water_content, 0.8, 1.4, local=True,
    ),
    "yield_stress": _axis(
        "yield_stress", _law_parameter("yield_stress"), _yield_stress, 50.0, 5000.0, logarithmic=True
    ),
    "consistency": _axis(
        "consistency", _law_parameter("consistency"), lambda case: _value_of(case.best, "consistency"), 20.0, 2000.0,
        logarithmic=True,
    ),
    "stiffness": Axis(
        "stiffness, by the yield stress τ_y", "Pa", 1.0, _stiffness, _yield_stress, 50.0, 5000.0, True
    ),
    "part_height": _setting("part_height", 5.0, 100.0, PRINT),
    "wall_width": _axis("wall_width", _job("wall_width"), lambda case: case.wall_width, 1.0, 20.0, kind=PRINT),
    "air_content": _axis("air_content", _air, lambda case: case.paste.air_content, 0.0, 6.0),
    "taper": _axis("taper", _taper, _angle, 3.0, 45.0, words="half angle of the taper"),
    "nozzle_temperature": _setting("nozzle_temperature", 25.0, 60.0),
    "winding_speed": _setting("winding_speed", 20.0, 400.0, FIBRE, logarithmic=True),
    "throughput": _setting("throughput", 2.0, 50.0, FIBRE, logarithmic=True),
    "gap": _axis("gap", _job("gap"), _of_job("gap"), 1.0, 50.0, words="gap in the air", kind=FIBRE, logarithmic=True),
    "relative_humidity": Axis(
        f"relative humidity {QUANTITIES['relative_humidity'].symbol}", "%", 0.01, _job("relative_humidity"),
        _of_job("relative_humidity"), 20.0, 90.0, kind=FIBRE,
    ),
    "air_temperature": _setting("air_temperature", 12.0, 32.0, FIBRE),
    "bath_temperature": _setting("bath_temperature", 2.0, 25.0, FIBRE),
})  # fmt: skip
"""Every axis by its name."""


def moved(case: Case, values: Mapping[str, Numbers]) -> Case:
    """Return the case with values of axes set; where it holds draws, its best values move along."""
    for name, value in values.items():
        typical = (
            None
            if case.typical is None
            else AXES[name].set(replace(case, paste=case.typical, typical=None), value).paste
        )
        case = replace(AXES[name].set(case, value), typical=typical)
    return case


def speed_of(job: Job) -> str:
    """Return the name of the axis of the speed of a job."""
    return {PRINT: "print_speed", FIBRE: "winding_speed"}[job.kind]


def movable(case: Case) -> dict[str, Axis]:
    """Return those of `AXES` that a case can be moved along, by name."""
    return {name: axis for name, axis in AXES.items() if axis.moves(case)}
