"""Materials: what a fit gives, draws that belong together, and where each number comes from."""

import re
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

import rheokit as rk
from rheokit.appendix.sections import forces
from rheokit.origins import word_of
from rheokit.paste.material import Material
from rheokit.paste.properties import Paste, rows_of

DATA = Path(__file__).parents[1] / "data"
OLIVE = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)


@pytest.fixture(scope="module")
def fitted():
    return rk.fit(rk.HerschelBulkley, rk.read_bench(DATA / "olive-stone-paste"))


@pytest.mark.slow
def softened_by_rest(ratio, error):
    """A fit to a curve and to a vane that reads the static yield stress at a share of the dynamic one."""
    rates = np.geomspace(0.1, 100.0, 12)
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=OLIVE.shear_stress(rates), relative_uncertainty=0.02)
    vane = rk.VanePeak(vane_diameter=0.02, vane_height=0.04, torque=[0.01] * 3, relative_uncertainty=error)
    return rk.fit(rk.HerschelBulkley, curve, replace(vane, torque=vane.predict(OLIVE, {"static_ratio": ratio})))


def predicted(material):
    """What a plan of this paste comes to, by name, and what is lacking of the rest."""
    nozzle = rk.Nozzle(rk.Cylinder(diameter=2e-3, length=0.02))
    rig = rk.Extruder(
        barrel_diameter=0.022,
        fill_length=0.08,
        plunger_friction=5.0,
        break_loose_friction=8.0,
        nozzle=nozzle,
        pressure_rating=5e6,
    )
    job = rk.PrintJob(print_speed=0.01, layer_height=1.5e-3, line_width=2.4e-3, part_height=0.01, wall_width=2.4e-3)
    found, lacking = rk.planning.predicted.predictions(material, rig, job, draws=300)
    return {one.quantity: one for one in found}, lacking


def test_a_ratio_that_fits_below_1_within_its_interval_is_taken_as_1_and_says_so():
    """Rest does not soften a paste, by the definition of the static yield stress; a best value of 0.8 to 1 that may be 1 is 1."""
    fit = softened_by_rest(0.9, 0.15)
    low, high = fit.limits("static_ratio")
    assert low < fit.nuisance["static_ratio"] < 1 < high
    material = Material.of(fit, density=1110.0, modulus=25e3)
    assert material.paste.static_ratio == 1.0
    drawn = np.ravel(material.draws(400, 0).static_ratio)
    assert drawn.min() == 1.0 < drawn.max()
    assert re.match(r"fitted: (.*; )?0\.\d+ \(95 % 0\.\d+ to 1\.\d+\), taken as 1", material.origin("static_ratio"))
    assert material.origin("static_ratio").endswith("taken as 1, for rest does not soften a paste")
    (line,) = [line for line in str(material).splitlines() if "static_ratio" in line]
    assert re.search(r"= 1(\.0+)? \(95 % 1(\.0+)? to 1\.\d+\)", line), line
    found, lacking = predicted(material)
    assert not lacking
    assert found["start force"].value > found["start force"].low
    assert "height that fails" in found
    study = SimpleNamespace(knows=lambda what: True, fit=fit, material=material)
    said = forces._softer(study, SimpleNamespace(paste=material.paste))
    assert said.startswith(": fitted 0."), said
    assert said.endswith("taken as 1, for rest does not soften a paste"), said
    above = softened_by_rest(1.4, 0.05)
    study = SimpleNamespace(knows=lambda what: True, fit=above, material=Material.of(above))
    assert forces._softer(study, SimpleNamespace(paste=study.material.paste)) == ""


def test_a_ratio_wholly_below_1_leaves_the_running_force_told_and_the_rest_not_known():
    """Where no value of the interval can be, readings contradict each other: what rests on them is not known, what does not is."""
    fit = softened_by_rest(0.75, 0.05)
    assert fit.limits("static_ratio")[1] < 1
    material = Material.of(fit, density=1110.0, modulus=25e3)
    found, lacking = predicted(material)
    assert found.keys() == {"force", "line width"}
    assert lacking.keys() == {"start force", "height that fails", "printed"}
    for why in lacking.values():
        assert why.startswith("static over dynamic yield stress = 0.")
        assert why.endswith("cannot be below 1: rest does not soften a paste")
    study = SimpleNamespace(knows=lambda what: True, fit=fit, material=material)
    assert "NOT to be relied on" in forces._softer(study, SimpleNamespace(paste=material.paste))


