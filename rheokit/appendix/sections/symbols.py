"""The symbols of this appendix: what each stands for, where it has that meaning, and its unit."""

from dataclasses import fields

from ...bench.base import quantity_of
from ...nomenclature import QUANTITIES, and_, marked
from ...workbook.asked import ASKED
from ..document import Section, Table
from ..formula_symbols import OWN, meaning, meaning_of_parameter, symbols_in
from ..known_beforehand import factors
from ..stress_of_a_reading import PLACE, formula_of
from ..study import Study
from ..taken_for_checks import taken
from .apparatus import dimensions
from .assumed import OF_PLAN
from .readings import dictionary
from .sources import formulae
from .unmeasured import not_measured

TITLE = "Symbols"
ALWAYS = ("shear_rate", "shear_stress", "yield_stress", "flow_rate", "pressure")
PRINTED = ("barrel_diameter", "fill_length", "plunger_friction", "plunger_force", "barrel_drag", "diameter", "length")
EVERYWHERE = "throughout"
LAW = "law"
OF_JOB = "plan"
TAKEN = "properties"
CHECKED = "assumed for checks"
ASSUMED = {
    "c": (QUANTITIES["heat_capacity"].meaning, QUANTITIES["heat_capacity"].unit),
    "λ": ("thermal conductivity", "W/(m·K)"),
}
OF_BOUND = {
    "Φ": ("distribution function of the standard normal distribution", "-"),
    "z": ("how far a prediction lies on the allowed side of a bound, in its standard uncertainty", "-"),
}
OF_BUDGET = {
    "k": ("coverage factor, of the expanded uncertainty over the combined standard uncertainty", "-"),
    "ν": ("degrees of freedom", "-"),
}
UNCERTAINTY = ("standard uncertainty of the quantity of its row", "that of the quantity")
ADDED = ":", ",", ";", " ("
"""With which words go on that add to what stands before; others say of what it is, and of what it is not ("mass", "mass of the paste in the cup")."""
MOST_PLACES = 3  # named of a meaning; of more the first and their number


class Found:
    """Meanings by symbol, each with the places where it stands, in the order in which they were found."""

    def __init__(self) -> None:
        self.held: dict[str, dict[tuple[str, str], list[str]]] = {}

    def take(self, symbol: str, told: tuple[str, str] | None, where: str) -> None:
        """Note what a symbol stands for at a place; one that adds to the same words takes its place."""
        if not symbol or symbol == "#" or told is None:
            return
        known = self.held.setdefault(symbol, {})
        words, unit = told
        for (other, of), places in list(known.items()):
            shorter, longer = sorted((other, words), key=len)
            if of == unit and (longer == shorter or longer.startswith(tuple(shorter + one for one in ADDED))):
                known.pop((other, of))
                known[longer, unit] = [*dict.fromkeys((*places, where))]
                return
        known[told] = [where]

    def rows(self) -> tuple[tuple[str, str, str, str], ...]:
        """Return a row a meaning: symbol, what it is, unit, and where it is that; "throughout" where it has no other."""
        return tuple(
            (symbol, marked(words), unit, EVERYWHERE if len(known) == 1 else _places(places))
            for symbol, known in self.held.items()
            for (words, unit), places in known.items()
        )


def _places(places):
    places = [one for one in places if one != EVERYWHERE] or ["everywhere else"]
    shown = (
        list(places)
        if len(places) <= MOST_PLACES
        else [*places[: MOST_PLACES - 1], f"{len(places) - MOST_PLACES + 1} more"]
    )
    return and_(shown)


