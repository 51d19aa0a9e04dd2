"""The plain case that worked examples of limits vary: one paste, extruder and job, all invented."""

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

LAW = "yield_stress consistency flow_index"
NOZZLE = "bore length barrel_diameter fill_length barrel_drag"
LINE = "print_speed layer_height line_width"
SCREW = "torque lead efficiency"

FLOW = "Q = 0.019*((2.3 - 1.1)*1.1 + pi*1.1^2/4) = 43.1363038 mm3/s"
RUNNING = (
    f"{FLOW}; p = 28915.4150 Pa in 18 digits: land 4*13/1.7*tau_w, barrel 0.6*4*57/21.3*tau_w, "
    "step 21.3 to 1.7 mm by the converging-flow formula; "
)
STARTING = "start factor 4*13/1.7 + 0.6*4*57/21.3 + 0.65*(1 + 0.55 pi/2)*2 sqrt3*ln(21.3/1.7) = 47.6210310; "
"""How flow, pressure and start factor of the plain line through the plain nozzle were computed."""


def plain(*names: str, **own: Any) -> dict[str, Any]:
    """Return what an example gives: numbers of the plain case by their names in SI, and numbers of its own."""
    return {name: (PLAIN | ASKED)[name] for name in " ".join(names).split()} | own
