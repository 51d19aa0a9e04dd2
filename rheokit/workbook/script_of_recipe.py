"""The recipe of a plan as statements of a script: what to weigh, what to add, whether it stands, how it dries and what to draw."""

from __future__ import annotations

from ..part.printing import RING
from .asked import SHAPE
from .asked_of_recipe import BOTH, DRYING, FAN, LEANED, PLATE, RECIPE, STILL
from .coded import call, mapped, number, quoted
from .made import in_words, missing, recipe_of, water_law_of, water_readings_of
from .plan import Plan

CONVECTIONS = {STILL: "(3.5, 3.0, 4.0)", FAN: "(15.0, 10.0, 25.0)"}
"""Heat that moving air carries, with its limits [W/(m2 K)]; common practice, no source."""
OF_CORRECTION = {
    "paste_there": "mass",
    "water_in_it": "water_content",
    "yield_stress_now": "stress_now",
    "yield_stress_wanted": "stress_wanted",
}
OF_AGAIN = ("dried_parts", "moisture_left")
SIZES = ("length", "width", "height")
OF_AIR = ("dry_solids", "water_left_by_air", "water_in_the_end", "diffusivity")


def recipe_lines(plan: Plan) -> list[list[str]]:
    """Return the statements of the recipe, a list for each paragraph; what is not known is told in a comment."""
    if not plan.rows("recipe", "ingredient"):
        return []
    if lacks := missing(plan, "recipe"):
        return [_left_out("What to weigh", in_words(lacks))]
    known = water_law_of(plan) is not None
    out = [_recipe(plan), _batch(plan)]
    if plan.value("recipe", "air_content") is None or not known:
        needs = [("recipe", name) for name in ("air_content", "reading_error") if plan.value("recipe", name) is None]
        needs += [] if len(plan.rows("recipe", "reading")) > 1 else [("recipe", "reading")]
        return [*out, _left_out("What to add, whether it stands and how it dries", in_words(needs))]
    return [*out, _water_law(plan), _correction(plan), _again(plan), _standing(plan), _drying(plan), _drawing(plan)]


def _left_out(what, lacks):
    return [f"# {what} is left out; not known:", *(f"# - {one}" for one in lacks)]


def _lacking(plan, table, *keys):
    return [(table, key) for key in keys if plan.value(table, key) is None]


def _code(plan, table, key):
    entries = {"recipe": RECIPE, "shape": SHAPE, "drying": DRYING}[table]
    return number(plan.value(table, key), entries[key].unit)


def _recipe(plan):
    parts = []
    for one in recipe_of(plan).ingredients:
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
        f"    water_content={_code(plan, 'recipe', 'water_content')},  # dry basis: water over dry mass",
        ")",
    ]


def _batch(plan):
    if lacks := _lacking(plan, "recipe", "batch"):
        return _left_out("What to weigh", in_words(lacks))
    return [f"sheet = recipe.batch_sheet({_code(plan, 'recipe', 'batch')})", "print(sheet.round(1))"]


def _water_law(plan):
    water, stress = water_readings_of(plan)
    error = _code(plan, "recipe", "reading_error")
    listed = [f"[{', '.join(f'{one:.12g}' for one in column)}]" for column in (water, stress)]
    return [
        f"water_law = rk.water.WaterLaw.fit({', '.join(listed)}, relative_uncertainty={error})",
        'print(f"slope {water_law.slope:.2f}, 95 % {water_law.low:.2f} to {water_law.high:.2f}")',
        f"mixed = Mixed(recipe, {_code(plan, 'recipe', 'air_content')}, water_law)",
        'print("yield stress {:.0f} Pa, 95 % {:.0f} to {:.0f} Pa".format(*mixed.band))',
    ]


def _correction(plan):
    if lacks := _lacking(plan, "recipe", *OF_CORRECTION):
        return _left_out("What to add to a batch", in_words(lacks))
    told = {name: _code(plan, "recipe", key) for key, name in OF_CORRECTION.items()}
    if plan.value("recipe", "premix_moisture") is not None:
        told["premix_moisture"] = _code(plan, "recipe", "premix_moisture")
    return [f"add = {call('water_law.correction', told)}", "print(add)"]


