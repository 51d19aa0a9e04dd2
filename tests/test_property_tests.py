"""Tests of properties: cup, leaning wall, bars and dishes to dry, sieves; what they give, and how far it is to be trusted.

Kind of the checks here: exact (definitions, worked out by hand beside the check), unless said otherwise.
"""

import warnings
from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.bench import Property
from rheokit.bench.measured import merged
from rheokit.part.shape import wall_buckling_height
from rheokit.paste.material import Material
from rheokit.units import g, kPa, mL, mm, um

RATES = np.geomspace(1, 100, 8)
LAW = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
RIG = rk.Extruder(
    barrel_diameter=26.7 * mm, fill_length=80 * mm, nozzle=rk.Nozzle(rk.Cylinder(diameter=1.6 * mm, length=8 * mm))
)
CURVE = rk.FlowCurve(shear_rate=RATES, shear_stress=LAW.shear_stress(RATES), relative_uncertainty=0.02)
STACK = np.array([0, 63, 90, 125, 180, 250, 355]) * um
HELD = np.array([30, 15, 15, 15, 20, 5, 0]) * g


def cup(*masses, **more):
    return rk.CupDensity(cup_volume=100 * mL, mass=np.array(masses) * g, **more)


def fixed(value, spread, origin="a test"):
    """Return something that measures a density, as `merged` asks for it."""

    class Measured:
        def properties(self):
            return {"density": Property(value, spread, origin)}

    return Measured()


# --- cup density ----------------------------------------------------------------------------------------------------


def test_density_is_mass_over_volume_and_air_what_is_missing():
    """111 g in 100 mL are 1110 kg/m3; against 1150 kg/m3 without air 1 - 1110/1150 = 0.034783 of it is air."""
    found = cup(110, 111, 112, true_density=1150.0).properties()
    assert found["density"].value == pytest.approx(1110, rel=1e-12)
    assert found["air_content"].value == pytest.approx(0.0347826, rel=1e-5)
    assert "air_content" not in cup(110, 111, 112).properties()


def test_the_spread_of_few_fillings_is_students():
    """sd 10 kg/m3, N = 3: 10/√3 × t(0.975; 2)/1.95996 = 5.7735 × 4.302653/1.959964 = 12.6745 kg/m3 (t from tables)."""
    assert cup(110, 111, 112).properties()["density"].spread == pytest.approx(12.6745 / 1110, rel=1e-4)


def test_one_filling_has_the_usual_scatter_and_the_model_error_comes_on_top():
    assert cup(111).properties()["density"].spread == pytest.approx(0.01, rel=1e-12)
    assert cup(111, 111, 111, 111).properties()["density"].spread == pytest.approx(0.005, rel=1e-12)
    assert cup(111, model_error=0.0075).properties()["density"].spread == pytest.approx(0.0125, rel=1e-12)  # 3-4-5


def test_stated_uncertainties_weigh_the_readings():
    """110 ± 1 g and 112 ± 2 g: weights 4 to 1, mean 110.4, standard uncertainty √(4/5) = 0.894427 g, t of 3 + 1 2.776445/1.959964."""
    found = cup(110, 112, uncertainty=np.array([1.0, 2.0]) * g).properties()["density"]
    assert found.value == pytest.approx(1104, rel=1e-9)
    assert found.spread == pytest.approx(0.894427 * 1.416580 / 110.4, rel=1e-5)
    # both kinds count: √(0.3² + (0.4/111 × 111)²) = 0.5 g on one reading
    both = cup(111, uncertainty=0.3 * g, relative_uncertainty=0.4 / 111).properties()["density"]
    assert both.spread == pytest.approx(0.5 / 111, rel=1e-9)


def rounded(step, **columns):
    """Return what says that readings were rounded to a step, and nothing else of their errors."""
    return {"uncertainty": step / np.sqrt(12), "error": "beside rounding", **columns}


def test_rounding_hides_no_scatter():
    """200, 800, 500 g under g are 4.903 N; sd 2.942 N/√3 x 2.195270 = 3.7288 N, and 0.0283 N of rounding to 10 g: 3.7289 N."""
    weight = np.array([0.2, 0.8, 0.5]) * 9.80665
    found = rk.EmptyBarrel(force=weight, **rounded(0.01 * 9.80665)).properties()["plunger_friction"]
    assert found.value == pytest.approx(4.903325, rel=1e-9)
    assert found.value * found.spread == pytest.approx(3.7289, rel=1e-4)
    scattered, plain = (cup(84, 94, 103, **more).properties()["density"] for more in (rounded(g), {}))
    assert scattered.value == plain.value
    assert scattered.spread == pytest.approx(np.hypot(plain.spread, 1 / np.sqrt(12) / 93.6667), rel=1e-5)


