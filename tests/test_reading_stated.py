"""A number with its unit as it is typed in bench.toml: what is taken, and what is said of one that is not understood.

Kind: exact, plain decimal arithmetic.
"""

from decimal import Decimal

import pytest

from rheokit.errors import DataError
from rheokit.nomenclature import QUANTITIES, example
from rheokit.reading.columns import _cell
from rheokit.reading.headers import Column
from rheokit.reading.stated import as_typed, decimal_number, stated_number
from rheokit.things import nearest
from rheokit.units import unit_scale


@pytest.mark.parametrize("given", ["10 1/s", "10 s-1", "600 1/min", "10 ± 1 1/s"])
def test_a_rate_is_taken_as_people_write_it(given):
    assert stated_number(given, "1/s").value == pytest.approx(10.0, rel=1e-12)


@pytest.mark.parametrize("name", [name for name, quantity in QUANTITIES.items() if "ⁿ" not in quantity.unit])
def test_the_example_of_a_quantity_is_taken(name):
    unit = QUANTITIES[name].unit
    assert stated_number(example(unit, name).strip('"'), unit).value > 0


BESIDE = "beside another unit, which would scale the number; write"


def refusal(given, si_unit, name=""):
    with pytest.raises(DataError) as caught:
        stated_number(given, si_unit, name)
    return str(caught.value)


@pytest.mark.parametrize(
    ("given", "remedy"),
    [
        ("20 ± 1 % mm", f"has % {BESIDE} '20 mm ± 1 %' if the uncertainty is 1 % of 20 mm"),
        ("20 mm ± 1 % mm", f"has % {BESIDE} '20 mm ± 1 %' if the uncertainty is 1 % of 20 mm"),
        ("20 ± 1 mm %", f"has % {BESIDE} '20 mm ± 1 %' if the uncertainty is 1 % of 20 mm"),
        ("20 ± 1 ppm mm", f"has ppm {BESIDE} '20 mm ± 1 mm', or '20 mm ± 1 %'"),
        ("20 % mm ± 1", f"has % {BESIDE} '20 mm ± 1 mm', or '20 mm ± 1 %'"),
        ("22 % mm", f"has % {BESIDE} '22 mm', with an uncertainty in % as '22 mm ± 1 %'"),
        ("20 mm %", f"has % {BESIDE} '20 mm', with an uncertainty in % as '20 mm ± 1 %'"),
        ("20 mm/%", f"has % {BESIDE} '20 mm', with an uncertainty in % as '20 mm ± 1 %'"),
        ("20 ‰ mm", f"has ‰ {BESIDE} '20 mm', with an uncertainty in % as '20 mm ± 1 %'"),
        ("20 % %", f"has % {BESIDE} one unit alone"),
    ],
)
def test_a_share_beside_a_unit_is_refused(given, remedy):
    assert refusal(given, "m", "bore") == f"'{given}' {remedy}"


@pytest.mark.parametrize("given", ["3 % %", "3 ppm %", "3 %/%", "3 %2", "3 % ± 1 % %"])
def test_a_share_of_a_share_is_refused(given):
    assert refusal(given, "-", "air_content").endswith(
        "beside another unit, which would scale the number; write one unit alone"
    )


@pytest.mark.parametrize(
    ("given", "si_unit", "value", "uncertainty"),
    [
        ("20 mm ± 1 %", "m", 0.02, 2e-4),
        ("20 ± 1 mm", "m", 0.02, 1e-3),
        ("51 ± 2 %", "-", 0.51, 0.02),
        ("3 % ± 1 %", "-", 0.03, 0.01),
        ("3 ‰", "-", 0.003, None),
        ("20 ppm", "-", 2e-5, None),
        ("0.9 ± 0.1", "-", 0.9, 0.1),
        ("-20 °C ± 0.5 K", "K", 253.15, 0.5),
    ],
)
def test_one_unit_alone_is_taken(given, si_unit, value, uncertainty):
    stated = stated_number(given, si_unit)
    assert (stated.value, stated.uncertainty) == (pytest.approx(value), uncertainty and pytest.approx(uncertainty))


