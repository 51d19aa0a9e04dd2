"""rheokit: bench readings of pastes and gels to a flow law one can trust, and to the force it means.

>>> import rheokit as rk
>>> paste = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
>>> float(paste.shear_stress(1.0))  # Pa
860.0
"""

import importlib

from .bench import KINDS, Bench, BenchTest, Specimen
from .bench.cup_density import CupDensity
from .bench.drying_shrinkage import DryingShrinkage
from .bench.fall_cone import FallCone
from .bench.flow_curve import FlowCurve
from .bench.force_run import ForceRun
from .bench.hanging_slug import HangingSlug
from .bench.lean_height import LeanHeight
from .bench.loaded_plate import LoadedPlate
from .bench.oven_moisture import OvenMoisture
from .bench.pressure_run import PressureRun
from .bench.sieve import Sieve
from .bench.slump import CylinderSlump, FrustumSlump
from .bench.spread import Spread
from .bench.vane_peak import VanePeak
from .errors import (
    AtBoundWarning,
    DataError,
    ExtrapolationWarning,
    ModelRangeWarning,
    NotIdentifiedWarning,
    ReadingError,
    RheokitWarning,
    UnlikelyWarning,
)
from .flow.nozzles import Cone, Cylinder, Nozzle
from .laws import LAWS, FlowLaw, Shifted, parameter
from .laws.bingham import Bingham
from .laws.casson import Casson
from .laws.herschel_bulkley import HerschelBulkley
from .laws.newtonian import Newtonian
from .laws.power_law import PowerLaw
from .machine.drives import AirDrive, HandDrive, ScrewDrive
from .machine.extruder import Extruder

__version__ = "0.1.0"

_LATER = {
    "fit": "fitting",
    "compare": "fitting",
    "FitResult": "fitting",
    "read_bench": "reading",
    "write_bench": "reading",
    "new_bench": "reading",
    "two_lengths": "corrections",
    "bagley": "corrections",
    "rabinowitsch": "corrections",
    "mooney": "corrections",
    "Material": "paste.material",
    "Paste": "paste.properties",
    "PrintJob": "part.printing",
    "LIMITS": "limits",
    "Case": "limits",
    "Limit": "limits",
    "judge": "limits",
    "verdict": "limits",
    "AXES": "regions",
    "region_map": "regions",
    "window": "planning",
    "widest_margin": "planning",
    "rise": "machine.transients",
    "Slip": "flow.channel",
    "needles": "flow.gauges",
    "needle_bore": "flow.gauges",
    "luer_cone": "flow.gauges",
    "nozzles": "flow.nozzles",
    "gauges": "flow.gauges",
    "drives": "machine.drives",
    "extruder": "machine.extruder",
    "material": "paste.material",
    "shape": "part.shape",
    "drying": "part.drying",
    "shrinkage": "part.shrinkage",
    "recipe": "paste.recipe",
    "water": "paste.water",
    "calibration": "machine.calibration",
    "transients": "machine.transients",
    "corrections": "corrections",
    "limits": "limits",
    "regions": "regions",
    "planning": "planning",
    "charts": "charts",
    "widgets": "widgets",
}
"""Names whose modules are loaded when they are first used, so that importing rheokit costs numpy alone."""

__all__ = [
    "KINDS",
    "LAWS",
    "AirDrive",
    "AtBoundWarning",
    "Bench",
    "BenchTest",
    "Bingham",
    "Casson",
    "Cone",
    "CupDensity",
    "Cylinder",
    "CylinderSlump",
    "DataError",
    "DryingShrinkage",
    "ExtrapolationWarning",
    "Extruder",
    "FallCone",
    "FlowCurve",
    "FlowLaw",
    "ForceRun",
    "FrustumSlump",
    "HandDrive",
    "HangingSlug",
    "HerschelBulkley",
    "LeanHeight",
    "LoadedPlate",
    "ModelRangeWarning",
    "Newtonian",
    "NotIdentifiedWarning",
    "Nozzle",
    "OvenMoisture",
    "PowerLaw",
    "PressureRun",
    "ReadingError",
    "RheokitWarning",
    "ScrewDrive",
    "Shifted",
    "Sieve",
    "Specimen",
    "Spread",
    "UnlikelyWarning",
    "VanePeak",
    "parameter",
    *_LATER,
]


def __getattr__(name):
    """Load what is not needed for laws, nozzles and bench tests on first use."""
    if name not in _LATER:
        raise AttributeError(f"module 'rheokit' has no attribute {name!r}")
    module = importlib.import_module(f".{_LATER[name]}", __name__)
    return module if _LATER[name].rpartition(".")[2] == name else getattr(module, name)


def __dir__():
    return sorted(__all__)
