"""The air of a paste by its density and its ingredients, and what is said where density and air cannot be together. Kind: by hand."""

import pytest

from rheokit.workbook.assumed import Assumed
from rheokit.workbook.draft import Draft
from rheokit.workbook.of_air import air_by_density, doubt_of_air

# 100 g of clay of 2500 kg/m3 take 40 mL, 50 g of water of 998 kg/m3 50.1002 mL: without air 150 g in 90.1002 mL, 1664.81 kg/m3
PLAN = """[recipe]
water_content = 0.6
[[recipe.ingredient]]
name = "clay"
mass = "100 g"
density = "2500 kg/m3"
"""
WATER = {"water_content": Assumed(0.5, None, "measured: an oven")}


def of(density, air=None, spread=0.005):
    known = WATER | {"density": Assumed(density, spread, "measured: a cup")}
    return known if air is None else known | {"air_content": Assumed(air, None, "measured: mine")}


def test_a_density_tells_the_air_at_the_water_it_was_measured_at():
    found = air_by_density(Draft(PLAN), of(1450.0))
    assert found.value == pytest.approx(1 - 1450 / 1664.813, rel=1e-5)
    error = ((1450 / 1664.813 * 0.005) ** 2 + 0.01**2) ** 0.5
    assert found.spread == pytest.approx(error / found.value, rel=1e-5)
    assert found.origin.startswith("measured: of the density")


@pytest.mark.parametrize("known", [{}, WATER, {"density": of(1450.0)["density"]}])
def test_without_density_water_or_recipe_nothing_is_told_of_air(known):
    assert air_by_density(Draft(PLAN), known) is None and air_by_density(Draft(""), of(1450.0)) is None


def test_little_air_is_told_as_little_and_none_of_a_paste_that_is_too_dense():
    little = air_by_density(Draft(PLAN), of(1670.0))
    assert 0 < little.value < 0.01 and "too little air to be told" in little.origin
    assert air_by_density(Draft(PLAN), of(1712.0)) is None


def test_a_paste_denser_than_without_air_is_told_beyond_its_error_alone():
    said = doubt_of_air(Draft(PLAN), of(1712.0, 0.025))
    assert said.startswith("The paste as measured is denser than its recipe without any air, which cannot be.")
    assert "against 1665 kg/m³" in said
    assert doubt_of_air(Draft(PLAN), of(1670.0)) == ""


def test_density_and_air_disagree_beyond_their_errors_alone():
    said = doubt_of_air(Draft(PLAN), of(1450.0, 0.025))
    assert said.startswith("Density and air content disagree beyond their errors.") and "is read" in said
    typed = doubt_of_air(Draft(PLAN + '[properties]\nair_content = "2.5 %"\n'), of(1450.0, 0.025))
    assert "is typed" in typed and typed.endswith("leave the air content empty: then that of the density counts.")
    for air in (0.10, 0.129, 0.16):  # 12.9 %, of 1.1 % and 0.3 of each
        assert doubt_of_air(Draft(PLAN), of(1450.0, air)) == ""
    assert doubt_of_air(Draft(PLAN), of(1450.0, 0.07)) and not doubt_of_air(Draft(PLAN), of(1450.0, 0.09))


def test_a_density_of_unknown_water_is_said_not_to_be_used():
    known = {"density": of(1312.0)["density"]}
    assert doubt_of_air(Draft(PLAN), known).startswith("The density as measured is not used: at which water content")
    assert doubt_of_air(Draft(PLAN), {}) == doubt_of_air(Draft(""), known) == ""
