"""Symbols in the formulae of the appendix: which stand in a text, and what each stands for there, with its unit.

A formula is written on one line: a symbol is a letter, with a dot, a prime and a subscript where it has them; words have two letters or more.
"""

import re
from dataclasses import fields

from ..bench import KINDS
from ..bench.base import quantity_of
from ..laws.parameters import Parameter
from ..nomenclature import QUANTITIES
from ..units import STANDARD_GRAVITY
from .predicted_symbols import ALIKE, APART
from .predicted_symbols import OF as PREDICTION

Meaning = tuple[str, str]
"""What a symbol stands for, and its SI unit."""
LONG = ("Re", "Oh")
"""Symbols of two letters: numbers without a unit by the names of people."""
DOT = "\u0307"
SYMBOL = re.compile(
    rf"(?<![A-Za-zα-ωΑ-Ω_′'])(?:Δ?[A-Za-zα-ρσ-ωΑ-ΓΕ-Ω]{DOT}?[′']?(?:_[A-Za-z0-9∞-]+)?|{'|'.join(LONG)})(?![A-Za-zα-ωΑ-Ω_])"
)
PASSED = (
    (re.compile(r"\d K(?=/\(|$|[;,.)])|(?<=\d) N\b|\d °C|k?Pa\b"), " 0"),  # numbers with units
    (re.compile(r"\be[⁰¹²³⁴-⁹]"), "1"),  # powers of e
    (re.compile(r"∫ dt"), "∫ t"),
    (re.compile(r"\bd ln "), "ln "),
    (re.compile(r" d(?=[hR]\b)"), " "),
    (re.compile(r"\b(a|A) (?=[a-z]{2,})"), " "),  # the article
    (re.compile(r"[πΣ]"), " "),
)
SUPERSCRIPTS = str.maketrans({"ⁿ": " n", "ᵃ": " a"})

