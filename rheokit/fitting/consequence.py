"""What a misfit means where the law is used: how large it is, in shares of the stress, against what is known of the stress there.

Whether a pattern is real is asked of its rarity; whether it matters, of its size. Every law leaves a pattern in readings that are good
enough, and a bend of 1 % under a force known to 15 % is no reason to distrust the force. So what is real is a fault only where
it is more than

- the stress is known to at those rates however well it is read: the 95 % limits by what is known of tests and apparatus alone (a flow
  curve has a model error of 5 % if nobody states one, since two fillings differ by as much). A model error moves all readings of a test
  alike and is no excuse for a bend among them: it does not enter whether the bend is real. But whoever uses the stress has
  to allow for it anyhow. The scatter of readings is left out: its size is taken from residuals that hold the bend, and would excuse it,
- and than `SMALL`, which two good readings of one paste differ by.

That is enough where intervals hold what is real (a bend that a law leaves, the branches of one loop), and of what may be but was not seen (a formula
beyond its range). What is real and in no interval (slip, a stray reading, a drift, the branches of several loops) puts intervals off, and is a
fault from `OFF` of that width on, the same for all (see `may_be_off`). Where the limits leave no room even for `SMALL`, what passes says so.

The rates are those of use, or else those read. Outside the rates read a bend goes on to grow, and nothing says how far: there a
real one always matters.
"""

import numpy as np

from ..inputs import trusted
from ..nomenclature import between, written
from ..sampling import SURE
from . import lack_of_fit

SMALL = 0.03  # of the stress, below which nothing is worth a word; common practice, no source
OFF = 0.4  # of the half width of a 95 % interval, by which its middle may be off: it then holds 0.88 too, P(|z + 0.785| < 1.96)
EXACT = 1e-3  # of their error, that readings are given where they are to count as exact
MANY = 25  # rates of use at which the stress is looked at


def rates_of_use(result):
    """Return the rates [1/s] at which a misfit is judged, shape (k,): those of use that were read, or all; rest where none was."""
    if result.rate_range is None:
        return np.zeros(1)
    low, high = result.rate_range
    slowest, fastest = np.clip(result.use_range or (low, high), low, high)
    return np.geomspace(slowest, fastest, MANY)


def goes_beyond(result):
    """Return whether the law is used at rates that were not read, and that no test of the yield stress covers."""
    return result.use_range is not None and not result.covers(*result.use_range)[0]


def _slopes(result, rates):
    """Return how ln stress at rates [1/s] and the residuals move with the coordinates that can, (k, p) and (N, p)."""
    problem, best = result.problem, result.minimum
    scales = problem.scales(best.theta)

    def stresses(stack):
        law = problem.law_class(**{name: np.asarray(v)[..., None] for name, v in problem.law_values(stack).items()})
        found = np.broadcast_to(law.shear_stress(rates), (len(stack), len(rates)))
        return np.log(np.maximum(found, 1e-300))

    with trusted(), np.errstate(all="ignore"):
        _, slopes = problem.jacobian(stresses, best.theta, scales)
    free = [place for place, name in enumerate(problem.names) if not result.is_at_bound(name)]
    return (slopes * scales)[:, free], (best.jacobian * scales)[:, free]


def known(result, rates, scatter=EXACT):
    """Return the share to which the stress is known at rates [1/s], 95 % either way, shape (k,) [-]; linear.

    `scatter` is the size of the error of the readings over the one that they were given.
    """
    slopes, rows = _slopes(result, rates)
    rows[: sum(result.problem.counts)] /= scatter
    return SURE * np.linalg.norm(slopes @ np.linalg.pinv(rows, rcond=1e-12), axis=1)


