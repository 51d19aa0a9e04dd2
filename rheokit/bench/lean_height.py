"""A wall printed higher and higher until it leans: the modulus that this wall acts with."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..laws.condition_words import CONDITIONS
from ..nomenclature import Quantity, written
from ..part.printing import LONG, STRAIGHT
from ..part.shape import GREENHILL, INCOMPRESSIBLE_WIDE
from ..units import STANDARD_GRAVITY
from .base import choice, column, dimension
from .measured import Property
from .property_test import PropertyTest

WALLS = {"wall_width": 2.1e-3, "density": 1130.0, "height": (0.0143, 0.0151, 0.0147)}  # walls of the worked examples


@dataclass(frozen=True, kw_only=True, eq=False)
class LeanHeight(PropertyTest):
    """Height at which a printed straight wall, free at its top and ends, leaned out of its plane.

    Parameters
    ----------
    wall_width : float
        Thickness of the wall. [m]
    density : float
        Of the paste with its air. [kg/m3]
    height : array-like, shape (N,)
        At which it leaned, one for each wall, all printed at the pace of the part that is planned. [m]
    wall : {"straight wall", "long wall"}
        A strip, or a wall so much longer than high that its ends do not help.

    Notes
    -----
    E_eff = 12 ρ g H³/(7.837 w²), for a long wall times 3/4. It holds what makes real walls lean earlier than computed,
    so a prediction from it takes no lean factor besides (1 is given with it), and it holds for that wall only:
    not for another width, pace or paste. For another width the limit of buckling counts its own error again.
    """

    kind = "lean height"
    reads = "height"
    gives = ("modulus", "lean_factor")
    of_paste = CONDITIONS
    default_model_error = 0.15
    usual_scatter = 0.3
    formula = "E_eff = 12 ρ g H³/(7.837 w²)"
    source = "Greenhill, Proceedings of the Cambridge Philosophical Society 4 (1881) 65 (from memory)"
    example = (
        Example(
            given=WALLS | {"wall": STRAIGHT},
            expected={"modulus": 12243.7842, "spread of modulus": 0.103349783, "lean_factor": 1.0},
            source="mean of 12*1130*9.81*H^3/(7.8373474*0.0021^2); its sd/sqrt(3)*4.3026527/1.9599640 over it",
        ),
        Example(
            given=WALLS | {"wall": LONG},
            expected={"modulus": 9182.83817, "spread of modulus": 0.103349783, "lean_factor": 1.0},
            source="mean of 12*1130*9.81*H^3/(7.8373474*0.0021^2) times 3/4, plane strain; its sd/sqrt(3)*4.3026527/1.9599640 over it",
        ),
    )
    artefacts = (
        "a nozzle that touches the wall pushes it over: the height is then too small",
        "a wall that squashes at its foot has yielded, it did not lean",
        "a wall that dries while it grows is stiffer than a fresh one: print at the pace of the part",
    )

    tools = ("printer", "ruler")
    usual: ClassVar[dict] = {"wall_width": 2e-3, "density": 1150.0}
    usual_readings = (0.010, 0.025)
    protocol = (
        "Print a straight wall as thick as those of the part, such as {wall_width}, free at its top and ends, at the pace of the part. "
        "Go on until it leans out of its plane, and note the height at which it did. Print three."
    )

    wall_width: float = dimension(quantity=Quantity("w", "m", "thickness of the printed wall"))
    density: float = dimension()
    height: np.ndarray = column(quantity=Quantity("H", "m", "height at which the wall leaned"))
    wall: str = choice(STRAIGHT, LONG, default=STRAIGHT)

    def faults(self) -> list[str]:  # noqa: D102
        wrong = self.height <= 2 * self.wall_width
        if not wrong.any():
            return []
        return [
            f"height = {self.height[wrong][0]:g} m in {self.rows_where(wrong)} is less than two wall widths "
            f"({self.wall_width:g} m each); so thick a wall yields before it leans: check the unit of either, or "
            "whether they are swapped"
        ]

    def properties(self) -> dict[str, Property]:
        """Return the effective modulus [Pa], and the lean factor [-] that is already in it."""
        factor = 12 * self.density * STANDARD_GRAVITY / (GREENHILL * self.wall_width**2)
        factor *= INCOMPRESSIBLE_WIDE if self.wall == LONG else 1.0
        wall = f"a {self.wall} {written(self.wall_width, 'm')} thick: holds for that wall only, with lean factor 1"
        modulus = self.settled(lambda height: factor * height**3, of=f" of {wall}")
        return {"modulus": modulus, "lean_factor": Property(1.0, 0.0, f"in the modulus by {modulus.origin}")}