def test_readings_that_round_alike_are_known_no_better_than_one():
    """The usual scatter of 1 % over √4, and 1/√12 g of 111 g that no number of readings lessens."""
    found = cup(111, 111, 111, 111, **rounded(g)).properties()["density"]
    assert found.spread == pytest.approx(np.hypot(0.005, 0.288675 / 111), rel=1e-5)


def test_what_was_stated_is_a_floor_and_no_ceiling():
    """110, 111, 112 g: sd 1 g. With ± 1.2 g χ² is 1.39 of 2: 1.2/√3 g, t of 3 + 2 2.570582/1.959964. With ± 0.8 g it is 3.125, with ± 0.2 g 50.

    0.8/√3 √(6.125/5) and 0.2/√3 √(53/5) times 1.311545.
    """
    agree, more, scatter = (
        cup(110, 111, 112, uncertainty=size * g).properties()["density"] for size in (1.2, 0.8, 0.2)
    )
    assert agree.spread == pytest.approx(0.692820 * 1.311545 / 111, rel=1e-5)
    assert "scatter" not in agree.origin
    assert (more.spread, scatter.spread) == pytest.approx((0.670471 / 111, 0.493067 / 111), rel=1e-5)
    assert "; they scatter 1.25 times as much as" in more.origin
    assert scatter.origin.endswith(
        "; they scatter 5 times as much as their stated uncertainty, so that limits lie 4.27 times as far"
    )


@pytest.mark.parametrize(("times", "least"), [(1, 0.96), (2, 0.87)])
def test_few_readings_that_scatter_more_than_was_stated_hold_the_mean(times, least):
    """Independent: the mass that 400 cups of three readings were made with; 0.90 held of 200000 where they scatter twice as much."""
    rng, held = np.random.default_rng(13), []
    for masses in 100 + 2 * times * rng.standard_normal((400, 3)):
        found = cup(*masses, uncertainty=2 * g).properties()["density"]
        held.append(abs(found.value * 1e-4 / (100 * g) - 1) <= 1.96 * found.spread)
    assert np.mean(held) >= least


def test_the_spread_of_air_holds_both_densities_and_closed_pores():
    """u(ε) = √((0.965217 × √(0.01² + (10/1150)²))² + 0.01²) = 0.0162361; over 0.0347826."""
    air = cup(111, true_density=1150.0, true_density_uncertainty=10.0).properties()["air_content"]
    assert air.spread == pytest.approx(0.0162361 / 0.0347826, rel=1e-4)


@pytest.mark.parametrize("mass", [114.5, 115, 116])
def test_air_below_its_own_error_is_little_air_and_never_negative(mass):
    air = cup(mass, true_density=1150.0).properties()["air_content"]
    assert 0.005 < air.value < 0.0075
    assert air.spread == 0.7
    assert "too little air to be told" in air.origin


# --- lean height ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("wall", ["straight wall", "long wall"])
def test_a_wall_of_that_modulus_leans_at_that_height(wall):
    """Kind: independent. Forwards by the shape of a wall, backwards by the test."""
    found = rk.LeanHeight(wall_width=2 * mm, density=1110.0, height=14.5 * mm, wall=wall).properties()["modulus"]
    assert wall_buckling_height(found.value, 2 * mm, 1110.0, long=wall == "long wall") == pytest.approx(
        14.5 * mm, rel=1e-12
    )


def test_the_modulus_of_a_wall_that_leaned():
    """A bar of section 1 × w falls over at ρ g A H³ = 7.837347 E I, I = w³/12: 12 × 1110 × 9.81 × 0.0145³/(7.837347 × 0.002²)."""
    wall = rk.LeanHeight(wall_width=2 * mm, density=1110.0, height=14.5 * mm)
    one = wall.properties()["modulus"]
    assert one.value == pytest.approx(12707.2, rel=1e-5)
    assert one.spread == pytest.approx(0.3)
    assert "of a straight wall 2 mm thick: holds for that wall only, with lean factor 1" in one.origin


