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
from rheokit.fitting.advice import as_good
from rheokit.fitting.ranking import ranked

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
    assert found.words.endswith(
        "; the readings cover 0.1 to 1000 1/s: slower than 0.1 1/s and faster than 1000 1/s the law is extrapolated."
    )
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


def fast_and_a_plate():
    """Read fast alone the paste looks like one without a yield stress, which a plate shows."""
    rates = np.geomspace(50.0, 300.0, 12)
    fast = rk.FlowCurve(
        shear_rate=rates, shear_stress=rk.PowerLaw(consistency=300.0, flow_index=0.4).shear_stress(rates)
    )
    return fast, rk.LoadedPlate(volume=12e-6, force=10.0, radius=[0.03, 0.0301, 0.0297], model_error=0.15)


def test_a_law_that_a_test_of_the_yield_stress_speaks_against_is_not_taken_however_little_it_leaves():
    readings = fast_and_a_plate()
    with warnings.catch_warnings(action="ignore"):
        without, with_yield = (rk.fit(law, *readings) for law in (rk.PowerLaw, rk.HerschelBulkley))
        assert consequence.rms(without) < 0.5 * consequence.rms(with_yield)
        frame = ranked([without, with_yield])
        assert frame.attrs["law"] is not rk.PowerLaw
        assert "Herschel-Bulkley law, which leaves" in frame.attrs["advice"]


def test_a_law_without_a_yield_stress_is_not_searched_where_one_is_shown():
    found = advised(*fast_and_a_plate(), law_classes=[rk.PowerLaw, rk.HerschelBulkley]).table
    assert found.verdict["power law"] == "has no yield stress, which the loaded plate shows"
    assert np.isnan(found.misfit["power law"])
    alone = advised(*fast_and_a_plate(), law_classes=[rk.PowerLaw]).table
    assert np.isfinite(alone.misfit["power law"])


def test_too_many_parameters_are_not_advised():
    """Four readings of a liquid: a power law leaves less of them, and has no claim to them."""
    liquid = rk.FlowCurve(
        shear_rate=[40.0, 80.0, 160.0, 320.0], shear_stress=[41.0, 78.0, 163.0, 310.0], relative_uncertainty=0.08
    )
    found = advised(liquid, law_classes=rk.LAWS.values())
    assert found.law is rk.Newtonian
    assert found.table.verdict["power law"] == found.table.verdict["Cross"] == "too many parameters for 4 readings"


def test_a_law_that_is_as_good_is_called_so():
    found = advised(
        curve(THREE, noise=0.02, count=10), law_classes=[rk.HerschelBulkley, rk.RobertsonStiff, rk.ThreeComponent]
    )
    left = {name: row.rms for name, row in found.table.iterrows()}
    chosen = left.pop(found.law.name)
    best, least = min(left.items(), key=lambda one: one[1])
    words = "as good there" if least <= as_good(chosen) else "where the"
    assert best in found.words
    assert words in found.words


def test_a_better_law_that_few_readings_do_not_tell_apart_is_not_said_to_leave_hardly_less():
    """Six readings of a law of three parameters: a simpler one leaves many times as much, and its AICc is no worse."""
    readings = curve(rk.HerschelBulkley(yield_stress=60.0, consistency=12.0, flow_index=0.45), 0.003, 6)
    few = rk.FlowCurve(shear_rate=readings.shear_rate, shear_stress=readings.shear_stress, relative_uncertainty=0.08)
    found = advised(few, law_classes=[rk.Casson, rk.HerschelBulkley])
    left = found.table.rms
    assert found.law is rk.Casson
    assert left["Casson"] > 3 * left["Herschel-Bulkley"]
    assert "hardly less" not in found.words
    assert re.search(
        r"; the Herschel-Bulkley law, with more parameters, leaves 0\.\d+ %, but so few readings do not tell the two apart \(AICc\)",
        found.words,
    )


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
    assert "; the readings cover 0.1 to 1000 1/s; the rates of use go beyond that: slower than 0.1 1/s" in found.words
    found = advised(curve(FOUR), law_classes=[rk.PowerLaw, rk.Newtonian])
    assert ", with a bend of up to " in found.words and " that matters" in found.words
    assert found.law is None
    assert re.match(
        r"No law is to be taken yet\. Nearest for 0\.1 to 1000 1/s is the power law, which leaves ", found.words
    )
    assert re.search(r"Of its fit [12] of \d+ checks failed: not to be used\.", found.words)
    assert "not to be used" in found.words


