"""Grains and the bore."""

from dataclasses import dataclass

import numpy as np

from ..checking import Example
from ..hints import Numbers
from ..nomenclature import number
from .base import BOTH, Limit
from .case import Case
from .plain import plain

LARGEST = 3.0  # bore over the one largest grain: a single lump stops a print; common practice, no source


@dataclass(frozen=True, eq=False, repr=False)
class Clog(Limit):
    """Bore against the size of the grains.

    Parameters
    ----------
    clog_factor : float
        Least bore over d90: 3 for smooth lubricated spheres, 5 usual, 10 for irregular grains in a stiff paste. [-]
    """

    clog_factor: float = 5.0

    name = "clog"
    label = "bore against grains"
    unit = "m"
    jobs = BOTH
    model_error = 0.2
    needs = ("grain_size",)
    source = "arches of grains: Marin et al., arXiv 1711.06119 (2018); the factor is common practice, no source"
    example = (
        Example(
            given=plain("bore grain_size", clog_factor=4.3),
            expected={"value": 1.7e-3, "low": 8.17e-4, "margin": 0.732744435, "margin with error": 0.532744435},
            source="by hand: ln(1.7/(4.3*0.19)); 0.2 for the formula",
        ),
        Example(
            given={"bore": 1.7e-3, "largest_grain": 410e-6},
            expected={"value": 1.7e-3, "low": 1.23e-3, "margin": 0.323614082, "margin with error": 0.123614082},
            source="by hand: ln(1.7/(3*0.41)), beside 5*0.19 = 0.95 mm",
        ),
    )
    remedy = "sieve finer or take a wider bore; cut fibres shorter than a fifth of the bore"
    caution = "Never raise pressure to clear a clog: vent, remove, clear."

    @property
    def formula(self) -> str:  # type: ignore[override]
        """The formula with the factor that it is asked with."""
        return f"D ≥ k_c d_90, k_c = {number(self.clog_factor)}, and D ≥ {number(LARGEST)} d_max where d_max is known"

    def left_open(self, case: Case) -> str:  # noqa: D102
        return "largest_grain not known" if case.paste.largest_grain is None else ""

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.bore

    def low(self, case: Case) -> Numbers:  # noqa: D102
        usual = self.clog_factor * case.paste.grain_size
        return usual if case.paste.largest_grain is None else np.maximum(usual, LARGEST * case.paste.largest_grain)
