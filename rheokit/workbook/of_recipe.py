"""What the page of the recipe knows of a paste that a print asks of it too."""

from __future__ import annotations

from ..origins import ASSUMED, FITTED
from .asked_of_recipe import TESTED
from .made import water_law_of
from .plan import Assumed, Plan

TYPED = f"{ASSUMED}: typed into the page of the recipe"
ASKED_THERE = {
    "shape": ("static_ratio", "build_up_rate", "build_up_time"),
    "drying": ("shrinkage_xy", "shrinkage_z", "diffusivity"),
}


def known_of_recipe(plan: Plan, water_content: float | None) -> dict[str, Assumed]:
    """Return what a plan knows of its paste by its recipe, by name.

    Parameters
    ----------
    plan : Plan
    water_content : float or None
        Of the paste that was tested, dry basis: its modulus is that of the test, moved there along the readings of the recipe. [-]
    """
    out, error = {}, plan.value("drying", "shrinkage_error")
    for table, names in ASKED_THERE.items():
        for name in names:
            value = plan.value(table, name)
            if value is not None:
                spread = error / value if error and value and name.startswith("shrinkage") else None
                out[name] = Assumed(value, spread, TYPED)
    law = water_law_of(plan)
    if law is None or law.slope <= 0:
        return out
    half = float(law.high - law.low) / 2 / float(law.normal)
    out["water_slope"] = Assumed(
        float(law.slope), half / float(law.slope), f"{FITTED}: to yield stresses at several waters, of the recipe"
    )
    modulus, read_at = plan.value("shape", "modulus"), plan.value("shape", "modulus_water")
    if plan.choice("shape", "stiffness_from") == TESTED and None not in (modulus, read_at, water_content):
        out["modulus"] = Assumed(modulus * float(law.line_factor(read_at, water_content)), None, TYPED)
    return out
