"""Batch sheets, bases of water, and water to correct a batch. The paste is invented."""

from types import SimpleNamespace

import numpy as np
import pint
import pytest
from scipy import stats

from rheokit.errors import DataError
from rheokit.fitting import Interval
from rheokit.paste.recipe import Ingredient, Recipe, dry_basis, rewetting_water, water_content_of, wet_basis
from rheokit.paste.water import Correction, WaterLaw, premix_to_add, water_to_add
from rheokit.units import g

FLOUR = Ingredient(name="olive-stone flour", dry_mass=100 * g, density=1350.0)
GUMS = (
    Ingredient(name="CMC", dry_mass=7 * g, density=1590.0, dissolves=True),
    Ingredient(name="xanthan", dry_mass=3 * g, density=1500.0, dissolves=True),
)
PASTE = Recipe(ingredients=(FLOUR, *GUMS), water_content=115 / 110)
SLOPE = WaterLaw(slope=3.23, low=2.9, high=3.6)
AT_1400 = 1.045 - np.log(1400 / 650) / 3.23


def moist(moisture):
    return tuple(
        Ingredient(
            name=one.name, dry_mass=one.dry_mass, density=one.density, moisture=moisture, dissolves=one.dissolves
        )
        for one in PASTE.ingredients
    )


# --- bases ---


def test_half_and_half_is_one():
    assert dry_basis(0.5) == 1.0
    assert wet_basis(1.0) == 0.5
    shares = np.linspace(0, 0.9, 7)
    assert wet_basis(dry_basis(shares)) == pytest.approx(shares)
    assert wet_basis(1.045) == pytest.approx(0.511, abs=5e-4)


# --- what the batch is ---


def test_shares_of_the_demonstration_paste():
    """By hand: u 1.045, x 0.511, φ 0.411 (grains 0.378), 1150 kg/m3; a cup of 1110 holds 3.5 % air."""
    assert PASTE.water_content == pytest.approx(1.045, abs=5e-4)
    assert PASTE.wet_water_content == pytest.approx(0.511, abs=5e-4)
    assert PASTE.solid_fraction == pytest.approx(0.4112, abs=5e-5)
    assert PASTE.grain_fraction == pytest.approx(0.3785, abs=5e-5)
    assert PASTE.density == pytest.approx(1149.7, abs=0.05)
    assert PASTE.solid_density == pytest.approx(1366.9, abs=0.05)
    assert PASTE.air_content(1110.0) == pytest.approx(0.0345, abs=5e-5)


def test_density_by_volumes():
    """Exact: a litre of paste is the sum of its parts' volumes."""
    masses = np.array([100, 7, 3, 115])
    assert PASTE.density == pytest.approx(masses.sum() / (masses / [1350, 1590, 1500, 998]).sum())


def test_batch_sheet_counts_the_moisture():
    """By hand: 500 g at u 115/110 is 244.4 g dry; flour of 8 % is 241.5 g as weighed with 19.3 g of water in it."""
    flour = Ingredient(name="flour", dry_mass=100.0, density=1350.0, moisture=0.08)
    sheet = Recipe(ingredients=(flour, *GUMS_OF_100), water_content=115 / 110).batch_sheet(500 * g)
    assert sheet.loc["flour"].tolist() == pytest.approx([241.546, 222.222, 19.324], abs=5e-4)
    assert sheet.loc["water", "weigh"] == pytest.approx(255.556 - 19.324, abs=1e-3)
    assert sheet["weigh"].sum() == pytest.approx(500)
    assert sheet["water"].sum() / sheet["dry"].sum() == pytest.approx(115 / 110)


GUMS_OF_100 = tuple(
    Ingredient(name=one.name, dry_mass=one.dry_mass / g, density=one.density, dissolves=True) for one in GUMS
)


def test_sheet_as_weighed_holds_the_water_it_says():
    recipe = Recipe(ingredients=moist(0.1), water_content=1.045)
    sheet = recipe.batch_sheet(300 * g)
    powders = {name: (row.weigh, 0.1) for name, row in sheet.iloc[:-1].iterrows()}
    assert water_content_of(powders, sheet.loc["water", "weigh"]) == pytest.approx(1.045)


