"""The Carreau-Yasuda law: a viscosity that falls from one constant value to another, with a bend of any sharpness."""

from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np
from numpy.typing import ArrayLike

from ..checking import Example
from ..hints import Numbers
from .base import FlowLaw, parameter
from .newtonian import Newtonian
from .plain import TAPER
from .power_law import PowerLaw
from .starts import INDICES, LEAST, nonnegative

TRANSITIONS = (0.5, 1.0, 2.0, 4.0)  # that a start tries
SHARP = 1.8  # transition above which the bend asks for nodes of its own
TINY = 1e-300


@dataclass(frozen=True, eq=False)
class CarreauYasuda(FlowLaw):
    """η = η_∞ + (η_0 - η_∞) (1 + (λ γ̇)ᵃ)^((n-1)/a), τ = η γ̇. It has no yield stress: not to be asked what starts a paste."""

    name = "Carreau-Yasuda"
    source = (
        "Carreau, Transactions of the Society of Rheology 16 (1972) 99; Yasuda, Armstrong and Cohen, Rheologica Acta 20 "
        "(1981) 163 (from memory)"
    )
    stresses: ClassVar[tuple[str, ...]] = ("final_viscosity",)
    example = Example(
        given=TAPER
        | {
            "zero_shear_viscosity": 48.7,
            "final_viscosity": 0.7,
            "time_constant": 0.5,
            "flow_index": 0.25,
            "transition": 1.5,
            "shear_rate": 8.0,
            "wall_shear_stress": 175.880652339986,
        },
        expected={
            "shear_stress": 133.6,
            "apparent_shear_rate": 12.297122,
            "cone_stress_integral": 180.479206,
            "stretching_stress": 523.033162,
        },
        source=(
            "by hand: 8*(0.7 + 48*(1 + 4^1.5)^-0.5) = 8*(0.7 + 48/3); "
            "flow, cone and stretching by quadrature in 18 digits: "
            "4/tau_w^3 int tau^2 rate dtau, int tau_w dR/R, and 2 sqrt3 int [tau(2 sqrt3 Q/pi R^3) - tau_y] dR/R"
        ),
    )

    zero_shear_viscosity: Numbers = parameter("η_0", "Pa·s", "viscosity at low rates", logarithmic=True)
    final_viscosity: Numbers = parameter("η_∞", "Pa·s", "viscosity at high rates")
    time_constant: Numbers = parameter(
        "λ", "s", "one over the rate at which the viscosity begins to fall", logarithmic=True
    )
    flow_index: Numbers = parameter("n", "-", "1 + slope of ln(η - η_∞) against ln γ̇ at high rates", high=1.0)
    transition: Numbers = parameter(
        "a", "-", "sharpness of the bend where the viscosity begins to fall", low=0.01, high=20.0, logarithmic=True
    )

    def _bend(self, shear_rate):
        """Return (η - η_∞)/(η_0 - η_∞), and its slope of ln against ln γ̇."""
        a = np.asarray(self.transition, float)
        power = a * np.log(
            np.maximum(self.time_constant * np.asarray(shear_rate, float), TINY)
        )  # of what is added to 1
        fall = (self.flow_index - 1) * np.exp(power - np.logaddexp(0.0, power))
        return np.exp((self.flow_index - 1) / a * np.logaddexp(0.0, power)), fall

    @property
    def bend(self) -> Numbers | None:  # noqa: D102
        return 1 / np.asarray(self.time_constant) if np.any(np.greater(self.transition, SHARP)) else None

    def shear_stress(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        share, _ = self._bend(shear_rate)
        viscosity = self.zero_shear_viscosity * share + self.final_viscosity * (1 - share)
        return (viscosity * np.asarray(shear_rate, float))[()]

    def local_index(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        share, fall = self._bend(shear_rate)
        bent = (self.zero_shear_viscosity - self.final_viscosity) * share
        return (1 + fall * bent / (self.final_viscosity + bent))[()]

    @classmethod
    def holding(cls, smaller: FlowLaw) -> dict[str, Numbers] | None:  # noqa: D102
        if type(smaller) is Newtonian:
            return {
                "zero_shear_viscosity": smaller.viscosity,
                "final_viscosity": smaller.viscosity,
                "time_constant": 1.0,
                "flow_index": 0.5,
                "transition": 2.0,
            }
        return super().holding(smaller)

    @classmethod
    def guess(cls, shear_rate: ArrayLike, shear_stress: ArrayLike) -> Self:
        """Return the best of a few bends, each between the two viscosities that come nearest to the curve."""
        return cls(**start(shear_rate, shear_stress, TRANSITIONS))

    @classmethod
    def factors(cls, values: dict[str, Numbers], shear_rate: float) -> dict[str, Numbers]:  # noqa: D102
        return {
            "zero_shear_viscosity": shear_rate,
            "final_viscosity": shear_rate,
            "time_constant": shear_rate,
        }


def start(shear_rate: ArrayLike, shear_stress: ArrayLike, transitions: tuple[float, ...] | None) -> dict[str, float]:
    """Return the parameters of the best of a few bends; without sharpnesses that are Cross's, 1 - n."""
    rate, stress = PowerLaw.positive(shear_rate, shear_stress)
    found, least = {}, np.inf
    for time in 1 / np.geomspace(np.min(rate) / 3, np.max(rate), 9):
        for n in INDICES:
            for a in transitions or (1 - n,):
                law = CarreauYasuda(1.0, 0.0, float(time), float(n), float(a))
                share = law._bend(rate)[0]
                (zero, final), missed = nonnegative([rate * share, rate * (1 - share)], stress)
                if missed < least:
                    zero = max(zero, LEAST * float(np.min(stress / rate)))
                    found, least = {**law.values, "zero_shear_viscosity": zero, "final_viscosity": final}, missed
    return {name: float(value) for name, value in found.items()}