def test_of_a_fit_takes_what_the_bench_knows(fitted):
    material = Material.of(fitted, modulus=25e3, grain_size=180e-6)
    assert material.paste.law is fitted.law
    assert material.paste.density == pytest.approx(1110, rel=0.01)
    assert material.paste.static_ratio == pytest.approx(fitted.nuisance["static_ratio"])
    assert material.rate_range == fitted.rate_range
    assert material.origin("modulus") == "assumed: origin not given"
    assert material.origin("static_ratio") == "invented: fitted to invented readings"  # as the bench is
    assert material.origin("lean_factor") == "assumed: usual for pastes, common practice"


@pytest.mark.slow
def test_what_comes_of_an_invented_bench_is_invented_and_of_another_is_not(fitted):
    """Whatever rests on invented readings must not look measured; the same bench without the word is fitted and measured."""
    table = Material.of(fitted).table
    named = table.origin[["yield_stress", "consistency", "flow_index", "density", "air_content", "water_content"]]
    assert {word_of(origin) for origin in named} == {"invented"}
    bench = fitted.benches[0]
    plate = bench.where(lambda test: test.kind == "loaded plate").tests
    curve = rk.FlowCurve(shear_rate=[1.0, 5.0, 20.0, 80.0], shear_stress=OLIVE.shear_stress([1.0, 5.0, 20.0, 80.0]))
    own = rk.Bench(replace(bench.specimen, invented=False), [*plate, curve])
    found = Material.of(rk.fit(rk.HerschelBulkley, own)).table.origin
    assert (found["yield_stress"], found["water_content"]) == (
        "fitted",
        "measured: stated of the specimen, taken as exact",
    )
    assert found["batch"] == "assumed: usual for pastes, common practice"


def test_a_static_ratio_that_no_reading_tells_is_assumed_and_not_fitted():
    """A slump that only says "at least" needs the ratio, and tells nothing of it; a fall cone beside a curve does."""
    curve = rk.FlowCurve(
        shear_rate=[1.0, 5.0, 20.0, 80.0],
        shear_stress=OLIVE.shear_stress([1.0, 5.0, 20.0, 80.0]),
        relative_uncertainty=0.03,
    )
    slump = rk.CylinderSlump(height=0.1, diameter=0.1, density=1110, slump=0.0, uncertainty=1e-3, model_error=0.25)
    cone = rk.FallCone(mass=0.06, apex_angle=np.pi / 3, penetration=0.0142, relative_uncertainty=0.03, model_error=0.1)
    for test, told in ((slump, False), (cone, True)):
        fit = rk.fit(rk.HerschelBulkley, curve, test)
        assert fit.tells("static_ratio") is told
        assert Material.of(fit).origin("static_ratio") == (
            "fitted" if told else "assumed: usual for pastes, common practice"
        )
    assert fit.tells("yield_stress"), "what nothing was assumed of"


def test_an_origin_begins_with_one_of_six_words():
    with pytest.raises(rk.DataError) as refusal:
        Material(paste=Paste(law=OLIVE, modulus=25e3), origins={"modulus": "lean test"})
    assert str(refusal.value) == (
        "origin 'lean test': begin with one of measured, fitted, table, stated, assumed, invented, and say more after a colon, as in "
        "'measured: cup of 100 mL'."
    )


@pytest.mark.slow
def test_draws_of_a_fit_belong_together(fitted):
    """The static yield stress was measured: its draws scatter less than dynamic one and ratio taken apart."""
    material = Material.of(fitted, batch_spread=0.0)
    paste = material.draws(2000, 1)
    together = np.std(np.log(paste.static_yield_stress))
    apart = np.hypot(np.std(np.log(paste.yield_stress)), np.std(np.log(paste.static_ratio)))
    assert together < 0.9 * apart
    assert paste.law.yield_stress.shape == (2000, 1, 1)
    low, high = fitted.limits("yield_stress")
    assert np.quantile(paste.yield_stress, 0.025) == pytest.approx(low, rel=0.1)
    assert np.quantile(paste.yield_stress, 0.975) == pytest.approx(high, rel=0.1)


