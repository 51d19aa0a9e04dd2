"""A printed matrix of correlations can be computed with: it is positive definite, and gives variances as the fit has them.

Source     Higham, Computing the nearest correlation matrix, IMA Journal of Numerical Analysis 22 (2002) 329: rounding makes matrices indefinite
           (from memory); the numbers by numpy's eigenvalues.
"""

import numpy as np
import pytest

from rheokit.fitting.correlations import WITHIN, decimals_of
from rheokit.framed import framed


def test_a_matrix_that_two_decimals_make_indefinite_is_given_more():
    close = np.array([[1.0, 0.944, 0.9987], [0.944, 1.0, 0.958], [0.9987, 0.958, 1.0]])
    assert np.linalg.eigvalsh(close)[0] > 0
    assert np.linalg.eigvalsh(np.round(close, 2))[0] < 0
    decimals, enough = decimals_of(framed(close))
    assert enough
    assert decimals > 2
    printed = np.round(close, decimals)
    assert np.linalg.eigvalsh(printed)[0] > 0
    rng = np.random.default_rng(0)
    for v in rng.normal(size=(1000, 3)):
        assert v @ printed @ v == pytest.approx(v @ close @ v, rel=WITHIN)


def test_two_decimals_are_kept_where_they_do_and_what_is_open_is_left_out():
    assert decimals_of(framed(np.array([[1.0, -0.317], [-0.317, 1.0]]))) == (2, True)
    assert decimals_of(framed(np.array([[1.0, np.nan], [np.nan, np.nan]]))) == (2, True)
    assert decimals_of(framed(np.full((2, 2), np.nan))) == (2, True)


def test_that_no_decimals_are_enough_is_said():
    assert decimals_of(framed(np.ones((2, 2)))) == (8, False)
