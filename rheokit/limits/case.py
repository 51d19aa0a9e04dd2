"""One paste in one extruder on one job: what every limit looks at, each number computed once.

The extruder is set to the planned line: errors of gap and speed change the line that is laid, and not the flow; an error of
the bore changes the pressure. A fibre's flow is missed as its speed is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Self

import numpy as np

from ..brief import brief
from ..hints import Numbers
from ..inputs import trusted
from ..laws import FlowLaw, Shifted
from ..machine.extruder import Extruder
from ..origins import USUAL
from ..part.job import FIBRE, PRINT, Job
from ..part.shape import line_width
from ..paste.material import Material, Rig
from ..paste.properties import Paste, rows_of
from ..sampling import Normals
from ..things import a
from .drawing import FLOW, WINDING, Drawing
from .warm import TEMPERATURE

GAP, SPEED, BORE = "layer height error", "print speed error", "bore error"
ERRORS = {PRINT: (GAP, SPEED, BORE, TEMPERATURE), FIBRE: (FLOW, WINDING, BORE, TEMPERATURE)}
"""What hand and machine miss, by the kind of job."""
MEDIAN_BATCH, BATCH_READ = "median batch", "batch read"
SAME = 1e-9  # share by which a bore may differ from the one that was read


def _known_bore(rig):
    return None if rig.bore_factor is None else (np.asarray(rig.extruder.nozzle.bore, float), rig.bore_factor)


@dataclass(frozen=True, kw_only=True, eq=False)
class Case(Drawing):
    """A paste, an extruder and a job; arrays anywhere broadcast.

    Parameters
    ----------
    paste : Paste
    extruder : Extruder
    job : PrintJob or FibreJob
    stress_spread : float
        Standard deviation of ln stress that no draw in `paste` carries, from batch to batch: hard limits allow for it. [-]
    rate_range : tuple of float or None
        Shear rates that the readings behind the law cover. [1/s]
    yield_read : bool
        Whether they hold a test of the dynamic yield stress, which covers everything slower.
    temperature_range : tuple of float or None
        Temperatures that they cover. [K]
    water_range : tuple of float or None
        Water contents, dry basis. [-]
    age_range : tuple of float or None
        Times since mixing. [s]
    errors : mapping of str to array-like
        Standard normals of the errors of hand and machine; none: everything is as set. [-]
    typical : Paste or None
        Best values, where `paste` holds draws.
    caveats : tuple of str
        Sentences that go before every verdict: that checks of the fit failed.
    known_bore : (array-like, array-like) or None
        A stated bore [m] of which readings know the factor to the bore as it is [-]; its error is then not drawn.
    about_extruder : str
        What of the extruder is as fitted, and what is taken as exact.
    not_identified : str
        What the readings behind the law leave open, and what it needs; "" where nothing.
    laws_alike : FlowLaw or None
        Laws that these readings cannot tell apart, fields of shape (k, 1, 1).
    lean_width : float or None
        Thickness of the test walls whose lean the modulus holds (see `Material`). [m]
    tension_assumed : bool
        Whether the surface tension is the usual one, which nobody gave.
    kept_free : mapping of str to float
        By hard limit, what it keeps free so that it holds in 97.5 of 100 joint draws, as ln of the value (see `limits.sure`). Where none
        is given, `judge` finds it from the draws of `material`; without draws it allows for its own error and `stress_spread`. [-]
    of_batch : str
        The batch that the values are of: the median one, or the one read where no other was.
    material : Material or None
        That of a fit, whose draws count for as long as the paste is its own.
    """

    paste: Paste
    extruder: Extruder
    job: Job
    stress_spread: Numbers = 0.0
    rate_range: tuple | None = None
    yield_read: bool = False
    temperature_range: tuple | None = None
    water_range: tuple | None = None
    age_range: tuple | None = None
    errors: Mapping[str, Numbers] = field(default_factory=dict)
    typical: Paste | None = None
    caveats: tuple = ()
    known_bore: tuple | None = None
    about_extruder: str = ""
    not_identified: str = ""
    laws_alike: FlowLaw | None = None
    lean_width: float | None = None
    tension_assumed: bool = False
    kept_free: Mapping[str, float] = field(default_factory=dict)
    of_batch: str = MEDIAN_BATCH
    material: Material | None = field(default=None, repr=False)

    __repr__ = brief

    def __post_init__(self):
        """Take from the paste's law what its readings leave open, where nothing else says so."""
        for kind, name in (("Paste", "paste"), ("Extruder", "extruder"), ("Job", "job")):
            a(kind, "Case", name, getattr(self, name))
        law = getattr(self.paste, "law", None)
        if not self.not_identified and getattr(law, "left_open", ""):
            object.__setattr__(self, "not_identified", law.left_open)
            object.__setattr__(self, "laws_alike", law.alike)

    @classmethod
    def of(cls, material: Material, extruder: Extruder, job: Job | None) -> Self:
        """Return the case of a material's best values, the extruder as its readings know it."""
        where = "Case.of(material, extruder, job)"
        for kind, name, value in (
            ("Material", "material", material),
            ("Extruder", "extruder", extruder),
            ("Job", "job", job),
        ):
            a(kind, where, name, value)
        rig = material.rig(extruder)
        return cls(
            paste=material.paste,
            extruder=rig.extruder,
            job=job,
            stress_spread=material.sure_spread,
            of_batch=BATCH_READ if material.one_batch_read else MEDIAN_BATCH,
            rate_range=material.rate_range,
            yield_read=material.yield_read,
            temperature_range=material.temperature_range,
            water_range=material.water_range,
            age_range=material.age_range,
            caveats=material.caveats,
            known_bore=_known_bore(rig),
            about_extruder=rig.words,
            not_identified=material.not_identified,
            laws_alike=material.laws_alike,
            lean_width=material.lean_width,
            tension_assumed=material.origin("surface_tension") == USUAL,
            material=None if material.law_draws is None else material,
        )

    @trusted()
    def drawn(self, pastes: Paste, normals: Normals | None = None, rig: Rig | None = None) -> Case:
        """Return the case with draws of the paste, of its extruder where a `Rig` of them is given, and of what is missed where normals are."""
        errors = {} if normals is None else {name: normals(name) for name in ERRORS[self.job.kind]}
        case = replace(self, paste=pastes, errors=errors, stress_spread=0.0, typical=self.best)
        return case if rig is None else replace(case, extruder=rig.extruder, known_bore=_known_bore(rig))

    @trusted()
    def rows(self, rows: slice, count: int) -> Case:
        """Return the case with some of its `count` draws."""
        errors = {name: np.asarray(value)[rows] for name, value in self.errors.items()}
        drawn = {name: rows_of(getattr(self, name), rows, count) for name in ("paste", "extruder", "known_bore")}
        return replace(self, errors=errors, **drawn)  # type: ignore[arg-type]  # each is of the kind it was

    @property
    def without_caveats(self) -> Case:
        """The case for words that stand below its caveats, which are said once."""
        return replace(self, caveats=())

    @property
    def best(self) -> Paste:
        """The paste of best values."""
        return self.paste if self.typical is None else self.typical

    @property
    @trusted()
    def alike(self) -> Case | None:
        """The case with all laws that the readings cannot tell apart, one row each; None where they leave nothing open."""
        laws, now = self.laws_alike, self.paste.law
        if laws is None:
            return None
        if isinstance(now, Shifted):
            laws = now.of(laws)
        return replace(self, paste=replace(self.paste, law=laws), laws_alike=None)

    # --- as set -------------------------------------------------------------------------------------------------

    @cached_property
    def nominal_bore(self) -> Numbers:
        """Bore of the nozzle as stated [m]."""
        return np.asarray(self.extruder.nozzle.bore, float)

    @cached_property
    def layer_height(self) -> Numbers:
        """Layer height as set [m]."""
        return self.job.height(self.nominal_bore)

    @cached_property
    def line_width(self) -> Numbers:
        """Line width as planned [m]."""
        return self.job.width(self.nominal_bore)

    @cached_property
    def flow_rate(self) -> Numbers:
        """Flow that the extruder is set to [m3/s]; of a fibre as it is."""
        flow = self.job.flow_rate(self.nominal_bore)
        return flow * np.exp(self._error(FLOW, self.job.flow_error)) if FLOW in self.errors else flow

    # --- as it comes out ----------------------------------------------------------------------------------------

    @cached_property
    def bore(self) -> Numbers:
        """Bore of the nozzle as it is [m]."""
        factor = np.exp(self._error(BORE, self.job.bore_error))
        if self.known_bore is not None:
            stated, known = self.known_bore
            factor = np.where(np.isclose(self.nominal_bore, stated, rtol=SAME, atol=0.0), known, factor)[()]
        return self.nominal_bore * factor

    @cached_property
    def gap(self) -> Numbers:
        """Gap under the nozzle as it is [m]."""
        return np.maximum(self.layer_height + self._error(GAP, self.job.layer_height_error), 1e-6)

    @cached_property
    def laid_width(self) -> Numbers:
        """Width of the line that the flow fills in the gap as it is [m]."""
        speed = self.job.print_speed * np.exp(self._error(SPEED, self.job.speed_error))
        return line_width(self.flow_rate / speed, self.gap)

    @cached_property
    def real_extruder(self) -> Extruder:
        """The extruder with the bore as it is."""
        if self.known_bore is None and (BORE not in self.errors or not self.job.bore_error):
            return self.extruder
        return replace(self.extruder, nozzle=self.extruder.nozzle.with_bore(self.bore))

    @cached_property
    def pressure(self) -> Numbers:
        """Pressure at the plunger face while it runs [Pa]; best values warn where a formula leaves its range, draws do not."""
        if not self.errors:
            return self.real_extruder.pressure(self.pressure_law, self.flow_rate)
        if self.extruder.slip is not None:
            return self.real_extruder.channel.pressure_drop(self.pressure_law, self.flow_rate)
        return sum(part.pressure_drop(self.pressure_law, self.flow_rate) for part in self.real_extruder.parts)

    @cached_property
    def force(self) -> Numbers:
        """Force on the plunger while it runs [N]."""
        return self.pressure * self.extruder.area + self.extruder.plunger_friction

    @cached_property
    def start_pressure(self) -> Numbers:
        """Pressure at the plunger face that starts the paste after its rest [Pa]."""
        return self.real_extruder.start_pressure(self.pressure_law, static_yield_stress=self.paste.static_yield_stress)

    @cached_property
    def wall_width(self) -> Numbers:
        """Thickness of the walls of the part [m]: one line where the job states none."""
        return self.line_width if self.job.wall_width is None else self.job.wall_width

    @cached_property
    def apparent_rate(self) -> Numbers:
        """Apparent shear rate in the bore, 32Q/πD³ [1/s]."""
        return 32 * self.flow_rate / (np.pi * self.nominal_bore**3)

    @cached_property
    def widest_wall(self) -> Numbers:
        """Diameter of the widest wall, from the barrel to the bore, whose shear rate must have been read [m]."""
        wide = self.extruder.channel.widest_wall(self.pressure_law, self.flow_rate, self.pressure)
        return np.maximum(wide, self.nominal_bore)

    @cached_property
    def layer_time(self) -> Numbers:
        """Time of one layer [s]."""
        return self.job.path_length / self.job.print_speed

    @cached_property
    def rise_speed(self) -> Numbers:
        """Speed at which the part grows [m/s]."""
        return self.layer_height / self.layer_time
