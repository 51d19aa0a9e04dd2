"""What is known of a paste beside its law: what the readings tell, what is typed, and what follows from recipe and part.

What is typed counts before what the readings tell. An entry that is empty may be known all the same: `counted` names what counts
in its place, and where that comes from.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from ..errors import DataError
from ..nomenclature import number
from ..origins import ASSUMED, FITTED, MEASURED, of_invented
from ..paste.fitted import static_ratio_of
from ..paste.material import Material
from ..paste.properties import Paste
from ..planning import leaned
from .asked import ASKED, PROPERTIES
from .asked_of_recipe import LEANED
from .assumed import Assumed
from .made import in_words, size_of
from .of_air import air_by_density, doubt_of_air
from .of_recipe import water_law_of
from .plan import Plan
from .whence import origin_of

if TYPE_CHECKING:
    from ..bench import Bench
    from ..fitting import FitResult
    from .opened import Workbook

OF_RECIPE = f"{FITTED}: to yield stresses at several waters, of the recipe"
OF_PART = f"{ASSUMED}: follows from the part"
AS_TYPED = "its uncertainty as typed"
"""What the origin of a shrinkage ends in whose readings tell an uncertainty that the plan replaces."""
SHRINKS = ("shrinkage_xy", "shrinkage_z")
NO_WATER = "{what} is not used: it was read at u = {u}, and {lacks} is not known; type it in notebook 4"


class Read(NamedTuple):
    """What readings tell of a paste beside its law, by name, and how thick the walls were that leaned [m], if any did."""

    known: dict[str, Assumed]
    lean_width: float | None = None


class Given(NamedTuple):
    """What a material takes beside what the readings tell, by name; how thick the wall was that leaned [m]; what of it is not used."""

    known: dict[str, Assumed]
    lean_width: float | None
    left_out: list[str]


def read_of(bench: Bench, fit: FitResult | None) -> Read:
    """Return what readings tell of a paste beside its law, as its `Material` takes it; without a fit, what single tests and the specimen tell."""
    invented = bench.specimen.invented
    known: dict[str, Assumed] = {}

    def tell(name, value, spread, origin):
        known.setdefault(name, Assumed(float(value), spread, of_invented(origin) if invented else origin))

    of_law = {} if fit is None or "water_content" not in fit.law.depends_on else fit.law.effects | fit.law.condition
    for name in ("water_content", "water_slope"):
        if name in of_law:
            tell(name, of_law[name], None, FITTED)
    for name, one in bench.properties().items():
        if one.side <= 0:
            tell(name, one.value, one.spread, f"{MEASURED}: {one.origin}")
    for name in ("density", "air_content", "water_content"):
        if (value := getattr(bench.specimen, name, None)) is not None:
            tell(name, value, bench.specimen.spreads.get(name), f"{MEASURED}: stated of the specimen")
    if fit is not None and "static_ratio" in fit.nuisance and fit.tells("static_ratio"):
        ratio, origin = static_ratio_of(fit, of_invented(FITTED) if invented else FITTED)
        tell("static_ratio", ratio, None, origin)
    widths = {test.wall_width for test in bench.tests if "lean_factor" in test.gives}  # type: ignore[attr-defined]  # a wall
    return Read(known, widths.pop() if len(widths) == 1 else None)


def given_of(plan: Plan, read: Read) -> Given:
    """Return what a plan knows of its paste: its properties, the stiffness at the water that was tested, the slope of its recipe."""
    known, left_out, width = plan.properties, [], None
    known |= {name: one for name, one in shrinkages_of(plan, read.known).items() if one != read.known.get(name)}
    try:
        law = water_law_of(plan)
    except DataError as error:  # what else is known does not hang on it
        law = None
        left_out.append(f"the readings of the recipe are not used: {error}")
    if not {"air_content"} & (known.keys() | read.known.keys()):
        air = air_by_density(plan, read.known | known)
        known |= {} if air is None else {"air_content": air}
    is_asked = law is not None and law.slope > 0 and "water_slope" not in known and "water_slope" not in read.known
    if is_asked and law.low <= 0:
        left_out.append("what water does to the paste is not used: by the readings of the recipe it may be nothing")
    elif is_asked:
        half = float(law.high - law.low) / 2 / float(law.normal)
        known["water_slope"] = Assumed(
            float(law.slope), half / float(law.slope), OF_RECIPE, (float(law.low), float(law.high))
        )
    stiff = known.pop("modulus", None)
    what = ASKED[PROPERTIES]["modulus"].words
    if plan.choice("shape", "stiffness_from") == LEANED and plan.value("shape", "leaned") is not None:
        stiff, width = None, wall_of(plan)
        density, what = (known | read.known).get("density"), ASKED["shape"]["leaned"].words
        if width is None or density is None:
            lacks = [("print", "wall_width")] if width is None else [(PROPERTIES, "density")]
            left_out.append(f"{what} is not used: it needs {'; '.join(in_words(lacks))}")
        else:
            told = leaned(plan.value("shape", "leaned"), width, density.value, plan.choice("print", "shape"))
            origin = f"{origin_of(plan.text('recipe', 'origin'))}; a test wall that leaned"
            stiff = Assumed(told["properties"]["modulus"], told["spreads"]["modulus"], origin)
            known["lean_factor"] = Assumed(told["properties"]["lean_factor"], None, origin)
    if stiff is not None:
        factor, lacks = _to_tested_water(plan.value("shape", "modulus_water"), read.known | known)
        if lacks:
            known.pop("lean_factor", None) if width else None
            width = None
            left_out.append(NO_WATER.format(what=what, u=number(plan.value("shape", "modulus_water"), 4), lacks=lacks))
        else:
            known["modulus"] = stiff._replace(value=stiff.value * factor)
    return Given(known, width if "modulus" in known else None, left_out)


def shrinkages_of(plan: Plan, read: Mapping[str, Assumed]) -> dict[str, Assumed]:
    """Return the shrinkages that are known, by name, each with its own spread, if it has one.

    That which is typed with it, else the uncertainty that is typed for both, else that of its own readings.
    """
    typed, error = plan.properties, plan.value("drying", "shrinkage_error")
    out = {name: one for name in SHRINKS if (one := typed.get(name) or read.get(name)) is not None}
    for name, one in out.items():
        if error is not None and one.value > 0 and (name not in typed or one.spread is None):
            origin = one.origin if name in typed else f"{one.origin}; {AS_TYPED}"
            out[name] = one._replace(spread=error / one.value, origin=origin)
    return out


def _to_tested_water(read_at, known):
    """Return the factor on a stiffness from the water that it was read at to the one that was tested, or what that lacks."""
    water, slope = known.get("water_content"), known.get("water_slope")
    if read_at is None or (water is not None and np.isclose(read_at, water.value, rtol=1e-9)):
        return 1.0, ""
    if water is None:
        return 1.0, "at which water content the other readings were made"
    if slope is None:
        return 1.0, "how it stiffens as it loses water"
    return float(np.exp(-slope.value * (water.value - read_at))), ""


def known_of(material: Material) -> dict[str, Assumed]:
    """Return what is known of a material beside its law, by name; not what is usual."""
    named = [name for name in material.origins if name in Paste.__dataclass_fields__ and name != "law"]
    values = {name: value for name in named if (value := getattr(material.paste, name)) is not None}
    return {name: Assumed(float(value), None, material.origin(name)) for name, value in values.items()}


def typed_over(material: Material, plan: Plan) -> Material:
    """Return a material with what a plan says of its paste in place of what was known."""
    known = plan.properties
    values: dict[str, Any] = {name: one.value for name, one in known.items()}
    paste = replace(material.paste, **values)
    spreads = {name: one.spread for name, one in known.items() if one.spread is not None}
    origins = {name: one.origin for name, one in known.items()}
    return replace(
        material, paste=paste, spreads={**material.spreads, **spreads}, origins={**material.origins, **origins}
    )


# --- the part ---------------------------------------------------------------------------------------------------------


def wall_of(plan: Plan) -> float | None:
    """Return how thick the wall of a plan is [m]: one line wide where nothing else is typed; None where neither is known."""
    wall = plan.value("print", "wall_width")
    return size_of(plan, "line_width") if wall is None else wall


def rise_of(plan: Plan) -> float | None:
    """Return how fast the part of a plan rises [m/s], from speed, layer height and path; None where one of them is not known."""
    speed, path = (plan.value("print", key) for key in ("print_speed", "path_length"))
    height = size_of(plan, "layer_height")
    return None if None in (speed, path, height) else speed * height / path


def shrinkages(book: Workbook) -> dict[str, Assumed]:
    """Return the shrinkages of a workbook that are known, each with its own spread, if it has one."""
    return shrinkages_of(book.plan, _told_by(book))


def _told_by(book):
    try:
        return book.read.known
    except DataError:  # a bench that cannot be read is told by the page of the fit
        return {}


def counted(book: Workbook) -> dict[tuple[str, str], Assumed]:
    """Return what counts in the place of entries that are empty, by table and key: what the readings tell, and what follows from others."""
    plan, read = book.plan, _told_by(book)
    out = {(PROPERTIES, name): one for name, one in read.items() if name in ASKED[PROPERTIES]}
    water = plan.properties.get("water_content") or read.get("water_content")
    if water is not None:
        out["shape", "modulus_water"] = water
    if (air := air_by_density(plan, read | plan.properties)) is not None:
        out.setdefault((PROPERTIES, "air_content"), air)
    out |= {(PROPERTIES, name): one for name, one in shrinkages(book).items()}
    if (width := size_of(plan, "line_width")) is not None:
        out["print", "wall_width"] = Assumed(width, None, f"{ASSUMED}: one line wide")
    if (rise := rise_of(plan)) is not None:
        out["shape", "rise_speed"] = Assumed(rise, None, OF_PART)
    return out


def measured_density(book: Workbook) -> tuple[float, float] | None:
    """Return the density that was measured of the paste of a workbook [kg/m3], and at which water content [-]; None where either is not known."""
    known = _known_of(book)
    density, water = known.get("density"), known.get("water_content")
    return None if density is None or water is None else (float(density.value), float(water.value))


def unfit_air(book: Workbook) -> str:
    """Return why density and air content of a workbook cannot be together, or why the density is not used: see `doubt_of_air`."""
    return doubt_of_air(book.plan, _known_of(book))


def _known_of(book):
    return _told_by(book) | book.plan.properties


def value_of(book: Workbook, table: str, key: str) -> float | None:
    """Return an entry of the plan of a workbook in SI, or what counts in its place; None where neither is known."""
    value = book.plan.value(table, key)
    if value is None and (one := counted(book).get((table, key))) is not None:
        return one.value
    return value
