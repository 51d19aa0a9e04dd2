"""SI factors as plain floats, so that a script reads ``0.84*mm`` or ``3*mL/minute``.

Everything inside rheokit is SI; a unit is met only where numbers come in (reading) and go out (charts, tables).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import MAX_EMAX, Context, Decimal, InvalidOperation, localcontext
from fractions import Fraction
from functools import cache, lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from .errors import DataError
from .nomenclature import si_unit_meaning

m = 1.0
dm, cm, mm, um = 1e-1, 1e-2, 1e-3, 1e-6
m3, L, mL, uL = 1.0, 1e-3, 1e-6, 1e-9
s, minute, hour, day = 1.0, 60.0, 3600.0, 86400.0
kg, g, mg = 1.0, 1e-3, 1e-6
N, kN, mN = 1.0, 1e3, 1e-3
Pa, kPa, MPa, mbar, bar = 1.0, 1e3, 1e6, 1e2, 1e5
psi = 6894.757293168361
kgf = 9.80665
J, W = 1.0, 1.0
degree = np.pi / 180

STANDARD_GRAVITY = 9.81
"""Acceleration of free fall used by every bench test [m/s2] (three digits, as bench practice has it)."""

ATMOSPHERE = 101325.0
"""Standard atmosphere, the absolute pressure added to a gauge pressure [Pa]."""

ZERO_CELSIUS = 273.15
"""0 °C [K]."""

GAS_CONSTANT = 8.314462618
"""Molar gas constant, exact but for the digits left out (SI, 2019) [J/(mol·K)]."""


def in_metres(where: str, name: str, value: ArrayLike, most: float, what: str) -> None:
    """Raise `DataError` where a length is so great that it must be in millimetres; `what` says than what it is greater."""
    if np.any(np.greater(value, most)):
        raise DataError(
            f"{where}: {name} = {np.max(value):g} m is {what} ({most:g} m). Lengths are in metres; did you mean "
            f"{np.max(value):g}*mm?"
        )


# --- the unit text of a header ------------------------------------------------------------------------------------

_FACTOR = r"[A-Za-zµμΩ°%‰]{1,12}(?:\^?-?[1-9])?"
_UNIT_TEXT = re.compile(rf"(?:1 ?/ ?)?{_FACTOR}(?:(?: ?[*·⋅.] ?| ?/ ?| ){_FACTOR})*")
_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻−", "0123456789--")
_SAME = {
    "°C": "degC",
    "℃": "degC",
    "°F": "degF",
    "°": "deg",
    "%": "percent",
    "‰": "permille",
    "µ": "u",
    "μ": "u",
    "·": "*",
    "⋅": "*",
    ".": "*",
}
_SPELT = (
    (re.compile(r"(?<![A-Za-z])([kmMuh]?Pa)s(?![A-Za-z])"), r"(\1*s)"),
    (re.compile(r"(?<![A-Za-z])([kmMu]?N)([cm]?m)(?![A-Za-z])"), r"(\1*\2)"),
    (re.compile(r"(?<![A-Za-z])ccm(?![A-Za-z^])"), "(cm^3)"),
    (re.compile(r"(?<![A-Za-z])kp(?![A-Za-z])"), "kgf"),
)
"""What instruments and kitchens write: products without a sign between, cubic centimetres, kiloponds. Pas is not many Pa."""
_NONE = ("-", "–", "1", "none", "")
LONGEST_UNIT = 24
"""Most characters of a unit text; nothing on a bench needs more."""
PURE = ("percent", "permille", "ppm")
"""Units without dimension that a share may have; others (bit, dB, strain) count something else or by a logarithm."""


BY_HAND = {
    "a spoon or a cup": (
        *("tsp", "teaspoon", "tbsp", "tbs", "tablespoon", "cup", "drop", "dash", "pinch", "smidgen"),
        *("el", "tl", "esslöffel", "essloeffel", "teelöffel", "teeloeffel", "tasse", "prise", "prisen", "msp"),
        "messerspitze",
        *("cuillère", "cuillere", "pincée", "cucharada", "cucharadita", "taza", "cucchiaio", "cucchiaino", "tazza"),
    ),
    "a measure of one country or another": (
        "floz",
        "fluid_ounce",
        "gill",
        "pt",
        "pint",
        "qt",
        "quart",
        "gal",
        "gallon",
    ),
}
"""Volumes of a kitchen that are no units: a spoon differs from hand to hand, a pint from country to country."""


_BRACKETS = re.compile(r"\s*/\s*\(([^()]*)\)")
_POWER = re.compile(r"(.*?)\^?([2-9²³]?)")


def without_brackets(text: str) -> str:
    """Return a unit without brackets, without which it is taken apart: g/(m²·h) as g·m-2·h-1."""

    def powers(found):
        parts = (_POWER.fullmatch(one) for one in re.split(r"[·⋅.*\s]+", found[1].strip()))
        return "".join(f"·{part[1]}-{part[2] or 1}" for part in parts).replace("²", "2").replace("³", "3")

    return _BRACKETS.sub(powers, text)


_SHARE = re.compile(r"%|‰|\b(?:percent|permille|ppm)(?![A-Za-z])")


def holds_share(text: str) -> str:
    """Return the %, ‰ or ppm that a unit text holds beside something else, which would scale the number; nothing if none."""
    found = _SHARE.search(text)
    return found[0] if found and text.strip() != found[0] else ""


class Scale(NamedTuple):
    """How numbers in one unit become SI numbers, exactly: SI = factor × number + offset."""

    text: str
    factor: Fraction
    offset: Fraction = Fraction(0)

    @property
    def without_offset(self) -> Scale:
        """The scale of differences, such as the uncertainty of a temperature."""
        return self._replace(offset=Fraction(0))

    def to_si(self, number: Decimal) -> float:
        """Return the SI value of a decimal number, as the nearest float."""
        if self.factor == 1 and not self.offset:
            return float(number)
        with localcontext(_EXACT):
            scaled = number * self.factor.numerator / self.factor.denominator
            return float(scaled + Decimal(self.offset.numerator) / self.offset.denominator if self.offset else scaled)

    def all_to_si(self, texts: Sequence[str]) -> np.ndarray:
        """Return the SI values of decimal numbers as text, to the last digit as `to_si` does one by one, shape (N,)."""
        with localcontext(_EXACT) as exact:
            exact.traps[InvalidOperation] = True
            if self.factor == 1 and not self.offset:
                return np.array([float(Decimal(text)) for text in texts])
            up, down = self.factor.numerator, self.factor.denominator
            offset = Decimal(self.offset.numerator) / self.offset.denominator
            return np.array([float(Decimal(text) * up / down + offset) for text in texts])

    def to_text(self, value: float) -> str:
        """Return the shortest decimal text that `to_si` turns back into exactly this SI value."""
        with localcontext(_EXACT):
            exact = Decimal(float(value)) - Decimal(self.offset.numerator) / self.offset.denominator
            exact = exact * self.factor.denominator / self.factor.numerator
        for digits in (15, 16, 17, 18, 19, 20, 25, 40):
            short = Context(prec=digits).normalize(exact)
            if self.to_si(short) == value:
                break
        return format(short, "f") if -7 < short.adjusted() < 12 else format(short, "E").lower()


_EXACT = Context(prec=60, Emin=-MAX_EMAX, Emax=MAX_EMAX, traps=[])


@lru_cache(maxsize=4096)  # a page asks for the same few hundreds of times
def unit_scale(text: str, si_unit: str) -> Scale:
    """Return the `Scale` from a unit as a student types it to a unit of SI.

    Parameters
    ----------
    text : str
        Such as ``mm``, ``mm3/s``, ``kPa``, ``N/mm2``, ``1/s``, ``s-1``, ``°C``, ``%`` or ``-``.
    si_unit : str
        The unit of the nomenclature, such as ``m³/s``.

    Raises
    ------
    DataError
        If the text is no unit, holds arithmetic, measures something else, or is of a logarithm such as dB. The text is
        checked before the unit library sees it, because that evaluates arithmetic.
    """
    registry = _registry()
    wanted = _parsed(registry, si_unit, si_unit)
    found = _parsed(registry, text, si_unit)
    if found.dimensionality != wanted.dimensionality or _stranger(registry, found, wanted):
        if text.count("/") > 1:  # of two ways to read them one at most measures what is wanted
            raise DataError(
                f"the unit {_shown(text)} has two strokes, which can be read two ways; use powers such as s-1"
            )
        raise DataError(f"the unit {_shown(text)} is not that of {si_unit_meaning(si_unit)}")
    zero, one = (registry.Quantity(Fraction(n), found).to(wanted).magnitude for n in (0, 1))
    return Scale(text.strip(), Fraction(one) - Fraction(zero), Fraction(zero))


def _parsed(registry, text, si_unit):
    plain = text.strip()
    if plain in _NONE:
        return registry.Unit("")
    if len(plain) > LONGEST_UNIT:
        raise DataError(f"the unit {_shown(text)} is too long ({len(plain)} characters; {LONGEST_UNIT} at most)")
    plain = without_brackets(plain).translate(_SUPERSCRIPTS)
    if why := _by_hand(plain):
        raise DataError(
            f"the unit {_shown(text)} is {why}, which is not one volume everywhere; weigh it, or measure it in mL"
        )
    if not _UNIT_TEXT.fullmatch(plain):
        raise DataError(
            f"the unit {_shown(text)} is not understood: a unit is names with one-digit powers, such as mm/s, N/mm2, "
            "kg/m3 or s-1, without arithmetic"
        )
    if share := holds_share(plain):
        raise DataError(
            f"the unit {_shown(text)} has {share} beside another unit, which would scale the number; write one of them alone"
        )
    for typed, known in _SAME.items():
        plain = plain.replace(typed, known)
    plain = re.sub(r"([A-Za-z])\^?(-?\d)", r"\1^\2", plain)
    plain = re.sub(r"(?<=[\w)]) +(?=[A-Za-z])", "*", re.sub(r" *([*/]) *", r"\1", plain))
    for written, known in _SPELT:
        plain = written.sub(known, plain)
    try:
        return registry.Unit(plain)
    except Exception as error:  # the library raises errors of many kinds for an unknown unit
        meaning = si_unit_meaning(si_unit)
        raise DataError(f"the unit {_shown(text)} is not known; capitals count; here goes {meaning}") from error


def _by_hand(plain):
    """Return what measure of a kitchen a unit text holds, nothing if none."""
    words = {
        re.sub(r"s$", "", word)
        for word in re.findall("[a-zß-ÿ_]+", re.sub(r"fl(?:uid)? ?(?=oz|ounce)", "fl", plain.lower()))
    }
    words = {"floz" if word in ("flounce", "floz") else word for word in words}
    return next((why for why, names in BY_HAND.items() if words & {*names}), "")


def _stranger(registry, unit, wanted):
    """Say whether a unit of the right dimension is none of the kind wanted: a logarithm, a bit, a turn where none is asked."""
    parts = [registry.Unit(name) for name, _ in registry.Quantity(1, unit).unit_items()]
    if any(part.dimensionless and str(part) not in PURE and not _turns(registry, part) for part in parts):
        return True
    return _turns(registry, unit) != _turns(registry, wanted)


def _turns(registry, unit):
    """Return the power of the angle in a unit; the logarithm of an exact fraction has none."""
    try:
        return dict(registry.Quantity(Fraction(1), unit).to_base_units().unit_items()).get("radian", 0)
    except TypeError:
        return 0


def _shown(text):
    cut = text.strip()[:40]
    return "[" + "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in cut) + "]"


@cache
def _registry():
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)