@pytest.mark.parametrize(
    ("given", "si_unit", "value", "uncertainty"),
    [
        ("26,7 mm", "m", 0.0267, None),
        ("26,70 ± 0,05 mm", "m", 0.0267, 5e-5),
        ("26,70 mm ± 0,5 %", "m", 0.0267, 0.0267 * 0.005),
        ("0,125 mm", "m", 1.25e-4, None),  # 0 leads no thousands
        ("1,5 kgf", "N", 1.5 * 9.80665, None),
        ("1234,567 mm", "m", 1.234567, None),
        ("1,5e1 mm", "m", 0.015, None),
        ("0,4", "-", 0.4, None),
        ("-1,5 °C", "K", 271.65, None),
    ],
)
def test_a_decimal_comma_that_can_be_nothing_else_is_one(given, si_unit, value, uncertainty):
    stated = stated_number(given, si_unit)
    assert (stated.value, stated.uncertainty) == (pytest.approx(value), uncertainty and pytest.approx(uncertainty))
    assert stated.text == given


def test_decimal_commas_stay_where_a_number_or_its_uncertainty_is_typed_anew():
    def says(wanted):
        return lambda text: (stated_number(text, "m").value, stated_number(text, "m").uncertainty) == wanted

    assert as_typed("26,7 mm", "26.7 mm", says((0.0267, None))) == "26,7 mm"
    assert as_typed("26,7 ± 0,05 mm", "26.7 mm ± 0.25 mm", says((0.0267, 2.5e-4))) == "26,7 mm ± 0,25 mm"
    assert as_typed("26,7 mm", "25.5 mm", says((0.0255, None))) == "25,5 mm"


@pytest.mark.parametrize("given", ["20G", "20 G", "20g", "20 gauge", "20 ga", "G20", "G 20", "20-gauge", " 20G "])
def test_a_needle_is_named_by_its_gauge(given):
    """20 gauge is 0.603 mm with a tolerance of 0.019 mm (tests/published/test_needle_gauge.py): ± 0.019/√3 = 0.0109697 mm."""
    stated = stated_number(given, "m", "bore", by_gauge=True)
    assert (stated.value, stated.uncertainty) == (pytest.approx(0.603e-3), pytest.approx(0.0109697e-3, rel=1e-5))
    assert "the nominal bore of a regular wall, 0.603 mm with a tolerance of 0.019 mm, was taken" in stated.looked_up
    assert stated_number("0.603 mm", "m", "bore", by_gauge=True).looked_up == ""


def test_a_gauge_that_no_table_has_and_a_gauge_of_what_is_no_needle_are_refused():
    with pytest.raises(DataError) as caught:
        stated_number("35G", "m", "bore", by_gauge=True)
    words = "'35G': the table of needles has 7G to 31G; write the bore that you measured, such as '0.60 mm'"
    assert str(caught.value) == words
    assert "the unit [G] is not that of a length" in refusal("20G", "m", "barrel_diameter")


SUCH = '"2.00 ± 0.02 mm"'
RANGE = f"is a range; write one number, with its standard uncertainty after ±, such as {SUCH}"
DIGITS = f"the number is not understood; write digits with one decimal point, such as {SUCH}"


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ("1'750 µm", ": the number is not understood; write '1750 µm' if that is meant"),
        ("1\u2019750 µm", ": the number is not understood; write '1750 µm' if that is meant"),
        ("1_750 µm", ": the number is not understood; write '1750 µm' if that is meant"),
        ("1 750 ± 20 µm", ": the number is not understood; write '1750 ± 20 µm' if that is meant"),
        ("1.750,0 µm", ": the number is not understood; write '1750.0 µm' if that is meant"),
        ("1,750.0 µm", ": the number is not understood; write '1750.0 µm' if that is meant"),
        ("1·75 mm", ": the number is not understood; write '1.75 mm' if that is meant"),
        ("1,750 mm", f" is not a number with its unit, such as {SUCH}; write '1.750 mm' if that is a decimal comma"),
        (
            "12,340 ± 0,050 mm",
            f" is not a number with its unit, such as {SUCH}; write '12.340 ± 0.050 mm' if that is a decimal comma",
        ),
        (
            "1,75 mm ± 0.02 mm",
            f" is not a number with its unit, such as {SUCH}; write '1.75 mm ± 0.02 mm' if that is a decimal comma",
        ),
        ("1,7,5 mm", f": {DIGITS}"),
        ("1.7 5 mm", f": {DIGITS}"),
        ("1..75 mm", f": {DIGITS}"),
        ("1.75 (2) mm", f": {DIGITS}"),
        ("0x1 mm", f": {DIGITS}"),
        ("1.75-1.80 mm", f" {RANGE}"),
        ("1.75–1.80 mm", f" {RANGE}"),
        ("1.75 mm - 1.80 mm", f" {RANGE}"),
        ("2 to 3 mm", f" {RANGE}"),
        ("−1.75 mm", " has a typographic minus; type the hyphen -"),
        ("1.75 mm ± –0.02 mm", " has a typographic minus; type the hyphen -"),
        ("1.75 ± 0.02", " has no unit; write it, such as '1.75 mm ± 0.02 mm'"),
        ("1.75 ± 2 %", " has no unit; write it, such as '1.75 mm ± 2 %'"),
        ("many", f" is not a number with its unit, such as {SUCH}"),
    ],
)
def test_a_number_that_is_not_understood_is_not_blamed_on_its_unit(given, says):
    assert refusal(given, "m", "bore") == f"'{given}'{says}"


