"""The corrections that are usual of a kind of test: each with what became of it, so that none is passed over in silence."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ..nomenclature import between, number, written

if TYPE_CHECKING:
    from .flow_curve import FlowCurve

APPLIED, NOT_APPLIED, UNTESTED, LEFT = "applied", "not applied", "not testable", "left to the instrument"
IN_PART, SEEN = "tested in part", "seen, and NOT applied"
UNKNOWN = "not computed: what it needs stands in no entry and no column"
CONDUCTS = 0.5
"""Thermal conductivity of a wet paste, for the size of its heating alone; common practice, no source. [W/(m K)]"""
GAP = 1e-3
"""Gap for which the heating is told, since no record holds one. [m]"""
HEATING = "viscous heating"
GEOMETRY, TORQUES, TEMPERATURE, REST = "geometry", "torque_range", "temperature_control", "pre_shear"
"""Entries of the authors' table in which they may state what a correction lacks."""


class Usual(NamedTuple):
    """One usual correction of one record.

    Attributes
    ----------
    name, status : str
    size : str
        How large it is, or why that is not known.
    how : str
        How it is made, or what it needs.
    key : str
        Entry in which the authors may state what it needs; empty where a statement would not do.
    beside : str
        Property of the paste that it needs too, by its name, which another test may have read.
    """

    name: str
    status: str
    size: str = UNKNOWN
    how: str = ""
    key: str = ""
    beside: str = ""


def middle_rise(heat: float, gap: float = GAP, conductivity: float = CONDUCTS) -> float:
    """Return how much warmer the middle of a gap is than its two walls [K], of heat that is made evenly and conducted away.

    q h²/(8 λ): the steady conduction of an even source between walls of one temperature, the most it comes to.

    Parameters
    ----------
    heat : float
        Stress times rate. [W/m3]
    gap : float
        [m]
    conductivity : float
        [W/(m K)]

    Examples
    --------
    100 kW/m3 in 2 mm of 0.5 W/(m K): 1e5*4e-6/4, by hand.

    >>> f"{middle_rise(1e5, 2e-3, 0.5):.3f}"
    '0.100'
    """
    return heat * gap**2 / (8 * conductivity)


def of_a_curve(test: FlowCurve) -> tuple[Usual, ...]:
    """Return what is usual of a rotational bench, whose instrument handed over stresses and rates and no torques."""
    rate, stress = test.shear_rate, test.shear_stress
    heat = float(np.max(rate * stress))
    low, high = float(np.min(stress)), float(np.max(stress))
    spanned = f", a factor of {number(high / low)}, and so do the torques" if high > low > 0 else ""
    return (
        Usual(
            "torque and speed to stress and rate",
            LEFT,
            "not computed: the readings came as stresses and rates, and hold no torque",
            "needs diameter, and angle, gap or height, of cone, plates, cup or vane, and the torques",
            GEOMETRY,
        ),
        Usual(
            "rate that differs across the gap (cup, vane, parallel plates)",
            LEFT,
            "not computed: the geometry is not typed as numbers; none is needed for a cone of a few degrees",
            "needs which geometry it was; of a wide gap or plates the readings in torque and speed",
            GEOMETRY,
        ),
        Usual(
            "ends of a cup or vane, cut tip of a cone",
            LEFT,
            UNKNOWN,
            "needs immersed height and end factor, or the gap at the cut tip",
            GEOMETRY,
        ),
        Usual(
            "slip at the wall",
            UNTESTED,
            "not computed: gaps and surfaces are not typed as numbers",
            "needs the same paste in a second gap, or between rough and smooth walls",
            "walls",
        ),
        _edge(rate, stress),
        Usual(
            "inertia of instrument and paste, secondary flow",
            UNTESTED,
            UNKNOWN,
            "needs geometry and the speed of turning; steady readings hold none of the instrument's own",
            GEOMETRY,
            "density",
        ),
        Usual(
            HEATING,
            UNTESTED,
            f"not computed, since the gap is not typed as a number: at most {number(heat / 1e3)} kW/m³ turn to heat, which warms the middle of a gap of "
            f"{written(GAP, 'm')} by {number(middle_rise(heat), 2)} K over its walls, and of others as the square of the gap",
            f"needs the gap as a number; q h²/(8 λ) of steady conduction (from memory), λ = {number(CONDUCTS)} W/(m·K) assumed for a wet paste",
            GEOMETRY,
        ),
        Usual(
            "temperature of the paste against that of the instrument",
            UNTESTED,
            UNKNOWN,
            "needs how the temperature was held, and how well",
            TEMPERATURE,
        ),
        Usual(
            "least torque of the instrument",
            UNTESTED,
            f"not computed: the least torque is not typed as a number; the stresses read span {between(low, high, 'Pa')}{spanned}",
            "needs the least torque it reads, and the geometry, of which the least stress follows",
            TORQUES,
        ),
        Usual(
            "grains against the gap", UNTESTED, UNKNOWN, "needs the least gap as a number", GEOMETRY, "largest_grain"
        ),
    )


def _edge(rate, stress):
    """Return what the fastest readings say of paste that leaves the rim: a stress that falls."""
    rates = np.unique(rate)
    name, how = (
        "edge fracture, paste thrown out",
        "a stress that falls where the rate rises; one that rises rules out no partial loss",
    )
    if len(rates) < 2:
        return Usual(name, UNTESTED, "not known: one rate alone", how)
    before, last = (float(np.mean(stress[rate == one])) for one in rates[-2:])
    where = f"from {between(rates[-2], rates[-1], '1/s')}, the fastest two rates"
    if last < before:
        return Usual(name, SEEN, f"the stress falls by {written(1 - last / before, '%', 2)} {where}", how)
    return Usual(name, IN_PART, f"none seen: the stress rises {where}", how)
