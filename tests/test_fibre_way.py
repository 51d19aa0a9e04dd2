"""The way of a fibre and how to wind it: against the whole spinline, closed forms, and a plain loop over draws."""

import math
from dataclasses import replace

import numpy as np
import pytest
from dopes import DOPE, JOB, LAW, RIG, fibre_asked

import rheokit as rk
from rheokit.charts import drawn_fibre_diameter, drawn_fibre_setting
from rheokit.fibre import bath_length, bath_temperature_left, drum_speed, setting_length
from rheokit.limits import LIMITS
from rheokit.nomenclature import with_limits
from rheokit.planning import Winding, fibre_way
from rheokit.planning.asked import Known
from rheokit.planning.winding import GAPS
from rheokit.sampling import Normals, limits_of
from rheokit.units import mm


def case(**of_job):
    return rk.Case.of(*fibre_asked(**of_job))


def way(**of_job):
    return fibre_way(case(**of_job))


# --- the way ----------------------------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize(
    ("gap", "thinner", "cooler"), [(4 * mm, 0.001, 0.05), (20 * mm, 0.003, 0.1), (35 * mm, 0.005, 0.1)]
)
def test_the_fibre_thins_and_cools_in_the_air_as_the_whole_spinline_does(gap, thinner, cooler):
    """Kind: independent. The whole boundary value problem, with drying and the drag of the air."""
    found = case(gap=gap, bath_length=0.0)
    air = fibre_way(found).of("air")
    whole = rk.Spinline(
        law=rk.Newtonian(viscosity=float(found.draw_viscosity)), flow_rate=JOB.throughput, bore=0.84 * mm, gap=gap,
        winding_speed=JOB.winding_speed, start_temperature=float(found.exit_temperature), density=1127.0, heat_capacity=3020.0,
        surface_tension=DOPE.surface_tension, water_fraction=0.55,
    ).solve()  # fmt: skip
    at = np.linspace(0, gap, 9)
    thin, whole_thin = (
        np.interp(at, *pair) for pair in ((air.position, air.diameter), (whole.position, whole.diameter))
    )
    warm, whole_warm = (
        np.interp(at, *pair) for pair in ((air.position, air.temperature), (whole.position, whole.temperature))
    )
    assert thin == pytest.approx(whole_thin, rel=thinner)
    assert warm == pytest.approx(whole_warm, abs=cooler)
    assert thin[4] < 0.8 * thin[0] and warm[0] - warm[-1] > 3 * cooler, "so that it would be seen"


def test_the_stretches_meet_and_end_at_the_numbers_of_the_limits():
    found = case()
    needle, air, bath = (fibre_way(found).of(name) for name in ("needle", "air", "bath"))
    assert needle.position.iloc[0] == pytest.approx(-12.7 * mm) and needle.temperature.iloc[0] == pytest.approx(
        333.15, abs=0.01
    )
    assert needle.temperature.iloc[-1] == pytest.approx(found.exit_temperature)
    assert air.temperature.iloc[0] == pytest.approx(found.exit_temperature)
    assert (air.position.iloc[-1], bath.position.iloc[-1]) == pytest.approx((4 * mm, 254 * mm))
    assert air.diameter.iloc[0] == pytest.approx(0.84 * mm)
    assert air.diameter.iloc[-1] == pytest.approx(found.wet_diameter) and set(bath.diameter) == {found.wet_diameter}
    assert bath.temperature.iloc[0] == air.temperature.iloc[-1]
    fourier = 1.4e-7 * 0.25 / 0.1426 / (found.wet_diameter / 2) ** 2
    left = 283.15 + (air.temperature.iloc[-1] - 283.15) * bath_temperature_left(fourier)
    assert bath.temperature.iloc[-1] == pytest.approx(left, abs=1e-6)
    assert bath.setting.iloc[-1] == pytest.approx(found.setting, rel=0.01), "a short gap changes little"
    assert np.all(np.diff(np.concatenate([air.setting, bath.setting])) >= 0)


