"""lmfit for its users: laws as its models, fits as its results, values of the package uncertainties."""

import copy
import pickle
import warnings
from dataclasses import dataclass, replace
from typing import ClassVar

import lmfit
import numpy as np
import pytest

import rheokit as rk
from rheokit.units import mL

TRUTH = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
RATES = np.geomspace(5, 200, 12)
NOISE = np.random.default_rng(5).standard_normal(12)


@dataclass(frozen=True, eq=False)
class Sisko(rk.FlowLaw):
    """A law of one's own: τ = η_∞ γ̇ + K γ̇ⁿ."""

    name: ClassVar[str] = "Sisko"
    final_viscosity: float = rk.parameter("η_∞", "Pa·s", "viscosity at high rates", logarithmic=True)
    consistency: float = rk.parameter("K", "Pa·sⁿ", "stress of the power-law term at 1 1/s", logarithmic=True)
    flow_index: float = rk.parameter("n", "-", "slope of the power-law term", low=0.02, high=1.0)

    def shear_stress(self, shear_rate):
        rate = np.asarray(shear_rate, float)
        return (self.final_viscosity * rate + self.consistency * rate**self.flow_index)[()]


LAWS = {
    "Herschel-Bulkley": TRUTH,
    "Bingham": rk.Bingham(yield_stress=650.0, plastic_viscosity=9.0),
    "Casson": rk.Casson(yield_stress=650.0, plastic_viscosity=9.0),
    "power law": rk.PowerLaw(consistency=210.0, flow_index=0.38),
    "Newtonian": rk.Newtonian(viscosity=9.0),
    "Robertson-Stiff": rk.RobertsonStiff(yield_stress=650.0, consistency=210.0, flow_index=0.5),
    "three-component": rk.ThreeComponent(yield_stress=650.0, critical_rate=20.0, final_viscosity=5.0),
    "Sisko": rk.Sisko(final_viscosity=15.0, consistency=600.0, flow_index=0.2),
    "Cross": rk.Cross(zero_shear_viscosity=900.0, final_viscosity=90.0, time_constant=0.1, flow_index=0.05),
    "one's own": Sisko(final_viscosity=15.0, consistency=600.0, flow_index=0.2),
}


def absolute(law, noise=NOISE):
    """Return a curve with equal absolute errors of unknown size: the problem that lmfit solves."""
    stress = law.shear_stress(RATES)
    return rk.FlowCurve(shear_rate=RATES, shear_stress=stress + 0.02 * np.median(stress) * noise, error="absolute")


def quietly(*given, **named):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return rk.fit(*given, **named)


@pytest.fixture(scope="module")
def bench():
    """Return the fit of a curve and a plate, whose theory has an error of its own."""
    curve = rk.FlowCurve(
        shear_rate=RATES, shear_stress=TRUTH.shear_stress(RATES) * np.exp(0.02 * NOISE), relative_uncertainty=0.02
    )
    plate = rk.LoadedPlate(
        volume=5 * mL, force=9.81, radius=0.02, relative_uncertainty=0.02, model_error=0.15, apparatus="plates"
    )
    return rk.fit(rk.HerschelBulkley, curve, replace(plate, radius=plate.predict(TRUTH)))


@pytest.mark.parametrize("name", LAWS)
def test_the_model_of_a_law_and_its_fit_solve_the_same_problem_alike(name):
    law = LAWS[name]
    curve = absolute(law)
    model = type(law).lmfit_model()
    stress = np.asarray(curve.shear_stress)
    theirs = model.fit(stress, model.guess(stress, shear_rate=RATES), shear_rate=RATES)
    ours = quietly(type(law), curve)
    for key in law.parameters():
        assert theirs.params[key].value == pytest.approx(ours.table.value[key], rel=2e-4)
        assert theirs.params[key].stderr == pytest.approx(ours.table.stderr[key], rel=5e-3)
    report = ours.lmfit()
    assert theirs.redchi == pytest.approx(ours.problem.sizes[0] ** 2 * report.redchi, rel=1e-3)
    assert (report.ndata, report.nvarys, report.nfree) == (theirs.ndata, theirs.nvarys, theirs.nfree)
    assert theirs.aic == pytest.approx(report.aic, abs=1e-2)
    assert theirs.bic == pytest.approx(report.bic, abs=1e-2)


@pytest.mark.parametrize("name", LAWS)
def test_a_model_has_the_bounds_and_units_of_its_law_and_starts_inside_them(name):
    law_class = type(LAWS[name])
    model = law_class.lmfit_model(prefix="a_")
    assert model.independent_vars == ["shear_rate"]
    given = model.guess(RATES, shear_rate=RATES)
    assert list(given) == [f"a_{key}" for key in law_class.parameters()]
    for key, about in law_class.parameters().items():
        one = given[f"a_{key}"]
        assert one.user_data == {"symbol": about.symbol, "unit": about.unit}
        assert (one.min, one.max) == (1e-12 if about.logarithmic else about.low, about.high)
        assert one.min < one.value < one.max
    assert model.guess(RATES, shear_rate=RATES, **{next(iter(given)): 0.5})[next(iter(given))].value == 0.5


class AtRest(rk.HerschelBulkley):
    """A law that guesses itself onto both of its bounds."""

    @classmethod
    def guess(cls, shear_rate, shear_stress):
        return cls(yield_stress=0.0, consistency=200.0, flow_index=5.0)


def test_a_guess_on_a_bound_is_moved_off_it():
    stress = TRUTH.shear_stress(RATES)
    given = AtRest.lmfit_model().guess(stress, shear_rate=RATES)
    assert given["yield_stress"].value == pytest.approx(0.01 * stress.min())
    assert given["flow_index"].value == pytest.approx(4.99)
    assert given["consistency"].value == 200.0


