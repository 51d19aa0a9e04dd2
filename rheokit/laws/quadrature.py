"""Tube and taper flow of any law from its shear stress alone, without its inverse.

The unknown is the shear rate at the wall γ̇_w. Integrated by parts, the flow through a tube is an integral of the stress
over the rate, γ̇_a = 4/3 γ̇_w ∫ (1 - (τ(x γ̇_w)/τ_w)³) dx from 0 to 1 (the known relation for the flow, rearranged). With
x = z⁶ the weight 6 z⁵ takes the sting out of τ near rest: 48 Gauss-Legendre nodes in z then give 2e-12 for flow indices
0.02 to 5, with and without a yield stress (the tests hold it to the closed forms).

In a taper γ̇_a goes with R^-3, so that ∫ τ_w d ln R = 1/3 ∫ τ_w d ln γ̇_a: with 32 Gauss-Lobatto nodes in ln γ̇_w, whose ends
alone must be searched for, it is 1e-11 for those indices and radii 24 to 1 (seen), at a fifth of the cost of a search at
every node.

A law that bends sharply at one rate says so (`bend`). For it all three integrals are taken in panels that narrow
towards the bend: 2e-9 for Carreau and Yasuda's law with any sharpness up to 20 (seen), where nodes that know nothing of the
bend miss by 2e-4.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from ..hints import Numbers
from ..roots import increasing_root
from .blocks import BLOCK
from .criterion import UNIAXIAL

if TYPE_CHECKING:
    from .base import FlowLaw

L = TypeVar("L", bound="FlowLaw")


def _gauss(count):
    nodes, weights = np.polynomial.legendre.leggauss(count)
    return (nodes + 1) / 2, weights / 2


def _lobatto(count):
    """Return Gauss-Lobatto nodes on (0, 1) and the matrix M of ∫ f dg = f M g for values of f and g there."""
    legendre = np.polynomial.legendre.Legendre.basis(count - 1)
    inner = legendre.deriv().roots().real
    for _ in range(3):
        inner -= legendre.deriv()(inner) / legendre.deriv(2)(inner)
    nodes = np.concatenate([[-1.0], np.sort(inner), [1.0]])
    ends = legendre(nodes)
    slopes = ends[:, None] / ends / (nodes[:, None] - nodes + np.eye(count)) * (1 - np.eye(count))
    slopes -= np.diag(slopes.sum(1))
    return (nodes + 1) / 2, 2 / (count * (count - 1) * ends[:, None] ** 2) * slopes


NODES, WEIGHTS = _gauss(48)
SHARES, SHARE_WEIGHTS = NODES**6, 6 * NODES**5 * WEIGHTS  # of the wall rate
TAPER_NODES, TAPER_WEIGHTS = _gauss(32)
RATE_NODES, RATE_MATRIX = _lobatto(32)
PANEL_NODES, PANEL_WEIGHTS = _gauss(12)
OFFSETS = np.array([-10.0, -2.5, -0.6, 0.0, 0.6, 2.5, 10.0])  # of ln rate from a bend: edges of panels
TINY = 1e-300
FASTEST = 700.0  # of ln rate: stands for no rate, where a law levels off below the stress that is asked
SIDE = 1e-3  # of ln rate: half the width of a difference quotient
LONGEST = 60.0  # step in ln rate
DECADES = (2.0, 1.0, 1.0, 0.5, 0.5, 0.2, 0.2, 0.1, 0.1)  # by which a guess is moved, one turn after the other


def _parts(size, count):
    """Return slices of `count` nodes, as many at a time as keep an array of `size` elements a node in the cache."""
    step = max(1, BLOCK // max(size, 1))
    return [slice(first, first + step) for first in range(0, count, step)]


def _about_bend(law, low, high, edge_of=lambda y: y):
    """Give nodes and weights of an integral from low to high, with a trailing axis, one panel about the bend after the other.

    `edge_of` takes ln of the rates of edges about the bend to the variable of the integral.
    """
    bend = np.log(np.asarray(law.bend, float))
    edges = [low, *(np.clip(edge_of(bend + offset), low, high) for offset in OFFSETS), high]
    for first, last in itertools.pairwise(edges):
        first, width = np.asarray(first)[..., None], np.asarray(last - first)[..., None]
        yield first + width * PANEL_NODES, width * PANEL_WEIGHTS


def flow_at_rate(law: FlowLaw, wall_rate: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return (32Q/πD³ [1/s], wall stress [Pa]) at a shear rate at the wall [1/s].

    1 - r³ is written (1 - r)(1 + r + r²), with the stress difference taken before the division: it stays above zero, and
    keeps near the plug limit what digits the law's stress has above its yield stress.
    """
    tau_w, lifted = np.asarray(law.shear_stress(wall_rate)), law.lifted()
    wall, rate = tau_w[..., None], wall_rate[..., None]
    scale, total = np.where(wall > 0, wall, 1.0), np.zeros(tau_w.shape)
    if law.bend is not None:
        fastest = np.log(np.maximum(wall_rate, TINY))
        for z, weights in _about_bend(law, 0.0, 1.0, lambda y: np.exp(np.minimum((y - fastest) / 6, 0.0))):
            reach = lifted.shear_stress(rate * z**6) / scale
            total = total + np.sum(weights * 6 * z**5 * (1 - reach) * (1 + reach + reach * reach), -1)
        return 4 / 3 * wall_rate * total, tau_w
    for part in _parts(tau_w.size, len(SHARES)):
        tau = lifted.shear_stress(rate * SHARES[part])
        reach = tau / scale
        total = total + np.sum(SHARE_WEIGHTS[part] * ((wall - tau) / scale) * (1 + reach + reach * reach), -1)
    return 4 / 3 * wall_rate * total, tau_w


