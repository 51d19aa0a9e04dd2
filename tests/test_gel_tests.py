"""Tests of what sets on cooling: gel point, setting time, surface tension, and the section that a thread loses as it dries.

Kind       exact (definitions, worked out by hand beside the check) and independent (against the formulae of the fibre room), as each says.
"""

import numpy as np
import pytest

import rheokit as rk
from rheokit.fibre import drop_mass, dry_section, time_to_set
from rheokit.sampling import limits_of_spread
from rheokit.units import g, mm

KELVIN = 273.15


def celsius(*values):
    return np.array(values) + KELVIN


# --- inverted tube ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("direction", "name"), [("cooling", "gel_temperature"), ("warming", "melt_temperature")])
def test_a_tube_gives_the_point_of_its_direction_to_a_kelvin(direction, name):
    """Three runs 0.5 K apart: 0.5 K/√3 x 2.195270 = 0.634 K; 0.0033 of 304.15 K is 1.004 K, together 1.187 K."""
    test = rk.InvertedTube(direction=direction, transition_temperature=celsius(30.5, 31.0, 31.5), model_error=0.0033)
    found = test.properties()
    assert list(found) == [name]
    assert found[name].value == pytest.approx(304.15, rel=1e-12)
    assert found[name].spread * 304.15 == pytest.approx(1.187, abs=2e-3)
    single = rk.InvertedTube(direction=direction, transition_temperature=celsius(31), model_error=0.0033).properties()
    assert single[name].spread * 304.15 == pytest.approx(1.05, abs=0.01)


def test_a_gel_point_above_the_melting_point_names_both_tubes():
    tubes = [
        rk.InvertedTube(direction="cooling", transition_temperature=celsius(40)),
        rk.InvertedTube(direction="warming", transition_temperature=celsius(33, 33), label="second"),
    ]
    bench = rk.Bench(rk.Specimen(), tubes)
    with pytest.raises(rk.DataError) as error:
        bench.properties()
    assert str(error.value) == (
        "the gel point, 40 °C by inverted tube, 1 reading while cooling, is above the melting point, 33 °C by inverted tube 'second', "
        "2 readings while warming; a gel melts no colder than it sets: check their directions and units, or leave one out."
    )
    assert list(rk.Bench(rk.Specimen(), tubes[:1]).properties()) == ["gel_temperature"]


def test_a_tube_in_degrees_is_refused():
    with pytest.raises(rk.DataError, match="31 K in row 1 is none of a bath of water; check its unit"):
        rk.InvertedTube(transition_temperature=31.0)


def test_a_tube_says_which_way_it_went():
    test = rk.InvertedTube(transition_temperature=celsius(30.5, 31.5))
    assert "\ndirection: cooling\n" in repr(test)
    assert "direction: cooling" in test._repr_html_()
    assert test.properties()["gel_temperature"].origin == "inverted tube, 2 readings while cooling"


# --- setting time -----------------------------------------------------------------------------------------------------


def test_two_temperatures_tell_time_and_exponent():
    """40.012 s at 27 °C and 8.0003 s at 22 °C of a gel point of 31 °C: p = ln(40.012/8.0003)/ln(9/4) = 1.985, t_10 = 8.0003 (9/10)^p = 6.4905 s."""
    found = rk.SettingTime(
        gel_temperature=304.15, temperature=celsius(27, 22), setting_time=[40.012, 8.0003]
    ).properties()
    assert found["setting_exponent"].value == pytest.approx(1.985, abs=5e-5)
    assert found["setting_time"].value == pytest.approx(6.4905, abs=5e-5)
    step = np.log(9 / 4)  # one reading each: the usual 15 % on both
    assert found["setting_exponent"].spread == pytest.approx(0.15 * np.sqrt(2) / step / 1.985, rel=1e-4)


def test_the_times_are_those_of_the_formula_that_uses_them():
    """Kind: independent. Readings made by `time_to_set`, given back by the test."""
    at, gel = celsius(30, 28, 24, 18), 306.15
    times = time_to_set(at, gel_temperature=gel, setting_time=3.0, setting_exponent=2.2)
    found = rk.SettingTime(gel_temperature=gel, temperature=at, setting_time=times).properties()
    assert found["setting_time"].value == pytest.approx(3.0, rel=1e-9)
    assert found["setting_exponent"].value == pytest.approx(2.2, rel=1e-9)