GRAVITY = {"g": (f"standard gravity, taken as {STANDARD_GRAVITY} m/s²", "m/s²")}
COMMON_NAMES = (
    "shear_rate", "shear_stress", "viscosity", "yield_stress", "static_yield_stress", "flow_rate", "pressure", "pressure_drop", "wall_shear_stress",
    "apparent_shear_rate", "wall_shear_rate", "mean_velocity", "diameter", "length", "barrel_diameter", "fill_length", "barrel_area", "plunger_friction",
    "barrel_drag", "density", "consistency", "flow_index", "slip_velocity", "end_correction", "apparent_flow_index", "apparent_consistency", "static_ratio",
    "criterion_factor", "model_factor", "bore_factor", "batch_factor", "record_factor", "lack_of_fit_factor", "surface_tension", "air_content", "water_content",
    "modulus", "lean_factor", "grain_size", "largest_grain", "diffusivity", "dry_density", "porosity", "liquid_viscosity", "gel_temperature", "setting_time",
    "gas_volume", "atmospheric_pressure", "compliance", "drying_flux", "winding_speed", "break_ratio", "dry_section", "exit_temperature", "barrel_temperature",
    "dry_diameter", "wet_water_content", "drag_diameter", "volume", "wall_friction", "cup_volume",
)  # fmt: skip
"""Quantities whose symbol means the same wherever a formula does not say otherwise."""
COMMON: dict[str, Meaning] = {
    **{QUANTITIES[name].symbol: (QUANTITIES[name].meaning, QUANTITIES[name].unit) for name in reversed(COMMON_NAMES)},
    **GRAVITY,
    "F_drive": ("greatest force of the drive", "N"),
    "F_hand": ("force that a hand pushes with", "N"),
    "F_break-loose": (QUANTITIES["break_loose_friction"].meaning, "N"),
    "p_start": ("pressure that starts the flow", "Pa"),
    "Δp_nozzle": ("pressure lost in the nozzle", "Pa"),
    "F": (QUANTITIES["plunger_force"].meaning, "N"),
    "h": (QUANTITIES["layer_height"].meaning, "m"),
    "w": (QUANTITIES["line_width"].meaning, "m"),
    "A": (QUANTITIES["section"].meaning, "m²"),
    "H": (QUANTITIES["part_height"].meaning, "m"),
    "T": (QUANTITIES["temperature"].meaning, "K"),
    "T_m": (QUANTITIES["melt_temperature"].meaning, "K"),
    "t_10": (QUANTITIES["setting_time"].meaning, "s"),
    "r_0": ("radius of a thread as it leaves the nozzle", "m"),
    "v_0": ("mean speed in the bore", "m/s"),
    "D_B": (QUANTITIES["break_ratio"].meaning, "-"),
    "t_set": ("time to set at the temperature there", "s"),
}
"""What symbols mean wherever a formula does not say otherwise."""
THREAD = {"L": ("way of the thread in the air", "m")}
OWN: dict[tuple[str, str], dict[str, Meaning]] = {
    ("law", "Robertson-Stiff"): {"γ̇_0": ("rate at which its power law alone bears the yield stress", "1/s")},
    ("law", "factors"): {
        "τ_t": ("stress that a test sees", "Pa"),
        "D_t": ("true bore", "m"),
        "f_r": ("factor of a run over the median run", "-"),
    },
    ("flow", "converging flow"): {
        "α": ("half angle of the taper, π/2 at a step", "rad"),
        "V": ("viscous part of the excess pressure", "Pa"),
        "ρ": ("wide over narrow diameter", "-"),
        "U": ("mean velocity at the narrow end", "m/s"),
        "R": ("radius at the narrow end", "m"),
        "Δp": ("pressure of converging flow beyond that of shear", "Pa"),
        "n": ("flow index, of another law its local index there", "-"),
    },
    ("flow", "stress of a reading"): {
        "τ": ("stress at the wall of the land, as it was read", "Pa"),
        "p_up": ("pressure lost before the last land, by the fitted law", "Pa"),
        "F": (QUANTITIES["plunger_force"].meaning, "N"),
        "D": ("bore of the last land, as fitted", "m"),
        "L": ("length of the last land", "m"),
    },
    ("test", "cup density"): {"ρ_th": ("density without air, by the recipe", "kg/m³")},
    ("test", "drop mass"): {
        "m": (QUANTITIES["drop_mass"].meaning, "kg"),
        "r": ("radius of the tip", "m"),
        "f": ("share of a hanging drop that falls", "-"),
        "V": ("volume of a drop", "m³"),
    },
    ("test", "drying shrinkage"): {
        "L_dry": (QUANTITIES["dry_length"].meaning, "m"),
        "L_wet": (QUANTITIES["wet_length"].meaning, "m"),
        "S": (QUANTITIES["shrinkage"].meaning, "-"),
    },
    ("test", "fall cone"): {"k": ("cone factor, by its angle", "-")},
    ("test", "falling ball"): {
        "λ": ("diameter of the ball over that of the tube", "-"),
        "v": ("speed of the ball", "m/s"),
        "Re": ("Reynolds number of the ball", "-"),
    },
    ("test", "hanging slug"): {"A": ("section of the strand", "m²"), "R": ("radius of the strand", "m")},
    ("test", "lean height"): {
        "E_eff": ("Young's modulus times the cube of the lean factor", "Pa"),
        "H": (QUANTITIES["lean_height"].meaning, "m"),
        "w": (QUANTITIES["wall_width"].meaning, "m"),
    },
    ("test", "loaded plate"): {
        "F": ("load on the plate, its own weight in it", "N"),
        "C": (
            "mean pressure of a thick layer over the yield stress, by m_f: √3 where the plate slips, 1.36 where it holds",
            "-",
        ),
        "h": ("gap that the paste fills", "m"),
    },
    ("test", "oven moisture"): {
        "m_wet": (QUANTITIES["wet_mass"].meaning, "kg"),
        "m_dry": (QUANTITIES["dry_mass"].meaning, "kg"),
        "m_tare": (QUANTITIES["tare_mass"].meaning, "kg"),
    },
    ("test", "setting time"): {
        "t": ("time to set", "s"),
        "p": (QUANTITIES["setting_exponent"].meaning, "-"),
    },
    ("test", "sieve"): {"a'": ("aperture of each sieve", "m"), "m": (QUANTITIES["retained_mass"].meaning, "kg")},
    ("test", "cylinder slump"): {
        "c": ("constant of the criterion of yielding", "-"),
        "t": ("yield stress over the weight of the cylinder, τ_y/(ρ g H)", "-"),
    },
    ("test", "frustum slump"): {
        "c": ("constant of the criterion of yielding", "-"),
        "z": ("height that does not yield", "m"),
        "A": ("section of the mould at a height", "m²"),
        "Ω": ("volume of the mould below a height", "m³"),
    },
    ("test", "spread"): {"λ": ("surface tension's pull at the rim", "N/m")},
    ("test", "timed drain"): {
        "h": ("level above the end of the nozzle", "m"),
        "A_0": ("section of the reservoir", "m²"),
    },
    ("test", "wound thread"): {
        "m_dry": ("mass of the dry thread", "kg"),
        "m_wet": ("mass of the wet thread", "kg"),
        "ρ_dry": ("density of the dry thread", "kg/m³"),
        "d": (QUANTITIES["thread_diameter"].meaning, "m"),
        "m": ("mass of the thread", "kg"),
        "L": ("length of the thread", "m"),
    },
    ("correction", "two lengths"): {
        "p_long": ("pressure of the longer land", "Pa"),
        "p_short": ("pressure of the shorter land", "Pa"),
        "L_long": ("length of the longer land", "m"),
        "L_short": ("length of the shorter land", "m"),
    },
    ("correction", "surface tension (loaded plate)"): {"h": ("gap that the paste fills", "m")},
    ("limit", "supplied pressure"): {"p_regulator": ("pressure at the regulator", "Pa")},
    ("limit", "beads"): {
        **THREAD,
        "b": ("factor for slack in the tension", "-"),
        "φ": ("ln of how often an unevenness may still grow where the thread was drawn", "-"),
        "D_R": (QUANTITIES["draw_ratio"].meaning, "-"),
        "Oh": ("Ohnesorge number of the thread", "-"),
    },
    ("limit", "clog"): {"k_c": ("least bore over the size of the grains", "-")},
    ("limit", "cracking"): {
        "N": ("crack index", "-"),
        "b": (QUANTITIES["half_thickness"].meaning, "m"),
    },
    ("limit", "dry diameter"): {"u": (QUANTITIES["dry_diameter_tolerance"].meaning, "-")},
    ("limit", "even draw"): {
        **THREAD,
        "D_c": (QUANTITIES["critical_draw_ratio"].meaning, "-"),
        "C": (QUANTITIES["capillary_number"].meaning, "-"),
    },
    ("limit", "lag"): {"t": ("time until the flow has come", "s")},
    ("limit", "layer time"): {
        "t_layer": ("time of one layer", "s"),
        "Δu": ("fall of the water content at the surface that ends adhesion", "-"),
        "A": ("growth of the static yield stress at rest, A_t", "Pa/s"),
    },
    ("limit", "lean"): {
        "w": (QUANTITIES["wall_width"].meaning, "m"),
        "R": (QUANTITIES["ring_radius"].meaning, "m"),
        "k": ("share of the ideal shell's stress that a real one bears", "-"),
    },
    ("limit", "pause"): {"t": ("time without flow", "s")},
    ("limit", "set before winding"): {
        "t": ("time since the nozzle", "s"),
        "p": (QUANTITIES["setting_exponent"].meaning, "-"),
    },
    ("limit", "span"): {"G": ("shear modulus", "Pa"), "L": (QUANTITIES["span"].meaning, "m")},
    ("limit", "speed floor"): {
        "v_barrel": ("speed of the paste in the barrel", "m/s"),
        "v_D": ("speed of the liquid through the grains", "m/s"),
        "k_D": ("permeability of the grains", "m²"),
        "d_32": (QUANTITIES["drag_diameter"].meaning, "m"),
    },
    ("limit", "stack"): {
        "k": (QUANTITIES["stack_factor"].meaning, "-"),
        "A": ("growth of the static yield stress at rest, A_t", "Pa/s"),
        "v": ("speed at which the part grows", "m/s"),
        "t_b": (QUANTITIES["build_up_time"].meaning, "s"),
        "t_layer": ("time of one layer", "s"),
    },
    ("limit", "taut thread"): {
        **THREAD,
        "L_v": ("way that viscosity alone holds taut", "m"),
        "L_c": ("way that surface tension alone holds taut", "m"),
        "D_R": (QUANTITIES["draw_ratio"].meaning, "-"),
        "r_w": ("radius of the thread at the drum", "m"),
        "u": ("speed of the thread over that at the drum", "-"),
    },
    ("limit", "ages read"): {"t": (QUANTITIES["age"].meaning, "s")},
}
"""What symbols mean in one formula alone, by what it is of and its name."""