def apparent_shear_rate(law: FlowLaw, wall_shear_stress: Numbers) -> np.ndarray:
    """Return 32Q/πD³ [1/s] at a wall shear stress [Pa]: one inverse of the law, and the integral over the rate."""
    return np.asarray(law.flow_at_wall_rate(np.asarray(law.shear_rate(wall_shear_stress), float))[0])


def wall_shear_stress(law: FlowLaw, apparent_rate: Numbers) -> np.ndarray:
    """Return the wall shear stress [Pa] at which 32Q/πD³ takes a value [1/s]: the yield stress where nothing flows."""
    rate, tau_y = np.broadcast_arrays(apparent_rate, np.asarray(law.yield_stress, float))
    flowing = rate > 0
    stress = law.shear_stress(np.exp(_log_wall_rate(law, np.where(flowing, rate, 1.0))))
    return np.where(flowing, np.maximum(stress, tau_y), tau_y)


def _log_wall_rate(law, rate):
    """Return ln γ̇_w [1/s] at which 32Q/πD³ takes a value above zero [1/s].

    Newton's steps, safe inside a bracket whose lower end is exact (γ̇_a is never above 4/3 γ̇_w). The slope follows from
    d(γ̇_a τ_w³)/dτ_w = 4 τ_w² γ̇_w (Rabinowitsch) and one difference quotient of the law at the wall.
    """
    shape = np.broadcast_shapes(np.shape(rate), np.shape(law.shear_stress(np.ones(np.shape(rate)))))
    rate = np.broadcast_to(rate, shape)
    low, high = np.log(0.75 * rate), np.full(shape, np.inf)
    y = low + 0.1
    for _ in range(100):
        wall_rate = np.exp(y)
        flow, tau_w = law.flow_at_wall_rate(wall_rate)
        miss = np.log(np.maximum(flow, TINY) / rate)
        below = miss < 0
        low, high = np.where(below, y, low), np.where(below, high, y)
        up, down = (law.shear_stress(wall_rate * np.exp(side)) for side in (SIDE, -SIDE))
        index = (up - down) / (2 * SIDE * np.where(tau_w > 0, tau_w, 1.0))  # d ln τ_w / d ln γ̇_w
        slope = np.clip((4 * wall_rate / np.maximum(flow, 1e-30 * wall_rate) - 3) * index, 0.3, 10.0)
        step = np.clip(-miss / slope, -LONGEST, LONGEST)
        halfway = np.where(np.isfinite(high), (low + high) / 2, low + LONGEST)
        new = np.where((y + step > low) & (y + step < high), y + step, halfway)
        size = np.abs(step)
        settled = (
            (size < 1e-12) | ((size * index < 1e-16) & (np.abs(miss) < 3)) | (high - low < 1e-14 * (1 + np.abs(y)))
        )
        y = np.where(size < 1e-12, y + step, np.where(settled, y, new))
        if settled.all():
            break
    return y


def shear_rate(law: FlowLaw, shear_stress: Numbers) -> np.ndarray:
    """Return the shear rate [1/s] at which a law reaches a shear stress [Pa], 0 at and below yield."""
    stress, tau_y = np.broadcast_arrays(shear_stress, np.asarray(law.yield_stress, float))
    above = stress > tau_y
    target = np.log(np.where(above, stress - tau_y, 1.0))

    def miss(log_rate):
        with np.errstate(over="ignore"):
            return np.where(
                above,
                np.log(np.maximum(law.shear_stress(np.exp(np.minimum(log_rate, FASTEST))) - tau_y, TINY)) - target,
                0.0,
            )

    found = increasing_root(miss, np.zeros(stress.shape))
    return np.where(above, np.exp(np.minimum(found, FASTEST)), 0.0)