def test_in_the_air_it_sets_as_far_as_the_fast_formula_within_what_that_leaves_out():
    """The formula takes the whole gap as it is wound; drawn over the whole way a fibre sets up to 12 % sooner (`fibre.airgap`)."""
    long = case(gap=0.6, bath_length=0.0)
    set_there = fibre_way(long).of("air").setting.iloc[-1]
    assert long.set_in_air > 0.5 and set_there > 0.5
    same = replace(long, job=replace(long.job, winding_speed=long.flow_rate * 4 / math.pi / (0.84 * mm) ** 2))
    assert fibre_way(same).of("air").setting.iloc[-1] == pytest.approx(same.set_in_air, rel=0.01), "nothing is drawn"


def test_a_tapered_nozzle_narrows_along_its_way():
    tapered = rk.Nozzle(rk.Cone(inlet_diameter=4 * mm, outlet_diameter=0.84 * mm, length=10 * mm), *RIG.nozzle.segments)
    material, rig, job = fibre_asked()
    needle = fibre_way(rk.Case.of(material, replace(rig, nozzle=tapered), job)).of("needle")
    assert np.interp([-22.7 * mm, -17.7 * mm, -12.7 * mm, 0.0], needle.position, needle.diameter) == pytest.approx(
        [4 * mm, 2.42 * mm, 0.84 * mm, 0.84 * mm], rel=0.04
    )


def test_limits_are_those_of_the_draws():
    material, rig, job = fibre_asked()
    normals = Normals(300, 0)
    best = rk.Case.of(material, rig, job)
    drawn = best.drawn(material.draws(300, 0), normals, material.rig(rig, 300, 0))
    table = fibre_way(best, drawn, normals).table
    last = table.iloc[-1]
    error = 0.4 * normals("set before winding")
    assert (last.setting_low, last.setting_high) == pytest.approx(
        limits_of(np.ravel(drawn.setting * np.exp(error))), rel=0.02
    )
    at_exit = table[table.position == 0].iloc[0]
    assert (at_exit.temperature_low, at_exit.temperature_high) == pytest.approx(
        limits_of(np.ravel(drawn.exit_temperature))
    )
    assert (table.diameter_low <= table.diameter).all() and (table.diameter <= table.diameter_high).all()


def test_a_fibre_that_falls_faster_than_it_is_wound_is_said():
    assert way(gap=20 * mm).taut and not way(gap=0.6).taut
    assert not way(winding_speed=0.003).taut  # slower than it comes
    assert not LIMITS["taut thread"].margin(case(gap=0.6)) > 0
    assert way(gap=0.6).of("air").diameter.iloc[-1] == pytest.approx(case().wet_diameter)


def test_a_drum_that_is_slower_than_the_flow_gathers():
    air = way(winding_speed=0.01).of("air")
    assert air.diameter.iloc[-1] > air.diameter.iloc[0]
    assert air.diameter.iloc[-1] == pytest.approx(math.sqrt(4 * 10e-9 / math.pi / 0.01))


@pytest.mark.parametrize(("unknown", "lost"), [
    ({"heat_capacity": None}, {"temperature": "heat capacity not known", "setting": "heat capacity not known"}),
    ({"setting_time": None}, {"setting": "setting time not known"}),
    ({"gel_temperature": None, "setting_time": None}, {"setting": "gel temperature, setting time not known"}),
])  # fmt: skip
def test_what_is_not_known_is_said_and_left_open(unknown, lost):
    found = fibre_way(rk.Case.of(*fibre_asked(unknown.items())))
    assert found.unknown == lost
    for column in lost:
        assert found.of("bath")[column].isna().all()
    assert not found.table.diameter.isna().any()
    assert not found.of("needle").temperature.isna().any()


def test_a_bare_needle_of_unknown_width_leaves_the_temperature_open():
    found = way(nozzle_temperature=None, needle_outer_diameter=None)
    assert found.unknown["temperature"] == "needle outer diameter not known"
    assert found.table.temperature.isna().all() and not found.table.diameter.isna().any()