def test_one_temperature_takes_the_usual_exponent_with_its_error():
    """40 s 4 K below: t_10 = 40 (4/10)² = 6.4 s; √(0.15² + (0.3 ln 2.5)²) = 0.31316."""
    found = rk.SettingTime(gel_temperature=304.15, temperature=celsius(27), setting_time=40.0).properties()
    assert found["setting_exponent"].value == 2.0
    assert found["setting_exponent"].spread == pytest.approx(0.15)
    assert found["setting_time"].value == pytest.approx(6.4, rel=1e-9)
    assert found["setting_time"].spread == pytest.approx(0.31316, rel=1e-4)
    assert found["setting_time"].origin.endswith(
        "; the exponent 2 ± 0.3 is usual, these readings tell none; for a gel point of 31 °C: 1 K more makes them 10 s and 2"
    )


def test_temperatures_that_lie_together_tell_no_exponent():
    """4 and 4.4 K below: 15 % on each of two leaves p open by 0.15 √2/ln 1.1 = 2.2."""
    test = rk.SettingTime(gel_temperature=304.15, temperature=celsius(27, 26.6), setting_time=[40.0, 31.0])
    assert test.properties()["setting_exponent"].value == 2.0


@pytest.mark.parametrize(
    ("at", "times", "said"),
    [
        ((33, 24), (2.0, 40.0), "40 s at 24 °C and in 2 s at 33 °C"),
        ((33, 28, 24), (2.0, 9.0, 40.0), "40 s at 24 °C and in 2 s at 33 °C"),
        ((33, 24), (10.0, 10.0), "10 s at 24 °C and in 10 s at 33 °C"),
    ],
)
def test_times_that_do_not_fall_with_the_cold_are_refused(at, times, said):
    with pytest.raises(rk.DataError) as error:
        rk.SettingTime(gel_temperature=309.15, temperature=celsius(*at), setting_time=times)
    assert str(error.value) == (
        f"setting time: it set in {said}, and colder must set faster; are the times swapped, or was it not yet as cold as its bath?"
    )


def test_temperatures_too_near_to_part_times_are_not_refused():
    """15 % on each of two times 0.4 K apart leave p open by 2.2: 30 s at 26.6 °C beside 29 s at 27 °C is chance."""
    test = rk.SettingTime(gel_temperature=304.15, temperature=celsius(27, 26.6), setting_time=[29.0, 30.0])
    assert test.properties()["setting_exponent"].value == 2.0


def test_stated_errors_weigh_the_line():
    """2 % on two times 9/4 apart: p to 0.02 √2/ln 2.25 = 0.03488."""
    test = rk.SettingTime(
        gel_temperature=304.15, temperature=celsius(27, 22), setting_time=[40.012, 8.0003], relative_uncertainty=0.02
    )
    one = test.properties()["setting_exponent"]
    assert one.value * one.spread == pytest.approx(0.02 * np.sqrt(2) / np.log(2.25), rel=1e-4)


def test_a_gel_does_not_set_above_its_gel_point():
    with pytest.raises(rk.DataError, match=r"temperature = 33 °C in row 2 is not below gel_temperature, 31 °C"):
        rk.SettingTime(gel_temperature=304.15, temperature=celsius(27, 33), setting_time=[40, 50])


# --- drop mass --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("tension", [0.035, 0.05, 0.072])
def test_drops_of_a_tension_give_it_back(tension):
    """Kind: independent. Forwards by the root of the drop's own equation, backwards by the test; 31.4748 mg of 0.05 N/m."""
    mass = drop_mass(outer_diameter=3 * mm, density=1090.0, surface_tension=tension)
    found = rk.DropMass(outer_diameter=3 * mm, density=1090.0, mass=mass).properties()["surface_tension"]
    assert found.value == pytest.approx(tension, rel=1e-9)
    if tension == 0.05:
        assert mass == pytest.approx(31.4748e-6, rel=2e-6)


def test_drops_of_water_give_the_tension_of_water():
    """Harkins and Brown's own liquid, 72.8 mN/m at 20 °C (from memory): their table has the share 0.6512 at r/V^(1/3) = 0.5 (from memory).

    Such a drop of water hangs from r with V = 8 r³, so 998*9.81*8 r² = 2 π 0.6512*0.0728 r⁰...: r = √(2 π 0.6512*0.0728/(998*9.81*8)).
    """
    radius = np.sqrt(2 * np.pi * 0.6512 * 0.0728 / (998 * 9.81 * 8))
    test = rk.DropMass(outer_diameter=2 * radius, density=998.0, mass=998 * 8 * radius**3)
    assert test.properties()["surface_tension"].value == pytest.approx(0.0728, rel=0.005)


