"""Rates as they were read, and where a law that depends on the temperature takes them at its reference: each is told as what it is."""

import numpy as np
import pytest

import rheokit as rk
from rheokit.charts import flow_curve

GAS = 8.314462618  # J/(mol·K), exact by definition of the SI
RATES = np.geomspace(1.5, 380.0, 11)


@pytest.fixture(scope="module")
def fit():
    """Return a fit of a heated power law, read at 44 and 56 °C: 380 1/s at 44 °C are 539 1/s at 50 °C."""
    law = rk.heated(rk.PowerLaw, 323.15)(2.26, 0.84, 49.6e3)
    noise = np.random.default_rng(1).normal(0, 0.02, (2, len(RATES)))
    curves = [
        rk.FlowCurve(
            shear_rate=RATES,
            shear_stress=law.at(temperature=273.15 + celsius).shear_stress(RATES) * np.exp(scatter),
            temperature=273.15 + celsius,
            relative_uncertainty=0.02,
            label=f"{celsius} °C",
        )
        for celsius, scatter in zip((44, 56), noise, strict=True)
    ]
    return rk.fit(rk.heated(rk.PowerLaw, 323.15), *curves)


def test_residuals_have_the_rate_that_was_read_and_that_at_the_reference(fit):
    """Kind: independent. a_T by hand of the energy that was fitted."""
    frame = fit.residuals
    assert frame.shear_rate.to_numpy() == pytest.approx(np.tile(RATES, 2))
    kelvins = np.repeat([317.15, 329.15], len(RATES))
    by_hand = np.exp(fit.law.activation_energy / GAS * (1 / kelvins - 1 / 323.15))
    assert (frame.reference_rate / frame.shear_rate).to_numpy() == pytest.approx(by_hand, rel=1e-9)


def test_what_is_covered_at_the_reference_holds_every_point_of_the_picture(fit):
    low, high = fit.reference_rate_range
    frame = fit.residuals
    assert (low, high) == pytest.approx((frame.reference_rate.min(), frame.reference_rate.max()))
    assert fit.rate_range == pytest.approx((1.5, 380.0)) and fit.rates_move
    assert fit.covers(high, high, at_reference=True)[0] and not fit.covers(high, high)[0]
    assert "as they were read" in fit.covers(high, high, at_reference=True)[1]
    picture = flow_curve(fit, checked=False, band=False).to_dict()
    drawn = [one for rows in picture["datasets"].values() for one in rows]
    dashed = [one["shear_rate"] for one in drawn if one.get("covered") is False]
    points = [one["shear_rate"] for one in drawn if "reading_place" in one or one.get("test")]
    assert points and dashed
    assert not [rate for rate in dashed if min(points) * 1.0001 < rate < max(points) * 0.9999]


def test_a_stress_at_the_reference_is_extrapolated_beyond_what_was_read_there(fit):
    """At 50 °C: 500 1/s lie among the rates read at 44 °C, 600 beyond them; at 56 °C, where they are more, 400 1/s were not read."""
    within, beyond = (fit.interval(lambda law, rate=rate: law.shear_stress(rate)) for rate in (500.0, 300.0))
    assert not within.extrapolated and not beyond.extrapolated
    with pytest.warns(rk.ExtrapolationWarning, match="where the law takes them at 50 °C"):
        assert fit.interval(lambda law: law.shear_stress(600.0)).extrapolated
    with pytest.warns(rk.ExtrapolationWarning, match="the readings cover 1.5 to 380 1/s"):
        assert fit.interval(lambda law: law.at(temperature=329.15).shear_stress(400.0)).extrapolated


def test_stresses_that_were_read_are_told_as_they_were_read(fit):
    read = np.concatenate([test.shear_stress for test in fit.tests])
    assert fit.stress_range == pytest.approx((read.min(), read.max()))
    one = rk.fit(rk.PowerLaw, fit.tests[0])
    assert not one.rates_move and one.covered_at_reference == one.covered_words