def test_the_pitfall_of_moist_powders():
    """By hand: dry masses weighed from bags of 8 %: (115 + 8.8)/101.2 = 1.223; ln τ falls by 3.23 x 0.178, to 0.56."""
    recipe = Recipe(ingredients=moist(0.08), water_content=115 / 110)
    assert recipe.uncounted_water_content == pytest.approx(1.2233, abs=5e-5)
    assert SLOPE.stress_factor(PASTE.water_content, recipe.uncounted_water_content) == pytest.approx(0.563, abs=5e-4)
    assert PASTE.uncounted_water_content == pytest.approx(PASTE.water_content)
    weighed = {one.name: (one.dry_mass, 0.08) for one in PASTE.ingredients}
    assert water_content_of(weighed, 115 * g) == pytest.approx(recipe.uncounted_water_content)


def test_dried_parts_are_wetted_to_what_was_recorded():
    """By hand: 200 g of 8 % hold 184 g dry and 16 g water; at u 1.045 that is 192.28 g, so 176.28 g to add."""
    assert rewetting_water(200 * g, 0.08, 1.045) == pytest.approx(176.28 * g, abs=5e-6)


# --- water law ---


def test_six_water_contents():
    """Independent: scipy's straight line through ln τ, slope and t interval."""
    u, stress = [0.85, 0.95, 1.045, 1.15, 1.30, 1.45], [1220, 883, 650, 463, 285, 150]
    line = stats.linregress(u, np.log(stress))
    half = stats.t.ppf(0.975, 4) * line.stderr
    law = WaterLaw.fit(u, stress)
    assert (law.slope, law.intercept) == (pytest.approx(-line.slope), pytest.approx(line.intercept))
    assert (law.low, law.high) == (pytest.approx(-line.slope - half), pytest.approx(-line.slope + half))
    assert law.water_range == (0.85, 1.45)
    assert law.yield_stress(1.1) == pytest.approx(np.exp(line.intercept + 1.1 * line.slope))


def test_demonstration_slope():
    law = WaterLaw.fit([0.85, 0.95, 1.045, 1.15, 1.30, 1.45], [1220, 883, 650, 463, 285, 176])
    assert law.slope == pytest.approx(3.23, abs=5e-3)


def test_two_readings_with_a_stated_error():
    """By hand: b = ln(883/463)/0.2 = 3.228, standard error 0.15 √2/0.2 = 1.061; Student's t of 3 degrees of freedom 3.182."""
    law = WaterLaw.fit([0.95, 1.15], [883.0, 463.0], relative_uncertainty=0.15)
    assert (law.slope, law.low, law.high) == pytest.approx(
        (3.2280, 3.228 - 3.182446 * 1.06066, 3.228 + 3.182446 * 1.06066), abs=2e-4
    )
    assert law.scatter == (
        "Two readings show neither scatter nor bend: they are taken to err by 15 %, as was stated, and to lie on a straight line. A third "
        "shows both, and draws the limits together."
    )
    said = law.correction(0.5, water_content=1.0, stress_now=900.0, stress_wanted=650.0)
    assert "15 % as was stated of the readings of the law" in said.by and law.scatter in said.doubts
    twice = WaterLaw.fit([0.95, 1.15, 1.15], [883.0, 463.0, 450.0], 0.15)
    assert twice.scatter.startswith("Readings at two water contents show no bend")


def test_limits_do_not_jump_where_readings_scatter_as_much_as_was_stated():
    """The middle one of three readings goes through the place where they scatter by 5 %, as was stated; t of 4 to 5 degrees of freedom."""
    laws = [WaterLaw.fit([0.42, 0.50, 0.58], [1290.0, middle, 470.0], 0.05) for middle in (822.0, 827.5, 828.0, 840.0)]
    widths = np.array([law.high - law.low for law in laws])
    assert np.all(np.diff(widths) >= 0) and widths[2] == pytest.approx(widths[1], rel=1e-3)
    assert widths[0] / 2 == pytest.approx(stats.t.ppf(0.975, 4) * 0.05 / np.sqrt(0.0128), rel=1e-9)
    pair = WaterLaw.fit([0.42, 0.58], [1290.0, 470.0], 0.05)
    assert pair.high - pair.low > widths[0], "a reading that agrees with the others makes no limit wider"


