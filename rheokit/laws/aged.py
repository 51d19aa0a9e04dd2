"""Age in a law: every stress grows, or falls, with a power of the time since mixing."""

from ..hints import Numbers
from .base import FlowLaw
from .conditions import Condition, Conditioned, conditioned
from .parameters import Parameter


def _factors(age: Numbers, reference: float, age_exponent: Numbers) -> tuple[Numbers, Numbers]:
    return (age / reference) ** age_exponent, 1.0


AGE = Condition(
    name="age",
    word="aged",
    reference_name="reference_age",
    parameter_name="age_exponent",
    parameter=Parameter(
        "m",
        "-",
        "power of the age with which every stress goes",
        -5.0,
        5.0,
        False,
        size=0.1,
        widest=(-float("inf"), float("inf")),
    ),
    factors=_factors,
    source="a power of the age, empirical: good between the ages that were read; common practice, no source",
    factor="a_t",
    reference_symbol="t_r",
    rule="a_t = (t_a/t_r)^m",
    meaning="Every stress goes alike, the yield stress among them",
    symbols=(
        ("a_t", "factor on every stress, of the age", "-"),
        ("t_a", "time since mixing", "s"),
        ("t_r", "reference age, at which the values of the law hold", "s"),
    ),
)


def aged(law_class: type[FlowLaw], reference_age: float) -> type[Conditioned]:
    """Return a class of laws that depends on the age t_a: every stress times (t_a/t_r)^m.

    It has one parameter more, `age_exponent` m [-], above 0 for a paste that stiffens. Empirical: no theory stands behind the power,
    and beyond the ages that were read nothing says how it goes on.

    Parameters
    ----------
    law_class : type
        A class of laws, such as ``rk.HerschelBulkley``; one that depends on other conditions too.
    reference_age : float
        Time since mixing at which the other parameters hold. [s]

    Returns
    -------
    law_class : type
        A subclass of it; the same one each time.

    Raises
    ------
    DataError
        If it is no class of laws, or depends on the age already.

    Examples
    --------
    >>> import rheokit as rk
    >>> paste = rk.aged(rk.Bingham, 3600.0)(yield_stress=650.0, plastic_viscosity=12.0, age_exponent=0.1)
    >>> f"{paste.at(age=24 * 3600.0).yield_stress:.3f} Pa"
    '893.171 Pa'
    """
    return conditioned(law_class, AGE, reference_age)
