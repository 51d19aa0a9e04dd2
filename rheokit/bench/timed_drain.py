"""Timed drain: how long an open barrel takes to empty from one mark to another by its own weight."""

from dataclasses import MISSING, dataclass, field
from typing import ClassVar

import numpy as np

from ..checking import Check, Example
from ..errors import DataError
from ..flow.channel import Channel
from ..flow.nozzles import Nozzle
from ..hints import Numbers
from ..laws import FlowLaw
from ..machine.cautions import CAUTIONS
from ..machine.extruder import Extruder
from ..nomenclature import written
from ..things import a
from ..units import STANDARD_GRAVITY
from .base import BenchTest, Nuisance, Passage, Shared, Values, column, dimension, nuisance
from .described import BORE, Assembly
from .run import bore_key
from .usual_corrections import APPLIED, NOT_APPLIED, TEMPERATURE, UNKNOWN, UNTESTED, Usual

NODES, WEIGHTS = np.polynomial.legendre.leggauss(16)
SLOWEST = 1e-30  # m3/s that is taken where nothing flows, so that a time is a number
CARRIED_AWAY = 0.05  # of the head, that the jet may carry away as motion; common practice

OPEN_BARREL = Assembly(
    dimensions={"barrel_diameter": MISSING},
    fields=("extruder",),
    build=lambda found: {"extruder": Extruder(**found, fill_length=0.0)},
    take_apart=lambda test: {"barrel_diameter": test.extruder.barrel_diameter, "nozzle": test.extruder.nozzle},
    unstated={"bore": BORE},
)
"""A barrel without its plunger, and its nozzle."""