def test_the_modulus_of_a_long_wall_is_three_quarters():
    """Plane strain of an incompressible paste: E/(1 - 1/4) resists, so the same height means 3/4 of the modulus."""
    long, short = (
        rk.LeanHeight(wall_width=2 * mm, density=1110.0, height=14.5 * mm, wall=w)
        for w in ("long wall", "straight wall")
    )
    assert long.properties()["modulus"].value == pytest.approx(0.75 * short.properties()["modulus"].value, rel=1e-12)


def test_heights_count_thrice():
    """3 % of a height are 9 % of a modulus (to first order: 3.03 % upward make 9.27 %)."""
    one = rk.LeanHeight(wall_width=2 * mm, density=1110.0, height=14.5 * mm, relative_uncertainty=0.03).properties()[
        "modulus"
    ]
    assert one.spread == pytest.approx(1.03**3 - 1, rel=1e-9)


# --- shrinkage and moisture -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("axis", ["xy", "z"])
def test_shrinkage_is_on_the_wet_length_along_one_axis(axis):
    """50 to 46 mm is 8 % of the wet length (8.7 % of the dry one); 7, 8, 9 %: 1 %/√3 × 4.302653/1.959964 = 1.26745 %."""
    found = rk.DryingShrinkage(axis=axis, wet_length=50 * mm, dry_length=np.array([46.5, 46.0, 45.5]) * mm).properties()
    assert list(found) == [f"shrinkage_{axis}"]
    assert found[f"shrinkage_{axis}"].value == pytest.approx(0.08, rel=1e-12)
    assert found[f"shrinkage_{axis}"].spread == pytest.approx(1.26745 / 8, rel=1e-4)


def test_moisture_is_on_the_dry_mass_without_the_dish():
    """30 - 25 = 5 g of water on 25 - 20 = 5 g dry: 1.0; 31 - 25 = 6 g on 5 g: 1.2. With the dish it would be 0.2."""
    found = rk.OvenMoisture(tare_mass=20 * g, wet_mass=np.array([30, 31]) * g, dry_mass=25 * g).properties()[
        "water_content"
    ]
    assert found.value == pytest.approx(1.1, rel=1e-12)


# --- sieve ----------------------------------------------------------------------------------------------------------


def test_nine_in_ten_lie_between_two_sieves_on_the_scale_of_ln():
    """5 % stay on 250 um and 25 % on 180 um, so 95 and 75 % pass: d_90 = 180 (250/180)^(15/20) = 230.289 um."""
    found = rk.Sieve(aperture=STACK, retained_mass=HELD).properties()
    assert found["grain_size"].value == pytest.approx(230.289 * um, rel=1e-5)
    assert found["largest_grain"].value == pytest.approx(355 * um, rel=1e-12)  # all passed it
    assert "at least" not in found["largest_grain"].origin
    order = [3, 0, 6, 1, 5, 2, 4]
    mixed = rk.Sieve(aperture=STACK[order], retained_mass=HELD[order]).properties()
    assert mixed["grain_size"].value == pytest.approx(found["grain_size"].value, rel=1e-12)


def test_a_coarsest_sieve_that_holds_grains_back_says_at_least():
    found = rk.Sieve(aperture=STACK[:-1], retained_mass=HELD[:-1]).properties()["largest_grain"]
    assert found.value == pytest.approx(250 * um)
    assert "at least this, because the coarsest sieve held grains back" in found.origin


@pytest.mark.parametrize(
    ("held", "passed", "largest_side"), [(0.0, "100 %", -1), (2.0, "98 %", 1)], ids=["all passed", "98 % passed"]
)
def test_one_strainer_bounds_the_grains_from_above(held, passed, largest_side):
    """Of 100 g, all or 98 % pass 0.5 mm: nine in ten grains are smaller, by more than nobody knows."""
    found = rk.Sieve(aperture=[0.5 * mm, 0.0], retained_mass=np.array([held, 100 - held]) * g).properties()
    size, largest = found["grain_size"], found["largest_grain"]
    assert (size.value, size.side, largest.value, largest.side) == (0.5 * mm, -1, 0.5 * mm, largest_side)
    assert f"at most this: {passed} passed the finest sieve" in size.origin
    # its openings are as well known as those of the largest grain: √(0.1² + 0.05²) with the usual model error
    assert rk.Sieve(aperture=[0.5 * mm, 0], retained_mass=[0, 0.1], model_error=0.05).properties()[
        "grain_size"
    ].spread == (pytest.approx(0.1118034, rel=1e-6))