def test_stated_errors_weigh_and_are_widened_by_scatter():
    """Independent: numpy's weighted line, scipy's t of two and three degrees of freedom; the third reading is far off its stated error."""
    u, stress, error = (
        np.array([0.9, 1.0, 1.2, 1.4]),
        np.array([1000.0, 900.0, 300.0, 200.0]),
        np.array([0.05, 0.3, 0.05, 0.1]),
    )
    (slope, _), covariance = np.polyfit(u, np.log(stress), 1, w=1 / error, cov="unscaled")
    left = (np.log(stress) - np.polyval(np.polyfit(u, np.log(stress), 1, w=1 / error), u)) / error
    scatter = (3 + np.sum(left**2)) / (3 + 2)  # what was stated counts as three
    law = WaterLaw.fit(u, stress, relative_uncertainty=error)
    assert law.slope == pytest.approx(-slope)
    assert law.high - law.slope == pytest.approx(stats.t.ppf(0.975, 5) * np.sqrt(covariance[0, 0] * scatter))
    assert scatter > 1


def test_clay():
    """By hand: ln 35/0.20 = 17.78; one gram more in 100 g dry is 16 % less; five water contents of the soft body."""
    law = WaterLaw.clay(0.42, 0.22)
    assert law.slope == pytest.approx(17.777, abs=5e-4)
    assert law.stress_factor(0.40, 0.41) == pytest.approx(0.837, abs=5e-4)
    stresses = 2430 * law.stress_factor(0.40, np.array([0.345, 0.36, 0.38, 0.42]))
    assert stresses == pytest.approx([6460, 4948, 3467, 1703], abs=0.51)


# --- correction ---


def held_share(benches, slope_law, read_error, **more):
    """Return in how many synthetic batches the interval held the grams that are right, by the law that made them."""
    rng, held = np.random.default_rng(11), []
    for _ in range(benches):
        slope, stress, water = rng.uniform(2.0, 6.0), rng.uniform(300.0, 2000.0), rng.uniform(0.8, 1.2)
        law, wanted = slope_law(rng, slope), 650.0
        read = stress * np.exp(read_error * rng.standard_normal())
        found = law.correction(0.5, water_content=water, stress_now=read, stress_wanted=wanted, **more)
        change = np.log(stress / wanted) / slope  # what makes it 650 Pa, by the law itself
        dry = 0.5 / (1 + water)
        needed = dry * change if found.what == "water" else dry * water / (water + change) - dry
        held.append(found.low <= needed <= found.high)
    return np.mean(held)


def fitted_to(count, stated):
    def law(rng, slope):
        water = np.linspace(0.85, 1.3, count)
        read = 20e3 * np.exp(-slope * water + 0.15 * rng.standard_normal(count))
        return WaterLaw.fit(water, read, 0.15 if stated else None)

    return law


def given_with(half):
    def law(rng, slope):
        middle = slope + half / 1.96 * rng.standard_normal()
        return WaterLaw(slope=middle, low=middle - half, high=middle + half)

    return law


@pytest.mark.parametrize(
    ("slope_law", "read_error", "more"),
    [
        (fitted_to(3, True), 0.15, {}),
        (fitted_to(4, True), 0.15, {}),
        (fitted_to(5, True), 0.15, {}),
        (fitted_to(4, False), 0.15, {}),
        (given_with(0.35), 0.15, {"stress_now_spread": 0.15}),
        (given_with(0.35), 0.20, {}),
        (given_with(0.35), 0.0, {"stress_now_spread": 0.0}),
    ],
    ids=["3 readings", "4 readings", "5 readings", "4 without error", "stated", "assumed", "exact"],
)
def test_the_grams_hold_the_right_amount(slope_law, read_error, more):
    """Independent: the grams that the law of each batch itself needs; 95 % intervals, 240 batches, give or take 3 %."""
    assert 0.91 < held_share(240, slope_law, read_error, **more) < 0.997


