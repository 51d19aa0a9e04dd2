"""Tube and cone of the laws without a textbook formula, against adaptive quadrature of formulae typed here once more.

Weissenberg and Rabinowitsch's relation, by parts over ln of the rate, by QUADPACK; the wall rate by bisection; the cone by
QUADPACK over both. Nothing of the package is asked.
"""

import math
import warnings

import numpy as np
import pytest
from scipy.integrate import IntegrationWarning, quad
from scipy.optimize import brentq

import rheokit as rk

pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore::rheokit.UnlikelyWarning")]

COUNT = 100
AGREE = 1e-8
LOWEST = -60.0  # of ln(γ̇/γ̇_w): e^-60 of the flow is left out


def _between(random, low, high):
    return math.exp(random.uniform(math.log(low), math.log(high)))


def _plastic_sum(random):
    tau_y, k, n, eta = (
        _between(random, 1, 3e3),
        _between(random, 1, 500),
        random.uniform(0.1, 0.9),
        _between(random, 0.01, 50),
    )
    tau_y *= random.random() > 0.15
    eta *= random.random() > 0.15
    return rk.HerschelBulkleyNewtonian(tau_y, k, n, eta), lambda g: tau_y + k * g**n + eta * g


def _three(random):
    tau_y, critical, eta = _between(random, 1, 3e3), _between(random, 0.01, 1e3), _between(random, 0.01, 50)
    eta *= random.random() > 0.15
    return rk.ThreeComponent(tau_y, critical, eta), lambda g: tau_y * (1 + math.sqrt(g / critical)) + eta * g


def _sisko(random):
    eta, k, n = _between(random, 0.01, 50), _between(random, 0.1, 500), random.uniform(0.05, 0.95)
    return rk.Sisko(eta, k, n), lambda g: eta * g + k * g**n


def _carreau(random):
    zero, time, n, a = (
        _between(random, 0.1, 1e4),
        _between(random, 1e-3, 1e3),
        random.uniform(0, 0.95),
        _between(random, 0.2, 20),
    )
    final = zero * _between(random, 1e-5, 0.5) * (random.random() > 0.2)
    return (
        rk.CarreauYasuda(zero, final, time, n, a),
        lambda g: g * (final + (zero - final) * (1 + (time * g) ** a) ** ((n - 1) / a)),
    )


def _cross(random):
    zero, time, n = _between(random, 0.1, 1e4), _between(random, 1e-3, 1e3), random.uniform(0, 0.95)
    final = zero * _between(random, 1e-5, 0.5) * (random.random() > 0.2)
    return rk.Cross(zero, final, time, n), lambda g: g * (final + (zero - final) / (1 + (time * g) ** (1 - n)))


def _robertson(random):
    k, start, n = _between(random, 1, 500), _between(random, 0.01, 1e3), random.uniform(0.15, 1.5)
    start *= random.random() > 0.15
    tau_y = k * start**n
    return rk.RobertsonStiff(tau_y, k, n), lambda g: k * (g + start) ** n


LAWS = {
    "Herschel-Bulkley with Newtonian term": _plastic_sum,
    "three-component": _three,
    "Sisko": _sisko,
    "Carreau-Yasuda": _carreau,
    "Cross": _cross,
    "Robertson-Stiff": _robertson,
}


def _quad(function, low, high, agree):
    with warnings.catch_warnings(action="ignore", category=IntegrationWarning):  # of rounding at 1e-13
        return quad(function, low, high, epsabs=0, epsrel=agree, limit=200)[0]


def apparent_rate(tau, wall_rate, agree=1e-12):
    """Return 32Q/πD³ [1/s] at a wall rate [1/s] from a stress of the rate."""
    wall = tau(wall_rate)

    def moved(s):
        return math.exp(s) * (1 - (tau(wall_rate * math.exp(s)) / wall) ** 3)

    return 4 / 3 * wall_rate * sum(_quad(moved, *ends, agree) for ends in ((LOWEST, -10), (-10, -3), (-3, 0)))


def wall_stress(tau, rate, agree=1e-12):
    """Return the wall stress [Pa] at an apparent rate [1/s]."""
    low = math.log(0.75 * rate)
    high = low + 1
    while apparent_rate(tau, math.exp(high), agree) < rate:
        high += 2
    return tau(
        math.exp(brentq(lambda y: math.log(apparent_rate(tau, math.exp(y), agree) / rate), low, high, xtol=1e-13))
    )


def cone_integral(tau, flow, inlet, outlet):
    """Return ∫ τ_w d ln R [Pa]."""
    ends = math.log(outlet), math.log(inlet)
    return _quad(lambda s: wall_stress(tau, 4 * flow / (math.pi * math.exp(3 * s)), 1e-10), *ends, 1e-9)


def pulled(tau, flow, inlet, outlet):
    """Return 2√3 ∫ [τ(√3·2U/R) - τ_y] d ln R [Pa]."""
    ends = math.log(outlet), math.log(inlet)
    excess = _quad(lambda s: tau(2 * math.sqrt(3) * flow / (math.pi * math.exp(3 * s))) - tau(0.0), *ends, 1e-11)
    return 2 * math.sqrt(3) * excess


def cases(name, count=COUNT):
    random = np.random.Generator(np.random.PCG64(29))
    for _ in range(count):
        law, tau = LAWS[name](random)
        yield law, tau, _between(random, 1e-2, 1e4), random.uniform(1.2, 12)


@pytest.mark.parametrize("name", LAWS)
def test_tube_both_ways(name):
    """Kind: independent. Flow at a wall stress and wall stress at a flow, yield stress and viscosities 0 among them."""
    for law, tau, rate, _ in cases(name, COUNT):
        wall_rate = float(law.shear_rate(wall := tau(rate)))
        assert wall_rate == pytest.approx(rate, rel=AGREE + 1e-15 * wall / (wall - law.yield_stress)), law
        flow = apparent_rate(tau, rate)
        assert law.apparent_shear_rate(wall) == pytest.approx(flow, rel=AGREE), law
        assert law.wall_shear_stress(flow) == pytest.approx(wall, rel=AGREE), law


@pytest.mark.parametrize("name", LAWS)
def test_cone_and_stretching(name):
    """Kind: independent. Cones of a diameter ratio of 1.2 to 12."""
    for law, tau, rate, ratio in cases(name):
        outlet = 0.6e-3
        flow = math.pi * outlet**3 / 4 * rate
        found = cone_integral(tau, flow, ratio * outlet, outlet)
        assert law.cone_stress_integral(flow, ratio * outlet, outlet) == pytest.approx(found, rel=AGREE), law
        stretching = law.stretching_stress(flow, ratio * outlet, outlet)
        lost = 1e-13 * float(law.yield_stress)  # digits that the yield stress takes from what stands above it
        assert stretching == pytest.approx(pulled(tau, flow, ratio * outlet, outlet), rel=AGREE, abs=lost), law
