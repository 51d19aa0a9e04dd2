"""Temperature in a law: every rate times a factor by Arrhenius, so that a viscosity falls as it grows warm."""

import numpy as np

from ..hints import Numbers
from ..units import GAS_CONSTANT
from .base import FlowLaw
from .conditions import Condition, Conditioned, conditioned
from .parameters import Parameter


def _factors(temperature: Numbers, reference: float, activation_energy: Numbers) -> tuple[Numbers, Numbers]:
    return 1.0, np.exp(activation_energy / GAS_CONSTANT * (1 / temperature - 1 / reference))


TEMPERATURE = Condition(
    name="temperature",
    word="heated",
    reference_name="reference_temperature",
    parameter_name="activation_energy",
    parameter=Parameter(
        "E_a", "J/mol", "activation energy of the shift of rates", 0.0, 5e5, False, size=40e3, widest=(0.0, np.inf)
    ),
    factors=_factors,
    source="time-temperature superposition: Ferry, Viscoelastic Properties of Polymers, Wiley (from memory)",
    factor="a_T",
    reference_symbol="T_r",
    rule="a_T = exp[(E_a/R) (1/T - 1/T_r)]",
    meaning=(
        "At one stress the rate goes with exp(-E_a/(R T)). At one rate the stress above the yield stress goes with n E_a, n its slope against the rate, both "
        "as ln, and K of a power law with it; a yield stress does not move"
    ),
    symbols=(
        ("a_T", "factor on every rate, of the temperature", "-"),
        ("T", "temperature of the paste", "K"),
        ("T_r", "reference temperature, at which the values of the law hold", "K"),
        ("R", "gas constant, 8.314462618 J/(mol·K)", "J/(mol·K)"),
    ),
    on_rates=True,
)


def heated(law_class: type[FlowLaw], reference_temperature: float = 318.15) -> type[Conditioned]:
    """Return a class of laws that depends on the temperature: τ(γ̇, T) = τ_r(a_T γ̇), a_T = exp[(E_a/R)(1/T - 1/T_r)].

    It has one parameter more, `activation_energy` [J/mol]. A power law's K moves with n E_a; a yield stress does not move,
    which for pastes is a limit of the rule.

    Parameters
    ----------
    law_class : type
        A class of laws, such as ``rk.Newtonian``; one that depends on other conditions too.
    reference_temperature : float
        At which the other parameters hold. [K]

    Returns
    -------
    law_class : type
        A subclass of it; the same one each time.

    Raises
    ------
    DataError
        If it is no class of laws, or depends on the temperature already.

    Notes
    -----
    Time-temperature superposition (Ferry, Viscoelastic Properties of Polymers, from memory) with the factor of Arrhenius: of a
    gel from 3 K above its gel point up (from memory).

    Examples
    --------
    >>> import rheokit as rk
    >>> dope = rk.heated(rk.Newtonian)(viscosity=0.9198, activation_energy=42e3)
    >>> f"{dope.at(temperature=273.15 + 34).shear_stress(1.0):.6f} Pa"
    '1.624216 Pa'
    """
    return conditioned(law_class, TEMPERATURE, reference_temperature)