def test_a_bound_is_not_averaged_with_a_number():
    """A stack says 230 um; "at most 500 um" says no more, "at most 100 um" is seven standard deviations of 0.11 below it."""
    stack = rk.Sieve(aperture=STACK, retained_mass=HELD, label="stack")
    coarse, fine = (
        rk.Sieve(aperture=[mesh, 0], retained_mass=[0, 0.1], label=f"{mesh / mm:g} mm") for mesh in (0.5 * mm, 0.1 * mm)
    )
    alone = stack.properties()["grain_size"]
    assert merged([stack, coarse])["grain_size"] == alone
    with pytest.warns(rk.errors.RheokitWarning, match="gives 0.23 mm, against at most 0.1 mm by sieve '0.1 mm'"):
        assert merged([stack, fine])["grain_size"] == alone
    assert merged([coarse, fine])["grain_size"].value == 0.1 * mm
    assert (
        merged([coarse, rk.Sieve(aperture=[0.2 * mm, 0], retained_mass=[0.001, 0.1])])["largest_grain"].value
        == 0.5 * mm
    )


def test_grains_by_a_strainer_are_judged_on_the_safe_side_and_a_largest_grain_that_is_at_least_is_not_known():
    """A bore of 2 mm is 4 times 0.5 mm, and 5 are wanted; 3 mm is 6 times."""
    for held, largest in ((0.0, 0.5 * mm), (2.0, None)):
        strainer = rk.Sieve(aperture=[0.5 * mm, 0.0], retained_mass=np.array([held, 100 - held]) * g)
        material = Material.of(rk.fit(rk.HerschelBulkley, rk.Bench(rk.Specimen(), [CURVE, strainer])))
        assert (material.paste.grain_size, material.paste.largest_grain) == (0.5 * mm, largest)
        assert "at most this" in material.origin("grain_size")
        for bore, verdict in ((2 * mm, "broken"), (3 * mm, "inside")):
            nozzle = rk.Nozzle(rk.Cylinder(diameter=bore, length=8 * mm))
            case = rk.Case.of(
                material,
                replace(RIG, nozzle=nozzle),
                rk.PrintJob(print_speed=10 * mm, layer_height_to_bore=0.6, line_width_to_bore=1.25),
            )
            assert rk.judge(case, "clog").verdict.iloc[0] == verdict
        assert ("largest grain not known" in rk.verdict(case, "clog")) == (largest is None)


def test_the_uncertainty_of_masses_goes_into_the_grain_size():
    """Kind: independent. One g on every mass against 20000 sievings with that noise."""
    noise = np.random.Generator(np.random.PCG64(1)).standard_normal((20000, 7))
    exact = rk.Sieve(aperture=STACK, retained_mass=HELD, uncertainty=0.3 * g).properties()["grain_size"].spread
    passing = (
        1 - np.cumsum((HELD + 0.3 * g * noise)[:, ::-1], axis=1)[:, ::-1] / (HELD + 0.3 * g * noise).sum(1)[:, None]
    )
    sizes = np.log(180) + (0.9 - passing[:, 4]) / (passing[:, 5] - passing[:, 4]) * np.log(250 / 180)
    assert exact == pytest.approx(np.std(sizes), rel=0.03)


