"""Least squares inside a box, free or on the surface where a scalar has a given value.

Gauss-Newton with the box and, for profile limits, a constraint. The constraint enters through its Lagrange multiplier and
never as a stiff residual: a stiff one stalls in the curved valley of a yield stress against a flow index (it covered 63 %
where 95 % were promised).

There is one search, and it is not lmfit's, which knows no constraint. Free, from the starts of 128 fits (the demonstration
benches with every law, synthetic ones, some at a bound: `tests/benchmarks/search.py`), it reached the least sum of squares
128 times. lmfit's `leastsq` missed it 16 times by 0.01 or more and took 9.2 times the processor time, its `least_squares`
missed it twice and took 1.6 times; both with the same Jacobian.
"""

import itertools
from typing import NamedTuple

import numpy as np

from .misfit import Misfit
from .problem import LOG_HIGH, LOG_LOW

LEAST_SQUARES = Misfit()  # every error is taken as known
SHORT = 40  # steps from each start: where the best of them has settled by then no other goes on
LONGEST = 3.0  # scales of a coordinate that a step of a search for a limit goes at most
STILL = 1e-9  # scales of a coordinate: a free search that moves all by less has converged
NO_FALL, TIMES = (
    1e-12,
    3,
)  # share of the sum of squares, and in how many steps on end: where it falls by less nothing but rounding is left
STUCK = 1e-5  # scales, below which the step may be where no step lowers the sum, and the search has converged
SLOW = 0.2  # of the step before: a step no shorter shows that Gauss and Newton leave out too much


class Minimum(NamedTuple):
    """Where a search ended: coordinates, sum of squares, residuals, Jacobian, whether it converged."""

    theta: np.ndarray
    chi_square: float
    residuals: np.ndarray
    jacobian: np.ndarray
    converged: bool


def step_in_box(normal, gradient, theta, box, slope=None, gap=0.0):
    """Return the Gauss-Newton step inside the box and the multiplier of the constraint (0 without one).

    Coordinates on the box whose step would leave it are fixed, one round at a time.
    """
    low, high = box
    count = len(theta)
    whole, right = normal, -gradient
    if slope is not None:
        bordered = np.zeros((count + 1, count + 1))
        bordered[:count, :count], bordered[:count, count], bordered[count, :count] = whole, slope, slope
        whole, right = bordered, np.append(right, gap)
    fixed = np.zeros(count, bool)
    step, multiplier = np.zeros(count), 0.0
    for _ in range(count + 1):
        keep = np.flatnonzero(~fixed)
        step = np.zeros(count)
        if not len(keep):
            break
        asked = keep if slope is None else np.append(keep, count)
        matrix, side = (whole[np.ix_(asked, asked)], right[asked]) if fixed.any() else (whole, right)
        try:
            answer = np.linalg.solve(matrix, side)
        except np.linalg.LinAlgError:
            answer = np.linalg.lstsq(matrix, side, rcond=None)[0]
        step[keep], multiplier = answer[: len(keep)], answer[-1] if slope is not None else 0.0
        leaves = ~fixed & (((theta <= low) & (step < 0)) | ((theta >= high) & (step > 0)))
        if not leaves.any():
            break
        fixed |= leaves
    return step, multiplier


def shortened(step, scales):
    """Return a step no longer than `LONGEST` scales: along a coordinate that readings leave free it would know no size."""
    return step / max(1.0, np.max(np.abs(step) / scales) / LONGEST)


