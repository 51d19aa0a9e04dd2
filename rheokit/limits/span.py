"""Does a line bridge the gap between two supports?"""

from ..checking import Example
from ..hints import Numbers
from ..part.shape import greatest_span
from .base import Limit
from .case import Case
from .plain import plain


class Span(Limit):
    """Span of a bridging line against its stiffness and its strength."""

    name = "span"
    label = "bridge between supports"
    unit = "m"
    model_error = 0.3
    needs = ("modulus", "density")
    strength = True
    formula = "G ≥ 1.4 ρ g (L/D)⁴ D, G = E/3, and L ≤ (√3 τ_ys D/ρ g)^½"
    source = (
        "Smay, Cesarano and Lewis, Langmuir 18 (2002) 5429 (from memory; the coefficient re-derived); bending at yield"
    )
    example = (
        Example(
            given=plain("modulus density bore span"),
            expected={
                "value": 5.7e-3,
                "high": 7.01890662e-3,
                "margin": 0.208141279,
                "margin with error": -0.0918587207,
            },
            source="by hand, stiffness: 1.7e-3*(23e3/(3*1.4*1130*9.81*1.7e-3))^(1/4); 0.3 for the formula",
        ),
        Example(
            given=plain("static_ratio density bore span", yield_stress=45.0),
            expected={
                "value": 5.7e-3,
                "high": 4.09073478e-3,
                "margin": -0.331741567,
                "margin with error": -0.631741567,
            },
            source="by hand, strength: (sqrt3*1.4*45*1.7e-3/(1130*9.81))^(1/2)",
        ),
    )
    remedy = "shorter bridges, a support, or a stiffer paste; stretch is not judged here"

    def asked(self, case: Case) -> bool:  # noqa: D102
        return case.job.span is not None

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.job.span

    def high(self, case: Case) -> Numbers:  # noqa: D102
        paste = case.paste
        return greatest_span(paste.modulus, paste.static_yield_stress, paste.density, case.bore)