# --- what cannot be -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (
            lambda: rk.CupDensity(cup_volume=10 * mL, mass=111 * g),
            "cup density: mass over volume is 11100 kg/m³ in row 1, which no paste has; check the unit of either.",
        ),
        (
            lambda: cup(161, 161, true_density=1150.0, label="A"),
            "cup density 'A': mass over volume is 1610 kg/m³, more than true_density = 1150 kg/m³, so there would be less than "
            "no air; was the cup tared, and is its volume that of the water it holds?",
        ),
        (
            lambda: rk.LeanHeight(wall_width=14.5 * mm, density=1110.0, height=2 * mm),
            "lean height: height = 0.002 m in row 1 is less than two wall widths (0.0145 m each); so thick a wall yields before it "
            "leans: check the unit of either, or whether they are swapped.",
        ),
        (
            lambda: rk.LeanHeight(wall_width=2 * mm, density=1110.0, height=15 * mm, wall="tall"),
            "lean height: wall = 'tall' must be 'straight wall' or 'long wall'.",
        ),
        (
            lambda: rk.DryingShrinkage(wet_length=50 * mm, dry_length=46 * mm),
            "drying shrinkage: axis = '' must be 'xy' or 'z'.",
        ),
        (
            lambda: rk.DryingShrinkage(axis="z", wet_length=[0.05, 0.046], dry_length=[0.046, 0.05]),
            "drying shrinkage: no shrinkage in row 2 (0.05 m dry and 0.046 m wet); are the columns swapped?",
        ),
        (
            lambda: rk.DryingShrinkage(axis="z", wet_length=[0.05, 0.046], dry_length=[0.046, 0.0]),
            "drying shrinkage: dry_length is 0 m in row 2; take out rows that were not read.",
        ),
        (
            lambda: rk.OvenMoisture(tare_mass=20 * g, wet_mass=10 * g, dry_mass=5 * g),
            "oven moisture: row 1: dish 0.02 kg, dry 0.005 kg, wet 0.01 kg do not rise in that order; wet_mass and dry_mass are with "
            "the dish, so are columns swapped, or was the dish tared?",
        ),
        (
            lambda: rk.Sieve(aperture=STACK[1:], retained_mass=HELD[1:]),
            "sieve: no row for the pan, aperture 0: without what passed the finest sieve there are no shares.",
        ),
        (
            lambda: rk.Sieve(aperture=[0, 1e-4, 1e-4], retained_mass=[1, 1, 1]),
            "sieve: aperture 0.0001 m stands in several rows; one row a sieve, another test for another sieving.",
        ),
        (
            lambda: rk.Sieve(aperture=STACK[:5], retained_mass=HELD[:5]),
            "sieve: 21.1 % stayed on the coarsest sieve (0.18 mm), so d_90 is larger; add a coarser one.",
        ),
        (
            lambda: rk.Sieve(aperture=0.0, retained_mass=0.1),
            "sieve: no row for a sieve, whose openings are wider than 0.",
        ),
        (
            lambda: rk.Sieve(aperture=[0, 1e-4], retained_mass=[0, 0]),
            "sieve: nothing was left on any sieve nor in the pan; weigh what fell through too.",
        ),
        (
            lambda: rk.Sieve(aperture=[0, 1e-4], retained_mass=[0.1, -0.01]),
            "sieve: retained_mass is not positive in 1 of 2 rows (row 2: -0.01 kg); keep the others with .where(test.retained_mass > 0).",
        ),
    ],
)
def test_messages(make, words):
    with pytest.raises(rk.DataError) as caught:
        make()
    assert str(caught.value) == words


HOSTILE = {
    "no axis": ("drying shrinkage", "", "wet length [mm], dry length [mm]\n50, 46\n", "t.csv, bench.toml, [[test]] 1: drying shrinkage: axis = '' must be 'xy' or 'z'"),
    "an axis that is a number": ("drying shrinkage", "axis = 3", "wet length [mm], dry length [mm]\n50, 46\n", "axis = '3' must be 'xy' or 'z'"),
    "an axis that is a list": ("drying shrinkage", 'axis = ["z"]', "wet length [mm], dry length [mm]\n50, 46\n", "must be 'xy' or 'z'"),
    "a radius": ("lean height", 'wall_radius = "2 mm"', "height [mm]\n14.5\n", "'wall_radius' is not a key of a lean height"),
    "a width in metres": ("lean height", 'wall_width = "2 m"', "height [mm]\n14.5\n", "is outside 0.2 to 100 mm, where wall width usually lies"),
    "a cup without volume": ("cup density", "", "mass [g]\n111\n", "a cup density needs cup_volume: volume of the cup, from the water it holds"),
    "a bound": ("cup density", 'cup_volume = "100 mL"', "mass [g]\n111\n<112\n", "mass is a bound in row 3, from which no property follows"),
    "columns swapped": ("oven moisture", "", "tare mass [g], wet mass [g], dry mass [g]\n20, 25, 30\n", "row 2: dish 0.02 kg, dry 0.03 kg, wet 0.025 kg do not rise"),
    "mesh numbers": ("sieve", "", "aperture [mesh], retained mass [g]\n60, 0\n", "the unit [mesh] is not known"),
    "apertures in mm under um": ("sieve", "", "aperture [m], retained mass [g]\n0.25, 0\n0.18, 5\n0, 5\n", "'0.25' is outside 0 to 20 mm, where aperture usually lies"),
    "no pan": ("sieve", "", "aperture [um], retained mass [g]\n250, 0\n180, 5\n", "no row for the pan"),
}  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_folders_that_are_wrong_in_one_way(tmp_path, name):
    kind, keys, text, words = HOSTILE[name]
    (tmp_path / "bench.toml").write_text(
        f'[specimen]\ndensity = "1110 kg/m3"\n[[test]]\nkind = "{kind}"\nfile = "t.csv"\n{keys}\n'
    )
    (tmp_path / "t.csv").write_text(text)
    with pytest.raises(rk.ReadingError) as caught:
        rk.read_bench(tmp_path)
    assert words in str(caught.value)


