"""What a plan describes: extruder, job, recipe; and what is missing for each, with the words of the fields to type it into."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from ..errors import DataError
from ..flow.nozzles import Cone, Cylinder, Nozzle
from ..flow.segments import taper_length
from ..machine.drives import AirDrive, Drive, HandDrive, ScrewDrive
from ..machine.extruder import Extruder
from ..nomenclature import written
from ..part.job import Job
from ..part.printing import RING, PrintJob
from ..part.winding import FibreJob
from ..units import ZERO_CELSIUS
from .asked import AIR as BY_AIR
from .asked import ASKED, FIBRE, HELD, PROPERTIES, SCREW
from .asked_of_paste import OF_PRINT
from .blamed import blamed, of_entries
from .plan import Plan

OF_PAGE = {
    "machine": 2, "nozzle": 2, "drive": 2, "job": 2, "print": 2, "fibre": 6, "recipe": 4, "shape": 4, "drying": 4, "fit": 1,
}  # fmt: skip
"""The notebook in which a table is filled in; of properties `page_of` knows more."""
OF_RECIPE = (
    "air_content", "modulus", "build_up_rate", "build_up_time", "static_ratio", "water_content",
    "shrinkage_xy", "shrinkage_z", "diffusivity",
)  # fmt: skip
NEEDED = {
    "extruder": (("machine", "barrel_diameter"), ("machine", "fill_length"), ("nozzle", "bore")),
    "print": (("print", "print_speed"),),
    "fibre": (("fibre", "throughput"), ("fibre", "winding_speed"), ("fibre", "gap"), ("fibre", "barrel_temperature")),
    "recipe": (("recipe", "water_content"),),
}
LACKED = {
    ("recipe", "water_content"): "the water content u (dry basis) that the recipe is to have [-]",
    ("recipe", "ingredient"): "the ingredients of the recipe",
}
"""What an entry is called where it lacks and its words would do for something else, which may be known: the water of the paste that was tested."""
SIZES = ("layer_height", "line_width")  # of a line: each in metres, or as a share of the bore
OF_SCREW = ("torque", "lead", "efficiency")


class NotKnownYet(DataError):
    """A plan does not say what is asked; `entries` are the tables and keys that would."""

    def __init__(self, what: str, entries: Sequence[tuple[str, str]]) -> None:
        self.entries = tuple(entries)
        super().__init__(f"The {what} is not known yet: the plan lacks {'; '.join(in_words(entries))}.")


def page_of(table: str, key: str) -> int:
    """Return the notebook in which an entry is typed."""
    if table != PROPERTIES:
        return OF_PAGE[table]
    return 4 if key in OF_RECIPE else 2 if key in OF_PRINT else 6


def in_words(entries: Iterable[tuple[str, str]]) -> list[str]:
    """Return entries as they stand on the pages, with the notebook to type them into."""
    out = []
    for table, key in entries:
        words = LACKED.get((table, key))
        if words is None:
            words = ASKED[table][key].label if table in ASKED and key in ASKED[table] else f"{table}, {key}"
        out.append(f"{words} (notebook {page_of(table, key)}, or [{table}] {key} in plan.toml)")
    return out


def missing(plan: Plan, what: str) -> list[tuple[str, str]]:
    """Return the tables and keys that "extruder", "job" or "recipe" cannot do without and that a plan does not know."""
    if what == "job":
        what = plan.choice("job", "kind")
    lacks = [one for one in NEEDED[what] if plan.value(*one) is None]
    if what == "extruder":
        lacks += _lacking_of_nozzle(plan)
    if what == "print":
        lacks += [
            ("print", name)
            for name in SIZES
            if plan.value("print", name) is None and plan.value("print", f"{name}_to_bore") is None
        ]
        if plan.choice("print", "shape") == RING and plan.value("print", "ring_radius") is None:
            lacks.append(("print", "ring_radius"))
    if what == FIBRE and plan.value("fibre", "bath_length") and plan.value("fibre", "bath_temperature") is None:
        lacks.append(("fibre", "bath_temperature"))
    if what == "recipe" and not filled_rows(plan, "ingredient"):
        lacks.append(("recipe", "ingredient"))
    return lacks


def _lacking_of_nozzle(plan):
    bore, inlet, land = (plan.value("nozzle", key) for key in ("bore", "inlet_diameter", "land_length"))
    taper = [plan.value("nozzle", key) for key in ("taper_length", "taper_half_angle")]
    narrows_unsaid = taper == [None, None] and None not in (bore, inlet) and inlet > bore
    lacks = [("nozzle", "taper_length")] if narrows_unsaid else []
    if any(taper) and inlet is None:
        lacks.append(("nozzle", "inlet_diameter"))
    if land is None or not (land or any(taper) or narrows_unsaid):  # 0 is typed, not left out
        lacks.append(("nozzle", "land_length"))
    return lacks


def nozzle_of(plan: Plan) -> Nozzle:
    """Return the nozzle of a plan: a taper, a land, or both."""
    bore, inlet, land = (plan.value("nozzle", key) for key in ("bore", "inlet_diameter", "land_length"))
    angle, length = plan.value("nozzle", "taper_half_angle"), plan.value("nozzle", "taper_length")
    segments: list[Cone | Cylinder] = []
    if angle or length:
        _narrows(plan, ("nozzle", "inlet_diameter"), ("nozzle", "bore"), ", or take the taper out")
        if length is None:
            length = 0.0 if angle >= np.pi / 2 else float(taper_length(inlet, bore, angle))
        segments.append(Cone(inlet_diameter=inlet, outlet_diameter=bore, length=length))
    if land:
        segments.append(Cylinder(diameter=bore, length=land))
    return Nozzle(*segments)


def _narrows(plan, first, then, remedy=""):
    """Refuse a passage that is narrower than what comes behind it."""
    if plan.value(*first) < plan.value(*then):
        ends = (f"{ASKED[table][key].words}, {plan.text(table, key)}" for table, key in (first, then))
        raise DataError(
            f"{of_entries(plan, first, then)}: the {', is narrower than the '.join(ends)}: a nozzle narrows. Correct one of them{remedy}."
        )


def drive_of(plan: Plan) -> Drive | None:
    """Return the drive of a plan; None where it does not say enough of it."""
    kind = plan.text("drive", "kind")
    if not kind:
        return None
    if plan.choice("drive", "kind") == SCREW:
        torque, lead, efficiency = (plan.value("drive", key) for key in OF_SCREW)
        return (
            None if None in (torque, lead, efficiency) else ScrewDrive(torque=torque, lead=lead, efficiency=efficiency)
        )
    if kind == BY_AIR:
        pressure = plan.value("drive", "pressure")
        return None if pressure is None else AirDrive(pressure=pressure)
    force = plan.value("drive", "force")
    return HandDrive() if force is None else HandDrive(force=force)


def extruder_of(plan: Plan) -> Extruder:
    """Return the extruder of a plan; `NotKnownYet` where something that it cannot be without is not known."""
    if lacks := missing(plan, "extruder"):
        raise NotKnownYet("extruder", lacks)
    known: dict[str, Any] = {
        key: value
        for key in ("plunger_friction", "break_loose_friction", "barrel_drag", "compliance", "pressure_rating")
        if (value := plan.value("machine", key)) is not None
    }
    sizes: dict[str, Any] = {key: plan.value("machine", key) for key in ("barrel_diameter", "fill_length")}
    nozzle = nozzle_of(plan)
    widest = "inlet_diameter" if isinstance(nozzle.segments[0], Cone) else "bore"
    _narrows(plan, ("machine", "barrel_diameter"), ("nozzle", widest))
    drive = drive_of(plan)
    with blamed(plan, "machine"):
        return Extruder(**sizes, nozzle=nozzle, drive=drive, **known)


def job_of(plan: Plan, kind: str = "") -> Job:
    """Return the job of a plan, as `extruder_of`; of the kind that it says is made, if no other is given."""
    kind = kind or plan.choice("job", "kind")
    if lacks := missing(plan, kind):
        raise NotKnownYet("job", lacks)
    known = {
        key: value
        for key, entry in ASKED[kind].items()
        if entry.is_number and key != "drum_diameter" and (value := plan.value(kind, key)) is not None
    }
    if kind != FIBRE:
        for name in SIZES:
            if name in known:
                known.pop(f"{name}_to_bore", None)
        if known.get("nozzle_temperature") is not None:
            known.setdefault("barrel_temperature", ZERO_CELSIUS + 22.0)
        with blamed(plan, "print"):
            job = PrintJob(shape=plan.choice("print", "shape"), **known)
        _has_section(plan, job)
        return job
    outer = plan.value("nozzle", "outer_diameter")
    known |= {} if outer is None else {"needle_outer_diameter": outer}
    with blamed(plan, FIBRE, "nozzle"):
        return FibreJob(held=plan.choice("fibre", "held") == HELD, **known)


def _has_section(plan, job):
    """Refuse a line that is so much higher than wide that nothing is left of it."""
    bore = plan.value("nozzle", "bore")
    if bore is not None and job.flow_rate(bore) <= 0:
        sizes = [("print", name if plan.text("print", name) else f"{name}_to_bore") for name in SIZES]
        height, width = (written(size, "m") for size in (job.height(bore), job.width(bore)))
        raise DataError(
            f"{of_entries(plan, *sizes)}: layer height h {height} is too high for line width w {width}: nothing is left of the section of a "
            "line with round sides. Make the layers lower or the lines wider."
        )


def flow_of(plan: Plan) -> float:
    """Return the flow that the job of a plan takes [m3/s]: of a fibre its throughput, of a print its speed times the section of its line.

    Raises
    ------
    NotKnownYet
        Where the plan lacks something of it.
    """
    if plan.choice("job", "kind") != FIBRE:
        return float(job_of(plan).flow_rate(plan.value("nozzle", "bore")))
    if (throughput := plan.value("fibre", "throughput")) is None:
        raise NotKnownYet("flow", [("fibre", "throughput")])
    return throughput


def left_out(plan: Plan, known: Iterable[str] = ()) -> list[str]:
    """Return, a sentence each, what the extruder of a plan is computed without: what it does not say, and no reading behind it tells (`known`)."""
    out = []
    for key in ("plunger_friction", "break_loose_friction", "pressure_rating"):
        if not plan.text("machine", key) and key not in known:
            entry = ASKED["machine"][key]
            out.append(f"{entry.words} not known: {entry.without}")
    if drive_of(plan) is None:
        out.append(f"drive not known: {ASKED['drive']['kind'].without}")
    return out + taken_as_bare(plan)


def taken_as_bare(plan: Plan) -> list[str]:
    """Return that the needle of a fibre counts as a bare one, where its plan does not say how warm it is; else nothing."""
    if plan.text("job", "kind") != FIBRE or plan.text(FIBRE, "nozzle_temperature"):
        return []
    entry = ASKED[FIBRE]["nozzle_temperature"]
    return [f"{entry.words} not known: {entry.without}"]


def filled_rows(plan: Plan, key: str) -> list[tuple[int, dict[str, str]]]:
    """Return the rows of a recipe into which anything is typed, each with its place, of which the first is 1."""
    rows = enumerate(plan.rows("recipe", key), 1)
    return [(place, row) for place, row in rows if any(one.strip() for one in row.values())]


def size_of(plan: Plan, name: str) -> float | None:
    """Return a size of the line of a plan [m], by itself or as a share of the bore; None where it is not known."""
    size, share, bore = plan.value("print", name), plan.value("print", f"{name}_to_bore"), plan.value("nozzle", "bore")
    return share * bore if size is None and share is not None and bore is not None else size