def section(study: Study) -> Section:
    """Return every symbol of law, formulae, apparatus, readings, properties and plan that stands in this appendix."""
    found = Found()
    for name in ALWAYS + (PRINTED if study.knows("extruder") else ()):
        found.take(*_of(name), EVERYWHERE)
    if study.knows("fit"):
        _of_fit(study, found)
        for symbol, told in OF_BOUND.items():
            found.take(symbol, told, "bounds among the readings (law and error model)")
    law = study.fit.problem.law_class if study.knows("fit") else None
    for of, name, formula, *_ in formulae(study):
        for symbol in symbols_in(formula):
            found.take(symbol, meaning(symbol, of, name, law), name)
    if not study.lacking("classical"):
        for one in study.classical:
            for estimate in one.estimates:
                found.take(*_of(estimate.name), one.name)
            for symbol in symbols_in(one.formula):  # printed whether it found one or not
                found.take(symbol, meaning(symbol, "", ""), one.name)
    for test in study.tests:
        dimensions = [
            one.name for one in fields(test) if "dimension" in one.metadata and getattr(test, one.name) is not None
        ]
        for name in (*test.columns, *dimensions):
            if name.endswith(("_uncertainty", "_error")):
                continue
            about = quantity_of(test, name)
            own = OWN.get(("test", test.kind), {}).get(about.symbol)
            found.take(about.symbol, own or (about.meaning, about.unit), test.kind)
    _of_files(study, found)
    if study.knows("material"):
        for name in study.material.table.index:
            if name in QUANTITIES and name not in study.idle:
                found.take(*_of(name), TAKEN)
        found.take(*_of("batch_spread"), TAKEN)
        found.take(*_of("wet_water_content"), TAKEN)
    for one in taken(study):
        for symbol in symbols_in(one.symbol):
            found.take(symbol, ASSUMED.get(symbol) or meaning(symbol, "", ""), CHECKED)
    for name in (*not_measured(study), *study.idle):
        found.take(*_of(name), TAKEN)
    for table in OF_PLAN:
        for key, entry in ASKED[table].items():
            if (
                key in QUANTITIES
                and study.book.plan.text(table, key)
                and entry.words.endswith(f" {QUANTITIES[key].symbol}")
            ):
                found.take(*_of(key), OF_JOB)
    found.take("u", UNCERTAINTY, "tables of uncertainties")
    if study.knows("fit"):
        for symbol, told in OF_BUDGET.items():
            found.take(symbol, told, "uncertainty budget")
    if study.knows("extruder"):
        found.take(*_of("pressure_drop"), "force of the uncertainty budget")
    return Section(
        TITLE,
        (
            Table(
                "symbols",
                f"{study.paste}: symbols used, with SI units. A symbol that has several meanings has a row for each, with the formula or table where it "
                "has that.",
                ("symbol", "what it is", "SI unit", "where"),
                found.rows(),
                "Shear stress is written τ, where the official symbols of the Society of Rheology (Journal of Rheology 57 (2013) 1047, from memory) have σ; "
                "shear rate γ̇, viscosity η and their limits are as there. A yield stress is τ_y, and never τ_0, which is a wall stress in paste extrusion. "
                "In formulae π is the ratio of circumference and diameter of a circle, and ln the natural logarithm.",
                row_names=False,
            ),
        ),
    )


def _of_fit(study, found):
    """Take the parameters of the law, what is known beforehand, and the factors where they enter."""
    problem = study.fit.problem
    for name, one in problem.law_class.parameters().items():
        found.take(one.symbol, meaning_of_parameter(name, one), LAW)
    for condition, _ in problem.law_class.conditions:
        for symbol, words, unit in condition.symbols:
            found.take(symbol, (words, unit), condition.name.replace("_", " "))
    for one in problem.nuisances.values():
        found.take(one.symbol, (one.meaning, one.unit), LAW)
    for equation in factors(study):
        for symbol in symbols_in(equation.text):
            found.take(symbol, meaning(symbol, "law", "factors", problem.law_class), LAW)
    for symbol in symbols_in(formula_of(study)):
        found.take(symbol, meaning(symbol, *PLACE), PLACE[1])


def _of_files(study, found):
    """Take what the files of readings and bench.toml give, as the dictionary and the table of the apparatus have it."""
    table = dictionary(study) if study.knows("bench") else None
    for row in table.rows if table else ():
        words, symbol, unit = (str(row[table.columns.index(head)]) for head in ("quantity", "symbol", "SI unit"))
        found.take(symbol, (words, unit), f"column {row[1]}")
    for row in dimensions(study):
        words, symbol = str(row[1]), str(row[2])
        about = QUANTITIES.get(words.replace(" ", "_"))
        told = (
            (about.meaning, about.unit) if about is not None and about.symbol == symbol else (words, str(row[6]) or "-")
        )
        if symbol not in found.held:
            found.take(symbol, told, "apparatus")


def _of(name: str) -> tuple[str, tuple[str, str]]:
    about = QUANTITIES[name]
    return about.symbol, (about.meaning, about.unit)