def test_what_is_no_drop_of_that_tip_is_refused():
    with pytest.raises(rk.DataError, match=r"was one drop weighed.*take a tip of 2\.5 to 5 mm"):
        rk.DropMass(outer_diameter=3 * mm, density=1090.0, mass=20 * 31e-6)


# --- wound thread -----------------------------------------------------------------------------------------------------


def thread(wet=1.95676, dry=0.756022, **changes):
    given = {"turns": 100, "drum_diameter": 60 * mm, "density": 1090.0, "dry_density": 1276.3} | changes
    return rk.WoundThread(wet_mass=np.array([wet]) * g, dry_mass=np.array([dry]) * g, **given)


def test_a_thread_tells_both_diameters_and_its_section():
    """100 turns on 60 mm are 18.8496 m: 1.95676 g of 1090 kg/m3 are 0.348225 mm wide; 0.2000402 mm dry is a section of 0.33."""
    one = thread()
    assert one.wet_diameter == pytest.approx([0.348225 * mm], rel=2e-6)
    assert one.dry_diameter == pytest.approx([0.2000402 * mm], rel=1e-4)
    found = one.properties()["dry_section"]
    assert found.value == pytest.approx(0.33, rel=2e-4)
    assert "0.348 mm wide wet and 0.2 mm dry" in one.heading
    assert "0.348 mm wide wet and 0.2 mm dry" in found.origin


def test_the_section_is_that_of_the_recipe():
    """Kind: independent. 30 % gelatin with 4 % glycerol dry to 12 % water (wet basis): dry density by the shares, mass by what does not evaporate."""
    solids, moisture, density, solid_density = 0.34, 0.12, 1090.0, 1338.75
    wet = 2.0
    dry = wet * solids / (1 - moisture)
    dry_density = 1 / ((1 - moisture) / solid_density + moisture / 998)
    found = thread(wet, dry, density=density, dry_density=dry_density).properties()["dry_section"].value
    expected = dry_section(dry_mass_fraction=solids, solid_density=solid_density, density=density)
    assert found == pytest.approx(expected, rel=1e-9)
    assert found == pytest.approx(0.327463, rel=2e-6)


def test_a_thread_heavier_dry_than_wet_is_refused():
    with pytest.raises(
        rk.DataError, match=r"dry_mass = 2 g in row 1 is not below wet_mass, 1\.9 g; are the columns swapped"
    ):
        thread(1.9, 2.0)


# --- in a folder ------------------------------------------------------------------------------------------------------

FOLDER = """
[specimen]
density = "1090 kg/m3"

[[test]]
kind = "inverted tube"
file = "cool.csv"
direction = "cooling"

[[test]]
kind = "inverted tube"
file = "warm.csv"
direction = "warming"

[[test]]
kind = "setting time"
file = "sets.csv"
gel_temperature = "31 °C"

[[test]]
kind = "drop mass"
file = "drops.csv"
outer_diameter = "3.00 mm"

[[test]]
kind = "wound thread"
file = "thread.csv"
turns = 100
drum_diameter = "60 mm"
dry_density = "1276.3 kg/m3"
"""
TABLES = {
    "cool": "transition temperature [°C]\n30.6\n31.2\n31.1\n",
    "warm": "transition temperature [°C]\n34.1\n33.8\n",
    "sets": "temperature [°C], setting time [s]\n27, 40.012\n22, 8.0003\n",
    "drops": "drops mass [g], drops [-]\n0.6295, 20\n0.944244, 30\n",
    "thread": "wet mass [g], dry mass [g]\n1.95676, 0.756022\n",
}


