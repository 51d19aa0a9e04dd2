"""Shrinkage and scale of the demonstration parts, their intervals, and what is refused."""

import numpy as np
import pytest
from scipy import stats

from rheokit.errors import DataError
from rheokit.part.shrinkage import (
    Shrinkage,
    critical_water_content,
    linear_shrinkage,
    measured_shrinkage,
    scale_factor,
    shrinkage_limit,
    volume_shrinkage,
)
from rheokit.units import mm


def test_lid_and_jar():
    """By hand: scales 1.087, 1.124 and 1.070; at equal sizes of the model 60 mm would differ by 0.9 mm."""
    shrinkages = np.array([0.08, 0.11, 0.065])
    assert scale_factor(shrinkages) == pytest.approx([1.0870, 1.1236, 1.0695], abs=5e-5)
    assert (60 * mm * (1 - shrinkages))[[2, 0]] @ [1, -1] == pytest.approx(0.9 * mm)
    assert (1 - shrinkages) * scale_factor(shrinkages) == pytest.approx(np.ones(3))


def test_volume_to_length():
    """By hand: 0.48 to 0.587 is 18.2 % of the volume, 6.5 % of the length."""
    shrunk = volume_shrinkage(0.48, 0.587)
    assert shrunk.value == pytest.approx(0.1823, abs=5e-5)
    assert shrunk.linear.value == pytest.approx(0.0649, abs=5e-5)
    assert shrunk.linear.scale.value == pytest.approx(1.0694, abs=5e-5)
    assert (1 - linear_shrinkage(0.3)) ** 3 == pytest.approx(0.7)


def test_interval_from_spreads_against_draws():
    """Independent: 200 000 lognormal draws of the ratio, carried through length and scale."""
    found = volume_shrinkage(0.397, 0.53, relative_uncertainty=0.03).linear.scale
    ratio = 0.397 / 0.53 * np.exp(0.03 * stats.norm.ppf((np.arange(200_000) + 0.5) / 200_000))
    low, high = np.quantile(1 / np.cbrt(ratio), [0.025, 0.975])
    assert (found.low, found.high) == (pytest.approx(low, rel=1e-4), pytest.approx(high, rel=1e-4))
    assert found.low < found.value < found.high


def test_interval_of_measured_marks():
    """Independent: scipy's t interval of the same five shrinkages."""
    wet = np.array([60.0, 59.8, 60.1, 60.0, 40.0]) * mm
    dry = wet * (1 - np.array([0.078, 0.083, 0.081, 0.079, 0.080]))
    found = measured_shrinkage(wet, dry)
    expected = stats.ttest_1samp(1 - dry / wet, 0).confidence_interval(0.95)
    assert found == (pytest.approx(0.0802), pytest.approx(expected.low), pytest.approx(expected.high))
    assert found.scale.value == pytest.approx(1 / (1 - 0.0802))


def test_no_spread_no_width():
    assert volume_shrinkage(0.4, 0.5) == Shrinkage(pytest.approx(0.2), pytest.approx(0.2), pytest.approx(0.2))


def test_critical_water_contents():
    """By hand: 0.27 of the soft body (0.587 dry, 2620); 0.65 of olive-stone paste without its air, 0.58 with."""
    assert critical_water_content(0.48 / 0.935**3, 2620.0) == pytest.approx(0.268, abs=5e-4)
    assert critical_water_content(0.53, 1367.0) == pytest.approx(0.647, abs=5e-4)
    with_air = critical_water_content(0.53, 1367.0, air_content=0.034, wet_solid_fraction=0.397)
    assert with_air == pytest.approx(0.585, abs=5e-4)


def test_pores_of_the_critical_part_hold_the_water_and_the_air():
    """Exact: solids, water and air of the part at u_cr fill its volume."""
    water = critical_water_content(0.53, 1367.0, air_content=0.034, wet_solid_fraction=0.397)
    assert 1 / 1367 + water / 998 + 0.034 / 0.397 / 1367 == pytest.approx(1 / 1367 / 0.53)


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (
            lambda: volume_shrinkage(0.6, 0.5),
            "volume_shrinkage: wet_solid_fraction = 0.6 is above the dry part's: it would swell.",
        ),
        (lambda: scale_factor(8.0), "scale_factor: shrinkage = 8 cannot be above 1 (did you mean 8 %? That is 0.08)."),
        (lambda: linear_shrinkage(1.0), "linear_shrinkage: volume_shrinkage = 1 must be below 1; give 8 % as 0.08."),
        (
            lambda: measured_shrinkage([0.06], [0.055]),
            "measured_shrinkage: shrinkage = 0.0833333 has no interval from one pair of marks; measure at least two.",
        ),
        (
            lambda: critical_water_content(0.95, 1367.0, air_content=0.1, wet_solid_fraction=0.4),
            "critical_water_content: air_content = 0.1 is more than all the pores of the dry part.",
        ),
        (lambda: shrinkage_limit(44.0, 0.0, 1.0, 1.0), "shrinkage_limit: dry_mass = 0 kg must be above 0 and finite."),
    ],
)
def test_messages(act, message):
    with pytest.raises(DataError) as caught:
        act()
    assert str(caught.value) == message