# --- from folder to material ----------------------------------------------------------------------------------------


def folder(path, tests, specimen='density = "1110 kg/m3"'):
    """Write a folder of (kind, keys, text) and read it."""
    entries = [f'[[test]]\nkind = "{kind}"\nfile = "{k}.csv"\n{keys}\n' for k, (kind, keys, _) in enumerate(tests)]
    (path / "bench.toml").write_text(f"[specimen]\n{specimen}\n" + "\n".join(entries), encoding="utf-8")
    for k, (_, _, text) in enumerate(tests):
        (path / f"{k}.csv").write_text(text, encoding="utf-8")
    return rk.read_bench(path)


def test_stated_uncertainties_of_dimensions_reach_the_spread(tmp_path):
    """A cup of 100 ± 1 mL: 1 % (0.99 % seen upward), with the usual 0.3 % and the scatter of one filling, 1 %."""
    bench = folder(tmp_path, [("cup density", 'cup_volume = "100 ± 1 mL"', "mass [g]\n111\n")])
    size = np.hypot(0.003, np.log(1.01))
    assert bench.properties()["density"].spread == pytest.approx(np.hypot(size, 0.01), rel=1e-3)
    assert any(
        "standard deviation of the ln of the density" in note and "1 % for the uncertainty of cup_volume" in note
        for note in bench.origin.notes
    )


def test_a_density_without_air_that_is_not_stated_is_no_note(tmp_path):
    bench = folder(tmp_path, [("cup density", 'cup_volume = "100 mL"', "mass [g]\n111\n")])
    assert not any("true_density" in note for note in bench.origin.notes)