def _along_taper(inlet_radius, outlet_radius):
    """Return ln(R_in/R_out) and the radii of the nodes between, with a trailing axis for the nodes."""
    inlet, outlet = (np.asarray(radius, float)[..., None] for radius in (inlet_radius, outlet_radius))
    log_ratio = np.log1p((inlet - outlet) / outlet)
    return log_ratio, outlet * np.exp(log_ratio * TAPER_NODES)


def cone_stress_integral(law: FlowLaw, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> np.ndarray:
    """Return ∫ τ_w d ln R [Pa] between two radii [m] at a flow rate [m3/s].

    What the stress has in common is taken out, so that only its change along the taper rests on digits of γ̇_a; where these
    are lost in rounding, near the plug limit, that change is too.
    """
    flow, inlet, outlet = np.broadcast_arrays(*(np.asarray(a, float) for a in (flow_rate, inlet_radius, outlet_radius)))
    log_ratio, flowing, lifted = np.log1p((inlet - outlet) / outlet), flow > 0, law.lifted()
    volume = np.where(flowing, flow, 1.0)[..., None]
    ends = _log_wall_rate(lifted, 4 * volume / (np.pi * np.stack([inlet, outlet], -1) ** 3))
    if law.bend is not None:
        whole = 0.0
        for y, weights in _about_bend(law, ends[..., 0], ends[..., 1]):
            rates = np.exp(y)
            apparent, stress = map(np.asarray, lifted.flow_at_wall_rate(rates))
            rise = lifted.local_index(rates) * (stress - lifted.yield_stress)  # d τ_w / d ln γ̇_w
            whole = whole + np.sum(weights * (4 * rates / apparent - 3) * rise, -1) / 3
        return np.where(flowing, whole, law.yield_stress * log_ratio)
    rates = np.exp(ends[..., :1] + (ends[..., 1:] - ends[..., :1]) * RATE_NODES)
    apparent, stress = map(np.asarray, lifted.flow_at_wall_rate(rates))
    logarithm = np.log(np.maximum(apparent, TINY))
    rise = logarithm[..., -1] - logarithm[..., 0]
    sound = np.abs(rise - 3 * log_ratio) < 0.1 * log_ratio
    change = np.sum((stress - stress[..., :1]) * (logarithm @ RATE_MATRIX.T), -1) / np.where(sound, rise, 1.0)
    mean = np.maximum(stress[..., 0] + np.where(sound, change, 0.0), law.yield_stress)
    return log_ratio * np.where(flowing, mean, law.yield_stress)


def stretching_stress(law: FlowLaw, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> np.ndarray:
    """Return 2√3 ∫ [τ(√3·2U/R) - τ_y] d ln R [Pa] between two radii [m] at a flow rate [m3/s]."""
    lifted = law.lifted()
    if law.bend is not None:
        low, high = (
            np.log(np.maximum(UNIAXIAL * 2 * np.asarray(flow_rate, float) / (np.pi * np.power(radius, 3.0)), TINY))
            for radius in (inlet_radius, outlet_radius)
        )
        panels = _about_bend(law, low, high)
        pulled = sum(np.sum(w * (lifted.shear_stress(np.exp(y)) - lifted.yield_stress), -1) for y, w in panels)
        return np.asarray(2 * UNIAXIAL / 3 * pulled)
    log_ratio, radius = _along_taper(inlet_radius, outlet_radius)
    flow = np.asarray(flow_rate, float)[..., None]
    excess = lifted.shear_stress(UNIAXIAL * 2 * flow / (np.pi * radius**3)) - lifted.yield_stress
    return 2 * UNIAXIAL * np.sum(TAPER_WEIGHTS * excess * log_ratio, -1)


def coarse_guess(law_class: type[L], shear_rate: np.ndarray, shear_stress: np.ndarray) -> L:
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
        best: Sequence[float] = min(itertools.islice(itertools.product(*choices), 20000), key=miss)
        for step in DECADES:  # one value at a time, near and on the whole grid
            for place in range(len(names)):
                near = [best[place] * 10.0**step, best[place] / 10.0**step]
                trials: list[Sequence[float]] = [
                    [*best[:place], value, *best[place + 1 :]] for value in (*near, *choices[place])
                ]
                best = min([best, *trials], key=miss)
    return law_class(**dict(zip(names, map(float, best), strict=True)))
