"""The plain cases that worked examples of limits vary: a paste that is printed and a gel that is drawn, all invented."""

from typing import Any

PLAIN = {
    "yield_stress": 310.0, "consistency": 47.0, "flow_index": 0.43, "static_ratio": 1.4, "density": 1130.0,
    "air_content": 0.031, "modulus": 23e3, "grain_size": 190e-6, "porosity": 0.61, "drag_diameter": 57e-6,
    "liquid_viscosity": 19.0, "diffusivity": 4.3e-10, "dry_density": 530.0, "skin_loss": 0.12,
    "bore": 1.7e-3, "length": 0.013, "barrel_diameter": 0.0213, "fill_length": 0.057,
    "print_speed": 0.019, "layer_height": 1.1e-3, "line_width": 2.3e-3,
}  # fmt: skip
"""What must stand in a paste, an extruder and a job so that a limit can be asked, and no example rests on. [SI]"""

ASKED = {
    "barrel_drag": 0.6, "plunger_friction": 7.3, "torque": 0.11, "lead": 1.8e-3, "efficiency": 0.23,
    "pressure_rating": 940e3, "stress_spread": 0.17, "wall_width": 2.6e-3, "lean_factor": 0.77, "part_height": 0.0171,
    "path_length": 0.23, "build_up_rate": 0.21, "drying_flux": 1.7e-5, "cracked_above": 0.41, "span": 5.7e-3,
}  # fmt: skip
"""What a case has only where an example gives it: each raises a question of its own. [SI]"""

FIBRE = {
    "consistency": 8.3, "flow_index": 0.8, "activation_energy": 43e3, "density": 1087.0, "heat_capacity": 3290.0,
    "surface_tension": 0.047, "gel_temperature": 304.4, "setting_time": 6.3, "setting_exponent": 1.9,
    "thermal_diffusivity": 1.37e-7, "water_activity": 0.97, "dry_section": 0.34, "break_ratio": 13.0,
    "bore": 0.87e-3, "length": 0.0127, "barrel_diameter": 0.0201, "fill_length": 0.057,
    "throughput": 11.3e-9, "winding_speed": 0.113, "gap": 1.7e-3, "nozzle_temperature": 309.3, "barrel_temperature": 331.6,
    "air_temperature": 294.6, "relative_humidity": 0.47,
}  # fmt: skip
"""What must stand in a gel, an extruder and a job that draws a fibre, and no example rests on; the law is a power law, heated. [SI]"""

OF_FIBRES = {
    "needle_outer_diameter": 1.29e-3, "pause": 53.0, "bath_length": 0.31, "bath_temperature": 283.7, "dry_diameter": 0.21e-3,
    "dry_diameter_tolerance": 0.12,
}  # fmt: skip
"""What a job has only where an example gives it. [SI]"""

DRAWN = "consistency flow_index activation_energy"
EXIT = "bore throughput length thermal_diffusivity nozzle_temperature barrel_temperature"

LAW = "yield_stress consistency flow_index"
NOZZLE = "bore length barrel_diameter fill_length barrel_drag"
LINE = "print_speed layer_height line_width"
SCREW = "torque lead efficiency"

WARM = (
    "x* = pi*1.37e-7*0.0127/(4*11.3e-9) = 0.120930466; the eigenvalues of heat in a parabolic flow by Kummer's function: "
    "left 0.139670922, T_e = 309.3 + 22.3*0.139670922 = 312.414661557 K"
)
THERE = "v_0 = 19.0085967 mm/s, D_R = 5.94467870; K = 8.3*exp(0.8*43000/8.314462618*(1/T_e - 1/318.15)) = 10.5380514 Pa s^0.8"
"""How temperature, draw and law at the exit of the plain fibre were computed."""

FLOW = "Q = 0.019*((2.3 - 1.1)*1.1 + pi*1.1^2/4) = 43.1363038 mm3/s"
RUNNING = (
    f"{FLOW}; p = 28915.4150 Pa in 18 digits: land 4*13/1.7*tau_w, barrel 0.6*4*57/21.3*tau_w, "
    "step 21.3 to 1.7 mm by the converging-flow formula; "
)
STARTING = "start factor 4*13/1.7 + 0.6*4*57/21.3 + 0.65*(1 + 0.55 pi/2)*2 sqrt3*ln(21.3/1.7) = 47.6210310; "
"""How flow, pressure and start factor of the plain line through the plain nozzle were computed."""


def fibre(*names: str, **own: Any) -> dict[str, Any]:
    """Return what an example of a fibre gives: numbers of the plain fibre by their names in SI, and numbers of its own."""
    return {name: (FIBRE | OF_FIBRES)[name] for name in " ".join(names).split()} | own


def plain(*names: str, **own: Any) -> dict[str, Any]:
    """Return what an example gives: numbers of the plain case by their names in SI, and numbers of its own."""
    return {name: (PLAIN | ASKED)[name] for name in " ".join(names).split()} | own
