"""Needle gauges and the luer taper, from data files that carry their source."""

from functools import cache
from importlib.resources import files

import numpy as np

from ..errors import DataError
from ..hints import Numbers, Table
from ..inputs import guarded
from ..units import mm
from .nozzles import Cone

LUER_TAPER = 0.06
"""Change of diameter over length of a luer fitting, 6 % (see ``luer-taper.csv`` for its source) [-]."""


@cache
def needles() -> Table:
    """Return the regular-wall needle gauges as a DataFrame: index gauge; outer_diameter, bore, bore_tolerance [m].

    A trade table of nominal sizes, not ISO 9626. The tolerance of a 25 gauge bore is 7 %, about 30 % in the pressure of a
    Newtonian liquid: measure the bore you use.
    """
    import pandas as pd

    table = pd.read_csv(files("rheokit.flow") / "needle-gauges.csv", comment="#", index_col="gauge [-]")
    table.index.name = "gauge"
    return pd.DataFrame({name.split(" [")[0].replace(" ", "_"): table[name] * mm for name in table.columns})


def needle_bore(gauge: int) -> Numbers:
    """Return the nominal bore [m] of a regular-wall needle by its gauge."""
    table = needles()
    if gauge not in table.index:
        raise DataError(
            f"needle_bore: gauge {gauge!r} is not in the table; it holds {table.index.min()} to {table.index.max()}. "
            "Give the measured bore instead."
        )
    return float(table.bore[gauge])


@guarded
def luer_cone(outlet_diameter: Numbers, length: Numbers) -> Cone:
    """Return the taper of a luer fitting as a Cone, from its narrow end [m] and its length [m]."""
    return Cone(
        inlet_diameter=np.add(outlet_diameter, LUER_TAPER * np.asarray(length))[()],
        outlet_diameter=outlet_diameter,
        length=length,
    )
