"""Lengths between marks on a printed bar, wet and dry: linear shrinkage along one axis."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..nomenclature import Quantity
from .base import choice, column
from .measured import Property
from .property_test import PropertyTest


@dataclass(frozen=True, kw_only=True, eq=False)
class DryingShrinkage(PropertyTest):
    """Wet and dry lengths of printed bars, in the layers or across them.

    Parameters
    ----------
    axis : {"xy", "z"}
        In the layers, or across them: printed parts shrink differently, so each has its own test.
    wet_length : array-like, shape (N,)
        Between marks, just printed. [m]
    dry_length : array-like, shape (N,)
        Between the same marks, at constant mass. [m]

    Notes
    -----
    S = 1 - L_dry/L_wet, on the wet length; a part is printed larger by 1/(1 - S) along each axis.
    """

    kind = "drying shrinkage"
    reads = "dry_length"
    gives = ("shrinkage_xy", "shrinkage_z")
    of_paste = ("water_content",)
    default_model_error = 0.05
    usual_scatter = 0.1
    formula = "S = 1 - L_dry/L_wet"
    source = (
        "on the wet length, as ASTM C326 has it for clays (from memory); sizes of errors are common practice, no source"
    )
    example = tuple(
        Example(
            given={"axis": axis, "wet_length": 0.0503, "dry_length": (0.0461, 0.0464, 0.0459)},
            expected={f"shrinkage_{axis}": 0.0828363154, f"spread of shrinkage_{axis}": 0.0765517268},
            source="by hand: mean of 1 - L/0.0503; its sd/sqrt(3)*4.3026527/1.9599640 over it",
        )
        for axis in ("xy", "z")
    )
    artefacts = (
        "a bar that sticks to its board shrinks less: let it slide",
        "a bar that warps is shorter along the ruler: measure along its face",
        "a bar that still loses mass still shrinks: weigh it until it stays",
    )

    tools = ("ruler", ("printer", "syringe"))
    usual: ClassVar[dict] = {"axis": "xy", "wet_length": 0.05}
    usual_readings = (0.044, 0.049)
    protocol = (
        "Lay down straight bars with the nozzle of the print, and mark two points {wet_length} apart on each while it is wet. Let them dry as the "
        "part will, until their mass stays, and measure between the same marks. Bars along the layers and across them are two tests."
    )

    axis: str = choice("xy", "z")
    wet_length: np.ndarray = column(quantity=Quantity("L_wet", "m", "length between marks, just printed"))
    dry_length: np.ndarray = column(quantity=Quantity("L_dry", "m", "length between the same marks, dry"))

    def faults(self) -> list[str]:  # noqa: D102
        swapped, nothing = self.dry_length >= self.wet_length, self.dry_length <= 0
        if swapped.any():
            longer = f"{self.dry_length[swapped][0]:g} m dry and {self.wet_length[swapped][0]:g} m wet"
            return [f"no shrinkage in {self.rows_where(swapped)} ({longer}); are the columns swapped?"]
        if nothing.any():
            return [f"dry_length is 0 m in {self.rows_where(nothing)}; take out rows that were not read"]
        return []

    def properties(self) -> dict[str, Property]:
        """Return the linear shrinkage [-] along its axis."""
        return {f"shrinkage_{self.axis}": self.settled(lambda dry: 1 - dry / self.wet_length)}
