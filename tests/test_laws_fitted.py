"""Laws of three to five parameters, fitted to noisy curves over four decades: whether the fit settles, and its limits hold."""

import numpy as np
import pytest

import rheokit as rk

pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore::rheokit.RheokitWarning")]


def _between(random, low, high):
    return float(np.exp(random.uniform(np.log(low), np.log(high))))


def _with_newtonian_term(random):
    tau_y, n = _between(random, 1, 500), random.uniform(0.2, 0.6)
    consistency = tau_y * _between(random, 0.1, 2)
    final = (tau_y + consistency * 1000**n) / 1000 * _between(random, 0.1, 2)
    return rk.HerschelBulkleyNewtonian(tau_y, consistency, n, final)


def _three_components(random):
    tau_y, critical = _between(random, 1, 500), _between(random, 0.5, 100)
    return rk.ThreeComponent(tau_y, critical, tau_y * (1 + np.sqrt(1000 / critical)) / 1000 * _between(random, 0.05, 2))


def _sisko(random):
    consistency, n = _between(random, 0.1, 300), random.uniform(0.1, 0.7)
    return rk.Sisko(consistency * 1000 ** (n - 1) * _between(random, 0.1, 5), consistency, n)


def _cross(random):
    zero = _between(random, 0.1, 1e3)
    return rk.Cross(zero, zero * _between(random, 1e-4, 0.1), 1 / _between(random, 0.3, 30), random.uniform(0.1, 0.7))


def _carreau_yasuda(random):
    return rk.CarreauYasuda(**_cross(random).values, transition=_between(random, 0.5, 3))


def _robertson_stiff(random):
    tau_y, start, n = _between(random, 1, 500), _between(random, 0.3, 50), random.uniform(0.2, 0.8)
    return rk.RobertsonStiff(tau_y, tau_y / start**n, n)


DRAWN = (_with_newtonian_term, _three_components, _sisko, _cross, _carreau_yasuda, _robertson_stiff)
DECADES = np.geomspace(0.1, 1000, 30)


def noisy(drawn, seed):
    """Return a law and readings of it over four decades, off by 2 %."""
    random = np.random.Generator(np.random.PCG64(seed))
    law = drawn(random)
    stress = law.shear_stress(DECADES) * np.exp(0.02 * random.standard_normal(len(DECADES)))
    return law, rk.FlowCurve(shear_rate=DECADES, shear_stress=stress, relative_uncertainty=0.02)


@pytest.mark.parametrize("drawn", DRAWN)
def test_a_noisy_curve_over_four_decades_is_fitted(drawn):
    """Kind: simulated. Each of 50 fits settles, no further from the readings than the truth: 50 of 50 seen."""
    for seed in range(50):
        law, curve = noisy(drawn, seed)
        minimum = rk.fit(type(law), curve).minimum
        truth = np.sum((np.log(curve.shear_stress / law.shear_stress(DECADES)) / 0.02) ** 2)
        assert minimum.converged, law
        assert minimum.chi_square <= truth * (1 + 1e-6), law


@pytest.mark.parametrize("drawn", DRAWN)
def test_limits_hold_the_truth(drawn):
    """Kind: simulated. 95 % limits of each parameter that is identified, and of the stress at three rates: 60 curves a law."""
    held, asked = {}, {}
    for seed in range(60):
        law, curve = noisy(drawn, 1000 + seed)
        found = rk.fit(type(law), curve)
        limits = {name: found.limits(name) for name in law.parameters() if name not in found.not_identified}
        limits |= {rate: found.interval(lambda one, r=rate: one.shear_stress(r))[1:3] for rate in (0.3, 10.0, 500.0)}
        for name, (low, high) in limits.items():
            truth = law.values[name] if isinstance(name, str) else law.shear_stress(name)
            held[name] = held.get(name, 0) + (low <= truth <= high)
            asked[name] = asked.get(name, 0) + 1
    shares = {name: held[name] / asked[name] for name in asked}
    assert min(shares.values()) >= 0.88, shares
    assert min(asked.values()) >= 50, asked
