"""Syringe: force against plunger speed or caught mass, or force set and flow read."""

from dataclasses import dataclass, field, replace
from typing import ClassVar

import numpy as np

from ..checking import Check, Example
from ..errors import DataError
from ..flow.nozzles import Nozzle
from ..hints import Numbers
from ..laws import FlowLaw
from ..machine.cautions import CAUTIONS
from ..machine.extruder import Extruder
from ..nomenclature import written
from ..things import a
from .base import Nuisance, Shared, Values, column, dimension
from .described import EXTRUDER, LOADS, PUSHED
from .run import WORKED, Run
from .whence import word_of

FRICTION_SHARE = 1 / 3  # of a force, above which friction needs its uncertainty; common practice, no source
FRICTION_KNOWN, FRICTION_OPEN = "friction known well enough", "friction leaves little of the force open"
FRICTION_LEFT = 0.10  # of the paste's force, that friction may leave open on the best row; common practice, no source

BARREL = {"barrel_diameter": 0.0213, "fill_length": 0.057, "barrel_drag": 0.6, "plunger_friction": 7.3}
"""Barrel of the worked examples."""


@dataclass(frozen=True, kw_only=True, eq=False)
class ForceRun(Run):
    """Plunger force and flow of one extruder.

    Parameters
    ----------
    extruder : Extruder
        Barrel, fill, friction and nozzle. Its fill length is that at the start; give `stroke` and it falls from there.
    flow_rate : array-like, shape (N,)
        Volume flow: plunger speed times section, or caught mass over density and time. [m3/s]
    force : array-like, shape (N,)
        Force on the plunger. [N]
    read : {"force", "flow_rate"}
        Which of the two was read; the other was set.
    plunger_friction_uncertainty : float
        Standard uncertainty of the friction, which is then a nuisance parameter of the apparatus; 0 to take it as exact.
        A friction measured empty is known to about 1 N. [N]
    barrel_drag_uncertainty : float
        Standard uncertainty of the barrel drag factor, 0 to take it as stated. Two fill lengths can fix it. [-]
    needle_outer_diameter : float, optional
        Of a bare needle in the air of the room; leave it out where the needle is heated, or as cold as the barrel. [m]
    room_temperature : float, optional
        Of the air about a bare needle. [K]
    rest : array-like, optional, shape (N,)
        Time without flow before each row, in which a bare needle cools. [s]
    end_correction, slip, bore_uncertainty
        As in every `Run`.
    """

    kind = "syringe force"
    default_model_error = 0.10
    usual_minutes, usual_scatter = 8.0, 0.04
    formula = "F = (Δp_nozzle + f_b 4 τ_w L_f/D_0) A_0 + F_f"
    source = "force balance on the plunger; converging flow by finite elements computed for the project"
    example = (
        Example(
            given=WORKED | BARREL | {"read": "force", "flow_rate": (1.7e-8, 9e-8)},
            expected={"force": (32.0404132, 44.5950205)},
            source=(
                "in 18 digits: pi/4*0.0213^2*p + 7.3, p of land (4*0.019/0.0021*tau_w), barrel (0.6*4*0.057/0.0213*tau_w) and "
                "a step 0.0213 to 0.0021 by the converging-flow formula at 90 degrees; wall stress from 4/tau_w^3 int (s + 640)^2 (s/190)^(1/0.45) ds, term by term"
            ),
        ),
        Example(
            given=WORKED | BARREL | {"read": "flow_rate", "force": (71.0,)},
            expected={"flow_rate": (4.78701476e-7,)},
            source="the same sum solved for the flow at (71 - 7.3) N",
        ),
    )
    artefacts = (
        "plunger friction: measure it empty and with a wide open tip; the break-loose peak is not the gliding force",
        "barrel drag looks like yield stress: state the fill length",
        "what is heated is colder in a bare needle than in the barrel, and colder still after a rest: warm the needle, or purge it",
        *Run.artefacts,
    )
    tools = ("syringe", "scale", "ruler", "weights", "timer")
    usual: ClassVar[dict] = {
        "barrel_diameter": 20e-3,
        "fill_length": 60e-3,
        "plunger_friction": 5.0,
        "bore": 2e-3,
        "length": 20e-3,
        "read": "force",
        "flow_rate": (10e-9, 100e-9),
    }
    protocol = (
        "Fill a syringe without air, such as {barrel_diameter} wide with {fill_length} of paste and a nozzle of {bore} by {length}, and measure "
        "these. Load the upright plunger with three "
        "weights or more, the least as light as still gives a flow, wait each time until the flow is steady, and catch what comes out on the scale "
        "for a known time. Or push at set speeds and read the force."
    )
    caution = f"{CAUTIONS['weights']} {CAUTIONS['barrel']}"
    assembly = EXTRUDER
    ways: ClassVar[dict] = {**Run.ways, "force": (*LOADS, PUSHED)}
    drives = "force"

    extruder: Extruder = field()  # type: ignore[misc]  # other kinds have none
    force: np.ndarray = column()
    read: str = "force"
    plunger_friction_uncertainty: float = 1.0
    barrel_drag_uncertainty: float = 0.0
    needle_outer_diameter: float | None = dimension(None)
    room_temperature: float | None = dimension(None)
    rest: np.ndarray | None = column(None, positive=False)

    def __post_init__(self):
        a("Extruder", self.name, "extruder", self.extruder)
        super().__post_init__()
        friction = np.max(self.extruder.plunger_friction)
        if np.all(self.force < friction):
            raise DataError(
                f"{self.name}: every force ({written(np.max(self.force), 'N')} at most) is below the plunger friction "
                f"({written(friction, 'N')}), so no force is left for the paste; check the unit of either."
            )
        self._check_needle()
        if self.stroke is not None and np.any(self.stroke > np.max(self.extruder.fill_length) * (1 + 1e-9)):
            raise DataError(
                f"{self.name}: stroke reaches {written(np.max(self.stroke), 'm', 4)} but the fill is only "
                f"{written(np.max(self.extruder.fill_length), 'm', 4)} long at the start; check the unit of either."
            )

    def _check_needle(self):
        wide = self.needle_outer_diameter
        if wide is None:
            return
        if self.room_temperature is None:
            raise DataError(
                f"{self.name}: needle_outer_diameter = {written(wide, 'm', 4)} is that of a bare needle in a room; give room_temperature as well, "
                "or leave it out where the needle is heated."
            )
        if wide <= np.max(self.nozzle.bore):
            raise DataError(
                f"{self.name}: needle_outer_diameter = {written(wide, 'm', 4)} is not above the bore, {written(np.max(self.nozzle.bore), 'm', 4)}; "
                "check which is which, and the unit of either."
            )

    @property
    def nozzle(self) -> Nozzle:  # type: ignore[override]  # noqa: D102
        return self.extruder.nozzle

    @property
    def inlet_diameter(self) -> Numbers:  # type: ignore[override]  # noqa: D102
        return self.extruder.barrel_diameter

    @property
    def pressure_rating(self) -> Numbers | None:  # type: ignore[override]  # noqa: D102
        return self.extruder.pressure_rating

    @property
    def fill_length(self) -> np.ndarray:
        """Filled length of the barrel at each reading, shape (N,) [m]."""
        travelled = 0.0 if self.stroke is None else self.stroke
        return np.broadcast_to(self.extruder.fill_length - travelled, self.force.shape)

    def own_nuisances(self) -> dict[Shared, Nuisance]:  # noqa: D102
        friction = self.own_nuisance("plunger_friction", self.extruder.plunger_friction)
        drag = self.own_nuisance("barrel_drag", self.extruder.barrel_drag, high=1.0)
        return super().own_nuisances() | friction | drag

    def _barrel(self, found):
        drag = found.get(self.shared("barrel_drag"), self.extruder.barrel_drag)
        return {"barrel_length": self.fill_length, "barrel_drag": drag}

    def pressures(self, nuisance: Values) -> Numbers:
        """Return the pressure in the barrel [Pa] that the force leaves beside friction."""
        return np.maximum(self.force - self._friction(nuisance), 0.0) / self.extruder.area

    def reading_at(self, pressure: Numbers, nuisance: Values) -> Numbers:
        """Return the force [N] at a pressure in the barrel [Pa]."""
        return pressure * self.extruder.area + self._friction(nuisance)

    def _friction(self, nuisance):
        return nuisance.get(self.shared("plunger_friction"), self.extruder.plunger_friction)

    def _rough_pressure(self):
        net = np.maximum(self.force - self.extruder.plunger_friction, 0.05 * self.force)
        return net / self.extruder.area

    def curve_points(self, law: FlowLaw, nuisance: Values) -> tuple[Numbers, Numbers]:  # noqa: D102
        pressure = (self.force - self._friction(nuisance)) / self.extruder.area
        return self.channel(nuisance).curve_points(law, self.flow_rate, pressure)

    def questions(self, law: FlowLaw, nuisance: Values, errors: Values | None = None) -> list[Check]:  # noqa: D102
        described = bool(np.min(self.fill_length) > 0 and self.extruder.barrel_drag > 0)
        with_drag, without = self.channel(nuisance), replace(self.channel(nuisance), barrel_length=0.0)
        share = float(
            np.max(1 - without.pressure_drop(law, self.flow_rate) / with_drag.pressure_drop(law, self.flow_rate))
        )
        comment = f"{self.name}: the barrel wall carries up to {100 * share:.0f} % of the pressure."
        if not described:
            comment = (
                f"{self.name}: no barrel drag is described (fill length or drag factor is zero), so whatever drag there was "
                "is read as yield stress. State the fill length; if the wall is greased, measure at two fill lengths."
            )
        return [
            Check("barrel drag described", share, "a fill length", described, comment),
            self._friction_known(nuisance, errors),
        ]

    def _friction_known(self, nuisance, errors):
        """Is friction small, or known well enough to be taken off?

        Above a third of a force it must come with an uncertainty: the fit then moves it within that, so that light rows
        weigh little on the law. Nothing helps where it leaves more than a tenth of the paste's force open on every row. The size is
        that of the friction as fitted; judged is the larger of that and what was stated, so that no fit talks friction away.
        """
        stated, fitted = float(self.extruder.plunger_friction), float(self._friction(nuisance))
        friction, spread = max(stated, fitted), self.plunger_friction_uncertainty
        shares = friction / self.force
        heavy = np.flatnonzero(shares > FRICTION_SHARE)
        comment = f"{self.name}: friction is {_percent(fitted / self.force)} % of the force"
        if self.shared("plunger_friction") in nuisance:
            comment += f" as fitted, {written(fitted, 'N')} ({word_of(self, 'plunger_friction')} {written(stated, 'N')}, {_percent(stated / self.force)} %)"
        comment += "."
        if len(heavy):
            comment += f" Above a third on {self.rows_where(heavy)}."
        paste = self.force - friction
        left = np.min(spread / paste[paste > 0], initial=np.inf)
        passed, question = False, FRICTION_KNOWN
        if np.any(paste <= 0):
            none = self.rows_where(paste <= 0)
            comment += f" It leaves no force for the paste on {none}: measure it again, or leave such rows out."
        elif not len(heavy):
            passed = True
        elif not spread:
            comment += " It is taken as exact; state it with its uncertainty, such as '3.5 ± 0.4 N', or push harder."
        elif left > FRICTION_LEFT:  # the intervals hold it
            question = FRICTION_OPEN
            comment += (
                f" Its stated uncertainty of {written(spread, 'N', 2)} is {written(left, '%', 2)} of the paste's force or more on every row: "
                "measure it again with several plungers, grease them, or push harder."
            )
        else:
            passed = True
            told = (errors or {}).get(self.shared("plunger_friction"))
            comment += (
                f" The fit takes it off ± {written(spread, 'N', 2)}"
                if told is None
                else (f" The fit takes it off ± {written(told, 'N', 2)} (stated ± {written(spread, 'N', 2)})")
            )
            comment += ": light rows tell the friction, heavy ones the paste."
        return Check(question, float(np.max(shares)), FRICTION_SHARE, passed, comment)


def _percent(shares):
    low, high = 100 * np.min(shares), 100 * np.max(shares)
    return f"{high:.0f}" if high - low < 1 else f"{low:.0f} to {high:.0f}"
