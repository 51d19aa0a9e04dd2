"""Is a layer laid late enough to be carried, and early enough to stick?"""

from typing import ClassVar

import numpy as np

from ..shape import skin_time
from ..units import STANDARD_GRAVITY
from .base import Limit
from .stack import UNIAXIAL

SKINS = ("diffusivity", "dry_density", "skin_loss")  # what the time to a skin asks for


class LayerTime(Limit):
    """Time of a layer against what build-up needs and what drying allows."""

    name: ClassVar[str] = "layer time"
    label: ClassVar[str] = "time of a layer"
    unit: ClassVar[str] = "s"
    model_error: ClassVar[float] = 0.5
    needs: ClassVar[tuple] = ("density",)
    formula: ClassVar[str] = "ρ g h/(√3 A) ≤ t_layer ≤ π D_e (Δu ρ_d/2j)²"
    source: ClassVar[str] = (
        "strength growth against load: Roussel 2018 (from memory); diffusion into a half-space at constant flux (Crank)"
    )
    remedy: ClassVar[str] = "slow down or pause where layers are too quick; cover or speed up where they skin over"

    def asked(self, case):  # noqa: D102
        return case.job.path_length is not None and (case.job.drying_flux is not None or self._builds(case))

    def missing(self, case):  # noqa: D102
        return super().missing(case) if self._builds(case) else self.left_open(case)

    def left_open(self, case):  # noqa: D102
        unknown = [name for name in SKINS if getattr(case.paste, name) is None]
        return f"{', '.join(unknown)} not known" if case.job.drying_flux is not None and unknown else ""

    @staticmethod
    def _skins(case):
        return case.job.drying_flux is not None and all(getattr(case.paste, name) is not None for name in SKINS)

    @staticmethod
    def _builds(case):
        return np.any(np.asarray(case.paste.build_up_rate) > 0) and case.job.part_height is not None

    def value(self, case):  # noqa: D102
        return case.layer_time

    def low(self, case):
        """Return the time [s] in which a layer's strength grows by the weight of one layer, where strength at laying is not enough."""
        if not self._builds(case):
            return None
        paste = case.paste
        weight = paste.density * STANDARD_GRAVITY
        needed = weight * case.layer_height / (UNIAXIAL * paste.build_up_rate)
        at_once = UNIAXIAL * paste.static_yield_stress >= weight * case.job.part_height
        return np.where(at_once, 1e-9, needed)

    def high(self, case):  # noqa: D102
        if not self._skins(case):
            return None
        paste = case.paste
        return skin_time(paste.diffusivity, paste.skin_loss, paste.dry_density, case.job.drying_flux)