@pytest.mark.parametrize(
    ("count", "times", "least"),
    [
        (3, 1, 0.96),
        (4, 1, 0.96),
        (7, 1, 0.95),
        (4, 0.5, 0.99),
        (7, 0.5, 0.99),
        (2, 2, 0.86),
        (3, 2, 0.86),
        (4, 2, 0.87),
        (7, 2, 0.89),
    ],
)
def test_readings_that_scatter_otherwise_than_was_stated(count, times, least):
    """Independent: slope, stress and grams of the law that made each of 400 lines, 12 % stated; the shares within 3 % of those of 20000."""
    rng, held, slope, water = np.random.default_rng([7, count]), [], 6.0, np.linspace(0.4, 0.8, count)
    for _ in range(400):
        law = WaterLaw.fit(
            water, 600 * np.exp(-slope * (water - 0.6) + 0.12 * times * rng.standard_normal(count)), 0.12
        )
        read = 1000 * np.exp(0.12 * times * rng.standard_normal())
        found, (_, low, high) = (
            law.correction(1.6, water_content=0.6, stress_now=read, stress_wanted=600.0),
            law.band(0.55),
        )
        change = np.log(1000 / 600) / slope  # kg of water in a kilogram of dry mass
        held.append(
            (law.low <= slope <= law.high, low <= 600 * np.exp(slope * 0.05) <= high, found.low <= change <= found.high)
        )
    assert np.all(np.mean(held, axis=0) >= least), np.mean(held, axis=0)


def test_what_few_readings_make_of_the_limits_is_said():
    """Independent: scipy's straight line, whose scatter counts twice beside three times the 5 % that was stated."""
    assert WaterLaw.fit([0.7, 0.8, 0.95], [1500.0, 1050.0, 610.0], 0.15).scatter == ""
    assert THREE.scatter == FEW
    u, stress = np.array([0.5, 0.6, 0.7, 0.8]), np.array([1000.0, 900.0, 300.0, 240.0])
    wild, line = WaterLaw.fit(u, stress, 0.05), stats.linregress(u, np.log(stress))
    scatter = np.sqrt(np.sum((np.log(stress) - line.intercept - line.slope * u) ** 2) / 2)
    assert (wild.reading_spread, wild.freedom) == (pytest.approx(np.sqrt((3 * 0.05**2 + 2 * scatter**2) / 5)), 5)
    assert wild.scatter == (
        "The 4 readings scatter by 30 % about their line, more than the 5 % stated of them: 19 % is taken."
    )


def test_the_law_itself_as_the_reading_ties_both_errors():
    """The yield stress of the line at the batch's own water content: level and slope are wrong together."""
    rng, held = np.random.default_rng(5), []
    for _ in range(240):
        slope, water = rng.uniform(2.0, 6.0), rng.uniform(0.7, 0.9)
        law = fitted_to(4, True)(rng, slope)
        wanted = 20e3 * np.exp(-slope * (water + 0.15))
        found = law.correction(0.5, water_content=water, stress_wanted=wanted)
        if found.what == "water":
            held.append(found.low <= 0.15 * 0.5 / (1 + water) <= found.high)
    assert len(held) > 150
    assert 0.90 < np.mean(held) < 0.999
    assert "that of the yield stress of the same line" in str(found)


def test_limits_of_a_ratio_by_hand():
    """Fieller by hand, ratio of two normals: |f - c b| = 1.96 (s² + c² u²)^(1/2) at either limit."""
    found = SLOPE.correction(1.0, water_content=1.0, stress_now=1400.0, stress_wanted=650.0, stress_now_spread=0.15)
    for grams, slope_error in ((found.low, 0.37), (found.high, 0.33)):
        change = 2 * grams
        left = abs(np.log(1400 / 650) - change * 3.23)
        assert left == pytest.approx(np.hypot(1.95996 * 0.15, change * slope_error), rel=1e-5)