def test_a_paste_with_a_yield_stress_has_a_way_too():
    paste = replace(DOPE, law=rk.HerschelBulkley(yield_stress=100.0, consistency=20.0, flow_index=0.4))
    table = fibre_way(rk.Case.of(rk.Material(paste=paste), RIG, JOB)).table
    assert not table[["temperature", "diameter"]].isna().any().any()


# --- how to wind it ---------------------------------------------------------------------------------------------------


def test_the_speed_is_that_of_the_mass_balance_and_its_limits_those_of_a_loop():
    """Kind: independent, by hand: 4*10*0.448/(pi*0.2^2) = 142.6028 mm/s; limits by the propagation of small errors."""
    winding = Winding(*fibre_asked(), draws=2000)
    found = winding.winding_speed
    assert found.value == pytest.approx(0.1426028, rel=1e-6)
    assert 60 * drum_speed(found.value, 60 * mm) == pytest.approx(45.392, rel=1e-4)
    spread = math.sqrt(0.07**2 + (2 * 0.05) ** 2 + 0.03**2 + 0.01**2)  # of dry section, diameter, flow and speed
    assert math.log(found.high / found.low) == pytest.approx(2 * 1.96 * spread, rel=0.03)
    loose = Winding(*fibre_asked(held=False), draws=50).winding_speed
    assert loose.value == pytest.approx(4 * 10e-9 / math.pi / (0.2 * mm) ** 2 * 0.448 ** (2 / 3), rel=1e-6)


def test_the_longest_gap_is_where_the_first_of_its_limits_is_met():
    winding = Winding(*fibre_asked(winding_speed=0.1), draws=200)
    at = winding.at_diameter
    assert at.job.winding_speed == pytest.approx(winding.winding_speed.value)
    known, limit = at.longest_gap
    assert limit == "even draw" and known.low < known.value < known.high
    beside = [rk.Case.of(*fibre_asked(winding_speed=at.job.winding_speed, gap=known.value * f)) for f in (0.999, 1.001)]
    assert [float(LIMITS["even draw"].margin(one)) > 0 for one in beside] == [True, False]
    inside = []
    for row in range(0, 200, 10):  # one draw at a time, walking along the gap
        drawn = at.drawn.rows(slice(row, row + 1), 200)
        normals = lambda name, row=row: at.normals(name)[row : row + 1]  # noqa: E731
        gaps = np.geomspace(0.5, 60, 2000) * mm
        margins = [
            np.ravel(LIMITS[name].margin(replace(drawn, job=replace(drawn.job, gap=gaps)), normals))
            for name in at.gap_limits
        ]
        inside.append(gaps[np.argmax(np.min(margins, axis=0) < 0)])
    assert known.low < np.median(inside) < known.high
    assert np.median(inside) == pytest.approx(known.value, rel=0.15)
    assert np.log(max(inside) / min(inside)) < 1.5 * np.log(known.high / known.low)


def test_no_gap_and_any_gap_are_said_as_such():
    thin = replace(DOPE, law=replace(LAW, viscosity=0.01))
    found, limit = Winding(rk.Material(paste=thin), RIG, JOB, draws=50).longest_gap
    assert found.value == 0 and limit in ("even draw", "beads")
    stiff = replace(DOPE, surface_tension=0.0, law=replace(LAW, viscosity=1e5))
    slow = replace(JOB, winding_speed=0.03, dry_diameter=None)
    found, _ = Winding(rk.Material(paste=stiff), RIG, slow, draws=50).longest_gap
    assert found.value == math.inf and GAPS[1] == 1.0


