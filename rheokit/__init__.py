"""rheokit: bench readings of pastes and gels to a flow law one can trust, and to the force it means.

>>> import rheokit as rk
>>> paste = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
>>> float(paste.shear_stress(1.0))  # Pa
860.0
"""

import importlib
from typing import TYPE_CHECKING

from .bench import KINDS, Bench, BenchTest, Specimen
from .bench.cup_density import CupDensity
from .bench.drop_mass import DropMass
from .bench.drying_shrinkage import DryingShrinkage
from .bench.empty_barrel import EmptyBarrel
from .bench.fall_cone import FallCone
from .bench.falling_ball import FallingBall
from .bench.flow_curve import FlowCurve
from .bench.force_run import ForceRun
from .bench.hanging_slug import HangingSlug
from .bench.inverted_tube import InvertedTube
from .bench.lean_height import LeanHeight
from .bench.loaded_plate import LoadedPlate
from .bench.oven_moisture import OvenMoisture
from .bench.pressure_run import PressureRun
from .bench.setting_time import SettingTime
from .bench.sieve import Sieve
from .bench.slump import CylinderSlump, FrustumSlump
from .bench.spread import Spread
from .bench.timed_drain import TimedDrain
from .bench.vane_peak import VanePeak
from .bench.wound_thread import WoundThread
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
from .laws.aged import aged
from .laws.bingham import Bingham
from .laws.carreau_yasuda import CarreauYasuda
from .laws.casson import Casson
from .laws.cross import Cross
from .laws.heated import heated
from .laws.herschel_bulkley import HerschelBulkley
from .laws.herschel_bulkley_newtonian import HerschelBulkleyNewtonian
from .laws.newtonian import Newtonian
from .laws.power_law import PowerLaw
from .laws.robertson_stiff import RobertsonStiff
from .laws.sisko import Sisko
from .laws.three_component import ThreeComponent
from .laws.watered import watered
from .machine.drives import AirDrive, HandDrive, ScrewDrive
from .machine.extruder import Extruder

if TYPE_CHECKING:  # for editors and type checkers: what `_LATER` loads
    from . import (
        appendix,
        charts,
        corrections,
        fibre,
        limits,
        planning,
        reading,
        regions,
        release,
        scoring,
        widgets,
        workbook,
    )
    from .corrections import bagley, mooney, rabinowitsch, two_lengths
    from .fibre.spinline import Spinline
    from .fitting import FitResult, compare, fit, influence, over_conditions, uncertainty_budget, which_law
    from .flow import gauges, nozzles
    from .flow.channel import Slip
    from .flow.gauges import luer_cone, needle_bore, needles
    from .limits import LIMITS, Case, Limit, judge, verdict
    from .machine import calibration, drives, extruder, transients
    from .machine.transients import rise
    from .part import drying, shape, shrinkage
    from .part.printing import PrintJob
    from .part.winding import FibreJob
    from .paste import material, recipe, water
    from .paste.material import Material
    from .paste.properties import Paste
    from .planning import first_tests, next_reading, nozzle_advice, widest_margin, window
    from .reading import new_bench, read_bench, write_bench
    from .regions import AXES, region_map
    from .release import cite
    from .workbook import Workbook, new_workbook

__version__ = "0.1.0"

