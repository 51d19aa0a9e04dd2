"""Does the foot of the part carry what is stacked on it?"""

from typing import ClassVar

import numpy as np

from ..printing import LONG
from ..shape import plastic_height
from .base import Limit

PLANE_STRAIN, UNIAXIAL = 2.0, 3**0.5


class Stack(Limit):
    """Height against plastic collapse of the lowest layer."""

    name: ClassVar[str] = "stack"
    label: ClassVar[str] = "height before the foot yields"
    unit: ClassVar[str] = "m"
    model_error: ClassVar[float] = 0.2
    needs: ClassVar[tuple] = ("density",)
    strength: ClassVar[bool] = True
    formula: ClassVar[str] = "ρ g H ≤ k τ_ys(age), k = √3, or 2 for a long wall"
    source: ClassVar[str] = "Roussel, Cement and Concrete Research 112 (2018) 76 (from memory); von Mises"
    remedy: ClassVar[str] = "less water, pause between layers so that the paste builds up, or a lower part"

    def asked(self, case):  # noqa: D102
        return case.job.part_height is not None

    def value(self, case):  # noqa: D102
        return case.job.part_height

    def high(self, case):  # noqa: D102
        paste, job = case.paste, case.job
        return plastic_height(
            paste.static_yield_stress,
            paste.density,
            build_up_rate=paste.build_up_rate if job.path_length is not None else 0.0,
            build_up_time=paste.build_up_time,
            rise_speed=case.rise_speed if job.path_length is not None else np.inf,
            stack_factor=PLANE_STRAIN if job.shape == LONG else UNIAXIAL,
        )
