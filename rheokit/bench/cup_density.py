"""A cup of known volume, filled, struck off and weighed: density, and the air in it."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..laws.condition_words import CONDITIONS
from ..nomenclature import Quantity, written
from .base import column, dimension
from .measured import Property
from .property_test import PropertyTest

POSSIBLE = 300.0, 5000.0
"""Densities of pastes and gels [kg/m3]: a wrong unit of volume or mass is ten times off. Common practice, no source."""
DENSER = 1.05  # most that a density may exceed the density without air by error alone; common practice, no source
CLOSED_PORES = 0.01
"""Standard uncertainty of an air content [-], because liquid fills pores of the grains. Common practice, no source."""
LITTLE = 0.7
"""sd of ln of an air content that is below its own error: 95 % lie between an eighth of the error and twice it."""


@dataclass(frozen=True, kw_only=True, eq=False)
class CupDensity(PropertyTest):
    """Net mass of a cup filled without voids and struck off.

    Parameters
    ----------
    cup_volume : float
        Of the cup, from the water it holds. [m3]
    mass : array-like, shape (N,)
        Of the paste alone, one for each filling. [kg]
    true_density : float, optional
        Of the paste without air, 1/Σ(x_i/ρ_i) over the mass shares of all that is in it; with it air follows. [kg/m3]
    true_density_uncertainty : float
        Its standard uncertainty. [kg/m3]
    """

    kind = "cup density"
    reads = "mass"
    gives = ("density", "air_content")
    of_paste = CONDITIONS
    default_model_error = 0.003
    usual_scatter = 0.01
    formula = "ρ = m/Ω; ε_a = 1 - ρ/ρ_th"
    source = "definitions; sizes of the errors are common practice, no source"
    example = Example(
        given={
            "cup_volume": 103e-6,
            "mass": (0.1133, 0.1147, 0.1151),
            "true_density": 1163.0,
            "true_density_uncertainty": 9.0,
        },
        expected={
            "density": 1110.35599,
            "spread of density": 0.0104745382,
            "air_content": 0.0452657033,
            "spread of air_content": 0.352497327,
        },
        source=(
            "by hand: mean m/103e-6; sd of it/sqrt(3)*4.3026527/1.9599640 over it (Student, 2 degrees of freedom); 1 - 1110.35599/1163; "
            "sqrt((0.954734*sqrt(0.0104745^2 + (9/1163)^2))^2 + 0.01^2)/0.0452657"
        ),
    )
    serves = ("paste", "liquid", "gel")
    artefacts = (
        "voids at the wall of the cup: fill in thirds and tap",
        "a cup that was not tared reads as a denser paste",
        "pores of the grains that the liquid fills make the air look less",
    )

    tools = ("cup", "scale")
    usual: ClassVar[dict] = {"cup_volume": 100e-6}
    usual_readings = (0.100, 0.130)
    protocol = (
        "Weigh a dry cup of about {cup_volume}, and again brim-full of water: the difference in g is its volume in mL. Fill it with paste, "
        "strike it off, wipe it, weigh it, and take the mass of the cup off. Make three fillings."
    )

    cup_volume: float = dimension(quantity=Quantity("Ω", "m³", "volume of the cup, from the water it holds"))
    mass: np.ndarray = column(quantity=Quantity("m", "kg", "mass of the paste in the cup, without the cup"))
    true_density: float | None = dimension(
        None, quantity=Quantity("ρ_th", "kg/m³", "density of the paste without its air")
    )
    true_density_uncertainty: float = dimension(
        0.0, positive=False, quantity=Quantity("u(ρ_th)", "kg/m³", "standard uncertainty of the density without air")
    )

    def faults(self) -> list[str]:  # noqa: D102
        density = self.mass / self.cup_volume
        wrong = (density < POSSIBLE[0]) | (density > POSSIBLE[1])
        if wrong.any():
            return [
                f"mass over volume is {written(float(density[wrong][0]), 'kg/m³', 4)} in {self.rows_where(wrong)}, which no paste has; check "
                "the unit of either"
            ]
        if self.true_density is not None and np.mean(density) > DENSER * self.true_density:
            more = f"{written(float(np.mean(density)), 'kg/m³', 4)}, more than true_density = {written(self.true_density, 'kg/m³', 4)}"
            return [
                f"mass over volume is {more}, so there would be less than no air; was the cup tared, and is its volume "
                "that of the water it holds?"
            ]
        return []

    def properties(self) -> dict[str, Property]:
        """Return density [kg/m3] and, where the density without air is known, air content [-]."""
        density = self.settled(lambda mass: mass / self.cup_volume)
        if self.true_density is None:
            return {"density": density}
        return {
            "density": density,
            "air_content": air_between(density, self.true_density, self.true_density_uncertainty)[0],
        }


def air_between(density: Property, true_density: float, uncertainty: float = 0.0) -> tuple[Property, float]:
    """Return the air content [-] between a density as measured and one without air, with its standard uncertainty [kg/m3], and its standard error [-]."""
    share = density.value / true_density
    error = float(np.hypot(share * np.hypot(density.spread, uncertainty / true_density), CLOSED_PORES))
    air = 1 - share
    if air >= error:
        return Property(air, error / air, density.origin), error
    little = f"too little air to be told, at most {written((max(air, 0.0) + 2 * error), '%', 2)}"
    return Property(error / 2, LITTLE, f"{density.origin}; {little}"), error