_LATER = {
    name: module
    for module, names in {
        "fitting": "FitResult compare fit influence over_conditions uncertainty_budget which_law",
        "reading": "new_bench read_bench reading write_bench",
        "corrections": "bagley corrections mooney rabinowitsch two_lengths",
        "paste.material": "Material material",
        "paste.properties": "Paste",
        "part.printing": "PrintJob",
        "part.winding": "FibreJob",
        "limits": "LIMITS Case Limit judge limits verdict",
        "regions": "AXES region_map regions",
        "planning": "first_tests next_reading nozzle_advice planning widest_margin window",
        "machine.transients": "rise transients",
        "flow.channel": "Slip",
        "flow.gauges": "gauges luer_cone needle_bore needles",
        "flow.nozzles": "nozzles",
        "machine.drives": "drives",
        "machine.extruder": "extruder",
        "part.shape": "shape",
        "part.drying": "drying",
        "part.shrinkage": "shrinkage",
        "paste.recipe": "recipe",
        "fibre": "fibre",
        "fibre.spinline": "Spinline",
        "paste.water": "water",
        "machine.calibration": "calibration",
        "release": "cite release",
        "scoring": "scoring",
        "workbook": "Workbook new_workbook workbook",
        "charts": "charts",
        "appendix": "appendix",
        "widgets": "widgets",
    }.items()
    for name in names.split()
}
"""Names whose modules are loaded when they are first used, so that importing rheokit costs numpy alone."""

__all__ = [
    "AXES",
    "KINDS",
    "LAWS",
    "LIMITS",
    "AirDrive",
    "AtBoundWarning",
    "Bench",
    "BenchTest",
    "Bingham",
    "CarreauYasuda",
    "Case",
    "Casson",
    "Cone",
    "Cross",
    "CupDensity",
    "Cylinder",
    "CylinderSlump",
    "DataError",
    "DropMass",
    "DryingShrinkage",
    "EmptyBarrel",
    "ExtrapolationWarning",
    "Extruder",
    "FallCone",
    "FallingBall",
    "FibreJob",
    "FitResult",
    "FlowCurve",
    "FlowLaw",
    "ForceRun",
    "FrustumSlump",
    "HandDrive",
    "HangingSlug",
    "HerschelBulkley",
    "HerschelBulkleyNewtonian",
    "InvertedTube",
    "LeanHeight",
    "Limit",
    "LoadedPlate",
    "Material",
    "ModelRangeWarning",
    "Newtonian",
    "NotIdentifiedWarning",
    "Nozzle",
    "OvenMoisture",
    "Paste",
    "PowerLaw",
    "PressureRun",
    "PrintJob",
    "ReadingError",
    "RheokitWarning",
    "RobertsonStiff",
    "ScrewDrive",
    "SettingTime",
    "Shifted",
    "Sieve",
    "Sisko",
    "Slip",
    "Specimen",
    "Spinline",
    "Spread",
    "ThreeComponent",
    "TimedDrain",
    "UnlikelyWarning",
    "VanePeak",
    "Workbook",
    "WoundThread",
    "aged",
    "appendix",
    "bagley",
    "calibration",
    "charts",
    "cite",
    "compare",
    "corrections",
    "drives",
    "drying",
    "extruder",
    "fibre",
    "first_tests",
    "fit",
    "gauges",
    "heated",
    "influence",
    "judge",
    "limits",
    "luer_cone",
    "material",
    "mooney",
    "needle_bore",
    "needles",
    "new_bench",
    "new_workbook",
    "next_reading",
    "nozzle_advice",
    "nozzles",
    "over_conditions",
    "parameter",
    "planning",
    "rabinowitsch",
    "read_bench",
    "reading",
    "recipe",
    "region_map",
    "regions",
    "release",
    "rise",
    "scoring",
    "shape",
    "shrinkage",
    "transients",
    "two_lengths",
    "uncertainty_budget",
    "verdict",
    "water",
    "watered",
    "which_law",
    "widest_margin",
    "widgets",
    "window",
    "workbook",
    "write_bench",
]  # fmt: skip


if not TYPE_CHECKING:

    def __getattr__(name):
        """Load what is not needed for laws, nozzles and bench tests on first use."""
        if name not in _LATER:
            raise AttributeError(f"module 'rheokit' has no attribute {name!r}")
        module = importlib.import_module(f".{_LATER[name]}", __name__)
        return module if _LATER[name].rpartition(".")[2] == name else getattr(module, name)


def __dir__() -> list[str]:
    return sorted(__all__)
