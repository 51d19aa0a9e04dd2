"""What checks and corrections took as usual because nobody measured or stated it: it moves no answer, and stands in the list of what was assumed."""

from typing import NamedTuple

from ..bench.run import Run
from ..bench.usual_corrections import CONDUCTS, HEATING
from ..corrections.capillary import capillary_share
from ..corrections.inertia import WARMS, most_warming
from ..fitting.artefacts import USUAL_AIR
from ..nomenclature import and_, number, with_decimals, written
from ..origins import ASSUMED, word_of
from .study import Study

USUAL = f"{ASSUMED}: usual of a wet paste, common practice, no source"


class Taken(NamedTuple):
    """A number that was assumed: its name, symbol, value with unit, what it was used in, and where it comes from."""

    name: str
    symbol: str
    value: str
    used_in: str
    origin: str


def taken(study: Study) -> list[Taken]:
    """Return every number that a check of the fit, or a correction of a reading, took as usual; none where there is no fit."""
    if not study.knows("fit"):
        return []
    fit, found = study.fit, []
    asked = any(row.question == "rows read when steady" for row in fit.checks.itertuples())
    if asked and not any("air_content" in bench.properties() | bench.stated() for bench in fit.benches):
        found.append(
            Taken(
                "trapped air",
                "ε_a",
                f"{with_decimals(100 * USUAL_AIR, 1)} %",
                "the check whether rows were read when steady",
                f"{ASSUMED}: usual of a spoon-mixed paste, common practice, no source",
            )
        )
    paste = study.material.paste if study.knows("material") else None
    runs = [test for test in fit.tests if isinstance(test, Run)]
    held = getattr(paste, "density", None), getattr(paste, "heat_capacity", None)
    if runs and None in held and most_warming(runs) is not None:
        words, told = "heat that warms a volume by 1 K", f"{number(WARMS / 1e6)} MJ/(m³·K)"
        found.append(Taken(words, "ρ c", told, "the size of viscous heating in the nozzle", USUAL))
    kinds = {test.kind for test in study.tests for one in test.corrections() if one.name == HEATING}
    if kinds:
        where = f"the size of viscous heating ({and_(sorted(kinds))})"
        found.append(Taken("thermal conductivity", "λ", f"{number(CONDUCTS)} W/(m·K)", where, USUAL))
    tension = getattr(paste, "surface_tension", None)
    origin = "" if tension is None else study.material.origin("surface_tension")
    if origin and word_of(origin) == ASSUMED and (shares := capillary_share(fit.tests, tension)):
        where = f"the size of surface tension ({and_([*shares])})"
        found.append(Taken("surface tension", "γ", written(tension, "surface_tension"), where, origin))
    return found
