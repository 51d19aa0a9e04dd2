"""Does the paste move faster than its own liquid runs ahead of it?"""

from ..checking import Example
from ..hints import Numbers
from ..part.shape import drainage_speed
from .base import Limit
from .case import Case
from .plain import LAW, LINE, NOZZLE, RUNNING, plain

FASTER = 10.0  # speed in the barrel over the drainage speed; common practice, no source


class SpeedFloor(Limit):
    """Speed in the barrel against drainage of the liquid through the grains."""

    name = "speed floor"
    label = "speed in the barrel against drainage"
    unit = "m/s"
    model_error = 1.5
    of_flow = True
    needs = ("porosity", "drag_diameter", "liquid_viscosity")
    formula = "v_barrel ≥ 10 v_D, v_D = k_D Δp/(μ_l L_f), k_D = ε³ d_32²/(180 (1-ε)²)"
    source = "Darcy and Kozeny-Carman; an order of magnitude, within a factor of 5"
    example = (
        Example(
            given=plain(LAW, NOZZLE, LINE, "porosity drag_diameter liquid_viscosity"),
            expected={
                "value": 1.21058096e-4,
                "low": 7.19181439e-6,
                "margin": 2.82332708,
                "margin with error": 1.32332708,
            },
            source=(RUNNING + "Q over pi/4*0.0213^2; 10*0.61^3*57e-6^2/(180*0.39^2)*p/(19*0.057); 1.5 for the formula"),
        ),
    )
    remedy = "print faster, more gum in the liquid, finer grains, less pressure"

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.flow_rate / case.extruder.area

    def low(self, case: Case) -> Numbers:  # noqa: D102
        paste = case.paste
        pressure, length = case.pressure, case.extruder.fill_length
        return FASTER * drainage_speed(paste.porosity, paste.drag_diameter, paste.liquid_viscosity, pressure, length)
