"""Drop mass: the mass of drops that fall off a tip, and the surface tension that held them."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..fibre.taut import DROP_RANGE, falling_share
from ..machine.cautions import CAUTIONS
from ..nomenclature import QUANTITIES, Quantity, number
from ..units import STANDARD_GRAVITY
from .base import column, dimension
from .described import Way
from .measured import Property
from .property_test import PropertyTest


def _one(drops_mass, drops):
    return drops_mass / drops


@dataclass(frozen=True, kw_only=True, eq=False)
class DropMass(PropertyTest):
    """Mass of drops that fall slowly off an upright tip.

    Parameters
    ----------
    outer_diameter : float
        Of the tip, which the liquid wets to its outer edge. [m]
    density : float
        Of the liquid. [kg/m3]
    mass : array-like, shape (N,)
        Of one drop; a folder may give that of several with their number. [kg]

    Notes
    -----
    γ = m g/(2 π r f(r/V^⅓)), with the share f of the liquid at the tip that falls. It holds for drops slower than one in five seconds,
    and for r/V^⅓ from 0.4 to 1.15: a tip 2.5 to 5 mm wide.
    """

    kind = "drop mass"
    reads = "mass"
    gives = ("surface_tension",)
    serves = ("liquid", "gel")
    default_model_error = 0.03
    usual_scatter = 0.02
    formula = "γ = m g/(2 π r f(r/V^⅓)), V = m/ρ"
    source = (
        "Harkins and Brown, Journal of the American Chemical Society 41 (1919) 499, as fitted by Lee, Chan and Pogaku, Chemical Engineering "
        "Research and Design 86 (2008) 1175 (both from memory)"
    )
    example = Example(
        given={"outer_diameter": 3.1e-3, "density": 1110.0, "mass": (31.1e-6, 31.9e-6, 32.4e-6)},
        expected={"surface_tension": 0.0492743158, "spread of surface_tension": 0.0242035037},
        source=(
            "by hand, r = 1.55 mm, r/V^(1/3) = 0.510, 0.506, 0.503: mean of m*9.81/(2 pi r f), f = 1 - 0.9121 x - 2.109 x^2 + 13.38 x^3 "
            "- 27.29 x^4 + 27.53 x^5 - 13.58 x^6 + 2.593 x^7; its sd/sqrt(3)*4.3026527/1.9599640 over it"
        ),
    )
    artefacts = (
        "drops faster than one in five seconds are too heavy: the flow fills the neck while it breaks",
        "a tip that is wetted only inside, or up its side, drops lighter or heavier: wipe it, and watch the edge",
        "a gel that sets at the tip drops lumps: keep tip and barrel warm, and the room free of draught",
    )
    tools = ("syringe", "scale", "ruler", "timer")
    usual: ClassVar[dict] = {"outer_diameter": 3e-3, "density": 1100.0}
    usual_readings = (20e-6, 45e-6)
    protocol = (
        "Hold a warm syringe upright with a blunt tip {outer_diameter} wide outside, its end wetted to the edge. Let drops fall one by one, each "
        "slower than five seconds, into a covered cup, and weigh twenty: give their mass and their number. Make three weighings."
    )
    caution = CAUTIONS["hot gel"]
    ways: ClassVar[dict] = {
        "mass": (
            Way(
                {
                    "drops_mass": Quantity("m_N", "kg", "mass of several drops", (1e-5, 0.1)),
                    "drops": Quantity("N", "-", "number of drops that were weighed", (1, 1e4)),
                },
                (),
                _one,
            ),
        )
    }

    outer_diameter: float = dimension()
    density: float = dimension()
    mass: np.ndarray = column(quantity=QUANTITIES["drop_mass"])

    def _slenderness(self, mass: np.ndarray) -> np.ndarray:
        return self.outer_diameter / 2 / np.cbrt(mass / self.density)

    def faults(self) -> list[str]:  # noqa: D102
        shape = self._slenderness(self.mass)
        wrong = (shape < DROP_RANGE[0]) | (shape > DROP_RANGE[1])
        if not wrong.any():
            return []
        return [
            f"half the tip over the cube root of the volume of a drop is {number(float(shape[wrong][0]), 4)} in {self.rows_where(wrong)}; the "
            f"formula holds from {DROP_RANGE[0]:g} to {DROP_RANGE[1]:g}: was one drop weighed, is the diameter the outer one, and the unit of either "
            "right? If so, take a tip of 2.5 to 5 mm"
        ]

    def _surface_tension(self, mass: np.ndarray) -> np.ndarray:
        held = np.pi * self.outer_diameter * falling_share(self._slenderness(mass))
        return mass * STANDARD_GRAVITY / held

    def properties(self) -> dict[str, Property]:
        """Return the surface tension [N/m]."""
        return {"surface_tension": self.settled(self._surface_tension)}
