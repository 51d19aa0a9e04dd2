"""Is a layer laid late enough to be carried, and early enough to stick?"""

import numpy as np

from ..checking import Example
from ..hints import Numbers
from ..laws.criterion import UNIAXIAL
from ..part.shape import skin_time
from ..units import STANDARD_GRAVITY
from .base import Limit
from .case import Case
from .plain import plain

SKINS = ("diffusivity", "dry_density", "skin_loss")  # what the time to a skin asks for


class LayerTime(Limit):
    """Time of a layer against what build-up needs and what drying allows."""

    name = "layer time"
    label = "time of a layer"
    unit = "s"
    model_error = 0.5
    needs = ("density",)
    formula = (
        "t_layer ≥ ρ g h/(√3 A) where H > √3 τ_ys/(ρ g), no least time where the paste carries H as it is laid, or its growth is not known; while it dries "
        "t_layer ≤ π D_e (Δu ρ_d/2j)²"
    )
    source = (
        "strength growth against load: Roussel 2018 (from memory); diffusion into a half-space at constant flux (Crank)"
    )
    example = (
        Example(
            given=plain("path_length print_speed density layer_height build_up_rate", part_height=0.113),
            expected={"value": 12.1052632, "low": 33.5243383, "margin": -1.01863136, "margin with error": -1.51863136},
            idle=("part_height",),
            source=(
                "by hand: 0.23/0.019 against 1130*9.81*1.1e-3/(sqrt3*0.21), "
                "for sqrt3*434 carries no 0.113 m; 0.5 for the formula"
            ),
        ),
        Example(
            given=plain("path_length print_speed diffusivity skin_loss dry_density drying_flux"),
            expected={"value": 12.1052632, "high": 4726.88161, "margin": 5.96738066, "margin with error": 5.46738066},
            source="by hand: pi*4.3e-10*(0.12*530/(2*1.7e-5))^2 against 0.23/0.019",
        ),
    )
    remedies = (
        "slow down or pause: the layers follow too quickly",
        "cover or speed up: a layer skins over before the next",
    )
    remedy = "; ".join(remedies)

    def asked(self, case: Case) -> bool:  # noqa: D102
        return case.job.path_length is not None and (case.job.drying_flux is not None or self._builds(case))

    def lacks(self, case: Case) -> str:  # noqa: D102
        return super().lacks(case) if self._builds(case) else self.left_open(case)

    def unknown(self, case: Case) -> list[str]:  # noqa: D102
        skins = [name for name in SKINS if getattr(case.paste, name) is None]
        return super().unknown(case) if self._builds(case) else skins

    def left_open(self, case: Case) -> str:  # noqa: D102
        unknown = [name for name in SKINS if getattr(case.paste, name) is None]
        return f"{', '.join(unknown)} not known" if case.job.drying_flux is not None and unknown else ""

    @staticmethod
    def _skins(case):
        return case.job.drying_flux is not None and all(getattr(case.paste, name) is not None for name in SKINS)

    @staticmethod
    def _builds(case):
        return np.any(np.asarray(case.paste.build_up_rate) > 0) and case.job.part_height is not None

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.layer_time

    def low(self, case: Case) -> Numbers:
        """Return the time [s] in which a layer's strength grows by the weight of one layer, where strength at laying is not enough."""
        if not self._builds(case):
            return None
        paste = case.paste
        weight = paste.density * STANDARD_GRAVITY
        needed = weight * case.layer_height / (UNIAXIAL * paste.build_up_rate)
        at_once = UNIAXIAL * paste.static_yield_stress >= weight * case.job.part_height
        return np.where(at_once, 1e-9, needed)

    def high(self, case: Case) -> Numbers:  # noqa: D102
        if not self._skins(case):
            return None
        paste = case.paste
        return skin_time(paste.diffusivity, paste.skin_loss, paste.dry_density, case.job.drying_flux)
