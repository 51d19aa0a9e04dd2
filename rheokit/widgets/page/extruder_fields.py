"""What a page asks of a taper nozzle on a barrel, and the extruder that the answers describe."""

from ...errors import DataError
from ...flow.nozzles import Cone, Cylinder, Nozzle
from ...machine.extruder import Extruder
from ...units import mm

FIELDS = {  # words with unit, example, bounds, whether 0 (none) goes as well
    "bore": ("bore at the tip D [mm]", 1.6, 0.05, 50.0),
    "inlet": ("inlet of the taper D_in [mm]", 4.0, 0.05, 150.0),
    "taper": ("taper length [mm], 0: none", 20.0, 0.1, 500.0, True),
    "land": ("straight land L [mm], 0: none", 8.0, 0.1, 500.0, True),
    "barrel": ("bore of the barrel D_0 [mm]", 26.7, 1.0, 150.0),
    "fill": ("filled barrel length L_f [mm]", 80.0, 0.0, 1000.0),
    "friction": ("plunger friction F_f [N]", 8.0, 0.0, 1000.0),
}


def described_extruder(bore, inlet, taper, land, barrel, fill, friction):
    """Return the extruder of a description in mm and N."""
    if barrel < (inlet if taper else bore):
        wide = f"inlet of the nozzle, {inlet:g} mm," if taper else f"bore at the tip, {bore:g} mm,"
        raise DataError(
            f"The {wide} is wider than the bore of the barrel, {barrel:g} mm: a nozzle narrows. Correct one of them."
        )
    if taper and inlet < bore:
        raise DataError(
            f"The inlet of the nozzle, {inlet:g} mm, is narrower than the bore at the tip, {bore:g} mm: narrowing flow only is computed. "
            "Correct one of them, or give a taper of 0 mm."
        )
    segments = [Cone(inlet_diameter=inlet * mm, outlet_diameter=bore * mm, length=taper * mm)] if taper else []
    segments += [Cylinder(diameter=bore * mm, length=land * mm)] if land else []
    if not segments:
        raise DataError("The nozzle has no length: give a taper, a land, or both.")
    return Extruder(
        barrel_diameter=barrel * mm, fill_length=fill * mm, plunger_friction=friction, nozzle=Nozzle(*segments)
    )
