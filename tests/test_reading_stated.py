"""A number with its unit as it is typed in bench.toml: what is taken, and what is said of one that is not understood.

Kind: exact, plain decimal arithmetic.
"""

import pytest

from rheokit.errors import DataError
from rheokit.reading.stated import stated_number

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