@pytest.mark.parametrize("again", [copy.copy, copy.deepcopy, lambda one: pickle.loads(pickle.dumps(one))])
def test_a_model_and_its_result_are_copied(again):
    stress = TRUTH.shear_stress(RATES)
    model = again(rk.HerschelBulkley.lmfit_model())
    result = again(model.fit(stress, model.guess(stress, shear_rate=RATES), shear_rate=RATES))
    assert result.best_values == pytest.approx(TRUTH.values, rel=1e-6)
    assert model.eval(shear_rate=10.0, **TRUTH.values) == TRUTH.shear_stress(10.0)


def test_the_report_says_what_the_table_says(bench, capsys):
    found = bench.lmfit()
    lmfit.report_fit(found)
    said = capsys.readouterr().out
    for key, row in bench.table.iterrows():
        name = key.replace("[", "_").replace(" ", "_").rstrip("]")
        one = found.params[name]
        assert (one.value, one.stderr) == (row.value, row.stderr)
        assert one.user_data == {"name": key, "symbol": row.symbol, "unit": row.unit}
        assert f"{name}: " in said and lmfit.printfuncs.gformat(row.value).strip() in said
    assert "model_factor_loaded_plate" in found.params
    a, b = "consistency", "flow_index"
    assert found.params[a].correl[b] == pytest.approx(bench.correlations.loc[a, b], rel=1e-12)
    assert f"C({a}, {b})" in said
    assert found.covar == pytest.approx(bench.covariance, rel=1e-12)
    assert (found.chisqr, found.nfree) == (bench.chi_square, bench.degrees_of_freedom)


def test_a_number_made_of_several_has_the_spread_of_the_joint_draws(bench):
    found = bench.lmfit()
    for values in (found.uvars, found.params.create_uvars(found.covar)):
        for rate in (1.0, 20.0, 200.0):
            stress = values["yield_stress"] + values["consistency"] * rate ** values["flow_index"]
            drawn = np.ravel(bench.sample_laws(4000, seed=1).shear_stress(rate))
            assert stress.std_dev == pytest.approx(np.std(drawn), rel=0.1)
            alone = np.hypot(values["yield_stress"].std_dev, values["consistency"].std_dev * rate**bench.law.flow_index)
            assert stress.std_dev < 0.7 * alone, "without the correlation it would be far wider"


def test_a_parameter_at_its_bound_and_one_not_identified_have_no_error():
    liquid = rk.HerschelBulkley(yield_stress=0.0, consistency=210.0, flow_index=0.5)
    at_bound = quietly(rk.HerschelBulkley, absolute(liquid, -(np.linspace(-1, 1, 12) ** 2)))
    assert at_bound.is_at_bound("yield_stress")
    found = at_bound.lmfit()
    one = found.params["yield_stress"]
    assert (one.value, one.stderr, one.vary) == (0.0, None, False)
    assert np.isnan(found.uvars["yield_stress"].std_dev)
    assert found.var_names == ["consistency", "flow_index"] and found.covar.shape == (2, 2)
    slump = rk.Spread(volume=100 * mL, density=1100.0, radius=[0.08, 0.081])
    alone = quietly(rk.HerschelBulkley, slump).lmfit()
    assert np.isnan(alone.params["consistency"].value) and alone.params["consistency"].stderr is None
    assert alone.params["yield_stress"].stderr > 0
    assert "nan (fixed)" in lmfit.fit_report(alone)


def test_what_was_fixed_is_fixed():
    found = quietly(rk.HerschelBulkley, absolute(TRUTH), fixed={"flow_index": 0.38}).lmfit()
    assert (found.params["flow_index"].value, found.params["flow_index"].vary) == (0.38, False)
    assert found.uvars["flow_index"].std_dev == 0.0


def test_a_fit_is_shown_by_lmfit_and_ranks_laws_by_the_readings_and_not_by_a_chi_square_that_it_was_given():
    read = {"shear_rate": [1, 3, 10, 30, 100], "shear_stress": [90, 101, 128, 165, 250.0]}
    unknown, stated = (
        rk.fit(rk.HerschelBulkley, rk.FlowCurve(**read, **known)) for known in ({}, {"relative_uncertainty": 0.05})
    )
    for one in (unknown, stated):
        assert "yield_stress" in one.lmfit()._repr_html_() and "not counted" in lmfit.fit_report(one.lmfit())
    curve = unknown.tests[0]
    ranked = sorted(
        (quietly(law, curve).lmfit().aic, law.name)
        for law in (rk.Newtonian, rk.PowerLaw, rk.Bingham, rk.HerschelBulkley)
    )
    assert [name for _, name in ranked] == list(
        rk.compare([rk.LAWS[name] for _, name in ranked], curve).sort_values("misfit").index
    )
    assert unknown.freedom == 2.0, "a last digit must not switch a check off"


def test_a_guess_leaves_out_what_is_missing_and_refuses_what_is_no_flow_curve():
    model = rk.HerschelBulkley.lmfit_model()
    rates, stresses = np.array([1.0, 3.0, np.nan, 30.0, 100.0]), np.array([300.0, 340.0, 400.0, np.nan, 700.0])
    known = np.isfinite(rates * stresses)
    assert model.guess(stresses, shear_rate=rates) == model.guess(stresses[known], shear_rate=rates[known])
    for data, rate in (([], []), ([-1.0, 2.0], [1.0, 2.0]), ([1.0, 2.0], [0.0, 2.0])):
        with pytest.raises(rk.DataError, match="rates and stresses above 0"):
            model.guess(data, shear_rate=rate)
    for no_curve in (rk.FlowLaw, rk.Shifted):
        with pytest.raises(rk.DataError, match="ask one of"):
            no_curve.lmfit_model()