def test_the_shortest_bath_is_that_of_the_closed_form():
    """Nothing sets in a gap that stays above the gel point, so the bath alone counts."""
    at = Winding(*fibre_asked(), draws=200).at_diameter
    there = at.case
    formula = bath_length(
        there.exit_temperature, 283.15, winding_speed=there.wound_speed, diameter=there.wet_diameter,
        thermal_diffusivity=1.4e-7, gel_temperature=306.15, setting_time=3.0,
    )  # fmt: skip
    found = at.shortest_bath
    assert found.value == pytest.approx(formula, rel=1e-4)
    assert (
        found.low < found.value / 1.8 and found.high > 1.8 * found.value
    )  # 0.4 of the formula, 0.3 of the setting time
    warm = Winding(*fibre_asked(bath_temperature=308.15), draws=50).shortest_bath
    assert warm.value == math.inf
    assert Winding(*fibre_asked(bath_length=0.0), draws=50).shortest_bath is None


def test_without_a_bath_the_way_is_that_of_the_air():
    winding = Winding(*fibre_asked(), draws=100)
    there = winding.case
    formula = setting_length(
        there.exit_temperature, diameter=there.wet_diameter, speed=there.wound_speed, volumetric_heat=1127.0 * 3020.0,
        air_temperature=295.15, relative_humidity=0.5, gel_temperature=306.15, setting_time=3.0,
    )  # fmt: skip
    assert winding.shortest_air_way.value == pytest.approx(formula, rel=1e-4)


def test_a_bare_needle_blocks_after_the_time_that_its_limit_has():
    winding = Winding(*fibre_asked(), draws=200)
    bare = rk.Case.of(*fibre_asked(nozzle_temperature=None, pause=60.0))
    assert winding.blocks_after.value == pytest.approx(float(LIMITS["pause"].high(bare)))
    assert winding.blocks_after.low < winding.blocks_after.value < winding.blocks_after.high


def test_what_lacks_a_number_gives_none():
    bare = Winding(
        *fibre_asked({"dry_section": None, "setting_time": None}.items(), needle_outer_diameter=None), draws=50
    )
    assert bare.winding_speed is None and bare.lacks_speed == "dry section not known"
    assert bare.at_diameter is bare and bare.shortest_bath is None and bare.blocks_after is None
    assert Winding(*fibre_asked(dry_diameter=None), draws=50).lacks_speed == "no dry diameter is wanted"
    paste = rk.Material(
        paste=replace(DOPE, law=rk.HerschelBulkley(yield_stress=100.0, consistency=20.0, flow_index=0.4))
    )
    assert Winding(paste, RIG, JOB, draws=50).longest_gap is None


def test_limits_of_draws_of_which_some_are_infinite():
    assert Known.of(1.0, np.array([1.0] * 50 + [np.inf] * 50))[1:] == (1.0, np.inf)
    assert Known.of(np.inf, np.full(10, np.inf))[1:] == (np.inf, np.inf)


def test_the_dry_diameter_and_the_place_where_it_is_set_have_limits():
    winding = Winding(*fibre_asked(bath_length=1.0), draws=400)
    way = fibre_way(winding.case, winding.drawn, winding.normals)
    drawn = way.table.set_index("position")
    best, early, late = way.set_after
    assert early < best < late
    for place, column in ((best, "setting"), (early, "setting_high"), (late, "setting_low")):
        before = drawn[column][drawn.index < place - 1e-12]
        assert drawn[column][place].max() >= 1 > before.max()
    error = LIMITS["dry diameter"].drawn_error(winding.case, winding.normals)
    low, high = limits_of(np.ravel(winding.drawn.dry_diameter * np.exp(error)))
    assert (
        way.dry_diameter == pytest.approx((winding.case.dry_diameter, low, high))
        and low < way.dry_diameter.value < high
    )
    assert "It dries to 0.200 mm (95 % 0.17" in drawn_fibre_diameter(way).words
    assert f"It is set {with_limits(*way.set_after, 'm')} after the nozzle." in drawn_fibre_setting(way).words
    short = Winding(*fibre_asked(bath_length=0.12), draws=400)
    barely = fibre_way(short.case, short.drawn, short.normals)
    assert barely.set_after.high == np.inf and "to not at the drum yet)" in drawn_fibre_setting(barely).words