def test_batch_spread_moves_all_stresses_and_the_modulus_together():
    material = Material(
        paste=Paste(law=OLIVE, modulus=25e3), spreads={"modulus": 0.0, "static_ratio": 0.0}, batch_spread=0.15
    )
    paste = material.draws(1000, 2)
    np.testing.assert_allclose(paste.modulus / 25e3, paste.yield_stress / 650.0)
    np.testing.assert_allclose(paste.law.shear_stress(10.0) / OLIVE.shear_stress(10.0), paste.yield_stress / 650.0)
    assert np.std(np.log(paste.modulus)) == pytest.approx(0.15, rel=0.02)


def test_spreads_of_a_law_without_a_fit():
    material = Material(paste=Paste(law=OLIVE), law_spreads={"consistency": 0.10, "flow_index": 0.02}, batch_spread=0.0)
    law = material.draws(1000, 3).law
    assert law.yield_stress == 650.0
    assert np.std(np.log(law.consistency)) == pytest.approx(0.10, rel=0.02)
    assert np.std(law.flow_index) == pytest.approx(0.02, rel=0.02)


def test_water_softens_by_the_local_rule():
    """Kind: exact. ln stress falls by the slope times the water added."""
    paste = Paste(law=OLIVE, modulus=25e3, water_content=1.045, water_slope=3.23)
    softer = paste.at_water(1.15)
    factor = np.exp(-3.23 * (1.15 - 1.045))
    assert softer.yield_stress == pytest.approx(650 * factor)
    assert softer.modulus == pytest.approx(25e3 * factor)
    assert softer.at_water(1.045).yield_stress == pytest.approx(650)
    with pytest.raises(rk.DataError, match="at which water content the readings were made is not known"):
        Paste(law=OLIVE).at_water(1.1)


def test_rows_of_a_paste_are_those_rows():
    paste = Material(paste=Paste(law=OLIVE, modulus=25e3), law_spreads={"consistency": 0.1}).draws(100, 4)
    some = rows_of(paste, slice(10, 13), 100)
    np.testing.assert_array_equal(some.modulus, paste.modulus[10:13])
    np.testing.assert_array_equal(some.law.shear_stress(5.0), paste.law.shear_stress(5.0)[10:13])
    assert some.density is None and some.surface_tension.shape == (3, 1, 1)


def test_table_tells_value_spread_origin_and_what_tests_would_reduce():
    material = Material(paste=Paste(law=OLIVE, modulus=25e3), origins={"modulus": "measured: lean test"})
    table = material.table
    assert table.loc["modulus", "origin"] == "measured: lean test" and table.loc["modulus", "unit"] == "Pa"
    assert table.loc["modulus", "spread"] == 0.35
    assert table.loc["surface_tension", "origin"] == "assumed: usual for pastes, common practice"
    assert table.loc["yield_stress", ["value", "unit"]].tolist() == [650.0, "Pa"]
    assert not table.loc["batch", "reducible"] and table.loc["modulus", "reducible"]


@pytest.mark.parametrize("where", ["spreads", "origins"])
def test_a_property_that_is_none_is_named(where):
    with pytest.raises(rk.DataError, match="colour is no property of a paste"):
        Material(paste=Paste(law=OLIVE), **{where: {"colour": 1.0}})


def test_a_parameter_that_is_none_is_named():
    with pytest.raises(rk.DataError, match="law_spreads names viscosity"):
        Material(paste=Paste(law=OLIVE), law_spreads={"viscosity": 0.1}).draws(10, 0)


def test_stiffer_twice_is_stiffer_once():
    paste = Paste(law=OLIVE)
    twice = paste.stiffer(1.2).stiffer(1.5)
    assert twice.law.law is OLIVE and twice.yield_stress == pytest.approx(650 * 1.8)
    assert replace(paste).yield_stress == 650.0


def three_batches():
    rates = np.geomspace(1, 100, 8)
    curves = [
        rk.FlowCurve(
            shear_rate=rates, shear_stress=f * OLIVE.shear_stress(rates), relative_uncertainty=1e-3, batch=f"B{f}"
        )
        for f in (0.7, 1.0, 1.6)
    ]
    return rk.fit(rk.HerschelBulkley, *curves)