def test_several_measurements_are_averaged_by_their_inverse_variances():
    """1100 ± 1 % and 1122 ± 2 %: weights 4 to 1, ln mean ln 1100 + 0.2 ln 1.02; 1/√(1e4 + 2.5e3) = 0.894427 %, t of 3 + 1 1.416580."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = merged([fixed(1100.0, 0.01, "cup A"), fixed(1122.0, 0.02, "cup B")])["density"]
    assert found.value == pytest.approx(1100 * 1.02**0.2, rel=1e-12)
    assert found.spread == pytest.approx(0.00894427 * 1.416580, rel=1e-5)
    assert found.origin == "cup A and cup B"


def test_measurements_that_disagree_are_both_named_and_widen_the_spread():
    """1100 and 1200 ± 1 % each lie ln(12/11)/(√2 %) = 6.153 sd apart: 0.7071 % grow by √((3 + 6.153²)/4) × 1.416580 to 3.2014 %."""
    with pytest.warns(
        rk.RheokitWarning,
        match=r"density: measurements lie 6\.2 standard deviations apart .*1100 ± 1 % by cup A; 1200 ± 1 % by cup B",
    ):
        found = merged([fixed(1100.0, 0.01, "cup A"), fixed(1200.0, 0.01, "cup B")])["density"]
    assert found.spread == pytest.approx(0.032014, rel=1e-3)
    assert found.origin == "measurements disagree: 1100 ± 1 % by cup A; 1200 ± 1 % by cup B"
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        merged([fixed(1100.0, 0.01), fixed(1100 * np.exp(0.042), 0.01)])  # 2.97 sd
    with pytest.warns(rk.RheokitWarning, match="apart"):
        merged([fixed(1100.0, 0.01), fixed(1100 * np.exp(0.043), 0.01)])  # 3.04 sd


def test_a_material_takes_what_was_measured_before_what_the_specimen_states():
    wall = rk.LeanHeight(wall_width=2 * mm, density=1110.0, height=np.array([14.0, 14.5, 15.0]) * mm)
    specimen = rk.Specimen(density=1090.0, water_content=1.2)
    fit = rk.fit(rk.HerschelBulkley, rk.Bench(specimen, [CURVE, cup(110, 111, 112), wall]))
    found = Material.of(fit)
    assert found.paste.density == pytest.approx(1110)
    assert found.paste.water_content == 1.2
    assert found.origins["density"] == "measured: cup density, 3 readings"
    assert found.origins["water_content"] == "measured: stated of the specimen, taken as exact"
    assert found.spread("density") == pytest.approx(12.6745 / 1110, rel=1e-4)
    assert "lean factor 1" in found.origins["modulus"]
    assert found.paste.lean_factor == 1.0
    own = Material.of(fit, density=1050.0, spreads={"modulus": 0.5})
    assert (own.paste.density, own.origins["density"]) == (1050.0, "assumed: origin not given")
    assert own.spread("density") == 0.01  # the usual one
    assert own.spread("modulus") == 0.5


def test_the_next_wall_leans_where_walls_as_thick_did_however_they_were_written_down():
    """By hand: thrice the 0.1 by which equal walls scatter is in their modulus by 1/√6; the next one scatters as they do."""
    heights = np.array([16.6, 17.2, 16.1, 16.9, 17.4, 16.4]) * mm

    def walls(*several, width=2.4 * mm):
        tests = [
            rk.LeanHeight(wall_width=width, density=1230.0, height=one, label=f"{k}") for k, one in enumerate(several)
        ]
        return Material.of(rk.fit(rk.HerschelBulkley, rk.Bench(rk.Specimen(density=1230.0), [CURVE, *tests])))

    def errors(found, **part):
        case = rk.Case.of(
            found,
            RIG,
            rk.PrintJob(print_speed=10 * mm, layer_height=1 * mm, line_width=2 * mm, part_height=15 * mm, **part),
        )
        return rk.LIMITS["lean"].error(case)

    once, twice = walls(heights), walls(heights[:3], heights[3:])
    for found in (once, twice):
        assert found.lean_width == 2.4 * mm
        assert errors(found, wall_width=2.4 * mm) == errors(found, wall_width=2.6 * mm) == 0.1
        assert (
            errors(found, wall_width=4.8 * mm)
            == errors(found, wall_width=2.4 * mm, shape="ring", ring_radius=0.02)
            == 0.2
        )
        assert list(errors(found, wall_width=np.array([2.4, 4.8]) * mm)) == [0.1, 0.2]
    assert errors(walls(heights, width=2.0 * mm), wall_width=2.4 * mm) == 0.2
    mixed = Material.of(rk.fit(rk.HerschelBulkley, rk.Bench(rk.Specimen(density=1230.0), [CURVE])), modulus=2e4)
    assert mixed.lean_width is None and errors(mixed, wall_width=2.4 * mm) == 0.2


def test_the_first_bench_that_measured_a_property_counts():
    first, second, third = (replace(CURVE, shear_stress=CURVE.shear_stress * factor) for factor in (1.0, 1.01, 0.98))
    one, two = rk.Bench(rk.Specimen(batch="1"), [first]), rk.Bench(rk.Specimen(batch="2"), [second, cup(120)])
    three = rk.Bench(rk.Specimen(batch="3"), [third, cup(100)])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = Material.of(rk.fit(rk.HerschelBulkley, one, two, three))
    assert found.paste.density == pytest.approx(1200)


def test_the_demonstration_gives_the_numbers_it_was_made_from(repository):
    """Kind: independent. What data/invent.py put in: density 1110, wall 14.5 mm, S 8 and 11 %, u 1.045, d_90 180 um."""
    bench = rk.read_bench(repository / "data" / "olive-stone-paste")
    wall = 12 * 1110 * 9.81 * 0.0145**3 / (7.837347 * 0.002**2)
    truth = {
        "density": 1110.0, "air_content": 1 - 1110 / 1150, "modulus": wall, "shrinkage_xy": 0.08, "shrinkage_z": 0.11,
        "water_content": 1.045, "grain_size": 180 * um, "largest_grain": 250 * um, "lean_factor": 1.0,
    }  # fmt: skip
    found = bench.properties()
    assert set(found) == set(truth)
    for name, value in truth.items():
        assert abs(np.log(found[name].value / value)) <= 2 * found[name].spread, name
    assert found["modulus"].value < 25 * kPa  # walls lean before the modulus of the paste says so


@pytest.fixture
def repository():
    from pathlib import Path

    return Path(__file__).parents[1]
