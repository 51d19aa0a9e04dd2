"""Flow factor from caught masses, its doubts, and the line that flow lays. The masses are invented."""

import numpy as np
import pytest
from scipy import stats

from rheokit.errors import DataError
from rheokit.machine.calibration import FlowCalibration, planned_line
from rheokit.nomenclature import number
from rheokit.units import g, minute, mm

SET = dict(time=60.0, density=1110.0, flow_rate=23 * mm**3)
GOOD = dict(masses=np.array([1.42, 1.45, 1.43]) * g, started_after=60.0, steady_after=43.0, **SET)


def test_factor_by_hand():
    """1110 x 23e-9 x 60 = 1.5318 g wanted; the mean catch is 1.4333 g: factor 1.0687, flow 21.52 mm3/s."""
    caught = FlowCalibration(**GOOD)
    assert caught.wanted_mass == pytest.approx(1.5318 * g)
    assert caught.factor.value == pytest.approx(1.0687, abs=5e-5)
    assert caught.real_flow_rate == pytest.approx(21.5215 * mm**3, abs=5e-4 * mm**3)
    assert caught.corrected_flow_rate == pytest.approx(23 * 1.06870 * mm**3, rel=1e-5)
    assert caught.trusted


def test_correcting_brings_out_what_was_wanted():
    caught = FlowCalibration(**GOOD)
    assert caught.corrected_flow_rate * caught.real_flow_rate / caught.flow_rate == pytest.approx(caught.flow_rate)


def test_interval_of_repeats_alone_is_the_t_interval():
    """Independent: scipy's t interval of the mean, relative to it, on both sides of the factor in ln."""
    caught = FlowCalibration(**GOOD | dict(relative_uncertainty=0.0))
    interval = stats.ttest_1samp(caught.masses, 0).confidence_interval(0.95)
    half = (interval.high - interval.low) / 2 / caught.masses.mean()
    value, low, high = caught.factor
    assert (low, high) == pytest.approx((value * np.exp(-half), value * np.exp(half)))


def test_common_error_does_not_average_away():
    value, low, high = FlowCalibration(**GOOD | dict(masses=[1.43 * g] * 30)).factor
    assert np.log(high / value) == pytest.approx(1.95996 * 0.01, rel=1e-4)
    assert low * high == pytest.approx(value**2)


@pytest.mark.parametrize(
    ("change", "question", "words"),
    [
        (dict(masses=[1.43 * g]), "catches enough?", "Catch at least 3 times. One catch says nothing of the scatter."),
        (
            dict(masses=np.array([1.30, 1.45, 1.43]) * g),
            "catches alike?",
            "The catches differ by 5.8 % (standard deviation; 3 % is usual): look for air, lumps, or a flow that still "
            "rises.",
        ),
        (
            dict(started_after=20.0),
            "caught in steady flow?",
            "The first catch began after 20 s, but the flow is steady only after 43 s: wait, and catch again.",
        ),
        (
            dict(started_after=None),
            "caught in steady flow?",
            "State started_after: the flow needs time to become steady.",
        ),
        (
            dict(time=10.0),
            "catch long enough?",
            "Catch for at least 30 s: start and stop of a short catch weigh too much.",
        ),
    ],
)
def test_doubts(change, question, words):
    caught = FlowCalibration(**GOOD | change)
    assert question in [check.question for check in caught.checks if not check.passed]
    assert caught.verdict == f"Do not correct the flow by {number(caught.factor.value)} yet. {words}"
    with pytest.raises(DataError) as refused:
        _ = caught.corrected_flow_rate
    assert str(refused.value) == f"FlowCalibration: {caught.verdict} The factor alone is in `factor`."


def test_one_catch_has_no_interval():
    assert np.isnan(FlowCalibration(**GOOD | dict(masses=[1.43 * g])).factor[1:]).all()


def test_what_was_not_stated_is_said():
    caught = FlowCalibration(masses=GOOD["masses"], **SET)
    assert caught.trusted
    assert caught.checks[-1].comment == "Not judged: state steady_after and started_after."


def test_verdict_of_good_catches():
    """By hand: 4.303 x 1.066 %/√3 with 1.96 x 1 %, in quadrature, is 3.29 %."""
    assert FlowCalibration(**GOOD).verdict == "Multiply the flow setting by 1.069 (1.034 to 1.104)."


def test_line_that_comes_out():
    """By hand: 21.52 mm3/s at 15 mm/s and 0.9 mm: 1.435 mm2, 1.787 mm wide, bore of 1.6 mm at 0.714 of the speed."""
    line = FlowCalibration(**GOOD).line(15 * mm, 0.9 * mm, 1.6 * mm)
    assert line == pytest.approx((1.4347 * mm**2, 1.7873 * mm, 0.71358), rel=1e-4)


def test_planned_line():
    """By hand: 1.9 x 0.9 mm at 15 mm/s needs 23.04 mm3/s, 1/1.31 of the speed in a bore of 1.6 mm."""
    flow, ratio = planned_line(np.array([1.9, 1.4]) * mm, np.array([0.9, 0.7]) * mm, 15 * mm, np.array([1.6, 1.2]) * mm)
    assert flow == pytest.approx(np.array([23.043, 13.123]) * mm**3, abs=6e-4 * mm**3)
    assert 1 / ratio == pytest.approx([1.31, 1.29], abs=5e-3)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (dict(masses=[]), "FlowCalibration: no masses; catch the paste for 60 s, three times, and weigh it."),
        (dict(masses=[1e-3, -1e-3]), "FlowCalibration: masses = -0.001 kg cannot be negative."),
        (dict(flow_rate=0.0), "FlowCalibration: flow_rate = 0 m³/s must be above 0 and finite."),
        (dict(level=95.0), "FlowCalibration: level = 95 must be from 0 to 1 (did you mean 95 %? That is 0.95)."),
    ],
)
def test_messages(change, message):
    with pytest.raises(DataError) as caught:
        FlowCalibration(**GOOD | change)
    assert str(caught.value) == message


def test_a_catch_takes_a_minute():
    assert SET["time"] == 1 * minute