@dataclass(frozen=True, kw_only=True, eq=False)
class TimedDrain(BenchTest):
    """Times in which the level in an upright open barrel falls from one mark to another.

    Parameters
    ----------
    extruder : Extruder
        Barrel and nozzle; the plunger is out, so that no friction counts, and the liquid stands as high as its levels say.
    density : float
        Of the liquid. [kg/m3]
    start_level, end_level : float
        Of the liquid above the end of the nozzle; the lower one is still in the barrel. [m]
    drain_time : array-like, shape (N,)
        From one to the other. [s]
    bore_uncertainty : float
        Standard uncertainty of the bore as a share of it; a nuisance parameter of this nozzle. [-]

    Notes
    -----
    t = ∫ A_0 dh/Q(ρ g h) with the wall of the nozzle and the step into it; that of the barrel loses nothing to speak of. What hangs
    from the end of the nozzle pulls or holds by a twentieth of a head of 60 mm at most. Of a thin liquid the jet carries a part of the
    head away: a check says so.
    """

    kind = "timed drain"
    reads = "drain_time"
    measures = (0.0, 5.0)
    default_model_error = 0.05
    usual_minutes, usual_scatter = 4.0, 0.02
    usual_resolution = 0.2  # s, by hand; common practice, no source
    formula = "t = ∫ A_0 dh/Q(ρ g h), from the lower to the upper level"
    source = "volume balance; converging flow by finite elements computed for the project"
    example = Example(
        given={
            "yield_stress": 1.7,
            "consistency": 5.3,
            "flow_index": 0.81,
            "barrel_diameter": 0.0203,
            "bore": 2.9e-3,
            "length": 0.0107,
            "density": 1130.0,
            "start_level": 0.087,
            "end_level": 0.059,
        },
        expected={"drain_time": 274.253799},
        source=(
            "adaptive quadrature in 25 digits of pi/4*0.0203^2 dh/Q; Q by root search of 1130*9.81*h = 4*0.0107/0.0029*tau_w and a step "
            "0.0203 to 0.0029 by the converging-flow formula at 90 degrees, 8U/D from 4/tau_w^3 int (s + 1.7)^2 (s/5.3)^(1/0.81) ds, term by term"
        ),
    )
    serves = ("liquid", "gel")
    artefacts = (
        "a gel that sets in a cold nozzle drains ever slower: warm barrel and nozzle, and repeat at once",
        "bubbles rise through the barrel and lift the level: let it stand until it is clear",
        "a nozzle that was not filled first starts late: let some run off, and time from a mark",
    )
    tools = ("syringe", "ruler", "timer", "thermometer")
    usual: ClassVar[dict] = {
        "barrel_diameter": 20e-3,
        "bore": 3e-3,
        "length": 10e-3,
        "density": 1100.0,
        "start_level": 90e-3,
        "end_level": 60e-3,
    }
    protocol = (
        "Take the plunger out of a syringe {barrel_diameter} wide, stand it upright with a short wide nozzle such as {bore} by {length}, closed "
        "by a finger, and fill it with liquid of the temperature to be tested. Mark two levels, such as {start_level} and {end_level} above the "
        "end of the nozzle. Let it run and time the level from mark to mark, three times, each at a noted temperature."
    )
    caution = f"Close the nozzle with a plug or a gloved finger, over a tray. {CAUTIONS['hot gel']}"
    assembly = OPEN_BARREL

    extruder: Extruder = field()  # type: ignore[misc]  # other kinds have none
    density: float = dimension()
    start_level: float = dimension()
    end_level: float = dimension()
    drain_time: np.ndarray = column()
    bore_uncertainty: float = 0.0

    def __post_init__(self):
        a("Extruder", self.name, "extruder", self.extruder)
        barrel = Extruder(barrel_diameter=self.extruder.barrel_diameter, nozzle=self.extruder.nozzle, fill_length=0.0)
        object.__setattr__(self, "extruder", barrel)  # what a plunger, a drive or a fill say of it takes no part
        super().__post_init__()
        if self.start_level <= self.end_level:
            raise DataError(
                f"{self.name}: start_level = {written(self.start_level, 'm', 4)} is not above end_level, "
                f"{written(self.end_level, 'm', 4)}; are they swapped, or is the unit of one wrong?"
            )
        longest = float(sum(np.max(one.length) for one in self._nozzle.segments))
        if self.end_level < longest * (1 - 1e-9):
            raise DataError(
                f"{self.name}: end_level = {written(self.end_level, 'm', 4)} lies in the nozzle, which is {written(longest, 'm', 4)} long; "
                "levels are those above the end of the nozzle, and both must lie in the barrel."
            )

    @property
    def _nozzle(self) -> Nozzle:
        return self.extruder.nozzle

    @property
    def passage(self) -> Passage:  # noqa: D102
        return Passage("bore", float(np.min(self._nozzle.bore)), is_bore=True)

    def own_nuisances(self) -> dict[Shared, Nuisance]:  # noqa: D102
        if not self.bore_uncertainty:
            return {}
        return {bore_key(self._nozzle): nuisance("bore_factor", 1.0, self.bore_uncertainty, logarithmic=True)}

    def _flow_rate(self, law, found, level):
        """Return the flow [m3/s] at levels [m], which are the last axis of what comes out."""
        nozzle = self._nozzle
        if self.bore_uncertainty:
            nozzle = nozzle.with_bore(nozzle.bore * np.asarray(found.get(bore_key(nozzle), 1.0))[..., None])
        channel = Channel(nozzle=nozzle, inlet_diameter=self.extruder.barrel_diameter)
        return channel.flow_rate(law, self.density * STANDARD_GRAVITY * level)

    def expected(self, law: FlowLaw, nuisance: Values) -> Numbers:
        """Return the time [s] by Gauss's rule in the ln of the level: of a Newtonian liquid without a step it is then exact."""
        height = np.log(self.start_level / self.end_level)
        levels = self.end_level * np.exp(height * (1 + NODES) / 2)
        flow = np.maximum(self._flow_rate(law.lifted(), nuisance, levels), SLOWEST)
        return np.sum(self.extruder.area * levels * height / 2 * WEIGHTS / flow, axis=-1)

    def _mean_flow(self):
        return self.extruder.area * (self.start_level - self.end_level) / self.drain_time

    def rough_curve(self) -> tuple[np.ndarray, np.ndarray]:
        """Return (apparent rates [1/s], wall stresses [Pa]) in the bore at the mean flow, as if it lost all of the head."""
        bore = self._nozzle.bore
        length = sum(one.length for one in self._nozzle.segments if one.outlet_diameter == bore)
        head = (self.start_level - self.end_level) / np.log(self.start_level / self.end_level)
        stress = self.density * STANDARD_GRAVITY * head * bore / (4 * length)
        return 32 * self._mean_flow() / (np.pi * bore**3), np.full(self.drain_time.shape, stress)

    def shear_rates(self, law: FlowLaw) -> np.ndarray:
        """Return the true shear rates [1/s] at the wall of the bore."""
        return np.asarray(law.shear_rate(law.wall_shear_stress(self.rough_curve()[0])))

    @property
    def _carried_away(self):
        """Share of the head that the jet carries away as motion, at most [-]."""
        speed = 4 * float(np.max(self._mean_flow())) / (np.pi * float(np.min(self._nozzle.bore)) ** 2)
        return speed**2 / (STANDARD_GRAVITY * self.end_level)

    def corrections(self) -> tuple[Usual, ...]:
        """Return what is usual of a drain."""
        return (
            Usual("entry into the nozzle", APPLIED, "counted in the flow at each level", "converging flow, as of runs"),
            Usual(
                "true rate at the wall",
                APPLIED,
                "counted in the flow at each level",
                "exact for the law that is fitted",
            ),
            Usual(
                "inertia of the jet",
                NOT_APPLIED,
                f"at most {written(self._carried_away, '%', 2)} of the head",
                "U²/(g h) at the lower level",
            ),
            Usual(
                "what hangs from the end of the nozzle",
                NOT_APPLIED,
                UNKNOWN,
                "needs the surface tension; 4 γ/(ρ g D) of the head at most",
            ),
            Usual("slip at the wall", UNTESTED, UNKNOWN, "needs the same liquid through a second bore"),
            Usual(
                "temperature of barrel and nozzle",
                UNTESTED,
                UNKNOWN,
                "needs how both were held, and how well",
                TEMPERATURE,
            ),
        )

    def questions(self, law: FlowLaw, nuisance: Values, errors: Values | None = None) -> list[Check]:
        """Ask whether the jet carries off a part of the head, which the formula leaves out."""
        share = self._carried_away
        comment = f"{self.name}: the jet carries off {written(share, '%', 2)} of the head."
        if share > CARRIED_AWAY:
            comment += f" Above {written(CARRIED_AWAY, '%')} the liquid looks more viscous than it is: take a longer or a finer nozzle."
        return [Check("drains slowly enough", share, CARRIED_AWAY, share <= CARRIED_AWAY, comment)]
