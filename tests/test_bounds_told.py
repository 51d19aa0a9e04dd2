"""Readings that are bounds: which, why, of which yield stress; and repeats that contradict a bound.

Kind       exact: a tenth of a height of 80 mm is 8 mm, its four fifths 64 mm; no number from outside.
"""

from types import SimpleNamespace

import numpy as np
import pytest

import rheokit as rk
from rheokit.appendix.sections import model, readings
from rheokit.bench.bounds_told import beyond_bounds, bounds_told
from rheokit.fitting.checks import windows


def slump(read, censored=None):
    return rk.CylinderSlump(height=0.08, diameter=0.08, density=1150.0, slump=read, censored=censored)


CONTRADICTING = slump([6.5e-3, 9e-3, 1e-3, 0.07], [0, 0, -1, 0])


def test_each_bound_says_what_it_counts_as_why_and_of_which_yield_stress():
    assert bounds_told(CONTRADICTING) == [
        (0, "at most 6.5 mm, below 8 mm, the least that this test tells as a number; of the static yield stress"),
        (2, "at most 1 mm, as typed; of the static yield stress"),
        (3, "at least 64 mm, above 64 mm, the most that this test tells as a number"),
    ]
    assert bounds_told(slump([0.02, 0.03])) == []


def test_repeats_far_beyond_a_bound_are_told():
    assert beyond_bounds(CONTRADICTING) == (
        "Cylinder slump: row 2 reads 9 mm where row 3 says at most 1 mm: repeats of one paste should lie nearer together, so look for the reason"
    )
    assert beyond_bounds(slump([6.5e-3, 9e-3])) == "", "less than twice"
    assert beyond_bounds(slump([1e-3, 1e-3], [-1, -1])) == ""
    above = beyond_bounds(slump([0.07, 0.03]))
    assert "row 2 reads 30 mm where row 1 says at least 64 mm" in above
    curve = rk.FlowCurve(shear_rate=[1.0, 9.0], shear_stress=[10.0, 90.0], censored=[-1, 0])
    assert beyond_bounds(curve) == "", "at another rate"


def test_the_check_the_raw_readings_and_the_model_tell_them():
    (row,) = windows(SimpleNamespace(tests=[CONTRADICTING]))
    assert row.value == 3 and row.passed
    assert "row 1 (6.5 mm) counts as at most 6.5 mm, below 8 mm, the least" in row.comment
    assert row.comment.endswith("so look for the reason.")
    note = readings._bounds(CONTRADICTING)
    holds = "The formula of this test holds for readings from 8 mm to 64 mm; one beyond counts as a bound."
    assert note.startswith(f"{holds} Bounds, and no numbers: row 1: at most 6.5 mm, below 8 mm")
    assert "row 3: at most 1 mm, as typed" in note and note.endswith("so look for the reason.")
    assert readings._bounds(slump(np.full(23, 1e-3) + np.arange(23) * 1e-6)).endswith("; and 3 more.")
    assert readings._bounds(slump([0.02])) == holds
    curve = rk.FlowCurve(shear_rate=[1.0, 9.0], shear_stress=[10.0, 90.0])
    assert readings._bounds(curve).startswith("No window is set"), "any stress is a number"
    assert model._state(CONTRADICTING) == "dynamic; rows 1, 3: static"
    assert model._state(slump([0.02])) == "dynamic"


@pytest.mark.parametrize("share", [0.0, 0.5])
def test_a_property_has_no_window(share):
    cup = rk.CupDensity(cup_volume=1e-4, mass=[0.11 + share / 100, 0.112])
    assert readings._bounds(cup) == ""
