"""A thread wound on a drum, weighed wet and dry: its diameters, and how much its section shrinks."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..machine.cautions import CAUTIONS
from ..nomenclature import Quantity, written
from .base import column, dimension
from .measured import Property
from .property_test import PropertyTest


@dataclass(frozen=True, kw_only=True, eq=False)
class WoundThread(PropertyTest):
    """Masses of so many turns of thread, wet and dry.

    Parameters
    ----------
    turns : float
        That were weighed. [-]
    drum_diameter : float
        On which the thread lay, dry in place. [m]
    density, dry_density : float
        Of the wet gel and of the dry thread. [kg/m3]
    wet_mass, dry_mass : array-like, shape (N,)
        Of the turns, wet and at constant mass. [kg]

    Notes
    -----
    φ_f = (m_dry/ρ_dry)/(m_wet/ρ), the thread being held at its length by the drum. A thread of a third of a millimetre dries in
    minutes: its wet mass is what the nozzle gave in the same time, caught and weighed, and not what is taken off the drum.
    """

    kind = "wound thread"
    reads = "dry_mass"
    gives = ("dry_section",)
    serves = ("gel",)
    default_model_error = 0.05
    usual_scatter = 0.03
    formula = "φ_f = (m_dry/ρ_dry)/(m_wet/ρ), d = √(4 m/(π ρ L)), L = π D_d N"
    source = "mass balance of a thread held at its length; sizes of the errors are common practice, no source"
    example = Example(
        given={
            "turns": 107.0,
            "drum_diameter": 0.0613,
            "density": 1117.0,
            "dry_density": 1290.0,
            "wet_mass": (0.00211, 0.00207, 0.00213),
            "dry_mass": (0.00083, 0.00080, 0.00085),
        },
        expected={"dry_section": 0.34026631, "spread of dry_section": 0.0203299791},
        source="by hand: mean of m_dry/m_wet, 83/211, 80/207, 85/213, times 1117/1290; its sd/sqrt(3)*4.3026527/1.9599640 over it",
        idle=("turns", "drum_diameter"),
    )
    artefacts = (
        "a wet thread dries on the drum while it is wound: catch what the nozzle gives in the same time, under a cover, and weigh that",
        "a thread that was not dry to constant mass looks thick: weigh it again after an hour",
        "turns that lie on others are longer than the drum: wind them side by side",
        "a bath leaves liquid on a thread: let it drain, and let it go dry on the drum",
    )
    tools = ("drum", "scale", "ruler", "timer")
    usual: ClassVar[dict] = {
        "turns": 100.0,
        "drum_diameter": 0.06,
        "density": 1100.0,
        "dry_density": 1300.0,
        "wet_mass": 2e-3,
    }
    usual_readings = (0.5e-3, 1.1e-3)
    protocol = (
        "Wind {turns} turns on a drum {drum_diameter} wide at a steady speed, and note the time. Catch what the nozzle gives in the same time in a "
        "covered cup and weigh it: that is the wet mass. Let the thread dry on the drum to constant mass, cut it off, and weigh it. Wind three."
    )
    caution = f"A turning drum pulls in hair, sleeves and fingers: cover it, and stop it before you touch the thread. {CAUTIONS['bath']}"

    turns: float = dimension()
    drum_diameter: float = dimension()
    density: float = dimension()
    dry_density: float = dimension(quantity=Quantity("ρ_d", "kg/m³", "density of the dry thread", (500, 3500)))
    wet_mass: np.ndarray = column(
        quantity=Quantity("m_wet", "kg", "mass of the wet turns, caught in the same time", (1e-7, 0.1))
    )
    dry_mass: np.ndarray = column(quantity=Quantity("m_dry", "kg", "mass of the same turns, dry", (1e-7, 0.1)))

    def faults(self) -> list[str]:  # noqa: D102
        wrong = self.dry_mass >= self.wet_mass
        if not wrong.any():
            return []
        dry, wet = (written(float(mass[wrong][0]), "kg") for mass in (self.dry_mass, self.wet_mass))
        return [
            f"dry_mass = {dry} in {self.rows_where(wrong)} is not below wet_mass, {wet}; are the columns swapped, or had the wet thread dried?"
        ]

    def _diameter(self, mass, density):
        return np.sqrt(4 * mass / (np.pi * density * np.pi * self.drum_diameter * self.turns))

    @property
    def wet_diameter(self) -> np.ndarray:
        """Diameter of the wet thread, shape (N,) [m]."""
        return self._diameter(self.wet_mass, self.density)

    @property
    def dry_diameter(self) -> np.ndarray:
        """Diameter of the dry thread, as round as the wet one, shape (N,) [m]."""
        return self._diameter(self.dry_mass, self.dry_density)

    @property
    def _diameters(self):
        wet, dry = (written(float(np.mean(one)), "m") for one in (self.wet_diameter, self.dry_diameter))
        return f"{wet} wide wet and {dry} dry"

    @property
    def heading(self) -> str:
        """Name and masses in one line, and the diameters that they mean."""
        return f"{super().heading}: {self._diameters}"

    def properties(self) -> dict[str, Property]:
        """Return the dry section over the wet one [-]."""
        share = self.density / (self.dry_density * self.wet_mass)
        return {"dry_section": self.settled(lambda dry: share * dry, of=f" of a thread {self._diameters}")}
