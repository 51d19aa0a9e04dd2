"""Which law to take, in one sentence: the one that leaves least where it is used, or a simpler one that is as good there.

Kind       independent (readings invented here from known laws, so the law that ought to be named is known).
Trust      D: no print behind it.
"""

import re
import warnings

import numpy as np
import pytest

import rheokit as rk
from rheokit.fitting import consequence

FOUR = rk.HerschelBulkleyNewtonian(yield_stress=40.0, consistency=12.0, flow_index=0.4, final_viscosity=0.12)
THREE = rk.HerschelBulkley(yield_stress=40.0, consistency=12.0, flow_index=0.4)
LAWS = [rk.Bingham, rk.HerschelBulkley, rk.HerschelBulkleyNewtonian, rk.PowerLaw]


def curve(law, noise=0.005, count=30, high=1000.0, **given):
    random = np.random.Generator(np.random.PCG64(11))
    rates = np.geomspace(0.1, high, count)
    stress = law.shear_stress(rates) * np.exp(noise * random.standard_normal(count))
    return rk.FlowCurve(shear_rate=rates, shear_stress=stress, **given)


def advised(*tests, law_classes=LAWS, **named):
    with warnings.catch_warnings(action="ignore"):
        return rk.which_law(*tests, law_classes=law_classes, **named)


def test_the_law_that_leaves_least_is_named_with_what_the_next_one_leaves():
    found = advised(curve(FOUR))
    assert found.law is rk.HerschelBulkleyNewtonian
    assert re.match(
        r"Take the Herschel-Bulkley with Newtonian term law for 0\.1 to 1000 1/s: it leaves 0\.4\d % of the stress \(rms\), with no bend "
        r"left, where the Herschel-Bulkley law leaves 2\.\d %, with a bend that matters; ",
        found.words,
    )
    assert found.words.endswith("; outside the rates read, 0.1 to 1000 1/s, no law is supported.")
    assert found.table.attrs["advice"] == found.words == repr(found)
    assert found.table.index[0] == "Herschel-Bulkley with Newtonian term"


def test_a_simpler_law_that_is_as_good_at_the_rates_of_use_is_preferred():
    """The Newtonian term shows above 100 1/s alone: below, three parameters do."""
    slight = rk.HerschelBulkleyNewtonian(yield_stress=40.0, consistency=12.0, flow_index=0.4, final_viscosity=0.02)
    readings = curve(slight)
    assert advised(readings).law is rk.HerschelBulkleyNewtonian
    found = advised(readings, use_range=(0.3, 10.0))
    assert found.law is rk.HerschelBulkley
    assert "for 0.3 to 10 1/s" in found.words
    assert "with more parameters, leaves hardly less" in found.words or "where the" in found.words


def test_what_a_law_leaves_is_the_root_mean_square_at_the_rates_of_use():
    """Kind: exact. Of ln readings over predictions, with N/(N - k) for what parameters took up."""
    readings = curve(FOUR)
    with warnings.catch_warnings(action="ignore"):
        fit = rk.fit(rk.HerschelBulkley, readings, use_range=(1.0, 100.0))
    left = np.log(readings.shear_stress / fit.law.shear_stress(readings.shear_rate))
    used = (readings.shear_rate >= 1) & (readings.shear_rate <= 100)
    assert consequence.rms(fit) == pytest.approx(np.sqrt(np.mean(left[used] ** 2) * 30 / 27), rel=1e-5)


def test_a_law_that_is_no_more_than_one_it_holds_says_so():
    thick = curve(rk.HerschelBulkley(yield_stress=40.0, consistency=12.0, flow_index=0.4), noise=0.0)
    bent = np.exp(
        -0.02 * np.log(thick.shear_rate / 10) ** 2 * (thick.shear_rate > 10)
    )  # thins more at the end, not less
    thinner = rk.FlowCurve(shear_rate=thick.shear_rate, shear_stress=thick.shear_stress * bent)
    verdict = advised(thinner).table.verdict
    assert verdict["Herschel-Bulkley with Newtonian term"] == "no more than Herschel-Bulkley: too many parameters"


def test_every_larger_law_comes_as_near_as_one_it_holds():
    table = advised(curve(THREE), law_classes=rk.LAWS.values()).table
    for smaller, larger in (
        ("Herschel-Bulkley", "Herschel-Bulkley with Newtonian term"),
        ("Bingham", "Herschel-Bulkley"),
        ("power law", "Sisko"),
        ("power law", "Robertson-Stiff"),
    ):
        assert table.misfit[larger] <= table.misfit[smaller] + 1e-6


def test_rates_of_use_beyond_those_read_and_checks_that_forbid_are_said():
    found = advised(curve(FOUR), use_range=(1.0, 5000.0))
    assert "the rates of use go beyond those read, 0.1 to 1000 1/s: there no law is supported" in found.words
    found = advised(curve(FOUR), law_classes=[rk.PowerLaw, rk.Newtonian])
    assert ", with a bend of up to " in found.words and " that matters" in found.words
    assert "But 1 of " in found.words or "But 2 of " in found.words
    assert "not to be used" in found.words


def test_too_few_readings_support_no_law():
    found = advised(curve(THREE, count=3))
    assert found.law is None or found.law in (rk.PowerLaw, rk.Bingham)
    one = advised(curve(THREE, count=1), law_classes=[rk.HerschelBulkley])
    assert one.law is None
    assert one.words.startswith("No law is supported")