def test_a_yield_stress_with_its_own_interval_is_taken():
    read = SimpleNamespace(value=1400.0, low=1400 / np.exp(1.95996 * 0.15), high=1400 * np.exp(1.95996 * 0.15))
    more = {"water_content": 1.0, "stress_wanted": 650.0}
    given = SLOPE.correction(0.5, stress_now=read, **more)
    stated = SLOPE.correction(0.5, stress_now=1400.0, stress_now_spread=0.15, **more)
    assert given[1:8] == pytest.approx(stated[1:8], rel=1e-5)
    assert "that of the yield stress just read, 1.04 to 1.88 kPa" in str(given)


FORBIDDEN = (
    "4 of 23 checks failed: not to be used. Likeliest cause: the paste slips at the wall. Roughen the walls and read "
    "again. asks for 0 1/s; the readings cover 1 to 100 1/s and the yield stress"
)


@pytest.mark.parametrize(
    ("extrapolated", "comment", "doubts"),
    [
        (False, FORBIDDEN, (f"Of the yield stress given: {FORBIDDEN}.",)),
        (True, "no rates read", ("Of the yield stress given: extrapolated; no rates read.",)),
        (False, "not identified: needs a slump", ("Of the yield stress given: not identified: needs a slump.",)),
        (False, "asks for 0 1/s; the readings cover 1 to 100 1/s and the yield stress", ()),
    ],
)
def test_what_an_interval_says_against_itself_is_said_of_the_grams(extrapolated, comment, doubts):
    """A yield stress of a fit whose checks forbid to use it gave grams of water without a word."""
    read = Interval(1400.0, 1100.0, 1800.0, extrapolated, comment)
    found = SLOPE.correction(0.5, water_content=1.0, stress_now=read, stress_wanted=650.0)
    assert found.doubts == doubts
    assert str(found).endswith(" ".join(doubts) or "what is left.")


def test_a_yield_stress_that_is_not_identified_gives_no_grams():
    read = Interval(np.nan, 0.0, 40.0, False, "not identified: needs a slump; asks for 0 1/s")
    with pytest.raises(DataError) as refused:
        SLOPE.correction(0.5, water_content=1.0, stress_now=read, stress_wanted=650.0)
    assert str(refused.value) == (
        "WaterLaw.correction: stress_now has no value: not identified: needs a slump; asks for 0 1/s. Give a yield "
        "stress read of this batch, in Pa."
    )


def test_the_dry_batch():
    """By hand: 500 g of OSP at 1400 Pa, wanted 650: u is 0.8075, 277 g dry, add 66 g (59 to 73 for 3.6 to 2.9).

    Those limits are the slope's alone; with 20 % of the yield stress just read they are two times as far apart.
    """
    whole = SLOPE.correction(500 * g, water_content=AT_1400, stress_now=1400.0, stress_wanted=650.0)
    assert str(whole) == (
        "Add 66 g of water in all (95 % 32 to 101 g, by the slope's interval and that of the yield stress just "
        "read, 20 %, assumed). Add 44 g of it first, mix, rest and test as before, then work out again what is left."
    )
    found = SLOPE.correction(
        500 * g, water_content=AT_1400, stress_now=1400.0, stress_wanted=650.0, stress_now_spread=0.0
    )
    assert found.what == "water"
    assert found[1:4] == pytest.approx((65.7 * g, 58.96 * g, 73.19 * g), abs=6e-5)
    assert found.first == pytest.approx(43.8 * g, abs=6e-5)
    assert found.water_content == pytest.approx(1.045)
    assert str(found) == (
        "Add 66 g of water in all (95 % 59 to 73 g, by the slope's interval alone: the yield stress is taken as "
        "exact). Add 44 g of it first, mix, rest and test as before, then work out again what is left."
    )
    assert (found.water_low, found.water_high) == pytest.approx((AT_1400 + 0.2131, AT_1400 + 0.2646), abs=1e-4)


