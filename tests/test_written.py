"""A number that a person reads: in a unit of the bench, with the digits that its interval deserves."""

import math

import numpy as np
import pytest
from test_appendix_sections import POOR, folder

import rheokit as rk
from rheokit.appendix.sections import apparatus
from rheokit.appendix.study import Study
from rheokit.nomenclature import (
    MEASURES,
    QUANTITIES,
    alike,
    between,
    cells,
    common_unit,
    number,
    numbers,
    unit_for,
    with_comma,
    with_decimals,
    with_limits,
    with_uncertainty,
    written,
)
from rheokit.units import unit_scale


@pytest.mark.parametrize(
    ("value", "of", "text"),
    [
        (5e3, "yield_stress", "5 kPa"),
        (750.0, "Pa", "750 Pa"),
        (3.5e-9, "flow_rate", "3.5 mm³/s"),
        (3.5e-9, "mL/min", "0.21 mL/min"),
        (2e-5, "flow_rate", "20 mL/s"),
        (0.84e-3, "bore", "0.84 mm"),
        (3e-6, "grain_size", "3 µm"),
        (0.035, "air_content", "3.5 %"),
        (0.82, "water_content", "0.82"),
        (294.15, "temperature", "21 °C"),
        (math.pi / 6, "half_angle", "30°"),
        (43200.0, "age", "12 h"),
        (0.06, "mass", "60 g"),
        (1070.0, "density", "1070 kg/m³"),
        (0.0, "bore", "0 mm"),
        (math.nan, "bore", "-"),
        (None, "bore", "-"),
        (math.inf, "bore", "no limit"),
    ],
)
def test_a_number_stands_in_a_unit_of_the_bench(value, of, text):
    assert written(value, of) == text


@pytest.mark.parametrize(
    ("given", "texts"),
    [
        ((312.3, 295.2, 330.1), ("312", "295", "330")),  # u = 8.6: one digit
        ((312.3, 309.2, 315.1), ("312.3", "309.2", "315.1")),  # u = 1.4: two
        ((0.4321, 0.4017, 0.4658), ("0.432", "0.402", "0.466")),
        ((12345.0, 11000.0, 13690.0), ("12300", "11000", "13700")),
        ((3.0, 0.02, 1000.0), ("3", "0.02", "1000")),  # known by its logarithm: two digits each
        ((0.35, 0.3, math.inf), ("0.350", "0.300", "no limit")),
        ((2e-5, 0.0, math.inf), ("0.000020", "0", "no limit")),
        ((1.0, -0.1, 2.1), ("1.0", "-0.1", "2.1")),
        ((math.nan, 1.0, 2.0), ("-", "1", "2")),
        ((41.7, 41.7, 41.7), ("41.7", "41.7", "41.7")),
    ],
)
def test_value_and_limits_have_the_decimals_their_interval_deserves(given, texts):
    assert numbers(*given) == texts


@pytest.mark.parametrize(
    ("value", "places", "text"),
    [(-0.0004, 3, "0.000"), (0.0004, 3, "0.000"), (-0.0, None, "0"), (-0.0006, 3, "-0.001"), (0.25, 2, "+0.25")],
)
def test_what_is_nothing_as_written_has_no_sign(value, places, text):
    assert with_decimals(value, places, sign=True) == text
    assert with_decimals(value, places) == text.lstrip("+")


def test_an_interval_stands_in_the_unit_of_its_value():
    assert with_limits(980.0, 900.0, 1060.0, "yield_stress") == "980 Pa (95 % 900 to 1060 Pa)"
    assert with_limits(5200.0, 4800.0, 5600.0, "Pa") == "5.20 kPa (95 % 4.80 to 5.60 kPa)"
    assert with_limits(5200.0, 5200.0, 5200.0, "Pa") == "5.2 kPa"
    assert cells(math.nan, 900.0, 1060.0, "Pa") == ("-", "0.9 to 1.06", "kPa")
    assert between(2e4, 2e6, "pressure") == "20 kPa to 2 MPa"
    assert between(5e-5, 0.01, "bore") == "0.05 to 10 mm"


@pytest.mark.parametrize("si", MEASURES)
def test_units_of_the_bench_have_the_factors_that_the_reader_of_units_has(si):
    spelt = MEASURES[si].typed[-1] if "(" in si else si  # the last of them is of SI
    for one in MEASURES[si].units:
        if "(" in one.text or one.text[:2] == "10":  # no text of a header
            continue
        scale = unit_scale(one.text, spelt)
        assert float(scale.factor) == pytest.approx(one.factor, rel=1e-12), one.text
        assert float(scale.offset) == one.zero, one.text
    for text in MEASURES[si].typed:
        unit_scale(text, spelt)


@pytest.mark.parametrize("name", QUANTITIES)
def test_the_example_of_a_quantity_is_one_that_is_read_and_not_doubted(name):
    from rheokit.reading.stated import stated_number

    about = QUANTITIES[name]
    assert unit_for(name).factor > 0
    if about.example:
        assert about.likely[0] <= stated_number(about.example, about.unit).value <= about.likely[1]


def test_what_is_compared_is_written_in_one_unit_and_with_digits_enough():
    assert alike("Pa", 1.5e6, 4e5) == ("1500 kPa", "400 kPa") and alike("Pa", 0.0, 53.6e3) == ("0 kPa", "53.6 kPa")
    assert [cells(one, one, one, common_unit("Pa", 540, 770, 1400))[::2] for one in (540.0, 1400.0)] == [
        ("540", "Pa"),
        ("1400", "Pa"),
    ]
    assert alike("bore", 1e-3, math.nan, math.inf) == ("1 mm", "-", "no limit")
    assert written(210e3, "consistency") == "210000 Pa·sⁿ" and written(2.1e8, "Pa·s") == "2.10e+08 Pa·s"