def minimise(problem, theta, scales, scalar=None, target=None, size=1.0, most=60, trust=0.0, misfit=LEAST_SQUARES):
    """Return the least misfit in the box from a start, as `Minimum`, where `scalar` equals `target` if one is given.

    A scalar takes a stack (k, p) and gives (k,); `size` is its natural one, as `scales` (p,) are those of the
    coordinates. At `most` so many steps are made. `trust` is the first damping, a share of the diagonal of the normal
    matrix: 0 for a full Gauss-Newton step.
    """
    box = problem.box
    bound = scalar is not None

    def both(stack):
        residuals = problem.residuals(stack)
        return np.column_stack([residuals, scalar(stack)]) if bound else residuals

    def split(values, slopes):
        if not bound:
            return values, slopes, 0.0, None
        return values[:-1], slopes[:-1], target - values[-1], slopes[-1]

    def lower(values, penalty, merit):
        if not np.isfinite(values).all():
            return False
        r, _, g, _ = split(values, values)
        return 0.5 * misfit.of(r) + penalty * abs(g) <= merit + 1e-13 * (1 + merit)

    theta = np.clip(theta, *box)
    residuals, jacobian, gap, slope = split(*problem.jacobian(both, theta, scales))
    penalty, converged, level = 0.0, False, 0
    bend, before = _Bend(len(theta)), np.inf
    weighted = jacobian.T * misfit.weights(residuals)
    for _ in range(most):
        plain, gradient = weighted @ jacobian, weighted @ residuals
        normal = bend.added(plain)
        floor = 1e-12 * (np.diag(normal).max() + 1e-300)
        accepted = False
        for attempt in range(14):
            damping = trust * np.diag(normal) + floor / scales**2 * scales.min() ** 2
            step, multiplier = step_in_box(normal + np.diag(damping), gradient, theta, box, slope, gap)
            if not np.isfinite(step).all():  # a normal matrix of numbers too far apart
                step, trust = np.zeros(len(theta)), max(trust * 8, 1e-3)
                continue
            step = shortened(step, scales) if bound else step
            penalty = max(penalty, 2 * abs(multiplier))
            merit = 0.5 * misfit.of(residuals) + penalty * abs(gap)
            new = problem.moved(theta, step)
            with np.errstate(over="ignore", invalid="ignore"):  # a trial that overflows is turned down
                # the first is mostly taken: ask all at once
                if not attempt or lower(both(new[None])[0], penalty, merit):
                    values, slopes = problem.jacobian(both, new, scales)
                    accepted = lower(values, penalty, merit) and bool(np.isfinite(slopes).all())
            if accepted:
                r, j, g, s = split(values, slopes)
                break
            trust = max(trust * 8, 1e-3)
        if not accepted:
            converged = bool(np.max(np.abs(step) / scales) < STUCK) and abs(gap) < 1e-6 * size
            break
        moved = np.max(np.abs(new - theta) / scales)
        slower, before = moved > SLOW * before, moved
        weighted = j.T * misfit.weights(r)
        pull = multiplier * (s - slope) if bound else 0.0
        bend.learn(new - theta, weighted @ r - gradient + pull, weighted @ j, slower)
        theta, residuals, jacobian, gap, slope = new, r, j, g, s
        trust = trust / 10 if trust > 1e-9 else 0.0
        fall = merit - 0.5 * misfit.of(residuals) - penalty * abs(gap)
        if bound:
            done = abs(gap) < 1e-6 * size and (moved < 1e-6 or fall <= 1e-5 + 1e-9 * merit)  # limits ask for no more
        else:
            level = level + 1 if abs(fall) <= NO_FALL * (1 + merit) else 0
            done = moved < STILL or level == TIMES  # nothing but rounding is left
        if done:
            converged = True
            break
    return Minimum(theta, float(residuals @ residuals), residuals, jacobian, converged)


class _Bend:
    """What the curvature of the residuals adds to the normal matrix, learnt from the steps that were made.

    The sized secant update of Dennis, Gay and Welsch (ACM Transactions on Mathematical Software 7 (1981) 348, from memory):
    where residuals stay large, Gauss-Newton alone takes a hundred steps for ten. It is asked only where steps do not
    shorten fast, and where the sum is still a normal matrix.
    """

    def __init__(self, count):
        self.matrix, self.asked = np.zeros((count, count)), False

    def added(self, normal):
        """Return the normal matrix with the curvature where that helps."""
        if not self.asked:
            return normal
        whole, size = normal + self.matrix, np.sqrt(np.maximum(np.diag(normal), 1e-300))
        with np.errstate(over="ignore", invalid="ignore"):  # a coordinate that moves no residual may have any curvature
            scaled = whole / np.outer(size, size)
        sound = np.isfinite(scaled).all() and np.linalg.eigvalsh(scaled)[0] > 1e-10
        return whole if sound else normal

    def learn(self, step, change, normal, slower):
        """Take in a step, the change of the gradient along it, and the normal matrix at its end."""
        along = change @ step
        if along > 1e-300:
            rest, known = change - normal @ step, self.matrix @ step
            found, before = abs(step @ rest), abs(step @ known)
            self.matrix = self.matrix * (found / before if found < before else 1.0)
            miss = rest - self.matrix @ step
            self.matrix = (
                self.matrix
                + (np.outer(miss, change) + np.outer(change, miss)) / along
                - (step @ miss) * np.outer(change, change) / along**2
            )
        self.asked = self.asked or slower


