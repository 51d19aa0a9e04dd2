"""Barrel, plunger and nozzle: force and pressure to run, and the least that will start.

Takes a law, knows no fit. All pressures are gauge pressures at the plunger face.
"""

from dataclasses import dataclass

import numpy as np

from .budget import Part, budget_table, flow_at_pressure
from .errors import DataError
from .nozzles import Cylinder, Nozzle

CAUTION = (
    "A medical syringe carries no pressure rating: never drive one with compressed air, and by screw or hand stay below "
    "100 kPa. Above that use a barrel with a printed rating and stay below half of it at the actual temperature. Wear eye "
    "protection, point the tip away, never raise pressure to clear a clog: vent, remove, clear. Your laboratory's own "
    "rules and risk assessment decide."
)


class LowerBound(float):
    """A number that the truth is not below, with the reason in its text."""

    def __new__(cls, value, unit, reason):
        """Name a value with its unit a lower bound, for a reason."""
        bound = super().__new__(cls, value)
        bound.unit, bound.reason = unit, reason
        return bound

    def __repr__(self):
        return f"at least {float(self):.3g} {self.unit} (lower bound: {self.reason})"

    __str__ = __repr__


@dataclass(frozen=True, kw_only=True, eq=False)
class Extruder:
    """A filled barrel with a plunger behind and a nozzle in front.

    Parameters
    ----------
    barrel_diameter : float or array-like
        Bore of the barrel. [m]
    fill_length : float or array-like
        Length of barrel filled with paste, to the step face; it falls as the plunger moves. [m]
    nozzle : Nozzle
    plunger_friction : float or array-like
        Gliding friction, measured with an empty barrel at the same speed. [N]
    barrel_drag : float or array-like
        Share of the no-slip wall stress that the barrel wall carries: 1 no slip, 0 greased or slipping freely. [-]
    """

    barrel_diameter: float
    fill_length: float
    nozzle: Nozzle
    plunger_friction: float = 0.0
    barrel_drag: float = 1.0

    def __post_init__(self):
        for name, value, unit, low in (
            ("barrel_diameter", self.barrel_diameter, "m", 1e-12),
            ("fill_length", self.fill_length, "m", 0.0),
            ("plunger_friction", self.plunger_friction, "N", 0.0),
            ("barrel_drag", self.barrel_drag, "-", 0.0),
        ):
            if not np.all(np.asarray(value, float) >= low):
                raise DataError(f"Extruder: {name} = {np.min(value):g} {unit} must not be negative or missing.")
        if np.any(np.greater(self.barrel_diameter, 0.2)):
            raise DataError(
                f"Extruder: barrel_diameter = {np.max(self.barrel_diameter):g} m is wider than any barrel rheokit knows "
                f"(0.2 m). Lengths are in metres; did you mean {np.max(self.barrel_diameter):g}*mm?"
            )
        self.nozzle.parts(self.barrel_diameter)  # says so if the nozzle is wider than the barrel

    @property
    def area(self):
        """Section of the barrel [m2]."""
        return np.pi * np.square(self.barrel_diameter) / 4

    @property
    def parts(self):
        """Every part of the pressure budget, the barrel first."""
        filled = np.any(np.greater(self.fill_length, 0))
        barrel = Cylinder(diameter=self.barrel_diameter, length=np.maximum(self.fill_length, 1e-9) if filled else 1.0)
        drag = self.barrel_drag if filled else 0.0

        def loss(law, flow_rate):
            return drag * barrel.pressure_drop(law, flow_rate)

        model = "shear flow along the barrel wall times the barrel drag factor"
        first = Part(f"barrel: {barrel.size}, wall", model, loss, drag * barrel.start_factor)
        return ([first] if filled else []) + self.nozzle.parts(self.barrel_diameter)

    def pressure(self, law, flow_rate):
        """Return the pressure at the plunger face.

        Parameters
        ----------
        law : FlowLaw
        flow_rate : array-like
            Volume flow. [m3/s]

        Returns
        -------
        pressure : float or ndarray
            Barrel drag, converging flow and nozzle; plunger friction is not in it. [Pa]
        """
        nozzle = self.nozzle.pressure_drop(law, flow_rate, inlet_diameter=self.barrel_diameter)
        return self._barrel_loss(law, flow_rate) + nozzle

    def _barrel_loss(self, law, flow_rate):
        apparent_rate = 32 * np.asarray(flow_rate, float) / (np.pi * np.power(self.barrel_diameter, 3))
        return self.barrel_drag * 4 * self.fill_length / self.barrel_diameter * law.wall_shear_stress(apparent_rate)

    def plunger_force(self, law, flow_rate):
        """Return the force [N] on the plunger that keeps a flow [m3/s] going: pressure times section, and friction."""
        return self.pressure(law, flow_rate) * self.area + self.plunger_friction

    def flow_rate(self, law, plunger_force):
        """Return the flow [m3/s] that a force [N] on the plunger keeps going: 0 where it is too weak to start."""
        pressure = (np.asarray(plunger_force, float) - self.plunger_friction) / self.area
        parts = self.parts
        return flow_at_pressure(
            lambda q: sum(part.pressure_drop(law, q) for part in parts),
            pressure,
            np.asarray(law.yield_stress * self.start_factor, float),
        )

    @property
    def start_factor(self):
        """Start pressure at the plunger face over the yield stress [-]."""
        return sum(part.start_factor for part in self.parts)

    def start_pressure(self, law, static_yield_stress=None):
        """Return the pressure [Pa] at the plunger face below which nothing starts (see `start_force`)."""
        at_rest = law.yield_stress if static_yield_stress is None else static_yield_stress
        pressure = at_rest * self.start_factor
        return pressure if static_yield_stress is not None else _lower_bound(pressure, "Pa", [STATIC])

    def start_force(self, law, static_yield_stress=None, break_loose_friction=None):
        """Return the force on the plunger below which nothing starts.

        Parameters
        ----------
        law : FlowLaw
            Its (dynamic) yield stress is used where no static one is given.
        static_yield_stress : array-like, optional
            Yield stress at the start of flow, after the actual rest. [Pa]
        break_loose_friction : array-like, optional
            Peak friction of the plunger at the start; the gliding friction where it is not given. [N]

        Returns
        -------
        start_force : float or ndarray
            Without both of the two the number is a lower bound, and its text says why. [N]
        """
        friction = self.plunger_friction if break_loose_friction is None else break_loose_friction
        at_rest = law.yield_stress if static_yield_stress is None else static_yield_stress
        force = at_rest * self.start_factor * self.area + friction
        reasons = [STATIC] if static_yield_stress is None else []
        reasons += [BREAK_LOOSE] if break_loose_friction is None else []
        return _lower_bound(force, "N", reasons) if reasons else force

    def budget(self, law, flow_rate):
        """Return a DataFrame of the pressure at the plunger face, one row a part, with its share and its model."""
        return budget_table(self.parts, law, flow_rate)


STATIC = "it uses the dynamic yield stress; after a rest the static one is 1.2 to 3 times higher"
BREAK_LOOSE = "it uses the gliding friction; the break-loose peak of a plunger is higher"


def _lower_bound(value, unit, reasons):
    return LowerBound(value, unit, "; ".join(reasons)) if np.ndim(value) == 0 else value
