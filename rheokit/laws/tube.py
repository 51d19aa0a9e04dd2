r"""Herschel-Bulkley flow in tubes and cones, in closed form.

With :math:`x = \ln(\tau_w/\tau_y - 1)` the flow through a tube of radius R is
:math:`Q/\pi R^3 = (\tau_y/K)^{1/n}\,\Gamma(x)`, and

.. math:: \ln\Gamma = \ln n + (1 + 1/n)\,x - 3\ln(1 + e^x) + \ln P, \qquad P = a e^{2x} + b e^x + c,

.. math:: a = \frac{1}{3n+1}, \quad b = \frac{2}{2n+1}, \quad c = \frac{1}{n+1}.

This is the textbook tube relation (Chhabra and Richardson, Non-Newtonian Flow and Applied Rheology, 2nd ed., ch. 3; from
memory) rearranged so that neither the plug limit (x to minus infinity) nor the viscous limit (x to infinity) cancels
digits. ln Γ is smooth with a slope between 1/n and 1 + 1/n. In a cone the same x carries the integral over the radius,
because Γ goes with R^-3 at a fixed flow. The tests hold both to plain quadrature.
"""

from collections.abc import Callable

import numpy as np

from ..hints import Numbers

VISCOUS = 1e-12  # below this share of the wall stress a yield stress has no digit left: power law
NO_FLOW = 1e-250  # m3/s or 1/s: stands for rest, where logarithms are taken
LARGEST = 40.0  # of x: well above ln(1/VISCOUS), and e^3x cannot overflow


def ln_flow(x: Numbers, n: Numbers) -> tuple[np.ndarray, ...]:
    """Return ln Γ(x) with its first and second slope in x, for a flow index n; x at most `LARGEST`.

    Written with few temporaries, in place: on large arrays that is most of the time.
    """
    a, b, c = 1 / (3 * n + 1), 2 / (2 * n + 1), 1 / (n + 1)
    e = np.exp(x)
    part = e + 1
    np.divide(1, part, out=part)
    polynomial = e * a
    polynomial += b
    polynomial *= e
    polynomial += c
    value = part * part
    value *= part
    value *= polynomial
    value *= n
    np.log(value, out=value)
    value += (1 + 1 / n) * x
    slope_p = e * (2 * a)
    slope_p += b
    curve_p = e * (4 * a)
    curve_p += b
    np.divide(e, polynomial, out=polynomial)
    slope_p *= polynomial
    curve_p *= polynomial
    curve_p -= slope_p * slope_p
    e *= part
    e *= 3  # 3 e^x / (1 + e^x)
    slope_p -= e
    slope_p += 1 + 1 / n
    e *= part
    curve_p -= e
    return value, slope_p, curve_p


def solve(ln_gamma: Numbers, n: Numbers) -> np.ndarray:
    """Return x at which ln Γ(x) takes the given value, to rounding error; at most `LARGEST`.

    The larger of the two asymptotes misses x by at most 0.45 for n up to 1; two of Halley's steps then reach 1e-12, and
    four hold for every index up to 5 (seen).
    """
    shape = np.shape(ln_gamma)
    ln_gamma = np.atleast_1d(ln_gamma)
    x = np.maximum((ln_gamma - np.log(n / (n + 1))) / (1 + 1 / n), n * (ln_gamma - np.log(n / (3 * n + 1))))
    np.minimum(x, LARGEST, out=x)
    for _ in range(2 if np.max(n) <= 1 else 4):
        step, slope, curve = ln_flow(x, n)
        step -= ln_gamma
        step /= slope
        curve *= step
        curve /= slope
        curve *= -0.5
        curve += 1
        step /= curve
        x -= step
    return x.reshape(shape)


def ln_scaled_flow(volume: Numbers, yield_stress: Numbers, consistency: Numbers, n: Numbers) -> np.ndarray:
    """Return ln Γ for a volume measure Q/πR³ (or Q/π, to add -3 ln R later); ±inf at no yield stress and at no flow."""
    with np.errstate(divide="ignore"):
        return np.log(volume) + (np.log(consistency) - np.log(yield_stress)) / n


def is_plastic(ln_gamma: Numbers, n: Numbers) -> np.ndarray:
    """Return where the yield stress still shows beside the viscous stress (the viscous asymptote of x says so)."""
    return n * (ln_gamma - np.log(n / (3 * n + 1))) < -np.log(VISCOUS)


def power_wall_stress(apparent_shear_rate: Numbers, consistency: Numbers, n: Numbers) -> np.ndarray:
    """Return the wall stress of a power law: K ((3n+1)/4n γ̇_a)^n."""
    return consistency * ((3 * n + 1) / (4 * n) * apparent_shear_rate) ** n


def wall_stress(apparent_shear_rate: Numbers, yield_stress: Numbers, consistency: Numbers, n: Numbers) -> np.ndarray:
    """Return the wall stress in a tube; the yield stress itself where nothing flows."""
    rate = np.maximum(apparent_shear_rate, NO_FLOW)
    ln_gamma = ln_scaled_flow(rate / 4, yield_stress, consistency, n)
    plastic = is_plastic(ln_gamma, n)
    if plastic.all():
        stress = yield_stress + yield_stress * np.exp(solve(ln_gamma, n))
    else:
        stress = yield_stress + yield_stress * np.exp(solve(np.where(plastic, ln_gamma, 0.0), n))
        stress = np.where(plastic, stress, power_wall_stress(apparent_shear_rate, consistency, n))
    return np.where(np.greater(apparent_shear_rate, 0), stress, yield_stress)


