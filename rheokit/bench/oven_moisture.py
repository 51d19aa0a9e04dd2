"""A dish of paste weighed wet and oven-dry: its water content."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..nomenclature import Quantity
from .base import column
from .measured import Property
from .property_test import PropertyTest


@dataclass(frozen=True, kw_only=True, eq=False)
class OvenMoisture(PropertyTest):
    """Masses of dishes with paste before and after drying to constant mass, and of the dishes alone.

    Parameters
    ----------
    tare_mass : array-like, shape (N,)
        Of the dish. [kg]
    wet_mass, dry_mass : array-like, shape (N,)
        Of dish and paste, before the oven and after. [kg]

    Notes
    -----
    u = (m_wet - m_dry)/(m_dry - m_tare), water over dry mass; over total mass it is u/(1 + u). At 105 °C for mineral
    pastes; organic ones char or lose more than water there: dry at 60 to 70 °C, in vacuum if there is one, or note that
    it was 105 °C. Dishes come out hot, and drying organics smell and may smoulder: an oven meant for it, ventilated,
    never left alone; the rules of the laboratory come first.
    """

    kind = "oven moisture"
    reads = "dry_mass"
    gives = ("water_content",)
    default_model_error = 0.01
    usual_scatter = 0.02
    formula = "u = (m_wet - m_dry)/(m_dry - m_tare)"
    source = "definition, dry basis, as ASTM D2216 has it for soils at 105 °C (from memory)"
    example = Example(
        given={
            "tare_mass": (0.0201, 0.0207, 0.0199),
            "wet_mass": (0.0312, 0.0335, 0.0322),
            "dry_mass": (0.0254, 0.0269, 0.0259),
        },
        expected={"water_content": 1.06961858, "spread of water_content": 0.0267867783},
        source="by hand: mean of 58/53, 66/62 and 63/60; its sd/sqrt(3)*4.3026527/1.9599640 over it",
    )
    serves = ("paste", "liquid", "gel")
    artefacts = (
        "a paste that was not dry to constant mass reads too little water",
        "105 °C chars organics and drives off more than water: 60 to 70 °C, in vacuum if there is one, or a note",
        "a dish left open before its first weighing has lost water; dry powders draw it from the air while they cool",
    )
    caution = (
        "Hot dishes and smouldering organics: a ventilated oven meant for it, watched, by the rules of the laboratory."
    )

    tools = ("oven", "scale")
    usual: ClassVar[dict] = {"tare_mass": 0.020, "wet_mass": 0.050}
    usual_readings = (0.033, 0.042)
    protocol = (
        "Weigh an empty dish, spread a thin layer of paste in it and weigh it at once, such as {tare_mass} and {wet_mass}. Dry it until two "
        "weighings an hour apart agree, let it cool under a cover, and weigh it again. Take three dishes."
    )

    tare_mass: np.ndarray = column(quantity=Quantity("m_tare", "kg", "mass of the dish"))
    wet_mass: np.ndarray = column(quantity=Quantity("m_wet", "kg", "mass of dish and paste before the oven"))
    dry_mass: np.ndarray = column(quantity=Quantity("m_dry", "kg", "mass of dish and paste after the oven"))

    def faults(self) -> list[str]:  # noqa: D102
        wrong = (self.wet_mass <= self.dry_mass) | (self.dry_mass <= self.tare_mass)
        if not wrong.any():
            return []
        tare, dry, wet = (getattr(self, name)[wrong][0] for name in ("tare_mass", "dry_mass", "wet_mass"))
        return [
            f"{self.rows_where(wrong)}: dish {tare:g} kg, dry {dry:g} kg, wet {wet:g} kg do not rise in that order; "
            "wet_mass and dry_mass are with the dish, so are columns swapped, or was the dish tared?"
        ]

    def properties(self) -> dict[str, Property]:
        """Return the water content [-], dry basis."""
        return {"water_content": self.settled(lambda dry: (self.wet_mass - dry) / (dry - self.tare_mass))}
