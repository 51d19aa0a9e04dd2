"""Tube and taper flow of any law, from its shear stress alone: the slow, sure way.

The annulus between the yield surface and the wall is integrated over stress with τ = τ_y + (τ_w - τ_y) u³, which takes
the root out of the integrand near yield: 48 Gauss-Legendre nodes then give 1e-13 for flow indices 0.05 to 2 (seen; the
plain rule gives 1e-6). Tapers are integrated over ln R with 32 nodes.
"""

import itertools

import numpy as np

from ..roots import increasing_root


def _gauss(count):
    nodes, weights = np.polynomial.legendre.leggauss(count)
    return (nodes + 1) / 2, weights / 2


NODES, WEIGHTS = _gauss(48)
TAPER_NODES, TAPER_WEIGHTS = _gauss(32)
TINY = 1e-300


def apparent_shear_rate(law, wall_shear_stress):
    """Return 32Q/πD³ = 4/τ_w³ ∫ τ² γ̇(τ) dτ from yield to wall [1/s] at a wall shear stress [Pa]."""
    tau_w, tau_y = np.broadcast_arrays(wall_shear_stress, np.asarray(law.yield_stress, float))
    span = np.maximum(tau_w - tau_y, 0.0)[..., None]
    share = span / np.where(tau_w > 0, tau_w, 1.0)[..., None]  # of the wall stress that lies above yield
    rate = law.lifted().shear_rate(tau_y[..., None] + span * NODES**3)
    reach = 1 - share * (1 - NODES**3)  # stress over wall stress
    return np.sum(4 * WEIGHTS * 3 * NODES**2 * reach**2 * rate, -1) * share[..., 0]


def wall_shear_stress(law, apparent_rate):
    """Return the wall shear stress [Pa] at which 32Q/πD³ takes a value [1/s].

    Newton's steps in ln(τ_w - τ_y), safe inside a bracket. The slope is exact and free, since
    d(γ̇_a τ_w³)/dτ_w = 4 τ_w² γ̇(τ_w) (Rabinowitsch).
    """
    rate, tau_y = np.broadcast_arrays(apparent_rate, np.asarray(law.yield_stress, float))
    flowing = rate > 0
    rate = np.where(flowing, rate, 1.0)
    low = np.log(np.maximum(law.shear_stress(rate / 2) - tau_y, TINY)) - 2.0
    high = low + 4.0
    for grow in 2.0 ** np.arange(12):
        short = apparent_shear_rate(law, tau_y + np.exp(high)) < rate
        if not short.any():
            break
        low, high = np.where(short, high, low), np.where(short, high + 4 * grow, high)
    y = (low + high) / 2
    for _ in range(80):
        tau_w = tau_y + np.exp(y)
        flow = np.maximum(apparent_shear_rate(law, tau_w), TINY)
        below = flow < rate
        low, high = np.where(below, y, low), np.where(below, high, y)
        slope = np.maximum(4 * law.shear_rate(tau_w) / flow - 3, 1e-3) * np.exp(y) / tau_w
        newton = y - np.log(flow / rate) / slope
        new = np.where((newton > low) & (newton < high), newton, (low + high) / 2)
        still = np.abs(new - y) * np.exp(y) > 4e-16 * tau_w
        y = new
        if not still.any():
            break
    return np.where(flowing, tau_y + np.exp(y), tau_y)


def shear_rate(law, shear_stress):
    """Return the shear rate [1/s] at which a law reaches a shear stress [Pa], 0 at and below yield."""
    stress, tau_y = np.broadcast_arrays(shear_stress, np.asarray(law.yield_stress, float))
    above = stress > tau_y
    target = np.log(np.where(above, stress - tau_y, 1.0))

    def miss(log_rate):
        with np.errstate(over="ignore"):
            return np.where(above, np.log(np.maximum(law.shear_stress(np.exp(log_rate)) - tau_y, TINY)) - target, 0.0)

    return np.where(above, np.exp(increasing_root(miss, np.zeros(stress.shape))), 0.0)


def _along_taper(inlet_radius, outlet_radius):
    """Return ln(R_in/R_out) and the radii of the nodes between, with a trailing axis for the nodes."""
    inlet, outlet = (np.asarray(radius, float)[..., None] for radius in (inlet_radius, outlet_radius))
    log_ratio = np.log1p((inlet - outlet) / outlet)
    return log_ratio, outlet * np.exp(log_ratio * TAPER_NODES)


def cone_stress_integral(law, flow_rate, inlet_radius, outlet_radius):
    """Return ∫ τ_w d ln R [Pa] between two radii [m] at a flow rate [m3/s]."""
    log_ratio, radius = _along_taper(inlet_radius, outlet_radius)
    flow = np.asarray(flow_rate, float)[..., None]
    stress = law.lifted().wall_shear_stress(4 * flow / (np.pi * radius**3))
    return np.sum(TAPER_WEIGHTS * stress * log_ratio, -1)


def stretching_stress(law, flow_rate, inlet_radius, outlet_radius):
    """Return 2√3 ∫ [τ(√3·2U/R) - τ_y] d ln R [Pa] between two radii [m] at a flow rate [m3/s]."""
    log_ratio, radius = _along_taper(inlet_radius, outlet_radius)
    flow = np.asarray(flow_rate, float)[..., None]
    lifted = law.lifted()
    excess = lifted.shear_stress(np.sqrt(3) * 2 * flow / (np.pi * radius**3)) - lifted.yield_stress
    return 2 * np.sqrt(3) * np.sum(TAPER_WEIGHTS * excess * log_ratio, -1)


def coarse_guess(law_class, shear_rate, shear_stress):
    """Return the law of a coarse set of parameter values that lies nearest to a curve (rates [1/s], stresses [Pa])."""
    choices = []
    for about in law_class.parameters().values():
        low, high = about.low, about.high
        if np.isfinite(low) and np.isfinite(high):
            choices.append(low + (high - low) * np.array([0.1, 0.5, 0.9]))
        else:
            powers = 10.0 ** np.arange(-6.0, 7.0)
            spread = np.concatenate([powers, -powers]) if low < 0 else powers
            choices.append(spread[(spread >= low) & (spread <= high)])
    in_logarithms = np.all(shear_stress > 0)
    names = list(law_class.parameters())

    def miss(values):
        try:
            stress = law_class(**dict(zip(names, values, strict=True))).shear_stress(shear_rate)
        except ValueError:  # outside a bound
            return np.inf
        apart = np.log(np.maximum(stress, TINY) / shear_stress) if in_logarithms else stress - shear_stress
        total = np.sum(apart**2)
        return total if np.isfinite(total) else np.inf

    with np.errstate(all="ignore"):
        best = min(itertools.islice(itertools.product(*choices), 20000), key=miss)
        for step in (2.0, 1.0, 1.0, 0.5, 0.5, 0.2, 0.2, 0.1, 0.1):  # then one value at a time, near and on the whole grid
            for place in range(len(names)):
                near = [best[place] * 10.0**step, best[place] / 10.0**step]
                trials = [[*best[:place], value, *best[place + 1 :]] for value in (*near, *choices[place])]
                best = min([list(best), *trials], key=miss)
    return law_class(**dict(zip(names, map(float, best), strict=True)))
