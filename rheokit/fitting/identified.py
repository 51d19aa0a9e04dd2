"""What the readings set no limit to, and what rests on it.

A slump tells the yield stress and nothing about flow: any consistency and any flow index belong to it. The search ends at
some pair of them, and a force computed from that pair is no answer. So laws are looked at that the readings cannot tell
from the best one, far along every direction that moves no residual; a quantity that differs between them is not
identified, and one that does not (a yield stress, the height of a stack) is as well known as ever.
"""

import numpy as np

from ..bench import cheap_test
from ..inputs import trusted
from ..sampling import moves
from .estimate import informative

FLAT = 1e-7  # of the greatest singular value: a direction that moves no reading
REACHES = np.array([0.05, 0.3, 1.0, 3.0, 10.0, 30.0])  # natural sizes of a coordinate, either way
ALIKE = 0.02  # of the misfit's rise at the limit, below which readings do not tell two laws apart
FAR = 1e4  # times the value: a limit beyond is none


def directions(result):
    """Return (those that move readings, those that move none) as rows in coordinates over their natural sizes."""
    problem, minimum = result.problem, result.minimum
    scaled = informative(problem, minimum) * problem.scales(minimum.theta)
    _, s, vt = np.linalg.svd(scaled, full_matrices=True)
    s = np.concatenate([s, np.zeros(len(problem.names) - len(s))])
    flat = s <= max(FLAT * s.max(initial=0.0), 1e-9)
    return vt[~flat], vt[flat]


def alike(result):
    """Return coordinates that the readings cannot tell from the best fit, shape (k, p), the best itself first."""
    problem, best = result.problem, result.minimum
    _, flat = directions(result)
    if not len(flat):
        return best.theta[None]
    own = np.eye(len(problem.names))[[problem.names.index(name) for name in sorted(result.unidentified)]]
    steps = np.concatenate([sign * reach * np.concatenate([flat, own]) for reach in REACHES for sign in (-1, 1)])
    stack = np.clip(best.theta + steps * problem.scales(best.theta), *problem.box)
    misfit = result.misfit()
    with np.errstate(all="ignore"):
        rise = misfit.of(problem.residuals(stack)) - best.chi_square
    return np.concatenate([best.theta[None], stack[np.isfinite(rise) & (np.abs(rise) < ALIKE * misfit.rise)]])


def laws_alike(result):
    """Return one law whose fields hold the laws alike, shape (k, 1, 1); None where there is one alone."""
    if len(result.alike) < 2:
        return None
    values = result.problem.law_values(result.alike)
    with trusted():
        return result.problem.law_class(**{name: value[:, None, None] for name, value in values.items()})


def needs(result, name):
    """Return in words the cheap test that would settle a parameter."""
    if name == "yield_stress":
        made = {test.kind for test in result.tests}
        return f"a test of the yield stress: {cheap_test(result.problem.typical_stress, made)}"
    if name in result.problem.law_class.parameters():
        at = "the rates of use"
        if result.use_range is not None:
            at = "{:.3g} to {:.3g} 1/s".format(*result.use_range)
        read = ""
        if result.rate_range is not None:
            slow, fast = result.rate_range
            read = (
                f" (so far {slow:.3g} 1/s alone)" if fast < 1.01 * slow else f" (so far {slow:.3g} to {fast:.3g} 1/s)"
            )
        return f"readings at several rates{read}: a syringe run or a flow curve at {at}"
    return result.problem.nuisances[name].cure


def not_identified(result):
    """Return the parameters to which the readings set no limit, each with what it needs."""
    problem = result.problem
    law, theta = problem.law_class.parameters(), alike(result)
    with np.errstate(all="ignore"):
        values = problem.law_values(theta) | problem.nuisance_values(theta)
    found = {}
    for name in [*problem.free, *problem.nuisances]:
        about = law.get(name) or problem.nuisances[name]
        if np.isfinite(about.spread):
            continue
        ends = (0.0, np.inf) if about.logarithmic else (about.low, about.high)
        if name in result.unidentified or moves(values[name]) or tuple(result.limits(name)) == ends:
            found[name] = needs(result, name)
    return found


def words(result):
    """Return what to say of a quantity that rests on what is not identified."""
    law = result.problem.law_class.parameters()
    open_ones = result.not_identified
    names = [name for name in open_ones if name in law] or list(open_ones)
    needed = "; and ".join(dict.fromkeys(open_ones[name] for name in names))
    return f"not identified: needs {needed or 'more readings, or closer ones: these set it no limit'}"
