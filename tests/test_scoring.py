"""Scores against printed examples and a general library; intervals and bands hold what they say, by counting."""

import numpy as np
import pytest
from scipy.stats import binomtest

from rheokit.errors import DataError
from rheokit.scoring import brier, count_limits, ratio, reliability, share

PRINTED = (  # Newcombe, Statistics in Medicine 17 (1998) 857, table I, method 5 (exact): four digits, from memory
    (81, 263, 0.2527, 0.3676),
    (15, 148, 0.0578, 0.1617),
    (0, 20, 0.0000, 0.1684),
    (1, 29, 0.0009, 0.1776),
)


@pytest.mark.parametrize(("held", "of", "low", "high"), PRINTED)
def test_share_against_the_printed_limits(held, of, low, high):
    assert share(held, of)[3:] == pytest.approx((low, high), abs=5e-5)


def test_share_against_the_printed_example_of_a_package():
    """`exactci(4, 20, 0.95)` of an R package, whose page prints 0.057334, 0.436614 (as read)."""
    assert share(4, 20)[3:] == pytest.approx((0.057334, 0.436614), abs=5e-7)


@pytest.mark.parametrize(("held", "of"), [(0, 1), (1, 1), (3, 7), (199, 200), (57, 60)])
def test_share_against_a_general_library(held, of):
    found = binomtest(held, of).proportion_ci(0.9, "exact")
    assert share(held, of, 0.9)[3:] == pytest.approx((found.low, found.high), rel=1e-9, abs=1e-12)


def test_share_of_nothing_is_open():
    found = share(0, 0)
    assert np.isnan(found.value) and (found.low, found.high) == (0.0, 1.0)
    with pytest.raises(DataError, match="share: 5 of 4 trials cannot have held; count again"):
        share(5, 4)


def test_brier_against_its_own_paper():
    """Brier, Monthly Weather Review 78 (1950) 1, table 1: ten forecasts of rain, P = 0.19 (from memory); his sum has both classes."""
    rain = [0.7, 0.9, 0.8, 0.4, 0.2, 0.0, 0.0, 0.0, 0.0, 0.1]
    assert 2 * brier(rain, [0, 1, 1, 1, 0, 0, 0, 0, 0, 0]) == pytest.approx(0.19, abs=1e-12)


def test_brier_against_the_example_of_a_general_library():
    """scikit-learn's page of `brier_score_loss`: 0.037 for these (from memory)."""
    assert brier([0.1, 0.9, 0.8, 0.3], [0, 1, 1, 0]) == pytest.approx(0.0375, abs=1e-12)


@pytest.mark.parametrize("chance", [0.0, 0.03, 0.4, 0.95, 1.0])
def test_count_of_equal_chances_is_binomial(chance):
    from scipy.stats import binom

    low, high = count_limits([chance] * 23)
    assert (low, high) == (binom.ppf(0.025, 23, chance) if chance else 0, binom.ppf(0.975, 23, chance) if chance else 0)


def test_count_of_unlike_chances_by_hand():
    """Of 0.5 and 0.1: none 0.45, one 0.5, both 0.05."""
    assert count_limits([0.5, 0.1], 0.89) == (0, 1)  # 0.05 beyond 1 is less than 0.055
    assert count_limits([0.5, 0.1], 0.91) == (0, 2)


def test_count_of_unlike_chances_by_drawing():
    chances = np.linspace(0.02, 0.97, 31)
    drawn = (np.random.default_rng(3).random((40000, 31)) < chances).sum(axis=1)
    assert count_limits(chances) == tuple(np.quantile(drawn, (0.025, 0.975)))


def calibrated(generator, count, shift=0.0):
    """Return probabilities and what came out, true to them but for a shift of their log-odds."""
    chances = generator.beta(1.5, 0.8, count)
    odds = np.log(chances / (1 - chances)) + shift
    return chances, generator.random(count) < 1 / (1 + np.exp(-odds))


@pytest.mark.parametrize("count", [5, 20, 200])
def test_right_probabilities_lie_in_their_band(count):
    """In 95 of 100 or more of 200 records: of 2000 it was 99.9, 98.7 and 96.7 (counted once); 9 of 10 is what is asked."""
    generator = np.random.default_rng(7)
    found = [reliability(*calibrated(generator, count)) for _ in range(200)]
    assert np.mean([one.is_inside for one in found]) > 0.95
    assert np.mean([one.low <= one.brier <= one.high for one in found]) > 0.91


