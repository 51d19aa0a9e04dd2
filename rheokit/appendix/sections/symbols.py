"""The symbols of this appendix: what each stands for, and its unit."""

from dataclasses import fields

from ...bench.base import quantity_of
from ...nomenclature import QUANTITIES
from ..document import Section, Table
from ..study import Study

TITLE = "Symbols"
ALWAYS = (
    "shear_rate",
    "shear_stress",
    "viscosity",
    "yield_stress",
    "static_yield_stress",
    "flow_rate",
    "pressure",
    "wall_shear_stress",
    "apparent_shear_rate",
    "wall_shear_rate",
)
PRINTED = ("barrel_diameter", "fill_length", "plunger_friction", "plunger_force", "barrel_drag", "diameter", "length")


def section(study: Study) -> Section:
    """Return every symbol of law, apparatus, readings and properties that stands in this appendix."""
    found: dict[str, tuple[str, str]] = {}

    def take(symbol, meaning, unit):
        if symbol and symbol not in ("#",):
            known = found.get(symbol)
            told = (
                (
                    known[0] if meaning in known[0] else f"{known[0]}; {meaning}",
                    known[1] if unit in known[1].split(", ") else f"{known[1]}, {unit}",
                )
                if known
                else (meaning, unit)
            )
            found[symbol] = told

    for name in ALWAYS + (PRINTED if study.knows("extruder") else ()):
        take(*_told(QUANTITIES[name]))
    if study.knows("fit"):
        for one in study.fit.problem.law_class.parameters().values():
            take(*_told(one))
        for condition, _ in study.fit.problem.law_class.conditions:
            for symbol in condition.symbols:
                take(*symbol)
        for one in study.fit.problem.nuisances.values():
            take(*_told(one))
    if study.knows("bench"):
        for test in study.bench.tests:
            dimensions = [
                one.name for one in fields(test) if "dimension" in one.metadata and getattr(test, one.name) is not None
            ]
            for name in (*test.columns, *dimensions):
                take(*_told(quantity_of(test, name)))
    if study.knows("material"):
        for name in study.material.table.index:
            if name in QUANTITIES:
                take(*_told(QUANTITIES[name]))
    rows = tuple((symbol, meaning, unit) for symbol, (meaning, unit) in found.items())
    return Section(
        TITLE,
        (
            Table(
                "symbols",
                f"{study.paste}: symbols used, with SI units. A symbol with several meanings is told apart by where it stands.",
                ("symbol", "what it is", "SI unit"),
                rows,
                "Shear stress is written τ, where the official symbols of the Society of Rheology (Journal of Rheology 57 (2013) 1047, from memory) have σ; "
                "shear rate γ̇, viscosity η and their limits are as there. A yield stress is τ_y, and never τ_0, which is a wall stress in paste extrusion.",
            ),
        ),
    )


def _told(about):
    return about.symbol, about.meaning, about.unit