def flow_from_wall_stress(
    wall_shear_stress: Numbers, yield_stress: Numbers, consistency: Numbers, n: Numbers
) -> np.ndarray:
    """Return 32Q/πD³ for a wall stress: zero at and below yield."""
    a, b, c = 1 / (3 * n + 1), 2 / (2 * n + 1), 1 / (n + 1)
    excess = np.maximum(wall_shear_stress - yield_stress, 0.0)
    scale = np.where(wall_shear_stress > 0, wall_shear_stress, 1.0)
    d, t = excess / scale, np.minimum(yield_stress / scale, 1.0)
    return 4 * n * (excess / consistency) ** (1 / n) * d * (a * d * d + b * t * d + c * t * t)


def power_stretching(
    flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers, consistency: Numbers, n: Numbers
) -> np.ndarray:
    """Return (2/3n) 3^((n+1)/2) K (2U/R)^n (1 - (R_out/R_in)^3n), U and R at the narrow end (Cogswell's form)."""
    flow, inlet, outlet, n = (np.asarray(a, float) for a in (flow_rate, inlet_radius, outlet_radius, n))
    rate = 2 * flow / (np.pi * outlet**3)
    narrowing = -np.expm1(-3 * n * np.log1p((inlet - outlet) / outlet))
    return 2 / (3 * n) * 3 ** ((n + 1) / 2) * consistency * rate**n * narrowing


def power_cone(
    flow_rate: Numbers, inlet_radius: Numbers, log_ratio: Numbers, consistency: Numbers, n: Numbers
) -> np.ndarray:
    """Return ∫ τ_w d ln R of a power law between two radii, the inlet's and that times exp(-log_ratio)."""
    inlet = power_wall_stress(4 * flow_rate / (np.pi * inlet_radius**3), consistency, n)
    return inlet * np.expm1(3 * n * log_ratio) / (3 * n)


def plastic_cone(ln_gamma_inlet: Numbers, ln_gamma_outlet: Numbers, yield_stress: Numbers, n: Numbers) -> np.ndarray:
    """Return ∫ τ_w d ln R between two radii: τ_y/3 [G(x_out) - G(x_in)]."""
    a, b, c = 1 / (3 * n + 1), 2 / (2 * n + 1), 1 / (n + 1)
    root = 2 * n / ((2 * n + 1) * np.sqrt((3 * n + 1) * (n + 1)))  # sqrt(4ac - b²)

    def antiderivative(x):
        e = np.exp(x)
        angle = np.arctan((2 * a / root) * e + b / root)
        angle *= -root / a
        angle += (1 + 1 / n) * x
        angle += e / n
        polynomial = np.log((a * e + b) * e + c)
        polynomial *= 1 - b / (2 * a)
        angle += polynomial
        return angle

    return yield_stress / 3 * (antiderivative(solve(ln_gamma_outlet, n)) - antiderivative(solve(ln_gamma_inlet, n)))


NEAR_CYLINDER = 1e-3  # below this ln(R_in/R_out) the closed form loses digits, and three nodes are exact to rounding
_THREE = np.polynomial.legendre.leggauss(3)


def nearly_cylinder(
    log_ratio: Numbers, outlet_rate: Numbers, wall_stress: Callable[..., np.ndarray], values: tuple[Numbers, ...]
) -> Numbers:
    """Return ∫ τ_w d ln R of a taper that is nearly a cylinder, by three nodes, for 32Q/πD³ [1/s] at its outlet."""
    rates = [outlet_rate * np.exp(-3 * log_ratio * (node + 1) / 2) for node in _THREE[0]]
    return log_ratio * sum(w / 2 * wall_stress(rate, *values) for w, rate in zip(_THREE[1], rates, strict=True))


def cone(
    flow_rate: Numbers,
    inlet_radius: Numbers,
    outlet_radius: Numbers,
    yield_stress: Numbers,
    consistency: Numbers,
    n: Numbers,
) -> np.ndarray:
    """Return ∫ τ_w d ln R between two radii, without a seam at the cylinder, at no yield stress or at no flow."""
    log_ratio = np.log1p((inlet_radius - outlet_radius) / outlet_radius)
    flow = np.maximum(flow_rate, NO_FLOW)
    ln_gamma = ln_scaled_flow(flow / np.pi, yield_stress, consistency, n)
    inlet, outlet = ln_gamma - 3 * np.log(inlet_radius), ln_gamma - 3 * np.log(outlet_radius)
    plastic = is_plastic(outlet, n)
    near = log_ratio < NEAR_CYLINDER
    if plastic.all() and not near.any():
        full = plastic_cone(inlet, outlet, yield_stress, n)
        return np.where(np.greater(flow_rate, 0), full, yield_stress * log_ratio)
    out = power_cone(flow_rate, inlet_radius, log_ratio, consistency, n)
    if plastic.any():
        full = plastic_cone(np.where(plastic, inlet, 0.0), np.where(plastic, outlet, 0.0), yield_stress, n)
        if near.any():
            values, rate = (yield_stress, consistency, n), 4 * flow / (np.pi * outlet_radius**3)
            full = np.where(near, nearly_cylinder(log_ratio, rate, wall_stress, values), full)
        out = np.where(plastic, full, out)
    return np.where(np.greater(flow_rate, 0), out, yield_stress * log_ratio)