def _again(plan):
    if lacks := _lacking(plan, "recipe", *OF_AGAIN):
        return _left_out("Water for dried parts", in_words(lacks))
    parts, left = (_code(plan, "recipe", key) for key in OF_AGAIN)
    return [
        f"again = rk.recipe.rewetting_water({parts}, {left}, recipe.water_content)",
        'print(f"dried parts want {1000 * again:.0f} g of water")',
    ]


def _standing(plan):
    leaned, ring = plan.choice("shape", "stiffness_from") == LEANED, plan.choice("shape", "shape") == RING
    asked = ["wall", "height", "rise_speed", "line", "span", "static_ratio", "build_up_rate", "build_up_time"]
    asked += ["leaned"] if leaned else ["modulus", "modulus_water"]
    asked += ["ring_radius"] if ring else []
    if lacks := _lacking(plan, "shape", *asked):
        return _left_out("Whether it stands", in_words(lacks))
    code = {key: _code(plan, "shape", key) for key in asked}
    rested = {key: code[key] for key in ("build_up_rate", "build_up_time", "static_ratio")}
    shape = quoted(plan.choice("shape", "shape"))
    if leaned:
        told = [
            f"told = rk.planning.leaned({code['leaned']}, {code['wall']}, mixed.density, {shape})",
            'stiff = told.pop("properties")',
        ]
        more = ", **told"
    else:
        factor = f"water_law.line_factor({code['modulus_water']}, recipe.water_content)"
        told, more = [f'stiff = {{"modulus": {code["modulus"]} * float({factor})}}'], ""
    part = {"part_height": code["height"], "wall_width": code["wall"], "shape": shape, "span": code["span"]}
    part |= {"ring_radius": code["ring_radius"]} if ring else {}
    return [
        *told,
        f"wet = mixed.material({{**stiff, {mapped(rested)[1:]}{more})",
        f"standing = {call('rk.planning.Standing.of_line', part, ['wet', code['line'], code['rise_speed']])}",
        'print("the wall leans at {:.1f} mm (95 % {:.1f} to {:.1f} mm)".format(*(one / mm for one in standing.leans)))',
        'print("its foot yields at {:.1f} mm (95 % {:.1f} to {:.1f} mm)".format(*(one / mm for one in standing.foot)))',
    ]


def _drying(plan):
    by, asked = plan.choice("drying", "dried_by"), list(OF_AIR)
    asked += ["plate_flux"] if by == PLATE else ["temperature", "humidity"]
    lacks = _lacking(plan, "drying", *asked) + _lacking(plan, "shape", "wall")
    if lacks:
        return _left_out("How long it dries", in_words(lacks))
    code = {key: _code(plan, "drying", key) for key in asked}
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
    told |= {"depth": f"{_code(plan, 'shape', 'wall')}{half}", "diffusivity": code["diffusivity"]}
    return [
        f"fluxes = {fluxes}",
        f"drying = {call('mixed.wall', told)}",
        'print("keep it covered until it weighs {:.0f} % of its wet mass".format(100 * drying.covered_until[0]))',
        'print(f"dry after {drying.times.total / hour:.0f} h in the open, within a factor of 2")',
    ]


def _drawing(plan):
    if lacks := _lacking(plan, "drying", *SIZES, "shrinkage_xy", "shrinkage_z", "shrinkage_error"):
        return _left_out("What to draw", in_words(lacks))
    sizes = ", ".join(_code(plan, "drying", key) for key in SIZES)
    error = _code(plan, "drying", "shrinkage_error")
    lines = [
        f"{name} = rk.shrinkage.stated_shrinkage({_code(plan, 'drying', key)}, {error})"
        for name, key in (("plane", "shrinkage_xy"), ("up", "shrinkage_z"))
    ]
    return [
        *lines,
        f"drawn = [size * one.scale.value for size, one in zip(({sizes}), (plane, plane, up))]",
        'print("draw {:.1f} x {:.1f} x {:.1f} mm".format(*(one / mm for one in drawn)))',
    ]
