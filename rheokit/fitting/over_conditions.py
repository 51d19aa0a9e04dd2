"""The law that some readings ask for: one that depends on the temperature, water or age in which they differ, and on no other."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from ..bench import Bench, BenchTest
from ..laws import FlowLaw
from ..laws.aged import aged
from ..laws.heated import heated
from ..laws.watered import watered
from ..units import ZERO_CELSIUS, hour
from . import conditions
from .asked import refuse_no_law, tests_and_benches

if TYPE_CHECKING:
    from .predictions import Interval
    from .result import FitResult

MAKES: dict[str, Callable[[type[FlowLaw], float], type[FlowLaw]]] = {
    "temperature": heated,
    "water_content": watered,
    "age": aged,
}
TOLD = {"temperature": (ZERO_CELSIUS, 1.0), "water_content": (0.0, 1.0), "age": (0.0, hour)}
"""Zero and size of the unit in which a condition is told, and its reference is round."""
CHOSEN = (
    "It is near the middle one of the values read (those within a tenth of their range of one another count once), as round as a tenth of their range "
    "allows. At another reference the values of the law are others, and what it says of a rate and a condition is the same: compare values at one reference."
)
"""How a reference is chosen, in words."""
ROUNDED = 0.1  # of the range read, by which a reference may leave the middle to be a round number
SIMPLE = {"yield_stress", "consistency", "flow_index", "activation_energy", "water_slope", "age_exponent"}
"""Parameters of laws in which the stress above the yield stress goes with a power of the rate alone, n."""
STEPS, DIGITS = (5, 2, 1), 6  # of a round number in each decade, and decades that are tried


def over_conditions(law_class: type[FlowLaw], *tests_or_bench: Bench | BenchTest) -> type[FlowLaw]:
    """Return the class of laws that some readings ask for: made to depend on what they differ in, of temperature, water and age.

    Parameters
    ----------
    law_class : type
        A subclass of FlowLaw, e.g. ``rk.Newtonian``; what it depends on already stays as it is.
    *tests_or_bench : Bench or BenchTest

    Returns
    -------
    law_class : type
        Itself, where the readings differ in nothing that it does not depend on. Else made of it by `heated`, `watered` and `aged`, each
        with a reference in the middle of the values read, as round as a tenth of their range allows.

    Raises
    ------
    DataError
        As `fit`: where a condition that differs is not known of a test, or moves together with another one, so that nothing tells
        their effects apart.

    Notes
    -----
    Readings differ beyond 2 % of the water content, a factor 1.5 in age, or 2 K (5 K within a record): common practice, no source.

    Examples
    --------
    >>> import rheokit as rk
    >>> curves = [
    ...     rk.FlowCurve(shear_rate=[1, 10], shear_stress=stress, temperature=273.15 + celsius, label=f"{celsius} °C")
    ...     for celsius, stress in ((38.2, [1.32, 13.2]), (45.1, [0.92, 9.2]), (59.8, [0.45, 4.5]))
    ... ]
    >>> law_class = rk.over_conditions(rk.Newtonian, *curves)
    >>> law_class.name, law_class.reference_temperature
    ('heated Newtonian', 318.15)
    """
    refuse_no_law(law_class)
    tests, benches = tests_and_benches(tests_or_bench)
    informing = [test for test in tests if not test.gives]
    differing = conditions.differing(law_class, informing, benches)
    if not differing:
        return law_class
    for name, values in differing.items():
        law_class = MAKES[name](law_class, _reference(name, values))
    conditions.check(law_class, informing, benches)
    return law_class


def activation_of_stress(fit: FitResult) -> Interval | None:
    """Return n E_a [J/mol] of a fitted law with its 95 % limits: how the stress at one rate, and K, move with the temperature.

    None of a law without a flow index, or with rates of its own beside it, and where the law does not depend on the temperature.
    """
    names = {*fit.problem.law_class.parameters()}
    if not {"flow_index", "activation_energy"} <= names or names - SIMPLE or names & {*fit.not_identified}:
        return None
    return fit.interval(lambda law: law.flow_index * law.activation_energy)


def _reference(name, values):
    """Return a round value [SI] near the middle one of those read."""
    zero, unit = TOLD[name]
    told = _apart((np.unique(values[values > 0]) - zero) / unit)
    low, middle, high = told[0], told[(len(told) - 1) // 2], told[-1]
    first = math.floor(math.log10(high - low)) if high > low else math.floor(math.log10(abs(middle) or 1.0))
    for decade in range(first, first - DIGITS, -1):
        for step in STEPS:
            near = round(middle / (step * 10.0**decade)) * step * 10.0**decade
            if abs(near - middle) <= ROUNDED * (high - low) and low <= near <= high:
                return float(f"{near:.12g}") * unit + zero
    return float(middle * unit + zero)


def _apart(values):
    """Return ascending values without those that lie within a tenth of the range above one that stays: as an instrument reads one setting again and again."""
    near, kept = ROUNDED * (values[-1] - values[0]), [values[0]]
    for value in values[1:]:
        if value - kept[-1] > near:
            kept.append(value)
    return kept
