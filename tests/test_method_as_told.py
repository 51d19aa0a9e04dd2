"""What the appendix says of its method is what the code has: generator, minimiser, tolerance of a linear budget, leaving out."""

from types import SimpleNamespace

import numpy as np
import pytest

from rheokit.appendix.sections import environment, model
from rheokit.fitting import budget_words, search
from rheokit.fitting.draws import GENERATOR
from rheokit.nomenclature import number


def budget(low, high, ends, scale="linear"):
    return SimpleNamespace(
        value=50.0, low=low, high=high, unit="N", expanded_uncertainty=10.0, standard_uncertainty=5.0, budget_limits=ends, scale=scale
    )  # fmt: skip


def test_the_generator_is_that_of_numpy():
    assert GENERATOR is type(np.random.default_rng(3).bit_generator)


def test_the_minimiser_and_when_it_has_converged_are_named():
    said = model._minimiser()
    for text in ("Gauss-Newton", "Levenberg and Marquardt", "fitting/search.py"):
        assert text in said
    for size in (search.STILL, search.NO_FALL, search.STUCK):
        assert number(size) in said


def test_what_stands_without_a_reading_is_not_promised():
    assert "or why that is not known, stands under “Residuals”" in " ".join(model.METHOD)


def test_the_ends_of_a_budget_are_held_against_draws_and_profile_with_a_tolerance():
    """By hand: δ = 10 % of 10 N; the budget 40 to 60 N, draws 40.5 to 60.2 N, the profile 43 to 66 N."""
    said = budget_words.validated(budget(43.0, 66.0, (40.0, 60.0)), 40.5, 60.2)
    assert "a tolerance δ that is rheokit's own, 10 % of the expanded uncertainty, 1 N" in said
    assert "from these draws d_low = 0.5 N and d_high = 0.2 N, within δ" in said
    assert "from the profile d_low = 3 N and d_high = 6 N, not within δ" in said


def test_on_the_scale_of_logarithms_they_are_too():
    ends = 50 / np.exp(0.2), 50 * np.exp(0.2)
    said = budget_words.validated(budget(*ends, ends, "logarithmic"), 50 / np.exp(0.21), 50 * np.exp(0.25))
    assert "d_low = 0.5 N and d_high = 2.5 N, not within δ" in said and "as logarithms times the value" in said


@pytest.mark.parametrize(
    ("uncertainty", "digits", "delta"),
    [
        (4.0, 1, 0.5),
        (4.0, 2, 0.05),
        (0.32, 2, 0.005),
        (0.32, 1, 0.05),
        (97.0, 1, 50.0),
        (9.4, 1, 0.5),
        (1530.0, 2, 50.0),
    ],
)
def test_the_tolerance_of_the_guide_is_half_a_unit_of_the_last_digit(uncertainty, digits, delta):
    """By hand, as JCGM 101:2008, 7.9.2 writes u = c 10^l with δ = 10^l/2 (from memory): 4.0 = 40 10⁻¹, 97 = 1 10² in one digit."""
    assert budget_words.half_a_digit(uncertainty, digits) == pytest.approx(delta)


@pytest.mark.parametrize(
    ("ends", "which"), [((40.04, 60.0), "with both"), ((40.4, 60.0), "with the first"), ((40.6, 60.0), "with neither")]
)
def test_whether_the_tolerance_of_the_guide_is_met_is_said(ends, which):
    """By hand: u = 5 N, so δ = 0.5 N, or 0.05 N where two digits count."""
    said = budget_words.validated(budget(40.0, 60.0, (40.0, 60.0)), *ends)
    assert f"0.5 N where one digit counts, 0.05 N where two do; by these draws the budget is validated {which}." in said


@pytest.mark.parametrize("text", ["probabilistically symmetric, not the shortest", "generator of all random draws"])
def test_how_draws_make_an_interval_is_said(text):
    with open(environment.__file__, encoding="utf-8") as file:
        assert text in file.read()
