"""One thread from the nozzle to the drum, whole: speed, tension, temperature and water along it.

The picture of one line, and what the fast formulae of this room are held to; maps do not use it.
"""

import warnings
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..brief import brief
from ..errors import DataError, ModelRangeWarning, warn_outside
from ..inputs import not_negative, one_number, positive, require, settled, share, trusted
from ..laws.base import FlowLaw
from ..laws.criterion import UNIAXIAL
from ..nomenclature import written
from ..part.drying.air import FROZEN, HEAT_PER_VAPOUR, latent_heat, vapour_density
from ..part.shrinkage import WATER_DENSITY
from ..things import a
from ..units import STANDARD_GRAVITY, ZERO_CELSIUS
from .air import WATER_ACTIVITY
from .airgap import KINEMATIC_VISCOSITY, thread_heat_transfer
from .draw import exit_speed
from .tension import no_yield_stress
from .thread import Thread

AIR_DENSITY = 1.2
"""[kg/m3]"""
TOLERANCES = 1e-6, 1e-8, 1e-10  # of the solution, over the size of each unknown; each begins where the one before ended
NODES = 10000  # at the most
ALIKE = 1e-6  # of a speed: what the solution is good to
PLACES = 201  # that are handed out
GAUSS, GAUSS_WEIGHTS = (np.polynomial.legendre.leggauss(6) + np.array([[1.0], [0.0]])) / 2  # on 0 to 1
SINGLE = (
    "flow_rate", "bore", "winding_speed", "gap", "start_temperature", "density", "heat_capacity", "surface_tension",
    "water_fraction", "air_temperature", "relative_humidity", "draught", "water_activity",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True, eq=False)
