"""Pastes to begin with. INVENTED: nobody measured any of these numbers."""

from typing import NamedTuple


class Example(NamedTuple):
    """An invented paste."""

    ingredients: tuple  # rows of name, dry mass [g], moisture [%], density [kg/m³], whether it dissolves
    water: float  # over dry mass [-]
    readings: tuple  # rows of water over dry mass [-] and yield stress [Pa]
    fields: dict  # values of the fields of all panels, by their keys


OLIVE_STONE = Example(
    ingredients=(
        ("olive-stone flour", 100.0, 8.0, 1350.0, False),
        ("cellulose gum", 7.0, 8.0, 1590.0, True),
        ("xanthan gum", 3.0, 10.0, 1500.0, True),
    ),
    water=1.045,
    readings=((0.95, 905.0), (1.045, 630.0), (1.15, 478.0), (1.30, 279.0)),
    fields={
        "air": 3.4, "batch": 500.0, "now": 1400.0, "held": 0.81, "wanted": 650.0,
        "ratio": 1.23, "modulus": 25.0, "modulus_water": 1.045, "build_up": 0.15, "rest": 10.0,
        "shrinkage_xy": 8.0, "shrinkage_z": 11.0, "dry_solids": 0.53, "leaves": 0.08, "final": 0.15,
    },
)  # fmt: skip
PORCELAIN = Example(
    ingredients=(("porcelain-like body", 100.0, 1.0, 2620.0, False),),
    water=0.40,
    readings=((0.345, 6600.0), (0.36, 4800.0), (0.38, 3500.0), (0.40, 2380.0), (0.42, 1730.0)),
    fields={
        "air": 1.5, "batch": 1000.0, "now": 4000.0, "held": 0.37, "wanted": 2400.0,
        "ratio": 1.25, "modulus": 180.0, "modulus_water": 0.40, "build_up": 0.3, "rest": 10.0,
        "shrinkage_xy": 6.5, "shrinkage_z": 6.5, "dry_solids": 0.58, "leaves": 0.005, "final": 0.01,
    },
)  # fmt: skip
EXAMPLES = {"INVENTED: olive-stone paste": OLIVE_STONE, "INVENTED: porcelain-like body": PORCELAIN}
