"""Does a line bridge the gap between two supports?"""

from typing import ClassVar

from ..shape import greatest_span
from .base import Limit


class Span(Limit):
    """Span of a bridging line against its stiffness and its strength."""

    name: ClassVar[str] = "span"
    label: ClassVar[str] = "bridge between supports"
    unit: ClassVar[str] = "m"
    model_error: ClassVar[float] = 0.3
    needs: ClassVar[tuple] = ("modulus", "density")
    strength: ClassVar[bool] = True
    formula: ClassVar[str] = "G ≥ 1.4 ρ g (L/D)⁴ D and L ≤ (√3 τ_ys D/ρ g)^½"
    source: ClassVar[str] = (
        "Smay, Cesarano and Lewis, Langmuir 18 (2002) 5429 (from memory; the coefficient re-derived); bending at yield"
    )
    remedy: ClassVar[str] = "shorter bridges, a support, or a stiffer paste; stretch is not judged here"

    def asked(self, case):  # noqa: D102
        return case.job.span is not None

    def value(self, case):  # noqa: D102
        return case.job.span

    def high(self, case):  # noqa: D102
        paste = case.paste
        return greatest_span(paste.modulus, paste.static_yield_stress, paste.density, case.bore)
