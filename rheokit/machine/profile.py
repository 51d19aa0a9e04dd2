"""Pressure along an extruder, from the plunger face to the tip."""

import numpy as np

from ..errors import DataError
from ..flow.nozzles import Cone, Nozzle
from ..framed import framed
from ..hints import Table
from ..laws import FlowLaw
from .extruder import Extruder

POINTS = 25  # along a taper, where the pressure falls on a curve
NEARLY = 1 - 1e-6  # of a taper: the rest of it has still a length


def pressure_profile(extruder: Extruder, law: FlowLaw, flow_rate: float) -> Table:
    """Return the pressure along an extruder, a DataFrame in flow order.

    Parameters
    ----------
    extruder : Extruder
        Of numbers, not arrays.
    law : FlowLaw
    flow_rate : float
        [m3/s]

    Returns
    -------
    profile : DataFrame
        Columns part ("barrel", "step", "taper", "tube", "land"), place (of the part in flow order), distance from the
        plunger face [m], pressure [Pa], radius of the wall [m]. The tip stands last, at zero.
    """
    if np.ndim(flow_rate) or not flow_rate > 0:
        raise DataError(f"pressure_profile: flow_rate = {np.min(flow_rate):g} m3/s must be one positive flow.")
    stretches = _stretches(extruder, law, flow_rate)
    left = sum(drop for _, _, drop, _, _ in stretches)
    rows, distance = [], 0.0
    for place, (name, length, drop, share, (inlet, outlet)) in enumerate(stretches):
        along = np.linspace(0.0, 1.0, len(share))
        for s, lost, radius in zip(along, share, np.linspace(inlet, outlet, len(share)), strict=True):
            rows.append((name, place, distance + s * length, max(left - lost * drop, 0.0), radius))
        distance, left = distance + length, left - drop
    rows[-1] = (*rows[-1][:3], 0.0, rows[-1][4])
    return framed(rows, columns=["part", "place", "distance", "pressure", "radius"])


def _stretches(extruder, law, flow_rate):
    """Return name, length, pressure lost, shares of it lost so far, and end radii of every stretch in flow order."""
    parts = [(part, float(part.pressure_drop(law, flow_rate))) for part in extruder.parts]
    wide, straight, found = extruder.barrel_diameter / 2, np.array([0.0, 1.0]), []
    if extruder.fill_length > 0:
        found.append(("barrel", extruder.fill_length, parts.pop(0)[1], straight, (wide, wide)))
    segments = extruder.nozzle.segments
    for segment in segments:
        start, end = segment.inlet_diameter / 2, segment.outlet_diameter / 2
        if parts[0][0].contraction:
            found.append(("step", 0.0, parts.pop(0)[1], straight, (wide, start)))
        drop, name = parts.pop(0)[1], "land" if segment is segments[-1] else "tube"
        share = straight
        if isinstance(segment, Cone) and start > end:
            drop, name = drop + parts.pop(0)[1], "taper"
            share = _along_taper(segment, law, flow_rate)
        found.append((name, segment.length, drop, share, (start, end)))
        wide = end
    return found


def _along_taper(cone, law, flow_rate):
    """Return the share of a taper's pressure that is lost at places along it: what the rest of it costs is left."""
    rest = 1 - np.linspace(0.0, 1.0, POINTS)[:-1] * NEARLY
    wide = cone.outlet_diameter + rest * (cone.inlet_diameter - cone.outlet_diameter)
    ends = Cone(inlet_diameter=wide, outlet_diameter=cone.outlet_diameter, length=rest * cone.length)
    left = sum(part.pressure_drop(law, flow_rate) for part in Nozzle(ends).parts())
    return np.append(1 - left / left[0], 1.0)
