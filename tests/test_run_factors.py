"""Runs of one record: their factors with limits, and residuals that the printed columns give.

Kind       exact (a residual is made of what stands beside it) and independent (factors that made the readings, counted in their limits).
"""

import warnings

import numpy as np
import pytest

import rheokit as rk
from rheokit.fitting import text

TRUTH = rk.HerschelBulkley(yield_stress=40.0, consistency=12.0, flow_index=0.45)


def fitted(seed, factors, **stated):
    random, rates = np.random.default_rng(seed), np.geomspace(0.1, 500, 12)
    stress = np.outer(factors, TRUTH.shear_stress(rates)) * np.exp(
        0.03 * random.standard_normal((len(factors), len(rates)))
    )
    curve = rk.FlowCurve(
        shear_rate=np.tile(rates, len(factors)), shear_stress=np.ravel(stress), run=np.repeat(np.arange(len(factors)) + 1.0, len(rates)), **stated
    )  # fmt: skip
    with warnings.catch_warnings(action="ignore"):
        return rk.fit(rk.HerschelBulkley, curve)


@pytest.mark.parametrize(
    "stated",
    [{"relative_uncertainty": 0.03}, {"uncertainty": 2.0}, {"uncertainty": 0.5, "relative_uncertainty": 0.03}, {}],
)
def test_a_residual_is_what_read_predicted_and_uncertainty_beside_it_make(stated):
    """Kind: exact. Errors that are shares alone: ln(read/predicted) over the share; others: the difference over the uncertainty."""
    fit = fitted(1, [0.82, 1.0, 1.19], **stated)
    frame = fit.residuals
    if "uncertainty" in stated:
        expected = (frame.reading - frame.predicted) / frame.uncertainty
    else:
        expected = np.log(frame.reading / frame.predicted) / (frame.uncertainty / frame.reading)
    assert frame.residual.to_numpy() == pytest.approx(expected.to_numpy(), rel=1e-6, abs=1e-9)
    assert np.std(frame.residual) < 1.6


def test_the_prediction_of_a_run_holds_its_factor():
    fit = fitted(1, [0.82, 1.0, 1.19], relative_uncertainty=0.03)
    frame, factors = fit.residuals, fit.run_factors
    assert list(factors.run) == [1, 2, 3]
    law = fit.law.shear_stress(fit.tests[0].shear_rate)
    model = fit.nuisance.get("model_factor[flow curve]", 1.0)
    assert frame.predicted.to_numpy() == pytest.approx(law * model * np.repeat(factors.value, 12), rel=1e-6)
    assert factors.value.iloc[2] / factors.value.iloc[0] == pytest.approx(1.19 / 0.82, rel=0.03)


@pytest.mark.slow
def test_limits_of_the_factors_of_runs_hold_what_made_them():
    """Kind: independent. Ratios of a run to the mean of all, which no level of the law enters, and the factor itself: 0.95 of them, or more."""
    held, count = 0, 0
    for seed in range(40):
        truth = np.exp(0.1 * np.random.default_rng(1000 + seed).standard_normal(5))
        rows = fitted(seed, truth, relative_uncertainty=0.03).run_factors
        held += int(np.sum((rows.low < truth) & (truth < rows.high)))
        count += len(truth)
    assert 0.90 <= held / count


def test_a_limit_that_was_not_found_is_not_known():
    """Of a bore that readings push as far as a search goes no limit is found there: it was printed as 0, and as an interval."""
    runs = []
    for diameter, length, factor in ((1e-3, 20e-3, 1.0), (2e-3, 30e-3, 12.0)):
        stress = np.geomspace(100, 1000, 6)
        rate = TRUTH.apparent_shear_rate(stress)
        runs.append(
            rk.PressureRun(
                nozzle=rk.Nozzle(rk.Cylinder(diameter=diameter, length=length)), flow_rate=np.pi * diameter**3 / 32 * rate,
                pressure=4 * stress * length / diameter * factor, read="pressure", relative_uncertainty=0.02, bore_uncertainty=0.003,
            )
        )  # fmt: skip
    with warnings.catch_warnings(action="ignore"):
        fit = rk.fit(rk.HerschelBulkley, *runs)
        open_ones = [
            name for name in fit.problem.nuisances if fit.table.low[name] <= 0 or np.isinf(fit.table.high[name])
        ]
        assert open_ones, "a search has ended at its edge"
        shown = {row[0]: row[3] for row in text.estimates(fit)}
        for name in open_ones:
            assert "not known" in shown[name]
            assert "no limit" not in shown[name]
            assert not shown[name].startswith("0 to")
            assert "limit not known" in text.told_with_limits(fit, name)
