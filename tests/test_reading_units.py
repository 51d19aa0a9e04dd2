"""Unit texts to exact scales, and back.

Kind: exact. The factors are those of the international yard and pound agreement and of SI (1 in = 25.4 mm, 1 lb = 0.45359237 kg,
standard gravity 9.80665 m/s² for kgf, lbf and psi; the ounce is 1/16 lb: NIST Special Publication 811, appendix B, from memory) and
plain powers of ten. A degree Fahrenheit: (t + 459.67)/1.8 K.
"""

import math
import subprocess
import sys
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rheokit import DataError
from rheokit.nomenclature import QUANTITIES
from rheokit.units import ZERO_CELSIUS, kgf, psi, unit_scale

FACTORS = [
    ("mm", "m", 1e-3),
    ("µm", "m", 1e-6),
    ("μm", "m", 1e-6),
    ("um", "m", 1e-6),
    ("in", "m", 0.0254),
    ("ft", "m", 0.3048),
    ("cm", "m", 0.01),
    ("oz", "kg", 0.028349523125),
    ("lb", "kg", 0.45359237),
    ("lbf", "N", 4.4482216152605),
    ("gf", "N", 9.80665e-3),
    ("mL", "m³", 1e-6),
    ("cc", "m³", 1e-6),
    ("L", "m³", 1e-3),
    ("in3", "m³", 16.387064e-6),
    ("cc/min", "m³/s", 1e-6 / 60),
    ("in/min", "m/s", 0.0254 / 60),
    ("lb/ft3", "kg/m³", 0.45359237 / 0.3048**3),
    ("kgf/cm2", "Pa", 98066.5),
    ("mm3/s", "m³/s", 1e-9),
    ("mm³/s", "m³/s", 1e-9),
    ("mm^3/s", "m³/s", 1e-9),
    ("mL/min", "m³/s", 1e-6 / 60),
    ("ml min-1", "m³/s", 1e-6 / 60),
    ("mm/min", "m/s", 1e-3 / 60),
    ("1/s", "1/s", 1.0),
    ("s-1", "1/s", 1.0),
    ("s⁻¹", "1/s", 1.0),
    ("s^-1", "1/s", 1.0),
    ("Hz", "1/s", 1.0),
    ("N/mm2", "Pa", 1e6),
    ("kPa", "Pa", 1e3),
    ("hPa", "Pa", 1e2),
    ("bar", "Pa", 1e5),
    ("mbar", "Pa", 1e2),
    ("psi", "Pa", psi),
    ("kgf", "N", kgf),
    ("g/cm3", "kg/m³", 1e3),
    ("kg m-3", "kg/m³", 1.0),
    ("N m", "N·m", 1.0),
    ("mN·m", "N·m", 1e-3),
    ("mPa.s", "Pa·s", 1e-3),
    ("Pas", "Pa·s", 1.0),
    ("mPas", "Pa·s", 1e-3),
    ("kPas", "Pa·s", 1e3),
    ("mNm", "N·m", 1e-3),
    ("Nm", "N·m", 1.0),
    ("Ncm", "N·m", 1e-2),
    ("µNm", "N·m", 1e-6),
    ("kp", "N", 9.80665),
    ("kp/cm2", "Pa", 98066.5),
    ("ccm", "m³", 1e-6),
    ("ccm/min", "m³/s", 1e-6 / 60),
    ("%", "-", 0.01),
    ("‰", "-", 1e-3),
    ("ppm", "-", 1e-6),
    ("-", "-", 1.0),
    ("deg", "rad", math.pi / 180),
    ("°", "rad", math.pi / 180),
    ("h", "s", 3600.0),
    ("min", "s", 60.0),
    ("mN/m", "N/m", 1e-3),
]


@pytest.mark.parametrize(("text", "si_unit", "factor"), FACTORS)
def test_factors(text, si_unit, factor):
    assert unit_scale(text, si_unit).to_si(Decimal(1)) == pytest.approx(factor, rel=2e-16)


@pytest.mark.parametrize(
    ("text", "number", "kelvin"),
    [
        ("°C", "21", 294.15),
        ("degC", "-273.15", 0.0),
        ("°F", "32", ZERO_CELSIUS),
        ("°F", "98.6", 310.15),
        ("K", "300", 300.0),
    ],
)
def test_temperatures_are_offsets(text, number, kelvin):
    assert unit_scale(text, "K").to_si(Decimal(number)) == pytest.approx(kelvin, rel=1e-15, abs=1e-13)


