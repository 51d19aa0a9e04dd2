"""Does a thin wall lean before its foot yields?"""

from dataclasses import dataclass

import numpy as np

from ..checking import Example
from ..hints import Numbers
from ..nomenclature import number
from ..part.printing import LONG, RING
from ..part.shape import ring_buckling_height, wall_buckling_height
from .base import Limit
from .case import Case
from .plain import plain

LEANED = 0.1  # sd of ln of the height at which equal walls lean; common practice, no source
AS_THICK = 0.1  # of ln of the thickness: walls that differ less are equal; common practice, no source


@dataclass(frozen=True, eq=False, repr=False)
class Lean(Limit):
    """Height against elastic buckling under its own weight, with what real walls fall short of it.

    Parameters
    ----------
    lean_factor : float, optional
        Height at which real walls lean over the computed one; the paste's own where it is not given. [-]
    knock_down : float
        Of a ring for its imperfections, 0.2 to 0.5. [-]
    """

    lean_factor: float | None = None
    knock_down: float = 0.3

    name = "lean"
    label = "height before the wall leans"
    unit = "m"
    model_error = 0.2
    needs = ("modulus", "density")
    source = "Greenhill 1881: self-buckling constant 7.8373; the lean factor is common practice, no source"
    example = (
        Example(
            given=plain("modulus density wall_width lean_factor part_height"),
            expected={
                "value": 0.0171,
                "high": 0.0161112426,
                "margin": -0.0595611379,
                "margin with error": -0.259561138,
            },
            source="by hand: 0.77*(7.8373474*23e3*0.0026^2/(12*1130*9.81))^(1/3); 0.2 for the formula",
        ),
        Example(
            given=plain("modulus density wall_width lean_factor part_height", shape="long wall"),
            expected={"value": 0.0171, "high": 0.0177327170, "margin": 0.0363328862, "margin with error": -0.163667114},
            source="by hand, plane strain: the same with 23e3/0.75",
        ),
        Example(
            given=plain(
                "modulus density wall_width lean_factor part_height", shape="ring", ring_radius=0.031, knock_down=0.27
            ),
            expected={"value": 0.0171, "high": 0.0241187763, "margin": 0.343912173, "margin with error": 0.143912173},
            source="by hand, as a shell: 0.77*0.27*2/3*23e3*0.0026/(0.031*1130*9.81)",
        ),
        Example(
            given=plain("modulus density lean_factor part_height", shape="ring", ring_radius=0.0041),
            expected={"value": 0.0171, "high": 0.0396630822, "margin": 0.841342371, "margin with error": 0.641342371},
            source="by hand, as a column: 0.77*(7.8373474*23e3*0.0041^2/(2*1130*9.81))^(1/3)",
        ),
    )
    remedy = "a thicker or curved wall (twice as thick stands 1.6 times as high), support, or a stiffer paste"

    @property
    def formula(self) -> str:  # type: ignore[override]
        """The formula of each shape, with the knock-down of a ring that it is asked with."""
        return (
            "H ≤ f_lean (7.837 E w²/12 ρ g)^(1/3), of a long wall with E/0.75 for E; of a ring H ≤ f_lean 2 k E w/(3 R ρ g), "
            f"k = {number(self.knock_down)}, not less than of the wall, and at most f_lean (7.837 E R²/2 ρ g)^(1/3)"
        )

    def asked(self, case: Case) -> bool:  # noqa: D102
        return case.job.part_height is not None

    def error(self, case: Case) -> Numbers:
        """Return the scatter from wall to wall where walls as thick as this one leaned and gave the modulus [-].

        What real walls fall short of the formula is in that modulus then. For a ring, and a wall of another thickness, the
        formula has its own error.
        """
        if case.lean_width is None or self.lean_factor is not None or case.job.shape == RING:
            return self.model_error
        as_thick = np.abs(np.log(case.wall_width / case.lean_width)) < AS_THICK
        return np.where(as_thick, LEANED, self.model_error)[()]

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.job.part_height

    def high(self, case: Case) -> Numbers:  # noqa: D102
        paste, job, width = case.paste, case.job, case.wall_width
        if job.shape == RING:
            height = ring_buckling_height(
                paste.modulus, width, job.ring_radius, paste.density, knock_down=self.knock_down
            )
        else:
            height = wall_buckling_height(paste.modulus, width, paste.density, long=job.shape == LONG)
        return height * (paste.lean_factor if self.lean_factor is None else self.lean_factor)
