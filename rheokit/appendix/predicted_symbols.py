"""What symbols stand for in the equations of what is predicted: alike in all of them, and in some apart, by the name of the number."""

from ..nomenclature import QUANTITIES

OF = "prediction"
"""What such an equation is of, in the table of the sources."""
NAMED = (
    "print_speed", "slip_coefficient", "slip_threshold", "torque", "efficiency", "lead", "solid_density", "wet_length", "dry_length", "critical_water",
    "start_water", "final_water", "equilibrium_water", "dry_solid_fraction", "wet_solid_fraction", "convection", "radiation", "vapour_density",
    "surface_temperature", "latent_heat", "nozzle_temperature", "temperature_left", "air_temperature", "needle_outer_diameter", "gap",
    "bath_length", "bath_temperature", "heat_capacity", "draw_ratio", "draught", "water_activity",
)  # fmt: skip
"""Quantities whose symbols are those of the nomenclature."""
ALIKE: dict[str, tuple[str, str]] = {
    **{QUANTITIES[name].symbol: (QUANTITIES[name].meaning, QUANTITIES[name].unit) for name in NAMED},
    "S": ("volume that a pressure has stored", "m³"),
    "q": ("flow that comes out", "m³/s"),
    "f": ("share of the set flow that comes out", "-"),
    "t": ("time since the drive was started, or stopped", "s"),
    "V_o": ("volume that oozes out", "m³"),
    "z": ("a draw of the standard normal distribution", "-"),
    "p_regulator": ("pressure at the regulator", "Pa"),
    "ρ_w": ("density of water", "kg/m³"),
    "b": ("half the wall where both faces dry, else all of it", "m"),
    "i": ("number of a term of a sum", "-"),
    "h": ("heat from a surface to the air, per area and kelvin", "W/(m²·K)"),
    "C_w": ("heat that warms a volume of the needle's wall by a kelvin", "J/(m³·K)"),
    "d": ("diameter of the wet fibre", "m"),
}
"""What they mean in each equation that says nothing else."""
SPEED = {"v": ("speed of the fibre along itself", "m/s")}
TRANSFER = {"β": ("heat over vapour transfer in air", "J/(m³·K)")}
DRYING = {"t": ("time of drying", "s")}
HEAT = {"a": (QUANTITIES["thermal_diffusivity"].meaning, "m²/s")}
APART: dict[str, dict[str, tuple[str, str]]] = {
    "flow of the print": {"h": (QUANTITIES["layer_height"].meaning, "m")},
    "pressure at the plunger face to run": {"Δp": ("pressure of converging flow beyond that of shear", "Pa")},
    "pressure to start after the rest": {
        "α": ("half angle of the taper, π/2 at a step", "rad"),
        "ρ": ("wide over narrow diameter", "-"),
    },
    "plunger to draw back so that nothing oozes": {"x": ("way of the plunger back", "m")},
    "greatest speed at which it may grow": {
        "v": ("speed at which the part grows", "m/s"),
        "A": ("growth of the static yield stress at rest, A_t", "Pa/s"),
        "k": (QUANTITIES["stack_factor"].meaning, "-"),
        "t_b": (QUANTITIES["build_up_time"].meaning, "s"),
    },
    "yield stress and density of the paste as mixed": {
        "a": ("ln of the yield stress in Pa where there is no water", "-"),
        "b": (QUANTITIES["water_slope"].meaning, "-"),
    },
    "size to draw": {
        "S": (QUANTITIES["shrinkage"].meaning, "-"),
        "u": ("standard uncertainty of the shrinkage", "-"),
    },
    "time to dry in the open": DRYING,
    "time by diffusion alone": DRYING,
    "drying flux in the air of a room": {**TRANSFER, "T": ("temperature of the air", "K")},
    "temperature along a heated nozzle": HEAT,
    "temperature of the fibre in the air": {
        **SPEED,
        **TRANSFER,
        "λ": ("thermal conductivity of air", "W/(m·K)"),
        "Re": ("Reynolds number of the air along the fibre", "-"),
    },
    "temperature of the fibre in a bath": {
        **HEAT,
        "b": ("one over twice the Fourier number", "-"),
        "t": ("time in the bath", "s"),
        "T_0": ("temperature at which the fibre enters the bath", "K"),
        "I_0": ("modified Bessel function of order 0", "-"),
        "I_1": ("modified Bessel function of order 1", "-"),
    },
    "how far the fibre has set": {
        "s": (QUANTITIES["setting"].meaning, "-"),
        "t": ("time since the nozzle", "s"),
    },
    "diameter of the fibre along its way": {**SPEED, "x": ("way from the nozzle", "m")},
}
"""What they mean in one of them, by the name of the number."""
