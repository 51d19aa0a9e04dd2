"""The case of a limit's worked example: what the example gives, in a plain paste, extruder and job."""

from collections.abc import Callable, Mapping
from dataclasses import fields, replace

import numpy as np

from ..flow.nozzles import Cylinder, Nozzle
from ..hints import Numbers
from ..laws.herschel_bulkley import HerschelBulkley
from ..machine.drives import AirDrive, HandDrive, ScrewDrive
from ..machine.extruder import Extruder
from ..part.printing import PrintJob
from ..paste.properties import Paste
from .base import Limit
from .case import Case
from .plain import LAW, PLAIN

DRIVES = (
    (ScrewDrive, {"torque": "torque", "lead": "lead", "efficiency": "efficiency"}),
    (AirDrive, {"supply_pressure": "pressure"}),
    (HandDrive, {"hand_force": "force"}),
)


def worked_case(given: Mapping[str, Numbers]) -> Case:
    """Return the `Case` that a worked example describes by the names of law, paste, extruder, job and case.

    Bore and length of a land stand for the nozzle; torque, lead and efficiency for a screw, supply_pressure for air,
    hand_force for a hand.
    """
    left = {**PLAIN, **given}
    law = HerschelBulkley(**_taken(left, set(LAW.split())))
    nozzle = Nozzle(Cylinder(diameter=left.pop("bore"), length=left.pop("length")))
    drive = None
    for kind, names in DRIVES:
        if set(names) <= set(left):
            drive = kind(**{name: left.pop(key) for key, name in names.items()})
    return Case(
        paste=Paste(law=law, **_taken(left, _names(Paste))),
        extruder=Extruder(nozzle=nozzle, drive=drive, **_taken(left, _names(Extruder))),
        job=PrintJob(**_taken(left, _names(PrintJob))),
        **_taken(left, _names(Case)),
    )


def worked_results(limit: Limit) -> Callable[[dict], dict]:
    """Return a function of what is given that returns value, bounds and margin, and the margin one model error worse."""

    def results(given):
        known = _names(Paste) | _names(Extruder) | _names(PrintJob) | _names(Case)
        own = {name: value for name, value in given.items() if name in _names(type(limit)) - known}
        case, asked = worked_case({name: given[name] for name in given if name not in own}), limit
        asked = replace(limit, **own) if own else limit
        if not asked.judges(case):
            return {"judged": False, "because": asked.missing(case) or "not asked by the job"}
        found = {name: getattr(asked, name)(case) for name in ("value", "low", "high", "margin")}
        worse = [asked.margin(case, lambda name, side=side: side) for side in (-1.0, 1.0)]
        known = {name: value for name, value in found.items() if value is not None}
        return {**known, "margin with error": np.min(worse)}

    return results


def _names(kind):
    return {f.name for f in fields(kind)} if hasattr(kind, "__dataclass_fields__") else set()


def _taken(left, names):
    return {name: left.pop(name) for name in sorted(names & set(left))}