def moves_without(result, places):
    """Return by how much the stress moves at the rates of use when readings are left out, beside what it may be off by; see `worst`.

    Linear: `places` are those of the readings among the residuals.
    """
    most, rates = may_be_off(result)
    slopes, rows = _slopes(result, rates)
    kept = np.setdiff1d(np.arange(len(rows)), places)
    step = -np.linalg.pinv(rows[kept]) @ result.minimum.residuals[kept]
    return worst(slopes @ step, most)


def allowed(result):
    """Return the share of the stress that a misfit may have at each rate of use [-], and these rates [1/s], both (k,)."""
    rates = rates_of_use(result)
    return np.maximum(known(result, rates), SMALL), rates


def may_be_off(result):
    """Return the share of the stress by which what no interval holds may move it at each rate of use [-], and these rates [1/s], both (k,)."""
    most, rates = allowed(result)
    return np.maximum(OFF * most, SMALL), rates


def moves_to(result, law):
    """Return by how much another law's stress differs at the rates of use, beside what it may be off by; see `worst`."""
    most, rates = may_be_off(result)
    with np.errstate(all="ignore"):
        return worst(np.nan_to_num(np.log(law.shear_stress(rates) / result.law.shear_stress(rates))), most)


def open_by_scatter(result, scatter):
    """Return what errors `scatter` times as large as stated leave open of the stress besides, beside what is allowed; see `worst`."""
    most, rates = allowed(result)
    more = known(result, rates, scatter) ** 2 - known(result, rates, 1.0) ** 2
    return worst(np.sqrt(np.maximum(more, 0.0)), most)


def rms(result):
    """Return how far the readings lie from the law at the rates of use, root mean square as a share of the stress [-].

    What parameters took up is counted in, so that a law of more parameters has no smaller number by that alone. Where too few readings lie
    at those rates, or none has a rate, all of them count.
    """
    shares, weights = lack_of_fit.left(result)
    along, rates = lack_of_fit.logarithms_of_rates(result), rates_of_use(result)
    with np.errstate(divide="ignore", invalid="ignore"):
        used = (along >= np.log(rates[0]) - EXACT) & (along <= np.log(rates[-1]) + EXACT)
    used = (
        used
        if used.sum() > len(result.problem.free)
        else np.concatenate([test.bounds[0] == 0 for test in result.tests])
    )
    total = len(shares)
    followed = total / max(total - len(result.problem.free), 1)
    return float(np.sqrt(followed * np.sum((weights * shares**2)[used]) / max(np.sum(weights[used]), 1e-300)))


def worst(shares, most):
    """Return the share of the stress that is largest beside what is allowed of it, with its sign, and that [-]."""
    place = int(np.argmax(np.abs(shares) / most))
    return float(shares[place]), float(most[place])


def where(result):
    """Return in words the rates at which a misfit is judged."""
    if result.rate_range is None:
        return "at rest"
    rates = rates_of_use(result)
    return f"{'among the rates read' if result.use_range is None else 'at the rates of use'}, {between(rates[0], rates[-1], '1/s')}"


def share(value):
    """Return a share of the stress in words, without its sign."""
    return written(abs(value), "%", 2)


def beside(size, most):
    """Return in words that a share of the stress is small, or large, beside what is allowed."""
    if most > SMALL:
        return f"{'more' if abs(size) >= most else 'less'} than the {share(most)} to which the stress is known there"
    return f"{'not' if abs(size) >= most else ''} less than {share(SMALL)}, which good readings differ by".strip()


def beside_off(result, size, most):
    """Return in words whether what no interval holds leaves intervals about what they say."""
    if most > SMALL:
        return (
            f"{'more' if abs(size) >= most else 'less'} than the {share(most)} by which the stress may be off and its 95 % interval, which does not "
            "hold this, still hold 88 of 100"
        )
    half = float(known(result, rates_of_use(result), 1.0).min())
    more = OFF * half <= abs(size) < most
    room = (
        f", but beside limits of ± {share(half)} where it is known best, which do not hold it: allow for both"
        if more
        else ""
    )
    return beside(size, most) + room