def test_typed_decimals_become_the_nearest_float():
    assert unit_scale("mm", "m").to_si(Decimal("0.84")) == 0.00084
    assert unit_scale("mm3/s", "m³/s").to_si(Decimal("5.6")) == 5.6e-9


@pytest.mark.parametrize(
    ("text", "which"),
    [(text, "a spoon or a cup") for text in ("tsp", "Tbsp", "teaspoons", "cup", "cups", "cup/min", "drops", "pinch")]
    + [
        (text, "a spoon or a cup")
        for text in ("EL", "TL", "el", "Esslöffel", "Teelöffel", "Tasse", "EL/min", "Msp", "Prisen")
    ]
    + [
        (text, "a measure of one country or another")
        for text in ("fl oz", "floz", "fluid ounces", "pt", "pints", "gal")
    ],
)
def test_spoons_cups_and_pints_are_no_units(text, which):
    with pytest.raises(DataError) as caught:
        unit_scale(text, "m³")
    words = f"the unit [{text}] is {which}, which is not one volume everywhere; weigh it, or measure it in mL"
    assert str(caught.value) == words


@pytest.mark.parametrize("text", ["mm", "in", "deg", "°C", "°F", "mL/min", "psi", "%", "g/cm3"])
@given(value=st.floats(1e-12, 1e9))
def test_a_float_comes_back_from_its_text(text, value):
    si_unit = {"deg": "rad", "°C": "K", "°F": "K", "mL/min": "m³/s", "psi": "Pa", "%": "-", "g/cm3": "kg/m³"}.get(
        text, "m"
    )
    scale = unit_scale(text, si_unit)
    assert scale.to_si(Decimal(scale.to_text(value))) == value


@pytest.mark.parametrize(
    ("text", "si_unit", "words"),
    [
        ("N", "m", "[N] is not that of a length: write mm, cm or m"),
        ("rpm", "1/s", "[rpm] is not that of a rate: write 1/s"),
        ("%", "m", "[%] is not that of a length"),
        ("", "Pa", "[] is not that of a pressure or stress"),
        ("foo", "m", "[foo] is not known"),
        ("Pas", "Pa", "[Pas] is not that of a pressure or stress"),
        ("m3/Pas", "m³/Pa", "[m3/Pas] is not that of"),
        ("Pas-1", "Pa/s", "[Pas-1] is not that of"),
        ("mm/s**9**9**9", "m/s", "[mm/s**9**9**9] is not understood"),
        ("9*9", "m", "[9*9] is not understood"),
        ("10^3 m", "m", "is not understood"),
        ("mm^99", "m", "is not understood"),
        ("m(m)", "m", "is not understood"),
        ("m\x1b[2J", "m", "[m\\x1b[2J] is not understood"),
        ("m/s/s", "m/s", "two strokes"),
        ("m" * 25, "m", "too long (25 characters; 24 at most)"),
    ],
)
def test_other_texts_are_refused_with_a_remedy(text, si_unit, words):
    with pytest.raises(DataError) as caught:
        unit_scale(text, si_unit)
    assert words in str(caught.value)


@pytest.mark.parametrize("share", ["%", "‰", "ppm", "percent"])
@pytest.mark.parametrize(
    ("shape", "si_unit"), [("{} N", "N"), ("N {}", "N"), ("N/{}", "N"), ("{0} {0}", "-"), ("{}2", "-")]
)
def test_a_share_beside_another_unit_does_not_scale_the_number(share, shape, si_unit):
    text = shape.format(share)
    with pytest.raises(DataError) as caught:
        unit_scale(text, si_unit)
    says = f"the unit [{text}] has {share} beside another unit, which would scale the number; write one of them alone"
    assert str(caught.value) == says


@pytest.mark.parametrize("name", [n for n, q in QUANTITIES.items() if "ⁿ" not in q.unit and "(" not in q.unit])
def test_every_unit_of_the_nomenclature_is_understood(name):
    unit = QUANTITIES[name].unit
    assert unit_scale(unit, unit).to_si(Decimal(1)) == 1.0


def test_units_cost_nothing_until_they_are_used():
    code = "import sys, rheokit.units, rheokit.reading; print(sorted({'pint', 'tomlkit', 'openpyxl', 'pandas'} & set(sys.modules)))"
    assert (
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip() == "[]"
    )
