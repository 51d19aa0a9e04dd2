"""The standard error of the ends of an interval by the number of draws, counted.

Source     binomial: of n draws the share below a quantile p scatters by √(p(1 - p)/n); for a normal distribution the quantile then by that over its
           density (any text on order statistics; from memory).
"""

import numpy as np
import pytest

from rheokit.appendix.answers import told_errors
from rheokit.sampling import error_of_share, errors_of_limits, limits_of


def test_ends_scatter_as_much_as_is_said():
    """Kind: independent. 400 sets of 1000 normal draws: √(0.025 0.975/1000)/φ(1.96) = 0.0845, and so the ends scatter."""
    rng = np.random.default_rng(1)
    sets = rng.standard_normal((400, 1000))
    counted = np.std([limits_of(one) for one in sets], axis=0, ddof=1)
    told = np.mean([errors_of_limits(one) for one in sets], axis=0)
    assert counted == pytest.approx(0.0845, rel=0.1)
    assert told == pytest.approx([0.0845, 0.0845], rel=0.1)


def test_draws_that_are_worth_fewer_converge_less():
    draws = np.random.default_rng(2).lognormal(size=4000)
    alone, of_few = np.array(errors_of_limits(draws)), np.array(errors_of_limits(draws, 500))
    assert of_few / alone == pytest.approx(3.0, rel=0.35)  # √(1 + 4000/500)
    assert alone[1] > alone[0]  # a long tail to one side


@pytest.mark.slow
@pytest.mark.parametrize("size", [300, 1000])
def test_an_answer_in_steps_is_not_said_to_have_converged_where_its_ends_jump(size):
    """Kind: independent. 400 sets of whole numbers a third of their spread apart: what is said is on the safe side, by twice at the most, never nothing."""
    rng = np.random.default_rng(5)
    sets = np.round(3 * rng.standard_normal((400, size)))
    counted = np.std([limits_of(one) for one in sets], axis=0, ddof=1)
    told = np.array([errors_of_limits(one) for one in sets])
    assert np.all(told > 0)
    typical = np.sqrt(np.mean(told**2, axis=0))
    assert np.all(counted < typical * 1.1) and np.all(typical < 2.5 * counted)


def test_an_end_at_a_bound_is_nothing_off_and_one_among_infinite_draws_is_not_known():
    draws = np.maximum(np.random.default_rng(6).standard_normal(1000), 0.1)
    low, high = errors_of_limits(draws)
    assert low == 0 and high == pytest.approx(0.0845, rel=0.5)  # of one set alone
    assert told_errors((low, high), "N").startswith("0 N (all draws there are alike) and 0.1")
    endless = np.append(draws, np.full(60, np.inf))
    assert np.isnan(errors_of_limits(endless)[1])
    assert told_errors(errors_of_limits(endless), "N") == ""


def test_the_error_of_a_share():
    """Kind: exact. 88 of 100 by 1000 draws: √(0.88 0.12/1000) = 0.010276."""
    assert error_of_share(0.88, 1000) == pytest.approx(0.010276, rel=1e-4)
