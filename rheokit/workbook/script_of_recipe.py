"""The recipe of a plan as statements of a script: what to weigh, what to add, whether it stands, how it dries and what to draw."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from ..errors import DataError
from ..part.job import FIBRE
from ..part.printing import RING
from .asked import ASKED, PROPERTIES
from .asked_of_recipe import BOTH, FAN, LEANED, PLATE, STILL
from .coded import attempted, because, call, given, left_out, mapped, number, quoted
from .made import NotKnownYet, filled_rows, missing
from .of_paste import SHRINKS, counted, measured_density, shrinkages, unfit_air, value_of
from .of_recipe import recipe_of, water_law_of, water_readings_of
from .standing import BRIDGES, DRAWN, RESTED, as_read, asked_of_standing, line_of, spreads_of, standing_of_bench

if TYPE_CHECKING:
    from .opened import Workbook

CONVECTIONS = {STILL: "(3.5, 3.0, 4.0)", FAN: "(15.0, 10.0, 25.0)"}
"""Heat that moving air carries, with its limits [W/(m2 K)]; common practice, no source."""
WEIGH, ADD, AGAIN, STANDS, DRIES, DRAW = (
    "What to weigh",
    "What to add to a batch",
    "Water for dried parts",
    "Whether it stands",
    "How long it dries",
    "What to draw",
)
OF_LAW = "What to add, whether it stands and how it dries"
OF_NO_RECIPE = "What to weigh, what to add and how it dries"
OF_AIR_TOO = "The paste as mixed, whether it stands and how it dries"
OF_CORRECTION = {
    "paste_there": "mass",
    "water_in_it": "water_content",
    "yield_stress_now": "stress_now",
    "yield_stress_wanted": "stress_wanted",
}
PART = ("part_height", "wall_width", "shape", "ring_radius", "layer_height", "line_width")
OF_AGAIN = ("dried_parts", "moisture_left")
SIZES = ("length", "width", "height")
OF_AIR = ("dry_solids", "water_left_by_air", "water_in_the_end")


def recipe_lines(book: Workbook) -> list[list[str]]:
    """Return the statements of the recipe, a list for each paragraph; what is not known is told in a comment."""
    plan = book.plan
    drawing = attempted(DRAW, partial(_drawing, book))
    if not filled_rows(plan, "ingredient"):
        if plan.choice("job", "kind") == FIBRE:
            return [] if drawing[0].startswith("#") else [drawing]
        standing = attempted(STANDS, partial(_standing_of_bench, book)) if makes_material(book) else []
        return [left_out(OF_NO_RECIPE, missing(plan, "recipe")), standing, drawing]
    if lacks := missing(plan, "recipe"):
        return [left_out(WEIGH, lacks), drawing]
    try:
        out = [_recipe(book), attempted(WEIGH, partial(_batch, book))]
    except DataError as error:
        return [because("The recipe", error), drawing]
    out += [attempted(AGAIN, partial(_again, book)), drawing]
    lacks = _lacking(book, ("recipe", "reading_error"))
    lacks += [] if len(filled_rows(plan, "reading")) > 1 else [("recipe", "reading")]
    if lacks:
        return [*out, left_out(OF_LAW, lacks)]
    try:
        out.append(_water_law(book))
    except DataError as error:
        return [*out, because(OF_LAW, error)]
    out.append(attempted(ADD, partial(_correction, book)))
    if doubt := unfit_air(book):
        out.append([f"# {doubt}", f"print({quoted(doubt)})"])
    if lacks := _lacking(book, (PROPERTIES, "air_content")):
        return [*out, left_out(OF_AIR_TOO, lacks)]
    out.append(_mixed(book))
    return [*out, *(attempted(what, partial(lines, book)) for what, lines in ASKED_OF_PASTE.items())]


def makes_material(book: Workbook) -> bool:
    """Return whether a script of a workbook has its material: not where no law could be fitted, or the plan cannot be."""
    try:
        _ = book.material
    except DataError:
        return False
    return True


def _lacking(book, *places):
    return [one for one in places if value_of(book, *one) is None]


def _code(book, table, key):
    """Return an entry as a script has it; what is read of the paste by its name."""
    value = book.plan.value(table, key)
    if value is None and table == PROPERTIES and makes_material(book):
        return f"material.paste.{key}"
    return number(value_of(book, table, key) if value is None else value, ASKED[table][key].unit)


def _recipe(book):
    parts = []
    for one in recipe_of(book.plan).ingredients:
        about = {
            "name": quoted(one.name),
            "dry_mass": number(float(one.dry_mass), "g"),
            "density": number(float(one.density)),
        }
        about |= {"moisture": number(float(one.moisture))} | ({"dissolves": "True"} if one.dissolves else {})
        parts.append(f"        {call('rk.recipe.Ingredient', about, indent=8)},")
    return [
        "recipe = rk.recipe.Recipe(",
        "    ingredients=(",
        *parts,
        "    ),",
        f"    water_content={_code(book, 'recipe', 'water_content')},  # dry basis: water over dry mass",
        ")",
    ]


def _batch(book):
    if lacks := _lacking(book, ("recipe", "batch")):
        raise NotKnownYet(WEIGH.lower(), lacks)
    return [f"sheet = recipe.batch_sheet({_code(book, 'recipe', 'batch')})", "print(sheet.round(1))"]


def _water_law(book):
    water, stress = water_readings_of(book.plan)
    water_law_of(book.plan)  # raises where these readings make no line
    error = _code(book, "recipe", "reading_error")
    listed = [f"[{', '.join(f'{one:.12g}' for one in column)}]" for column in (water, stress)]
    return [
        f"water_law = rk.water.WaterLaw.fit({', '.join(listed)}, relative_uncertainty={error})",
        'print(f"slope {rk.nomenclature.with_limits(water_law.slope, water_law.low, water_law.high)}")',
    ]


def _mixed(book):
    return [
        f"mixed = Mixed(recipe, {_code(book, PROPERTIES, 'air_content')}, water_law{_density(book)}",
        """print(f"yield stress {rk.nomenclature.with_limits(*mixed.band, 'Pa')}")""",
    ]


def _density(book):
    """Return the end of the statement of the paste as mixed: the density that was measured, if any was."""
    measured = measured_density(book)
    return (
        ")" if measured is None else f", measured={measured!r})  # its density, and the water at which it was measured"
    )


def _correction(book):
    if lacks := _lacking(book, *(("recipe", key) for key in OF_CORRECTION)):
        raise NotKnownYet(ADD.lower(), lacks)
    told = {name: _code(book, "recipe", key) for key, name in OF_CORRECTION.items()}
    if book.plan.value("recipe", "premix_moisture") is not None:
        told["premix_moisture"] = _code(book, "recipe", "premix_moisture")
    return [f"add = {call('water_law.correction', told)}", "print(add)"]


def _again(book):
    if lacks := _lacking(book, *(("recipe", key) for key in OF_AGAIN)):
        raise NotKnownYet(AGAIN.lower(), lacks)
    parts, left = (_code(book, "recipe", key) for key in OF_AGAIN)
    return [
        f"again = rk.recipe.rewetting_water({parts}, {left}, recipe.water_content)",
        'print(f"dried parts want {1000 * again:.0f} g of water")',
    ]


def _standing(book):
    plan, asked = book.plan, [*asked_of_standing(book), *BRIDGES]
    if lacks := _lacking(book, *asked):
        raise NotKnownYet(STANDS.lower(), lacks)
    code = {one: _code(book, *one) for one in asked}
    wall, shape = code["print", "wall_width"], quoted(plan.choice("print", "shape"))
    read_at, more, told = code["shape", "modulus_water"], {}, []
    spreads = {name: repr(float(one)) for name, one in spreads_of(book, DRAWN).items()}
    if plan.choice("shape", "stiffness_from") == LEANED:
        told = [
            f"told = rk.planning.leaned({code['shape', 'leaned']}, {wall}, mixed.density, {shape})",
            'stiff = told.pop("properties")',
        ]
        more["lean_width"] = 'told["lean_width"]'
        stiffness = 'told["spreads"]["modulus"]'
    elif plan.value(PROPERTIES, "modulus") is not None:
        told = [f'stiff = {{"modulus": {code[PROPERTIES, "modulus"]}}}']
        stiffness = repr(typed) if (typed := spreads_of(book, ["modulus"]).get("modulus")) is not None else ""
    else:
        if makes_material(book):
            told = ['stiff = {"modulus": material.paste.modulus, "lean_factor": material.paste.lean_factor}']
            more["lean_width"], stiffness = "material.lean_width", 'material.spread("modulus")'
        else:
            properties, about = as_read(book.read)
            told = [f"stiff = {mapped({name: number(value) for name, value in properties.items()})}"]
            more["lean_width"], stiffness = repr(about["lean_width"]), repr(about["spreads"].get("modulus", ""))
        if (tested := counted(book).get(("shape", "modulus_water"))) is not None:
            read_at = number(tested.value)
    told.append(f'stiff["modulus"] *= float(water_law.line_factor({read_at}, recipe.water_content))')
    spreads |= {"modulus": stiffness} if stiffness else {}
    more |= {"spreads": mapped(spreads)} if spreads else {}
    rested = {name: code[PROPERTIES, name] for name in RESTED}
    part = {
        "part_height": code["print", "part_height"],
        "wall_width": wall,
        "shape": shape,
        "span": code["print", "span"],
    }
    part |= {"ring_radius": code["print", "ring_radius"]} if plan.choice("print", "shape") == RING else {}
    part |= {name: number(size, "mm") for name, size in line_of(plan).items()}
    before = ["wet", code["nozzle", "bore"], code["shape", "rise_speed"]]
    return [
        *told,
        f"wet = {call('mixed.material', more, [f'{{**stiff, {mapped(rested)[1:]}'])}",
        *_stands(part, before),
    ]


def _standing_of_bench(book):
    """Return the statements of the wall of the paste that was tested, where there is no recipe."""
    job = standing_of_bench(book).job  # raises where something is not known
    part = given(job, ASKED["print"])
    part = {name: part[name] for name in PART if name in part}
    rise = value_of(book, "shape", "rise_speed")
    before = ["material", number(job.wall_width, "mm"), "None" if rise is None else _code(book, "shape", "rise_speed")]
    return ["# of the paste that was tested: there is no recipe", *_stands(part, before)]


def _stands(part, before):
    """Return the statements of the heights of a part, of what it is and, before that, of its material, line and rise."""
    return [
        f"standing = {call('rk.planning.Standing.of_line', part, before)}",
        """print(f"the wall leans at {rk.nomenclature.with_limits(*standing.leans, 'mm')}")""",
        """print(f"its foot yields at {rk.nomenclature.with_limits(*standing.foot, 'mm')}")""",
    ]


def _drying(book):
    plan = book.plan
    by, asked = plan.choice("drying", "dried_by"), list(OF_AIR)
    asked += ["plate_flux"] if by == PLATE else ["temperature", "humidity"]
    needed = [*(("drying", key) for key in asked), (PROPERTIES, "diffusivity"), ("print", "wall_width")]
    if lacks := _lacking(book, *needed):
        raise NotKnownYet(DRIES.lower(), lacks)
    code = {key: _code(book, table, key) for table, key in needed}
    if by == PLATE:
        fluxes = f"rk.drying.weighed_fluxes({code['plate_flux']})"
    else:
        fluxes = f"rk.drying.room_fluxes({code['temperature']}, {code['humidity']}, {CONVECTIONS[by]})  # {by}"
    half = " / 2" if plan.choice("drying", "faces") == BOTH else ""
    told = {
        "fluxes": "fluxes",
        "dry_solids": code["dry_solids"],
        "equilibrium_water": code["water_left_by_air"],
        "final_water": code["water_in_the_end"],
    }
    told |= {"depth": f"{code['wall_width']}{half}", "diffusivity": code["diffusivity"]}
    return [
        f"fluxes = {fluxes}",
        f"drying = {call('mixed.wall', told)}",
        "kept = (100 * share for share in drying.covered_until)",
        'print("keep it covered until it weighs {:.0f} % of its wet mass (95 % {:.0f} to {:.0f} %)".format(*kept))',
        'print(f"dry after {drying.times.total / hour:.0f} h in the open, within a factor of 2")',
    ]


def _drawing(book):
    needed = [*(("drying", key) for key in SIZES), *((PROPERTIES, name) for name in SHRINKS)]
    known = shrinkages(book)
    if any(one.spread is None for one in known.values()):
        needed.append(("drying", "shrinkage_error"))
    if lacks := _lacking(book, *needed):
        raise NotKnownYet(DRAW.lower(), lacks)
    sizes = ", ".join(_code(book, "drying", key) for key in SIZES)
    lines = []
    for name, key in (("plane", "shrinkage_xy"), ("up", "shrinkage_z")):
        value, spread = _code(book, PROPERTIES, key), known[key].spread
        if spread is None:  # of a shrinkage of 0
            error = _code(book, "drying", "shrinkage_error")
        elif value.startswith("material"):
            error = f'{value} * material.spread("{key}")'
        else:
            error = number(known[key].value * spread)
        lines.append(f"{name} = rk.shrinkage.stated_shrinkage({value}, {error})")
    return [
        *lines,
        f"sizes, scales = ({sizes}), (plane.scale, plane.scale, up.scale)",
        "drawn = [size * scale.value for size, scale in zip(sizes, scales)]",
        "for size, scale in zip(sizes, scales):",
        "    ends = (size * factor / mm for factor in scale)",
        '    print("draw {:.1f} mm (95 % {:.1f} to {:.1f} mm)".format(*ends), f"for {size / mm:.1f} mm when dry")',
    ]


ASKED_OF_PASTE = {STANDS: _standing, DRIES: _drying}