def test_a_folder_gives_what_a_fibre_needs(tmp_path):
    (tmp_path / "bench.toml").write_text(FOLDER, encoding="utf-8")
    for name, text in TABLES.items():
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    bench = rk.read_bench(tmp_path)
    found = {name: one.value for name, one in bench.properties().items()}
    assert found == pytest.approx(
        {
            "gel_temperature": 273.15 + 92.9 / 3,
            "melt_temperature": 273.15 + 33.95,
            "setting_time": 6.4905,
            "setting_exponent": 1.985,
            "surface_tension": 0.05,
            "dry_section": 0.33,
        },
        rel=2e-4,
    )
    assert bench.tests[0].model_error == pytest.approx(0.0033)
    again = tmp_path / "again"
    rk.write_bench(bench, again)
    assert {name: one.value for name, one in rk.read_bench(again).properties().items()} == pytest.approx(
        found, rel=1e-6
    )


def test_what_a_test_states_of_the_paste_is_known_of_it_where_nothing_measures_it():
    def sets(gel, **more):
        at = {"temperature": celsius(27, 22), "setting_time": [40.0, 8.0]}
        return rk.SettingTime(gel_temperature=gel, **at, **more)

    curve = rk.FlowCurve(shear_rate=[1, 10, 100], shear_stress=[10.0, 100.0, 1000.0], relative_uncertainty=0.05)
    drops = rk.DropMass(outer_diameter=3e-3, density=1120.0, mass=[3.15e-5, 3.15e-5])
    cool = rk.InvertedTube(direction="cooling", transition_temperature=celsius(30, 31))

    def material(*tests, **specimen):
        bench = rk.Bench(rk.Specimen(**specimen), [curve, *tests])
        return rk.Material.of(rk.fit(rk.Newtonian, bench))

    told = material(sets(304.15), sets(304.15, label="again"), drops)
    assert (told.paste.gel_temperature, told.paste.density) == pytest.approx((304.15, 1120.0), rel=1e-12)
    assert told.origin("gel_temperature") == "measured: setting time, which states it"
    assert told.spread("gel_temperature") == 0.0033  # one value, however often it is stated
    both = material(sets(304.15), cool, drops, density=1090.0)
    assert both.paste.gel_temperature == pytest.approx(303.65, rel=1e-9) and both.paste.density == 1090.0
    assert material(cool).paste.density is None
    apart = material(sets(304.15), sets(305.15, label="again"))
    assert apart.paste.gel_temperature == pytest.approx(np.sqrt(304.15 * 305.15), rel=1e-9)


def test_a_folder_that_leaves_a_choice_open_is_told_what_was_taken(tmp_path):
    (tmp_path / "bench.toml").write_text(FOLDER.replace('direction = "cooling"\n', ""), encoding="utf-8")
    for name, text in TABLES.items():
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    said = [note for note in rk.read_bench(tmp_path).origin.notes if "direction" in note]
    assert said == ["bench.toml, [[test]] 1: direction is not stated; cooling was taken, and not warming."]


NO_DROPS = "row 2, column 2 (drops [-]): '0': nothing can be divided by 0; correct it, or take the row out"


@pytest.mark.parametrize(
    ("rows", "unusual", "said"),
    [
        ("0.62, 0\n0.61, 20", "", NO_DROPS),
        ("0.62, 0\n0.61, 20", 'unusual = ["drops"]\n', NO_DROPS),
        (
            "0.62, -3\n0.61, 20",
            'unusual = ["drops"]\n',
            "row 2, column 2 (drops [-]): '-3' is negative; correct it, or take the row out",
        ),
        (
            "0.62, 20\n0, 20",
            "",
            "row 3, column 1 (drops mass [g]): '0' is outside 0.01 to 100 g, where drops mass usually lies; is that the unit? "
            'correct it, or write unusual = ["drops_mass"] beside it if it is really so',
        ),
    ],
)
def test_a_count_of_no_drops_is_told_where_it_stands(tmp_path, rows, unusual, said):
    """A zero in a table whose headers are all known is a wrong cell: the table is no instrument's export for it."""
    (tmp_path / "bench.toml").write_text(
        '[specimen]\ndensity = "1090 kg/m3"\n\n[[test]]\nkind = "drop mass"\nfile = "drops.csv"\nouter_diameter = "3 mm"\n'
        + unusual,
        encoding="utf-8",
    )
    (tmp_path / "drops.csv").write_text(f"drops mass [g], drops [-]\n{rows}\n", encoding="utf-8")
    with pytest.raises(rk.DataError) as error:
        rk.read_bench(tmp_path)
    assert str(error.value) == f"drops.csv, {said}"