def least_squares(problem, starts, cautious=()):
    """Return the best `Minimum` from several starts, each searched on in the box to rounding error.

    `cautious` adds searches that leave each start with short steps, one for each first damping: a start far from the
    answer can throw a full step onto a plateau.
    """
    ends = []
    for start in starts:
        start = np.clip(start, *problem.box)
        scales = problem.scales(start)
        trials = [(start, 0.0)] + [(start, trust) for trust in cautious]
        if cautious:
            with np.errstate(all="ignore"):
                trials.append((_linear_first(problem, start, scales), 0.0))
        ends += [minimise(problem, begin, problem.scales(begin), most=SHORT, trust=trust) for begin, trust in trials]
    if not min(ends, key=lambda end: end.chi_square).converged:  # else what crawls elsewhere is left
        ends = [e if e.converged else minimise(problem, e.theta, problem.scales(e.theta), most=200) for e in ends]
    best = ends[0]
    for end in ends[1:]:
        best = end if end.chi_square < best.chi_square * (1 - 1e-9) else best
    return _revived(problem, best)


def dead(problem, minimum):
    """Return which coordinates are logarithms that have run off to nothing, so that no reading sees them any more, shape (p,)."""
    low, high = problem.box
    return (np.linalg.norm(minimum.jacobian, axis=0) < 1e-6) & (low == LOG_LOW) & (high == LOG_HIGH)


def _revived(problem, best):
    """Try again from where a logarithmic coordinate that has run off to nothing would begin to matter."""
    for place in np.flatnonzero(dead(problem, best)):
        stack = np.tile(best.theta, (121, 1))
        stack[:, place] = np.linspace(LOG_LOW, LOG_HIGH, 121)
        with np.errstate(all="ignore"):
            moved = np.linalg.norm(problem.residuals(stack) - best.residuals, axis=1)
        alive = np.flatnonzero(moved > 1.0)
        if len(alive):
            again = minimise(problem, stack[alive[0]], problem.scales(stack[alive[0]]), most=200)
            if again.chi_square < best.chi_square * (1 - 1e-9):
                best = again
    return best


def _linear_first(problem, start, scales):
    """Return the best start of a scan: coordinates that enter linearly solved for, the others by decades around `start`.

    Factors and offsets of a law of one's own enter linearly; from a bad one of them a search runs onto a plateau.
    """
    residuals, jacobian = problem.jacobian(problem.residuals, start, scales)
    shift = 0.1 * scales
    moved = problem.residuals(start + np.diag(shift))
    bend = np.linalg.norm(moved - residuals - jacobian.T * shift[:, None], axis=1)
    linear = bend < 1e-6 * np.linalg.norm(jacobian * shift, axis=0)
    others = np.flatnonzero(~linear)
    if not linear.any() or len(others) > 3:
        return start
    best, least = start, residuals @ residuals
    for decades in itertools.product(10.0 ** np.arange(-3, 4), repeat=len(others)):
        trial = np.array(start)
        trial[others] *= decades
        residuals, jacobian = problem.jacobian(problem.residuals, np.clip(trial, *problem.box), scales)
        if not (np.isfinite(residuals).all() and np.isfinite(jacobian).all()):
            continue
        trial[linear] -= np.linalg.lstsq(jacobian[:, linear], residuals, rcond=None)[0]
        trial = np.clip(trial, *problem.box)
        sum_of_squares = np.sum(problem.residuals(trial[None]) ** 2)
        if sum_of_squares < least:
            best, least = trial, sum_of_squares
    return best
