"""The Cross law: a viscosity that falls from one constant value to another in a bend as wide as it is steep."""

from dataclasses import dataclass
from typing import ClassVar, Self

from numpy.typing import ArrayLike

from ..checking import Example
from ..hints import Numbers
from .base import FlowLaw, parameter
from .carreau_yasuda import CarreauYasuda, start
from .newtonian import Newtonian
from .plain import TAPER


@dataclass(frozen=True, eq=False)
class Cross(FlowLaw):
    """η = η_∞ + (η_0 - η_∞)/(1 + (λ γ̇)^(1-n)), τ = η γ̇. It has no yield stress: not to be asked what starts a paste."""

    name = "Cross"
    source = "Cross, Journal of Colloid Science 20 (1965) 417 (from memory)"
    stresses: ClassVar[tuple[str, ...]] = ("final_viscosity",)
    example = Example(
        given=TAPER
        | {
            "zero_shear_viscosity": 48.7,
            "final_viscosity": 0.7,
            "time_constant": 0.25,
            "flow_index": 0.5,
            "shear_rate": 16.0,
            "wall_shear_stress": 457.2,
        },
        expected={
            "shear_stress": 267.2,
            "apparent_shear_rate": 31.8845193,
            "cone_stress_integral": 284.192865,
            "stretching_stress": 829.831857,
        },
        source=(
            "by hand: 16*(0.7 + 48/(1 + 4^0.5)); "
            "flow, cone and stretching by quadrature in 18 digits: "
            "4/tau_w^3 int tau^2 rate dtau, int tau_w dR/R, and 2 sqrt3 int [tau(2 sqrt3 Q/pi R^3) - tau_y] dR/R"
        ),
    )

    zero_shear_viscosity: Numbers = parameter("η_0", "Pa·s", "viscosity at low rates", logarithmic=True)
    final_viscosity: Numbers = parameter("η_∞", "Pa·s", "viscosity at high rates")
    time_constant: Numbers = parameter(
        "λ", "s", "one over the rate at which half of the fall is done", logarithmic=True
    )
    flow_index: Numbers = parameter(
        "n", "-", "1 + slope of ln(η - η_∞) against ln γ̇ at high rates", high=0.99, widest=(0.0, 1.0)
    )

    @property
    def general(self) -> CarreauYasuda:
        """The Carreau-Yasuda law whose bend has the sharpness 1 - n."""
        return CarreauYasuda(**self.values, transition=1 - self.flow_index)

    def shear_stress(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return self.general.shear_stress(shear_rate)

    def local_index(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return self.general.local_index(shear_rate)

    @classmethod
    def holding(cls, smaller: FlowLaw) -> dict[str, Numbers] | None:  # noqa: D102
        if type(smaller) is Newtonian:
            return {
                "zero_shear_viscosity": smaller.viscosity,
                "final_viscosity": smaller.viscosity,
                "time_constant": 1.0,
                "flow_index": 0.5,
            }
        return super().holding(smaller)

    @classmethod
    def guess(cls, shear_rate: ArrayLike, shear_stress: ArrayLike) -> Self:
        """Return the best of a few bends, each between the two viscosities that come nearest to the curve."""
        found = start(shear_rate, shear_stress, None)
        return cls(**{name: found[name] for name in cls.parameters()})

    @classmethod
    def factors(cls, values: dict[str, Numbers], shear_rate: float) -> dict[str, Numbers]:  # noqa: D102
        return CarreauYasuda.factors(values, shear_rate)