def test_a_scale_that_shows_hundredths_is_as_good_as_the_drops_are_many(tmp_path):
    """To 0.01 g of twenty drops is 0.0029 g of 0.63 g, and a twentieth of it a drop: 0.144 mg, or 0.46 %."""
    (tmp_path / "bench.toml").write_text(
        '[specimen]\ndensity = "1090 kg/m3"\n\n[[test]]\nkind = "drop mass"\nfile = "drops.csv"\nouter_diameter = "3 mm"\n'
        'uncertainty = "to 0.01 g"\n',
        encoding="utf-8",
    )
    (tmp_path / "drops.csv").write_text("drops mass [g], drops [-]\n0.63, 20\n0.63, 20\n", encoding="utf-8")
    (test,) = rk.read_bench(tmp_path).tests
    assert test.reading_errors == pytest.approx(np.full(2, 0.01 * g / np.sqrt(12) / 20), rel=1e-6)


def test_what_sets_on_cooling_is_asked_for_all_of_them():
    kinds = list(
        rk.first_tests(
            ["syringe", "scale", "ruler", "drum", "tube", "test tube", "ball", "thermometer", "water bath"],
            "sets on cooling",
        )["kind"]
    )
    assert kinds[-4:] == ["inverted tube", "setting time", "wound thread", "drop mass"]
    assert {"falling ball", "timed drain", "syringe force"} < set(kinds)
    assert "inverted tube" not in list(
        rk.first_tests(["test tube", "thermometer", "water bath"], "pours like honey")["kind"]
    )


def test_cautions_say_what_burns():
    for kind in ("inverted tube", "setting time", "drop mass", "falling ball", "timed drain"):
        assert "burn" in rk.KINDS[kind].caution


# --- how far to trust them --------------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize("count", [1, 2, 4])  # one, four and ten readings to spare
def test_limits_of_setting_hold_in_95_of_100(count):
    """Kind: simulation. 600 benches at three temperatures, each reading off by 12 % and the rule by the model error of a bench."""
    random, gel = np.random.Generator(np.random.PCG64(7 + count)), 306.15
    at = np.repeat(celsius(30, 27, 20), count)
    held = {"setting_time": 0, "setting_exponent": 0}
    for _ in range(600):
        truth = {
            "setting_time": 3.0 * np.exp(0.2 * random.standard_normal()),
            "setting_exponent": 2.0 + 0.3 * random.standard_normal(),
        }
        times = time_to_set(at, gel_temperature=gel, **truth) * np.exp(0.12 * random.standard_normal(len(at)))
        seen = rk.SettingTime(gel_temperature=gel, temperature=at, setting_time=times, model_error=0.2)
        wanted = truth | {"setting_time": 3.0}  # the rule's own error is what differs from bench to bench
        for name, one in seen.properties().items():
            low, high = limits_of_spread(one.value, one.spread)
            held[name] += low < wanted[name] < high
    assert all(0.93 < number / 600 for number in held.values()), held
    assert all(number / 600 < 0.995 for number in held.values()), held


@pytest.mark.slow
@pytest.mark.parametrize("count", [2, 3, 6])
def test_limits_of_drops_and_threads_hold_in_95_of_100(count):
    """Kind: simulation. 600 benches, each reading off by 3 % and the theory by its model error."""
    random = np.random.Generator(np.random.PCG64(70 + count))
    mass = drop_mass(outer_diameter=3 * mm, density=1090.0, surface_tension=0.05)
    held = {"surface_tension": 0, "dry_section": 0}
    for _ in range(600):
        off = np.exp(0.03 * random.standard_normal((2, count)))
        drops = mass * off[0] * np.exp(0.03 * random.standard_normal())
        dry = 0.756022 * g * off[1] * np.exp(0.05 * random.standard_normal())
        found = rk.DropMass(outer_diameter=3 * mm, density=1090.0, mass=drops, model_error=0.03).properties()
        found |= rk.WoundThread(
            turns=100,
            drum_diameter=60 * mm,
            density=1090.0,
            dry_density=1276.3,
            wet_mass=1.95676 * g,
            dry_mass=dry,
            model_error=0.05,
        ).properties()
        for name, true in (("surface_tension", 0.05), ("dry_section", 0.33)):
            low, high = limits_of_spread(found[name].value, found[name].spread)
            held[name] += low < true < high
    assert all(0.93 < number / 600 < 0.995 for number in held.values()), held