def test_the_wet_batch():
    """Water cannot be taken out: dry premix of 8 % moisture, and its balance of water and dry mass."""
    found = SLOPE.correction(500 * g, water_content=1.3, stress_now=285.0, stress_wanted=650.0, premix_moisture=0.08)
    assert found.what == "dry premix"
    assert found.low < found.mass < found.high
    dry = 500 * g / 2.3
    assert (1.3 * dry + 0.08 * found.mass) / (dry + 0.92 * found.mass) == pytest.approx(1.3 - np.log(650 / 285) / 3.23)
    assert found.water_content == pytest.approx(1.3 - np.log(650 / 285) / 3.23)


def test_a_right_batch_needs_nothing():
    found = SLOPE.correction(0.5, water_content=1.0, stress_now=650.0, stress_wanted=650.0)
    assert isinstance(found, Correction)
    assert (found.what, found.mass, found.first, found.water_content) == ("water", 0.0, 0.0, 1.0)
    assert -found.low == pytest.approx(0.25 * 1.96 * 0.2 / 3.23, rel=0.03)  # dry mass times the change, by hand
    assert str(found) == (
        "The batch reads as wanted: add nothing. It may hold 31 g of water too much or lack 30 g of it (95 %, by "
        "the slope's interval and that of the yield stress just read, 20 %, assumed)."
    )


def test_a_batch_that_may_be_right_already_says_so():
    found = SLOPE.correction(0.5, water_content=1.0, stress_now=700.0, stress_wanted=650.0)
    assert found.low < 0 < found.mass < found.high
    assert "(95 % nothing, for it may be right already, to" in str(found)
    wild = WaterLaw(slope=3.0, low=-0.5, high=6.5)
    endless = wild.correction(0.5, water_content=1.0, stress_now=700.0, stress_wanted=650.0)
    assert "nothing, for it may be right already, to no limit, for the slope may be nothing" in str(endless)


def test_a_slope_that_may_be_nothing_leaves_the_end_open():
    wild = WaterLaw(slope=3.0, low=-0.5, high=6.5)
    assert wild.correction(0.5, water_content=0.8, stress_now=1400.0, stress_wanted=650.0).high == np.inf
    assert wild.correction(0.5, water_content=1.3, stress_now=285.0, stress_wanted=650.0).high == np.inf


THREE = WaterLaw.fit([0.7, 0.8, 0.95], [1500.0, 1050.0, 610.0])
FEW = (
    "The 3 readings scatter by 0.26 % about their line: so few tell a scatter badly, and the limits lie 12.7 standard deviations to "
    "either side rather than 2. Another reading draws them together."
)


def test_a_correction_outside_the_readings_of_its_law_says_so():
    """By hand: slope 3.60 through (0.7, 1500 Pa): 121 Pa at u = 1.4, where 1400 Pa were read; 20 Pa wants u = 1.89."""
    off = THREE.correction(0.5, water_content=1.4, stress_now=1400.0, stress_wanted=650.0)
    assert off.extrapolated
    assert off.doubts == (
        "From u = 1.4 to 1.613 is outside the water contents the slope was fitted to, 0.7 to 0.95: extrapolated.",
        "The reading is 12 times what the law gives at this water content: check the basis (dry or wet) and the test.",
        FEW,
    )
    assert str(off).endswith(" ".join(off.doubts))
    far = THREE.correction(0.5, water_content=0.8, stress_wanted=20.0)
    assert far.extrapolated
    assert far.doubts == (
        "From u = 0.8 to 1.899 is outside the water contents the slope was fitted to, 0.7 to 0.95: extrapolated.",
        FEW,
    )
    near = THREE.correction(0.5, water_content=0.75, stress_now=1300.0, stress_wanted=700.0)
    assert not near.extrapolated
    assert near.doubts == (FEW,)


@pytest.mark.parametrize(("sds", "doubted"), [(2.8, False), (3.2, True), (-2.8, False), (-3.2, True)])
def test_a_reading_is_doubted_beyond_three_deviations_of_both(sds, doubted):
    """By hand: sd of ln of the reading 0.15, of a line of five readings of 0.15 at its centre 0.15/5^(1/2), both times 2.446912/1.959964, t of 3 + 3."""
    water = np.linspace(0.8, 1.2, 5)
    law = WaterLaw.fit(water, 20e3 * np.exp(-3.0 * water), 0.15)
    read = law.yield_stress(1.0) * np.exp(sds * 0.15 * 2.446912 / 1.959964 * np.sqrt(1 + 1 / 5))
    assert bool(law.correction(0.5, water_content=1.0, stress_now=read, stress_wanted=0.8 * read).doubts) == doubted


