"""Does the foot of the part carry what is stacked on it?"""

from collections.abc import Callable

import numpy as np

from ..checking import Example
from ..hints import Numbers
from ..laws.criterion import PLANE_STRAIN, UNIAXIAL
from ..part.printing import LONG
from ..part.shape import greatest_rise_speed, plastic_height
from .base import Limit
from .case import Case
from .plain import plain


class Stack(Limit):
    """Height against plastic collapse of the lowest layer."""

    name = "stack"
    label = "height before the foot yields"
    unit = "m"
    model_error = 0.2
    needs = ("density",)
    strength = True
    formula = (
        "ρ g H ≤ k [τ_ys + A min(H/v, t_b)], k = √3, or 2 for a long wall, v = h/t_layer; A = 0 where it is not known or no path of a "
        "layer is stated"
    )
    source = "Roussel, Cement and Concrete Research 112 (2018) 76 (from memory); von Mises"
    example = (
        Example(
            given=plain("yield_stress static_ratio density part_height"),
            expected={"value": 0.0171, "high": 0.0678114305, "margin": 1.37765231, "margin with error": 1.17765231},
            source="by hand: sqrt3*1.4*310/(1130*9.81); 0.2 for the formula",
        ),
        Example(
            given=plain("yield_stress static_ratio density part_height", shape="long wall"),
            expected={"value": 0.0171, "high": 0.0783018953, "margin": 1.52149334, "margin with error": 1.32149334},
            source="by hand, plane strain: 2*1.4*310/(1130*9.81)",
        ),
        Example(
            given=plain(
                "yield_stress static_ratio density part_height path_length build_up_rate",
                shape="ring",
                ring_radius=0.031,
                build_up_time=900.0,
            ),
            expected={"value": 0.0171, "high": 0.0973422147, "margin": 1.73915429, "margin with error": 1.53915429},
            idle=("ring_radius", "path_length"),
            source="by hand, grown: sqrt3*(1.4*310 + 0.21*900)/(1130*9.81)",
        ),
        Example(
            given=plain(
                "yield_stress static_ratio density part_height print_speed path_length layer_height build_up_rate",
                shape="long wall",
                build_up_time=2900.0,
            ),
            expected={"value": 0.0171, "high": 0.134296920, "margin": 2.06097471, "margin with error": 1.86097471},
            idle=("build_up_time",),
            source=(
                "by hand, still growing: 434/(1130*9.81/2 - 0.21/v), "
                "v = 1.1e-3*0.019/0.23 the speed at which the part rises"
            ),
        ),
    )
    remedy = "less water, pause between layers so that the paste builds up, or a lower part"

    def asked(self, case: Case) -> bool:  # noqa: D102
        return case.job.part_height is not None

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.job.part_height

    def high(self, case: Case) -> Numbers:  # noqa: D102
        paste, job = case.paste, case.job
        return plastic_height(
            paste.static_yield_stress,
            paste.density,
            build_up_rate=paste.build_up_rate if job.path_length is not None else 0.0,
            build_up_time=paste.build_up_time,
            rise_speed=case.rise_speed if job.path_length is not None else np.inf,
            stack_factor=self._factor(case),
        )

    def _factor(self, case):
        return PLANE_STRAIN if case.job.shape == LONG else UNIAXIAL

    def carried(self, case: Case, age: Numbers) -> Numbers:
        """Return the height [m] that the foot carries at an age [s]."""
        paste = case.paste
        static = paste.static_yield_stress + paste.build_up_rate * np.minimum(age, paste.build_up_time)
        return plastic_height(static, paste.density, stack_factor=self._factor(case))

    def greatest_rise_speed(self, case: Case, normals: Callable | None = None) -> Numbers:
        """Return the greatest speed [m/s] at which the part may grow to its height, the model error drawn as in `margin`."""
        paste = case.paste
        return greatest_rise_speed(
            case.job.part_height,
            paste.static_yield_stress,
            paste.density * np.exp(self.drawn_error(case, normals)),
            build_up_rate=paste.build_up_rate,
            build_up_time=paste.build_up_time,
            stack_factor=self._factor(case),
        )