def symbols_in(formula: str) -> tuple[str, ...]:
    """Return the symbols that stand in a formula, each once, in their order.

    >>> symbols_in("τ = τ_y + K γ̇ⁿ above yield; at rest below")
    ('τ', 'τ_y', 'K', 'γ̇', 'n')
    """
    text = formula.translate(SUPERSCRIPTS)
    for pattern, instead in PASSED:
        text = pattern.sub(instead, text)
    return tuple(dict.fromkeys(SYMBOL.findall(text)))


def meaning_of_parameter(name: str, one: Parameter) -> Meaning:
    """Return what a parameter of a law stands for: in the words of the nomenclature where it has them."""
    about = QUANTITIES.get(name)
    return (about.meaning, about.unit) if about is not None and about.symbol == one.symbol else (one.meaning, one.unit)


def meaning(symbol: str, of: str, name: str, law: type | None = None) -> Meaning | None:
    """Return what a symbol stands for in the formula of something, by what it is of and its name; None where nothing says it.

    `law` is the class of the fitted law, of whose formula its parameters are.
    """
    own = ALIKE | APART.get(name, {}) if of == PREDICTION else OWN.get((of, name), {})
    if symbol in own:
        return own[symbol]
    if of == "law" and law is not None:
        for field, one in law.parameters().items():  # type: ignore[attr-defined]
            if one.symbol == symbol:
                return meaning_of_parameter(field, one)
    if of == "test" and name in KINDS:
        kind = KINDS[name]
        for declared in fields(kind):
            if not {"column", "dimension"} & declared.metadata.keys():
                continue
            about = quantity_of(kind, declared.name)
            if about.symbol == symbol:
                return about.meaning, about.unit
    return COMMON.get(symbol)