@pytest.mark.parametrize("given", ["0", "0.0", "0,0", " 0 ", 0, Decimal("0.00")])
def test_nothing_of_a_quantity_needs_no_unit(given):
    for si_unit in ("m", "kg", "kg/m³", "W/(m²·K)", "-"):
        assert stated_number(given, si_unit).value == 0.0
    assert stated_number(given, "K", difference=True).value == 0.0
    assert "has no unit" in refusal(given, "K", "temperature"), "0 °C and 0 K are two temperatures"
    assert "has no unit" in refusal("0 ± 1", "kg", "carrier_mass")
    assert "has no unit" in refusal("0.1", "kg", "carrier_mass")


def test_the_unit_of_the_remedy_is_one_of_the_quantity():
    assert refusal("8 ± 1", "N", "plunger_friction") == "'8 ± 1' has no unit; write it, such as '8 N ± 1 N'"


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ("1'750", "has marks inside; write 1750"),
        ("1_750", "has marks inside; write 1750"),
        ("1.750,0", "has marks inside; write 1750.0"),
        ("1·75", "has marks inside; write 1.75"),
        ("12 345,6", "has spaces inside; write 12345.6"),
        ("40,1", "has a comma; write 40.1 if it is a decimal comma"),
        ("1.75-1.80", "is a range, not a number; write the one number that was read"),
        ("1.75–1.80", "is a range, not a number; write the one number that was read"),
        ("–5", "has a typographic minus; type the hyphen -"),
        ("−5", "has a typographic minus; type the hyphen -"),
        ("1..75", "is not a number; write digits with a decimal point, such as 40.1"),
    ],
)
def test_a_cell_that_is_no_number_says_what_to_write(given, says):
    with pytest.raises(DataError) as caught:
        decimal_number(given)
    assert str(caught.value) == f"'{given}' {says}"


@pytest.mark.parametrize("given", ["5 s-1", "5 s−1", "5 s^-1"])
def test_the_power_of_a_unit_is_no_range(given):
    assert stated_number(given, "1/s").value == 5.0


@pytest.mark.parametrize("given", ["1110 kg m-3", "1110 ± 5 kg m-3", "1.11e3 kg/m3", "1110. kg/m³"])
def test_what_was_a_number_is_one(given):
    assert stated_number(given, "kg/m³").value == 1110.0


@pytest.mark.parametrize("unit", ["Newton", "NEWTON", "n", "KN"])
def test_a_unit_that_is_not_known_says_what_goes_there(unit):
    with pytest.raises(DataError) as caught:
        unit_scale(unit, "N")
    assert str(caught.value) == f"the unit [{unit}] is not known; capitals count; here goes a force: write N, kN or kgf"


def test_signs_that_can_be_shown_are_shown_and_control_characters_are_escaped():
    for unit, told in (("–1.80 mm", "–1.80 mm"), ("¼ mm", "¼ mm"), ("m\x1b", "m\\x1b")):
        with pytest.raises(DataError) as caught:
            unit_scale(unit, "m")
        assert str(caught.value).startswith(f"the unit [{told}] is not understood")


def test_the_last_word_of_a_name_is_nearest():
    known = ("plunger_speed", "flow_rate", "force", "gauge_pressure")
    assert nearest("plunger_force", known) == "; did you mean 'force'?"
    assert nearest("plunger_sped", known) == "; did you mean 'plunger_speed'?"


@pytest.mark.parametrize(
    ("cell", "side"), [("<=33", -1), ("≤ 33", -1), ("<33", -1), (">= 33", 1), ("≥33", 1), (">33", 1), ("33", 0)]
)
def test_a_bound_is_read_with_either_sign(cell, side):
    column = Column("force", 1, "force [N]", unit_scale("N", "N"))
    assert _cell(cell, column, ".", may_be_bound=True) == (33.0, side)


@pytest.mark.parametrize("cell", ["1" + " 000" * 9000, "1," + "0" * 9000, "1." + "0" * 9000, "x" * 9000])
def test_no_remedy_is_longer_than_a_number_can_be(cell):
    with pytest.raises(DataError) as caught:
        decimal_number(cell)
    assert len(str(caught.value)) < 150