def test_too_few_readings_support_no_law():
    found = advised(curve(THREE, count=3))
    assert found.law is None or found.law in (rk.PowerLaw, rk.Bingham)
    one = advised(curve(THREE, count=1), law_classes=[rk.HerschelBulkley])
    assert one.law is None
    assert one.words.startswith("No law is supported")


def test_a_law_that_comes_nearer_and_is_left_open_stops_the_others():
    """A plateau: a yield stress alone, whose viscosity no reading shows; a power law leaves ten times as much."""
    random = np.random.Generator(np.random.PCG64(1))
    rates = np.geomspace(0.1, 1000.0, 20)
    level = rk.FlowCurve(shear_rate=rates, shear_stress=50.0 * np.exp(0.01 * random.standard_normal(20)))
    found = advised(level, law_classes=[rk.PowerLaw, rk.Bingham])
    assert found.law is None
    assert re.match(
        r"No law is supported: the Bingham law comes far nearer than any other, leaving 0\.\d+ % of the stress \(rms\), but the readings do "
        r"not fix all of its parameters \(plastic_viscosity needs ",
        found.words,
    )


@pytest.mark.slow
def test_few_readings_do_not_speak_for_more_parameters():
    more = 0
    for seed in range(20):
        random = np.random.Generator(np.random.PCG64(seed))
        rates = np.geomspace(1.0, 300.0, 8)
        stress = rk.PowerLaw(consistency=100.0, flow_index=0.4).shear_stress(rates) * np.exp(
            0.03 * random.standard_normal(8)
        )
        found = advised(rk.FlowCurve(shear_rate=rates, shear_stress=stress), law_classes=rk.LAWS.values())
        more += found.law is not None and len(found.law.parameters()) > 2
        assert found.law is None or "too many" not in found.table.verdict[found.law.name]
    assert more <= 2  # of 20; by what they leave alone it was every third


def test_rates_of_use_that_nobody_read_support_no_law():
    for use_range in ((2e3, 1e6), (1e-4, 1e-2)):
        found = advised(curve(FOUR), use_range=use_range)
        assert found.law is None
        assert found.words.startswith("No law is supported for ")
        assert found.words.endswith("and none of the rates of use was read. Read at those rates too.")
    assert advised(curve(FOUR), use_range=(100.0, 1e4)).law is not None


def test_the_likeliest_of_all_readings_is_named_where_the_rates_of_use_ask_for_another():
    slight = rk.HerschelBulkleyNewtonian(yield_stress=40.0, consistency=12.0, flow_index=0.4, final_viscosity=0.02)
    found = advised(curve(slight), use_range=(0.3, 10.0))
    assert found.law is rk.HerschelBulkley
    assert (
        "(of all readings together, whatever the rate, the Herschel-Bulkley with Newtonian term law is the likeliest)"
        in found.words
    )


def test_laws_that_are_fixed_and_not_supported_are_told_why():
    """Readings at rates that rise as a power law, and cones that give a yield stress far above them: parameters are fixed, and no law is the paste's."""
    rates = np.geomspace(1.0, 100.0, 12)
    flows = rk.FlowCurve(shear_rate=rates, shear_stress=100.0 * rates**0.5, relative_uncertainty=0.02)
    cone = rk.FallCone(
        mass=0.06, apex_angle=np.pi / 3, penetration=[0.006, 0.0061], relative_uncertainty=0.01, model_error=0.02
    )
    found = rk.which_law(flows, cone, law_classes=[rk.Bingham, rk.HerschelBulkley])
    assert found.law is None
    assert "the readings fix the parameters of none" not in found.words
    assert re.search(r"checks failed: (not to be used|read it before use)", found.words)