def test_wrong_probabilities_leave_the_band():
    generator = np.random.default_rng(8)
    found = [reliability(*calibrated(generator, 200, shift=-1.0)) for _ in range(60)]
    assert np.mean([one.is_inside for one in found]) < 0.2
    assert all(one.whole.observed < one.whole.predicted for one in found)


def test_bins_hold_equal_counts_and_equal_chances_stay_together():
    chances = np.r_[np.full(60, 0.3), np.linspace(0.5, 0.9, 40)]
    found = reliability(chances, np.arange(100) % 2)
    assert sum(one.of for one in found.bins) == 100
    assert found.bins[0].of == 60 and {one.of for one in found.bins[1:]} == {20}
    assert found.whole.came == sum(one.came for one in found.bins) == 50


def test_few_outcomes_have_no_bins_and_are_thin():
    found = reliability([0.4, 0.5, 0.6, 0.9], [0, 1, 1, 1])
    assert found.bins == () and found.is_thin and found.whole.of == 4
    assert not reliability(np.full(20, 0.5), np.arange(20) % 2).is_thin


@pytest.mark.parametrize(
    ("chances", "came", "told"),
    [
        ([0.5], [0, 1], "as many probabilities as outcomes"),
        ([], [], "one at least"),
        ([80.0], [1], "between 0 and 1; give 80 % as 0.8"),
        ([0.8], [0.5], "true or false"),
        ([float("nan")], [1], "between 0 and 1"),
    ],
)
def test_what_is_no_probability_is_refused(chances, came, told):
    with pytest.raises(DataError, match=told):
        reliability(chances, came)


def outcomes_of(generator, batches, each, factor, spread=0.15, error=0.1):
    """Return the arguments of a ratio: batches err together, and each outcome besides."""
    named = np.repeat(np.arange(batches), each)
    off = spread * generator.standard_normal(batches)[named] * (batches > 1) + error * generator.standard_normal(
        named.size
    )
    ones = np.full(named.size, 50.0)
    return ones, factor * ones * np.exp(off), 0.7 * ones, 1.5 * ones, [str(one) for one in named]


@pytest.mark.parametrize(("batches", "each", "power"), [(1, 8, 0.99), (4, 2, 0.5), (8, 1, 0.88)])
def test_a_factor_of_1_3_is_named_and_none_is_not(batches, each, power):
    """Counted in 4000 records each: named in 100, 59 and 94 of 100 where there is one, in 5 of 100 where there is none."""
    generator = np.random.default_rng(11)
    named = [
        np.mean([ratio(*outcomes_of(generator, batches, each, factor)).is_systematic for _ in range(400)])
        for factor in (1.3, 1.0)
    ]
    assert named[0] > power
    assert named[1] < 0.085


def test_ratio_by_hand():
    """Ratios 1.2 and 1.3 and 1.5: ln 0.18232, 0.26236, 0.40547; mean 0.28338, sd 0.11305; t of 2 is 4.3027."""
    found = ratio([10, 20, 30], [12, 26, 45], [8, 16, 20], [15, 30, 40], ["a", "b", "c"])
    half = 4.302653 * 0.1130466 / np.sqrt(3)
    assert found[:3] == pytest.approx((np.exp(0.2833839), np.exp(0.2833839 - half), np.exp(0.2833839 + half)), rel=1e-5)
    assert (found.of, found.batches, found.of_batches) == (3, 3, True)
    assert found.open == pytest.approx(1.5)  # of 1.5, 1.5, 1.5
    assert found.was_open and found.is_systematic and found.is_offered


def test_one_batch_says_nothing_of_others():
    found = ratio([10] * 6, [13, 13.1, 12.9, 13, 13.2, 12.8], [9] * 6, [11] * 6, ["a"] * 6)
    assert found.is_systematic and not found.is_offered and not found.was_open


def test_two_batches_are_too_few():
    """Two means tell no factor on the model; three outcomes of one of the two tell of that batch alone, two do not."""
    found = ratio([10] * 6, [13] * 6, [9] * 6, [11] * 6, list("aaabbb"))
    assert (found.low, found.high, found.of) == (1.3, 1.3, 3) and not found.of_batches and not found.is_offered
    found = ratio([10] * 4, [13] * 4, [9] * 4, [11] * 4, list("aabb"))
    assert (found.low, found.high) == (0.0, np.inf) and not found.is_systematic


def test_what_is_not_above_0_has_no_ratio():
    with pytest.raises(DataError, match="must be above 0"):
        ratio([10], [0], [9], [11])
    with pytest.raises(DataError, match="as many observations"):
        ratio([10, 11], [9], [9], [11])