def test_an_interval_keeps_its_width_where_it_is_written_with_a_power_of_ten():
    assert cells(1.716e-6, 1.68e-6, 1.75e-6, "slip_coefficient")[:2] == ("1.716e-06", "1.680e-06 to 1.750e-06")
    assert numbers(0.0018109, 0.0018041, 0.0018199) == ("0.001811", "0.001804", "0.001820")
    assert numbers(1e8, 0.98e8, 1.02e8) == ("1.000e+08", "9.800e+07", "1.020e+08")
    assert written(-0.0, "Pa") == "0 Pa" and cells(0.05, 0.05 - 1e-12, 0.05 + 1e-12, "%") == ("5", "5 to 5", "%")
    # the wider side does not take its digits from the narrower one
    assert numbers(8.0053, 8.0016, 8.6001) == ("8.01", "8.00", "8.60") and numbers(0.029, 0, 6.073) == (
        "0.029",
        "0",
        "6.1",
    )
    rng = np.random.default_rng(3)
    for size in 10.0 ** rng.uniform(-9, 9, 3000):
        below, above = 10 ** rng.uniform(-5, -0.5) * rng.uniform(0.2, 1, 2)
        low, value, high = size * (1 - below), size, size * (1 + above)
        texts = numbers(value, low, high)
        assert len(set(texts)) == 3, (value, low, high, texts)
        moved = [abs(float(text) - one) for text, one in zip(texts, (value, low, high), strict=True)]
        assert max(moved) <= 0.15 * (high - low), (value, low, high, texts)


@pytest.mark.parametrize("of", ["m", "mm", "bore"])
def test_a_length_that_nobody_measures_is_none(of):
    assert written(5.5e-15, of) == "0 mm"
    assert with_limits(5.5e-15, 1e-18, 3e-3, of) == "0 mm (95 % 0 to 3.0 mm)"
    assert written(2e-9, "m") == "0.002 µm" and written(5.5e-15, "m³") != written(0.0, "m³")


# --- a decimal comma ----------------------------------------------------------------------------------------------------


def test_numbers_have_a_comma_where_it_is_asked_for_and_nowhere_else():
    """The comma of ISO 80000-1, 7.3.2 (from memory): either sign may stand between a number and its decimals."""
    with with_comma():
        assert written(5230.0, "Pa") == "5,23 kPa" and written(0.0016, "m") == "1,6 mm"
        assert with_limits(5200.0, 4800.0, 5600.0, "Pa") == "5,20 kPa (95 % 4,80 to 5,60 kPa)"
        assert between(0.0016, 0.0024, "m") == "1,6 to 2,4 mm" and number(1.5e-9) == "1,50e-09"
        assert numbers(1.234, 1.0, 1.5) == ("1,23", "1,00", "1,50") and alike("m", 0.0015, 0.002) == ("1,5 mm", "2 mm")
        assert (
            with_decimals(-0.456, 2) == "-0,46"
            and with_decimals(0.456, 1, sign=True) == "+0,5"
            and with_decimals(1.3) == "1,3"
        )
        assert number(float("inf")) == "no limit" and written(None, "Pa") == "-"
    assert written(5230.0, "Pa") == "5.23 kPa" and with_decimals(0.456, 1) == "0.5"


def test_the_comma_goes_even_where_something_fails():
    with pytest.raises(ZeroDivisionError), with_comma():
        _ = 1 / 0
    assert number(0.5) == "0.5"


@pytest.mark.parametrize(
    ("value", "uncertainty", "texts"),
    [
        (1173.0, 6.0, ("1173", "6")),
        (1094.0, 4.0, ("1094", "4")),
        (26.7, 0.05, ("26.70", "0.05")),
        (1.2, 0.0123, ("1.200", "0.012")),
        (100.02147, 0.35e-3, ("100.02147", "0.00035")),
        (1150.0, 150.0, ("1150", "150")),
        (0.002, 6.0, ("0.002", "6")),
        (7.5, 0.0, ("7.5", "0")),
        (math.nan, 1.0, ("-", "1")),
    ],
)
def test_a_value_ends_with_the_digit_of_its_standard_uncertainty(value, uncertainty, texts):
    """100.021 47 g with u = 0.35 mg is 100.021 47(35) in JCGM 100:2008, 7.2.2 (from memory)."""
    assert with_uncertainty(value, uncertainty) == texts


def test_a_number_that_was_typed_keeps_its_digits_beside_its_uncertainty(tmp_path):
    """1173 ± 6 kg/m3 was printed as 1170, rounded against its own uncertainty."""
    bench = (
        '[specimen]\npaste = "clay of mine"\n[apparatus.cup]\ncup_volume = "50.0 ± 0.2 mL"\ntrue_density = "1173 ± 6 kg/m3"\n'
        '[[test]]\nkind = "cup density"\nfile = "cup.csv"\napparatus = "cup"\n'
        '[[test]]\nkind = "loaded plate"\nfile = "p.csv"\nvolume = "5.125 mL"\nforce = "9.81 N"\n'
    )
    place = folder(tmp_path / "cup", bench, cup_csv="mass [g]\n57.1\n57.3\n", p_csv=POOR["p_csv"])
    found = {(row[1]): row for row in apparatus.section(Study(rk.Workbook.open(place))).blocks[0].rows}
    assert [str(one) for one in (found["true density"][4].text, found["true density"][5].text)] == ["1173", "6"]
    assert (found["cup volume"][4].text, found["cup volume"][5].text) == ("50.0", "0.2")
    assert found["volume"][4].text == "5.125"