def test_three_readings_on_a_line_make_no_test_of_two_percent():
    """The usual scatter of a test, 15 %, is the least; what is stated is taken as it is."""
    more = {"water_content": 0.75, "stress_now": 1300.0, "stress_wanted": 700.0}
    found = THREE.correction(0.5, **more)
    assert found[1:8] == pytest.approx(THREE.correction(0.5, stress_now_spread=0.15, **more)[1:8])
    assert found.by == (
        "the slope's interval and that of the yield stress just read, 15 %, as is usual of a test (the law's own scatter "
        "by 0.26 %)"
    )
    stated = THREE.correction(0.5, stress_now_spread=0.02, **more)
    assert stated.high - stated.low < 0.5 * (found.high - found.low)


def test_a_yield_stress_with_a_unit_is_converted():
    units = pint.UnitRegistry()
    more = {"water_content": 1.0, "stress_wanted": 650.0}
    plain = SLOPE.correction(0.5, stress_now=1400.0, **more)
    assert SLOPE.correction(0.5, stress_now=units.Quantity(1.4, "kPa"), **more) == plain
    read = [units.Quantity(kilo, "kPa") for kilo in (1.4, 1.2, 1.6)]
    plain = SLOPE.correction(0.5, stress_now=SimpleNamespace(value=1400.0, low=1200.0, high=1600.0), **more)
    typed = SLOPE.correction(0.5, stress_now=SimpleNamespace(value=read[0], low=read[1], high=read[2]), **more)
    assert typed[1:8] == pytest.approx(plain[1:8])


def test_water_and_premix_take_arrays():
    changes = np.linspace(0.1, 0.3, 3)
    assert water_to_add(0.5, 0.8, changes) == pytest.approx(0.5 / 1.8 * changes)
    masses = premix_to_add(0.5, 1.3, -changes, np.array([0.0, 0.1])[:, None])
    assert masses.shape == (2, 3)
    assert masses[0] == pytest.approx(0.5 / 2.3 * (1.3 / (1.3 - changes) - 1))


