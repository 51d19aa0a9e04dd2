"""Water in a law: every stress falls exponentially with the water content."""

import numpy as np

from ..hints import Numbers
from .base import FlowLaw
from .conditions import Condition, Conditioned, conditioned
from .parameters import Parameter


def _factors(water_content: Numbers, reference: float, water_slope: Numbers) -> tuple[Numbers, Numbers]:
    return np.exp(-water_slope * (water_content - reference)), 1.0


WATER = Condition(
    name="water_content",
    word="watered",
    reference_name="reference_water",
    parameter_name="water_slope",
    parameter=Parameter(
        "b",
        "-",
        "fall of ln yield stress with the water content, dry basis",
        0.0,
        100.0,
        False,
        size=4.0,
        widest=(0.0, np.inf),
    ),
    factors=_factors,
    source="a local rule, good between the water contents that were read; common practice, no source",
    factor="a_u",
    reference_symbol="u_r",
    rule="a_u = exp[-b (u - u_r)]",
    meaning="Every stress falls alike, the yield stress among them",
    symbols=(
        ("a_u", "factor on every stress, of the water content", "-"),
        ("u", "water over dry mass (dry basis)", "-"),
        ("u_r", "reference water content, dry basis, at which the values of the law hold", "-"),
    ),
    above_zero=False,
)


def watered(law_class: type[FlowLaw], reference_water: float) -> type[Conditioned]:
    """Return a class of laws that depends on the water content u: every stress times exp(-b (u - u_r)).

    It has one parameter more, `water_slope` b [-]. A local rule, good between the water contents that were read.

    Parameters
    ----------
    law_class : type
        A class of laws, such as ``rk.HerschelBulkley``; one that depends on other conditions too.
    reference_water : float
        Water over dry mass at which the other parameters hold. [-]

    Returns
    -------
    law_class : type
        A subclass of it; the same one each time.

    Raises
    ------
    DataError
        If it is no class of laws, or depends on the water content already.

    Notes
    -----
    ln yield stress falls by 2 to 6 for each unit of u near u = 1 (common practice, no source).

    Examples
    --------
    >>> import rheokit as rk
    >>> paste = rk.watered(rk.Bingham, 0.9)(yield_stress=650.0, plastic_viscosity=12.0, water_slope=3.2)
    >>> f"{paste.at(water_content=1.0).yield_stress:.3f} Pa"
    '471.997 Pa'
    """
    return conditioned(law_class, WATER, reference_water)
