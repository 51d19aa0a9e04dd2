"""What a law makes of its worked example."""

from collections.abc import Callable

from .base import FlowLaw

TAPER = {"flow_rate": 2.3e-8, "inlet_radius": 2.1e-3, "outlet_radius": 0.8e-3}
"""Flow and taper of every law's worked example. [SI]"""

METHODS = {
    "shear_stress": ("shear_rate",),
    "apparent_shear_rate": ("wall_shear_stress",),
    "cone_stress_integral": ("flow_rate", "inlet_radius", "outlet_radius"),
    "stretching_stress": ("flow_rate", "inlet_radius", "outlet_radius"),
}
"""The curves and integrals that an example may hold, by name, and what they take."""


def worked_results(law_class: type[FlowLaw]) -> Callable[[dict], dict]:
    """Return a function of what is given (parameters, and what the methods take) that returns results by method."""

    def results(given):
        law = law_class(**{name: given[name] for name in law_class.parameters()})
        return {
            name: getattr(law, name)(*(given[key] for key in takes))
            for name, takes in METHODS.items()
            if set(takes) <= set(given)
        }

    return results
