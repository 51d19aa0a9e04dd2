"""What is known of each unit of SI: what it measures, how people type it, and the units of the bench it is written in."""

import math
from collections.abc import Iterable
from typing import NamedTuple


class Unit(NamedTuple):
    """A unit of the bench.

    Attributes
    ----------
    text : str
        As it is written for a reader.
    factor : float
        One of it in SI.
    code : str
        As it is spelt with `rheokit.units`, where somebody may have meant it and left it out.
    least : float
        From this size on numbers are written in it; infinite: none are. [SI]
    zero : float
        Its zero in SI.
    """

    text: str
    factor: float
    code: str = ""
    least: float = math.inf
    zero: float = 0.0


class Measure(NamedTuple):
    """What a unit of SI measures, how people type it (the first is that of files), an example, and units of the bench."""

    meaning: str
    typed: tuple
    example: str = ""
    units: tuple = ()


MEASURES = {
    "-": Measure("a pure number", ("-", "%"), "0.9", (Unit("%", 0.01, "%"),)),
    "m": Measure("a length", ("mm", "cm", "m"), "26.7 mm", (Unit("mm", 1e-3, "mm", 1e-5), Unit("µm", 1e-6, "um", 0.0))),
    "m²": Measure("an area", ("mm2", "cm2", "m2"), "", (Unit("mm²", 1e-6, "mm**2", 0.0), Unit("m²", 1.0, "", 0.01))),
    "m³": Measure(
        "a volume",
        ("mL", "mm3", "m3"),
        "5.0 mL",
        (Unit("mL", 1e-6, "mL", 1e-8), Unit("mm³", 1e-9, "mm**3", 0.0), Unit("L", 1e-3, "", 1e-3)),
    ),
    "m³/s": Measure(
        "a volume flow",
        ("mm3/s", "mL/min", "m3/s"),
        "12 mm3/s",
        (Unit("mm³/s", 1e-9, "mm**3/s", 0.0), Unit("mL/min", 1e-6 / 60, "mL/minute"), Unit("mL/s", 1e-6, "", 1e-5)),
    ),
    "m/s": Measure(
        "a speed",
        ("mm/s", "mm/min", "m/s"),
        "",
        (
            Unit("mm/s", 1e-3, "mm/s", 1e-5),
            Unit("mm/min", 1e-3 / 60, "mm/minute"),
            Unit("µm/s", 1e-6, "", 0.0),
            Unit("m/s", 1.0, "", 1.0),
        ),
    ),
    "m²/s": Measure(
        "a diffusivity", ("m2/s", "mm2/s"), "", (Unit("mm²/s", 1e-6, "mm**2/s"), Unit("10⁻¹⁰ m²/s", 1e-10))
    ),
    "m³/Pa": Measure("a volume per pressure", ("mm3/kPa", "m3/Pa"), "", (Unit("mm³/kPa", 1e-12, "", 0.0),)),
    "kg": Measure(
        "a mass",
        ("g", "kg"),
        "60 g",
        (Unit("g", 1e-3, "g", 1e-5), Unit("mg", 1e-6, "", 0.0), Unit("kg", 1.0, "", 1.0)),
    ),
    "kg/m³": Measure("a density", ("kg/m3", "g/cm3"), "1110 kg/m3", (Unit("g/cm³", 1e3, "g/cm**3"),)),
    "kg/(m²·s)": Measure("a flux of mass", ("g m-2 h-1", "kg m-2 s-1"), "", (Unit("g/(m²·h)", 1e-3 / 3600, "", 0.0),)),
    "J/(kg·K)": Measure("a heat per mass and kelvin", ("J kg-1 K-1",), "3300 J kg-1 K-1"),
    "J/(m³·K)": Measure("a heat per volume and kelvin", ("J m-3 K-1",), "3.6e6 J m-3 K-1"),
    "J/mol": Measure("an energy per mole", ("kJ/mol", "J/mol"), "42 kJ/mol", (Unit("kJ/mol", 1e3, "", 0.0),)),
    "J/kg": Measure("a heat per mass", ("kJ/kg", "J/kg"), "", (Unit("kJ/kg", 1e3, "", 0.0),)),
    "N": Measure(
        "a force",
        ("N", "kN", "kgf"),
        "8 N",
        (Unit("N", 1.0, "", 0.1), Unit("kN", 1e3, "kN", 1e4), Unit("mN", 1e-3, "mN", 0.0)),
    ),
    "N·m": Measure(
        "a torque", ("mN m", "N m"), "12 mN m", (Unit("N·m", 1.0, "", 0.1), Unit("mN·m", 1e-3, "mN*m", 0.0))
    ),
    "N/m": Measure("a surface tension", ("N/m", "mN/m"), "0.05 N/m", (Unit("mN/m", 1e-3, "mN/m"),)),
    "Pa": Measure(
        "a pressure or stress",
        ("Pa", "kPa", "bar"),
        "120 kPa",
        (Unit("Pa", 1.0, "", 0.0), Unit("kPa", 1e3, "kPa", 1e3), Unit("bar", 1e5, "bar"), Unit("MPa", 1e6, "MPa", 1e6)),
    ),
    "Pa·s": Measure("a viscosity", ("Pa s", "mPa s"), "", (Unit("Pa·s", 1.0, "", 0.1), Unit("mPa·s", 1e-3, "", 0.0))),
    "Pa/s": Measure("a growth of stress", ("Pa/s", "Pa/min")),
    "K": Measure("a temperature", ("°C", "K"), "21 °C", (Unit("°C", 1.0, "", 0.0, zero=273.15), Unit("K", 1.0))),
    "s": Measure(
        "a time",
        ("s", "min", "h"),
        "12 h",
        (
            Unit("s", 1.0, "", 0.0),
            Unit("min", 60.0, "minute", 600.0),
            Unit("h", 3600.0, "hour", 7200.0),
            Unit("d", 86400.0, "", 5 * 86400.0),
        ),
    ),
    "1/s": Measure("a rate", ("1/s", "1/min"), "10 1/s"),
    "rad": Measure("an angle", ("deg", "rad"), "60 deg", (Unit("°", math.pi / 180, "pi/180", 0.0),)),
}
"""By the text of the unit in the table of quantities."""

SI_UNIT = {unit.text: si for si, about in MEASURES.items() for unit in about.units} | {si: si for si in MEASURES}
"""The unit of SI of each unit of the bench."""


def measure(si_unit: str) -> Measure:
    """Return the `Measure` of a unit of SI; of one that nothing is known of, what its text says."""
    return MEASURES.get(si_unit) or Measure(f"{si_unit} or a multiple of it", (si_unit,))


def si_unit_meaning(si_unit: str) -> str:
    """Return what a unit of SI measures and how to write it, for messages."""
    about = MEASURES.get(si_unit)
    typed = about.typed if about and si_unit != "-" else ("[-]", "[%]")  # a dash alone reads as none
    return f"{about.meaning}: write {or_(typed)}" if about else measure(si_unit).meaning


def or_(texts: Iterable[str]) -> str:
    """Return texts as a choice: "mm, cm or m"."""
    return _joined(texts, "or")


def and_(texts: Iterable[str]) -> str:
    """Return texts all together: "mm, cm and m"."""
    return _joined(texts, "and")


def _joined(texts, word):
    *first, last = [*texts] or [""]
    return f"{', '.join(first)} {word} {last}" if first else last


PASCAL = Unit("Pa", 1.0)
"""For stresses beside a field or an axis in Pa."""
