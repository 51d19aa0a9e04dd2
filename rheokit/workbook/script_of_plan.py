"""Extruder and job of a plan as statements of a script: both, or what is known of them, with what the rest needs."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from ..errors import DataError
from ..flow.nozzles import Cone
from ..machine.drives import AirDrive, HandDrive
from ..part.job import FIBRE
from .asked import ASKED, DRIVE, FIBRE_JOB, MACHINE, NOZZLE, PRINT_JOB
from .coded import attempted, because, call, given, left_out, number
from .made import NotKnownYet, missing
from .script_of_recipe import makes_material

if TYPE_CHECKING:
    from .opened import Workbook

OF_BOTH = "What force, pressure and verdict are"


def is_judged(book: Workbook) -> bool:
    """Return whether all is known that a verdict needs: the paste, the extruder and the job."""
    return len(_planned(book)[0]) == 2 and makes_material(book)


def planned_lines(book: Workbook) -> list[list[str]]:
    """Return the statements that make extruder and job, a list for each paragraph; of an incomplete plan what can be told all the same."""
    known, lacks, refused = _planned(book)
    origins = dict(zip(("extruder", "job"), book.origins, strict=True))
    parts = []
    if "extruder" in known:
        parts.append(
            [*_told(book), f"# numbers of the machine: {origins['extruder']}", *_extruder_lines(known["extruder"])]
        )
    if "job" in known:
        parts.append([f"# numbers of the job: {origins['job']}", *_job_lines(known["job"])])
    if is_judged(book):
        return parts
    if "extruder" in known and makes_material(book) and not book.fit.law.depends_on:
        parts.append(attempted("The force to start", _start_lines))
    if "job" in known:
        parts.append(attempted("The flow of the job", partial(_flow_lines, book, known["job"])))
    if lacks:
        parts.append(left_out(OF_BOTH, lacks))
    parts += [because(OF_BOTH, error) for error in refused]
    if not lacks and not refused:
        parts.append(because(OF_BOTH, DataError("it needs the law of the paste; see above")))
    return parts


def _planned(book):
    """Return extruder and job of a plan as far as they are known, by name; the entries that lack; what is refused."""
    known, lacks, refused = {}, [], []
    for what in ("extruder", "job"):
        try:
            if entries := missing(book.plan, what):
                lacks += entries
            else:
                known[what] = getattr(book, what)
        except DataError as error:
            refused.append(error)
    return known, lacks, refused


def _told(book):
    """Return in comments what the extruder is computed without, and what counts of it; nothing where there are no readings to ask."""
    try:
        return [
            *(f"# {one}" for one in book.left_out),
            *(
                f"# {ASKED['machine'][key].words}: {one.written_as(ASKED['machine'][key])} counts, {one.origin}"
                for key, one in book.counted.items()
            ),
        ]
    except DataError:
        return []


def _extruder_lines(extruder):
    segments = []
    for one in extruder.nozzle.segments:
        name = "rk.Cone" if isinstance(one, Cone) else "rk.Cylinder"
        segments.append(
            call(
                name,
                given(one, dict.fromkeys(("diameter", "length", "inlet_diameter", "outlet_diameter"), NOZZLE["bore"])),
            )
        )
    more = {"nozzle": "nozzle"}
    if extruder.drive is not None:
        kind = {AirDrive: "Air", HandDrive: "Hand"}.get(type(extruder.drive), "Screw")
        drive = given(extruder.drive, {**DRIVE, "gear_ratio": MACHINE["barrel_drag"]})
        more["drive"] = f"rk.{kind}Drive({', '.join(f'{key}={text}' for key, text in drive.items())})"
    return [
        f"nozzle = {call('rk.Nozzle', {}, segments)}",
        f"extruder = {call('rk.Extruder', given(extruder, MACHINE, more))}",
    ]


def _job_lines(job):
    if job.kind == FIBRE:
        entries = FIBRE_JOB | {"needle_outer_diameter": NOZZLE["outer_diameter"]}
        return [f"job = {call('rk.FibreJob', given(job, entries))}"]
    return [f"job = {call('rk.PrintJob', given(job, PRINT_JOB))}"]


def _start_lines():
    return [
        "start = paste.interval(lambda law, rig: rig.start_force(law), extruder=extruder)",
        "print(f\"to start it takes at least {rk.nomenclature.with_limits(*start[:3], 'N')}\")",
        "print(rk.extruder.CAUTION)",
    ]


def _flow_lines(book, job):
    if job.kind == FIBRE:
        asked = "job.throughput"
    elif (bore := book.plan.value("nozzle", "bore")) is not None:
        asked = f"job.flow_rate({number(bore, 'mm')})"
    else:
        raise NotKnownYet("flow", [("nozzle", "bore")])
    return [f"flow = {asked}", "print(f\"the job takes {rk.nomenclature.written(flow, 'm³/s')}\")"]