class Spinline:
    """A vertical thread that is drawn downwards through air and wound.

    Parameters
    ----------
    law : FlowLaw
        Without a yield stress; one made by `heated` thickens as the thread cools.
    flow_rate : float
        [m3/s]
    bore : float
        Of the nozzle. [m]
    winding_speed : float
        [m/s]
    gap : float
        Way from the nozzle to the drum. [m]
    start_temperature : float
        Of the thread at the nozzle. [K]
    density : float
        Of the wet thread. [kg/m3]
    heat_capacity : float
        [J/(kg K)]
    surface_tension : float
        [N/m]
    water_fraction : float
        Water over total mass at the nozzle. [-]
    air_temperature : float
        [K]
    relative_humidity : float
        [-]
    draught : float
        Speed of the air across the thread. [m/s]
    water_activity : float
        Of the thread, at its surface. [-]

    Notes
    -----
    With A = (m_w/998 + m_s/ρ_s)/v and A √3 τ(√3 v_z) = F_v: d(F_v + π r γ)/dz = m v_z - m g/v + drag of the air,
    m c T_z = -2π r [h (T - T_a) + j h_fg], m_w,z = -2π r j, j = (h/1090)(a_w ρ_v(T) - RH ρ_v(T_a)), h of
    `thread_heat_transfer` at the local diameter and speed, close to the nozzle beyond what that was made for. The drag is
    π r 1.2 v² 0.37 Re^-0.61 (Matsui, from memory), under 0.1 % of the tension of such threads. Uniform over the section; no
    swell, no elasticity, no setting in the law.
    """

    law: FlowLaw
    flow_rate: float
    bore: float
    winding_speed: float
    gap: float
    start_temperature: float
    density: float
    heat_capacity: float
    surface_tension: float
    water_fraction: float
    air_temperature: float = 295.15
    relative_humidity: float = 0.5
    draught: float = 0.0
    water_activity: float = WATER_ACTIVITY

    KNOWN_AS = {"start_temperature": "temperature", "water_fraction": "wet_water_content"}  # noqa: RUF012

    __repr__ = brief

    def __post_init__(self):
        where = "Spinline"
        a("FlowLaw", where, "law", self.law)
        no_yield_stress(where, self.law)
        with settled(self):
            one_number(where, **{name: getattr(self, name) for name in SINGLE})
            positive(where, flow_rate=self.flow_rate, bore=self.bore, winding_speed=self.winding_speed, gap=self.gap)
            positive(where, density=self.density, heat_capacity=self.heat_capacity)
            not_negative(where, surface_tension=self.surface_tension, draught=self.draught)
            share(where, self.KNOWN_AS, water_fraction=self.water_fraction)
            share(where, relative_humidity=self.relative_humidity, water_activity=self.water_activity)
            for name in ("start_temperature", "air_temperature"):
                warm = getattr(self, name)
                require(where, name, warm, warm >= ZERO_CELSIUS, FROZEN, "temperature")
            solids = 1 - self.water_fraction * self.density / WATER_DENSITY
            require(
                where, "water_fraction", self.water_fraction, self.water_fraction < 1 and solids > 0,
                "must be so small that it finds room beside the solids at the density given",
                "wet_water_content",
            )  # fmt: skip

    # --- what the thread is at a place ----------------------------------------------------------------------------

    @cached_property
    def _mass_rate(self):
        return self.density * self.flow_rate

    @cached_property
    def _solids(self):
        """Return mass rate and volume rate of what stays."""
        volume = self.flow_rate * (1 - self.water_fraction * self.density / WATER_DENSITY)
        return self._mass_rate * (1 - self.water_fraction), volume

    def _exchanges(self, speed, force, temperature, water):
        """Return, per length, what a thread of some water rate [kg/s] gains: ln speed, terms of force, heat and water, and its radius.

        Forces are inertia, weight and drag; heat is by convection and by evaporation.
        """
        solids, volume = self._solids
        mass = solids + water
        section = (volume + water / WATER_DENSITY) / speed
        radius = np.sqrt(section / np.pi)
        viscous = force - np.pi * radius * self.surface_tension
        stress = viscous / (UNIAXIAL * section)
        rate = np.sign(stress) * self.law.at(temperature).shear_rate(np.abs(stress))
        stretch = rate / UNIAXIAL
        reynolds = 2 * radius * speed / KINEMATIC_VISCOSITY
        drag = np.pi * radius * AIR_DENSITY * speed**2 * 0.37 * reynolds**-0.61
        forces = mass * stretch, -mass * STANDARD_GRAVITY / speed, drag
        transfer = thread_heat_transfer(2 * radius, speed, self.draught)
        in_air = vapour_density(self.air_temperature, self.relative_humidity)
        flux = transfer / HEAT_PER_VAPOUR * (self.water_activity * vapour_density(temperature) - in_air)
        around = 2 * np.pi * radius
        heats = -around * transfer * (temperature - self.air_temperature), -around * flux * latent_heat(temperature)
        return stretch / speed, forces, heats, -around * flux, radius

    # --- the solution -----------------------------------------------------------------------------------------------

    @cached_property
    def _sizes(self):
        """Return the sizes of ln speed, force, temperature, water rate and time, as a column."""
        slow = exit_speed(self.flow_rate, self.bore)
        span = max(abs(np.log(self.winding_speed / slow)), 0.1)
        rate = UNIAXIAL * span * min(slow, self.winding_speed) / self.gap
        stress = self.law.at(self.start_temperature).shear_stress(rate)
        force = UNIAXIAL * stress * self.flow_rate / slow + np.pi * self.bore / 2 * self.surface_tension
        return np.array([[1.0], [force], [10.0], [self._mass_rate], [self.gap / slow]])

    def _slopes(self, place, state):
        """Return the derivatives of the scaled unknowns by the share of the gap."""
        log_speed, force, temperature, water, _ = state * self._sizes
        speed = np.exp(log_speed)
        temperature = np.clip(temperature, 273.15, 400.0)  # of trials; no solution is there
        stretch, forces, heats, evaporated, _ = self._exchanges(speed, force, temperature, water)
        capacity = (self._solids[0] + water) * self.heat_capacity
        slopes = np.array([stretch, sum(forces), sum(heats) / capacity, evaporated, 1 / speed])
        return self.gap * slopes / self._sizes

    def solve(self) -> Thread:
        """Return the `Thread`.

        Raises
        ------
        DataError
            If no steady thread is found, or one that hangs slack: the drum is slower than the exit, or the thread falls faster
            than it is wound, or pushes somewhere.

        Warns
        -----
        ModelRangeWarning
            Where surface tension alone holds the thread and it is not stretched, somewhere.
        """
        from scipy.integrate import solve_bvp

        slow = exit_speed(self.flow_rate, self.bore)
        if self.winding_speed < slow:
            raise DataError(
                f"Spinline: winding_speed = {written(self.winding_speed, 'winding_speed')} is slower than the exit, "
                f"{written(slow, 'winding_speed')}: the thread hangs slack; wind faster, or take less flow or a wider bore."
            )
        sizes = self._sizes[:, 0]
        first = np.log(slow), self.start_temperature / sizes[2], self.water_fraction
        last = np.log(self.winding_speed)

        def misses(begin, end):
            return np.array([begin[0] - first[0], end[0] - last, begin[2] - first[1], begin[3] - first[2], begin[4]])

        places = np.linspace(0.0, 1.0, 41)
        guess = np.array([first[0] + (last - first[0]) * places, 1 + 0 * places, first[1] + 0 * places,
                          first[2] + 0 * places, places])  # fmt: skip
        found = None
        with trusted(), np.errstate(all="ignore"), warnings.catch_warnings(action="ignore", category=ModelRangeWarning):
            for tolerance in TOLERANCES:  # its trials may be anywhere
                try:
                    better = solve_bvp(self._slopes, misses, places, guess, tol=tolerance, max_nodes=NODES)
                except DataError:  # a trial left what can be
                    break
                if not better.success:
                    break
                found, places, guess = better.sol, better.x, better.y
            if found is None:
                raise DataError(
                    f"Spinline: no steady thread was found over gap = {written(self.gap, 'gap')}; one that is too long hangs "
                    "slack (`fibre.taut_length`): take a shorter gap."
                )
            thread = self._thread(found)
        self._refuse_slack(thread)
        return thread

    def _refuse_slack(self, thread):
        """Refuse a thread that pushes or falls faster than it is wound; warn of one that surface tension alone holds."""
        fastest, least = thread.speed.max(), thread.tension.min()
        slack = f"Spinline: over gap = {written(self.gap, 'gap')} the thread hangs slack (`fibre.taut_length`): "
        if fastest > self.winding_speed * (1 + ALIKE):
            raise DataError(
                f"{slack}it would fall at up to {written(fastest, 'winding_speed', 4)}, faster than it is wound, "
                f"{written(self.winding_speed, 'winding_speed', 4)}; take a shorter gap or a thicker dope."
            )
        if least < 0:
            raise DataError(
                f"{slack}its tension would be {written(least, 'draw_tension')} at the least; take a shorter gap or a thicker dope."
            )
        if thread.viscous_tension.min() < 0:
            warn_outside(
                f"Spinline: the thread is not stretched all along gap = {written(self.gap, 'gap')}, surface tension alone holds "
                "it there: it is about to hang slack or to form beads. Take a shorter gap or a thicker dope.",
                ModelRangeWarning,
            )

    def _thread(self, solution):
        """Return what the scaled solution says of the thread."""
        log_speed, force, temperature, water, time = solution(np.linspace(0.0, 1.0, PLACES)) * self._sizes
        speed = np.exp(log_speed)
        *_, radius = self._exchanges(speed, force, temperature, water)
        return Thread(
            position=np.linspace(0.0, self.gap, PLACES),
            speed=speed,
            diameter=2 * radius,
            temperature=temperature,
            water_fraction=water / (self._solids[0] + water),
            viscous_tension=force - np.pi * radius * self.surface_tension,
            tension=force,
            time=time,
            balances=self._balances(solution),
        )

    def _balances(self, solution):
        """Return what is missing in each balance over all that is exchanged, by Gauss's rule between the places it was solved at."""
        steps = np.diff(solution.x)[:, None]
        places = (solution.x[:-1, None] + steps * GAUSS).ravel()
        weights = self.gap * (steps * GAUSS_WEIGHTS).ravel()
        log_speed, force, temperature, water, _ = solution(places) * self._sizes
        _, forces, heats, evaporated, _ = self._exchanges(np.exp(log_speed), force, temperature, water)
        warmed = (self._solids[0] + water) * self.heat_capacity * solution(places, 1)[2] * self._sizes[2, 0] / self.gap
        gained = (solution(1.0) - solution(0.0)) * self._sizes[:, 0]

        def missing(gain, *parts):
            exchanged = [np.sum(weights * part) for part in parts]
            return float(abs(gain - sum(exchanged)) / max(sum(map(abs, exchanged)), 1e-300))

        return {
            "mass": missing(gained[3], evaporated),
            "momentum": missing(gained[1], *forces),
            "energy": missing(np.sum(weights * warmed), *heats),
        }