@pytest.mark.slow
def test_the_spread_of_fitted_batches_is_the_materials():
    """Kind: exact. Spread of ln stress of three batches, two differences, and of a usual one of 0.15 that counts as one; Student's t of three (any table: 3.182)."""
    fit = three_batches()
    material = Material.of(fit)
    spread = np.sqrt((0.15**2 + 2 * np.var(np.log([0.7, 1.0, 1.6]), ddof=1)) / 3)
    assert material.batch_spread == pytest.approx(spread, rel=0.01) == fit.table.value["batch_spread"]
    assert material.batch_freedom == pytest.approx(3, rel=1e-3) and fit.batch_spread[1] == 2
    assert material.origin("batch_spread").startswith("fitted"), "two differences against one"
    assert material.sure_spread == pytest.approx(spread * 3.182446 / 1.959964, rel=0.01)
    assert Material.of(fit, batch_spread=0.15).sure_spread == Material.of(fit, batch_spread=0.15).batch_spread == 0.15
    paste = replace(material, law_draws=None).draws(4000, 1)
    factor = np.log(paste.law.shear_stress(10.0) / fit.law.shear_stress(10.0))
    assert np.quantile(factor, [0.025, 0.975]) == pytest.approx([-3.182446 * spread, 3.182446 * spread], rel=0.02)
    low, high = np.quantile(material.draws(4000, 1).law.shear_stress(10.0), [0.025, 0.975])
    found = fit.interval(lambda law: law.shear_stress(10.0), batch="next")
    assert np.log(high / low) == pytest.approx(np.log(found.high / found.low), rel=0.15)


def test_a_hard_limit_keeps_free_what_three_batches_do_not_tell():
    """Kind: exact. The pressure that 97.5 of 100 next batches stay below, from the spread that was fitted."""
    fit = three_batches()
    material = Material.of(fit)
    nozzle = rk.Nozzle(rk.Cylinder(diameter=2e-3, length=20e-3))
    rig = rk.Extruder(barrel_diameter=26.7e-3, fill_length=60e-3, nozzle=nozzle, pressure_rating=1e6)
    job = rk.PrintJob(print_speed=10e-3, layer_height_to_bore=0.6, line_width_to_bore=1.25)
    limit = rk.LIMITS["rated pressure"]
    case = rk.Case.of(material, rig, job)
    assert limit.allowance(case) == pytest.approx(
        1.959964 * np.hypot(limit.model_error, material.sure_spread), rel=1e-9
    )
    assert limit.allowance(case) > 1.7 * limit.allowance(rk.Case.of(Material.of(fit, batch_spread=0.15), rig, job))


def test_what_only_a_gel_is_asked_is_shown_of_a_gel_alone():
    """A table of an olive-stone paste says nothing of setting; one number of a gel brings them all, with their usual spreads."""
    law = rk.Newtonian(viscosity=0.92)
    plain = rk.Material(paste=rk.Paste(law=law, density=1090.0))
    assert "setting_exponent" not in plain.table.index and "thermal_diffusivity" not in plain.table.index
    gel = rk.Material(paste=replace(plain.paste, gel_temperature=304.15, setting_time=6.5))
    shown = gel.table.loc[["gel_temperature", "setting_time", "setting_exponent", "thermal_diffusivity"]]
    assert list(shown.spread) == [0.0033, 0.3, 0.1, 0.07] and set(shown.symbol) == {"T_gel", "t_10", "p", "a"}
    assert "gel_temperature = 31.0 °C (95 % 29.0 to 33.0 °C)" in repr(gel)  # 1.96 * 0.0033 * 304.15 = 1.97
    assert "thermal_diffusivity = 0.140 mm²/s (95 % 0.122 to 0.161 mm²/s)" in repr(gel)  # 0.14 exp(± 1.96 * 0.07)
    drawn = gel.draws(4000, 1)
    assert np.std(drawn.gel_temperature) == pytest.approx(1.0, rel=0.02)  # kelvins
    assert np.std(np.log(drawn.setting_time)) == pytest.approx(0.3, rel=0.02)


def test_a_gel_that_melts_colder_than_it_sets_is_refused():
    with pytest.raises(
        rk.DataError,
        match=r"gel_temperature = [0-9.]+ °C is above melt_temperature = [0-9.]+ °C: a gel melts no colder",
    ):
        rk.Paste(law=rk.Newtonian(viscosity=1.0), gel_temperature=304.15, melt_temperature=300.0)