PAIR = SimpleNamespace(u=[0.95, 1.15], stress=[883.0, 463.0])


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (lambda: dry_basis(1.045), "dry_basis: wet_water_content = 1.045 must be 0 to below 1 (is it u already?)."),
        (lambda: wet_basis(-0.1), "wet_basis: water_content = -0.1 cannot be negative."),
        (
            lambda: Ingredient(name="flour", dry_mass=0.1, density=1350.0, moisture=8.0),
            "Ingredient 'flour': moisture = 8 must be from 0 to 1 (did you mean 8 %? That is 0.08).",
        ),
        (lambda: Recipe(ingredients=(), water_content=1.0), "Recipe: no ingredients; give at least one Ingredient."),
        (
            lambda: Recipe(ingredients=(FLOUR, FLOUR), water_content=1.0),
            "Recipe: olive-stone flour stands in it twice; add the masses up, or name them apart.",
        ),
        (
            lambda: Recipe(ingredients=moist(0.1), water_content=0.1).batch_sheet(0.22),
            "Recipe.batch_sheet: the powders bring 22.2 g of water, but the paste is to hold 20 g; dry the powders, "
            "or allow more water.",
        ),
        (
            lambda: PASTE.air_content(1300.0),
            "Recipe.air_content: density = 1300 kg/m³ is above the 1150 kg/m3 of the recipe without air; check cup, "
            "moisture and densities.",
        ),
        (
            lambda: rewetting_water(0.2, 0.6, 1.045),
            "rewetting_water: moisture = 0.6 is more than the paste is to hold.",
        ),
        (
            lambda: WaterLaw.fit(PAIR.u, PAIR.stress),
            "WaterLaw.fit: two readings lie on a line whatever their error; state relative_uncertainty (0.15 for 15 "
            "%), or add a third water content.",
        ),
        (
            lambda: WaterLaw.fit([1.0, 1.0, 1.0], [883.0, 463.0, 500.0]),
            "WaterLaw.fit: 3 water contents (1 different) and 3 yield stresses; a slope needs one yield stress each, "
            "at two different water contents or more.",
        ),
        (
            lambda: WaterLaw.fit([0.95, 1.15, 1.2], [463.0, 883.0, 900.0]),
            "WaterLaw.fit: ln yield stress falls by -2.82 per unit of water content; it should fall. Are the water "
            "contents all on the dry basis, and the pastes rested alike?",
        ),
        (
            lambda: WaterLaw(slope=3.0, low=3.5, high=4.0),
            "WaterLaw: slope = 3 is not within its interval, 3.5 to 4.",
        ),
        (
            lambda: WaterLaw(slope=3.0, low=2.0),
            "WaterLaw: give both ends of the slope's interval, low and high, or neither.",
        ),
        (
            lambda: WaterLaw.clay(0.2, 0.3),
            "WaterLaw.clay: water_content = 0.2 is no liquid limit: it is not above the plastic one.",
        ),
        (
            lambda: WaterLaw.clay(0.42, 0.22).yield_stress(0.4),
            "WaterLaw.yield_stress: only the slope is known; measure one yield stress, or fit the law.",
        ),
        (
            lambda: WaterLaw.clay(0.42, 0.22).correction(1.0, water_content=0.4, stress_now=3e3, stress_wanted=2e3),
            "WaterLaw.correction: the slope has no interval; give low and high with it, or fit three readings.",
        ),
        (
            lambda: SLOPE.correction(1.0, water_content=0.3, stress_now=285.0, stress_wanted=6500.0),
            "WaterLaw.correction: more than all the water of the batch would have to leave it, which no dry premix can bring about; start a "
            "new batch, or check both yield stresses and the water content.",
        ),
        (
            lambda: SLOPE.correction(
                1.0, water_content=1.0, stress_now=285.0, stress_wanted=500.0, premix_moisture=0.5
            ),
            "WaterLaw.correction: the batch would have to come down to water_content = 0.826, which the dry premix "
            "cannot bring it to; dry the premix, or start a new batch.",
        ),
        (
            lambda: SLOPE.correction(0.5, water_content=1.0, stress_now=(1200.0, 1600.0), stress_wanted=650.0),
            "WaterLaw.correction: stress_now = (1200.0, 1600.0) is not one number; give the yield stress in Pa, and how "
            "well it is known as stress_now_spread (0.15 for 15 %), or an interval with value, low and high.",
        ),
        (
            lambda: SLOPE.correction(
                0.5, water_content=1.0, stress_now=pint.UnitRegistry().Quantity(1.4, "kg"), stress_wanted=650.0
            ),
            "WaterLaw.correction: stress_now = 1.4 kilogram is in another dimension than stress_now, Pa: that is a pressure or stress.",
        ),
        (
            lambda: SLOPE.correction(0.5, water_content=[1.0, 1.1], stress_now=1400.0, stress_wanted=650.0),
            "WaterLaw.correction: water_content = array([1. , 1.1]) is not one number; ask batch by batch.",
        ),
        (
            lambda: SLOPE.correction(
                0.5, water_content=1.0, stress_now=SimpleNamespace(value=900.0, low=1e3, high=2e3), stress_wanted=650.0
            ),
            "WaterLaw.correction: stress_now = 900 Pa is not within its interval, 1000 to 2000 Pa.",
        ),
        (lambda: water_to_add(0.5, 1.0, -0.1), "water_to_add: water_change = -0.1 is negative: add dry premix."),
        (lambda: premix_to_add(0.5, 1.0, 0.1), "premix_to_add: water_change = 0.1 is positive: add water."),
        (
            lambda: premix_to_add(0.5, 1.0, -0.9, 0.2),
            "premix_to_add: moisture = 0.2 of the premix is more than the paste is to hold.",
        ),
    ],
)
def test_messages(act, message):
    with pytest.raises(DataError) as caught:
        act()
    assert str(caught.value) == message
