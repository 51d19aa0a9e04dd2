"""Every number of an extruder and a job that a force, a verdict or a map rests on, as rows: value, interval and origin."""

from dataclasses import fields

import numpy as np

from ...flow.nozzles import Cone
from ...machine.drives import AirDrive, HandDrive
from ...machine.extruder import Extruder
from ...nomenclature import QUANTITIES, between, number, numbers, symbol, with_unit, written
from ...origins import ASSUMED, MEASURED
from ...part.job import FIBRE
from ...part.printing import PrintJob
from ...part.winding import FibreJob
from ...units import mm
from ...workbook.asked import ASKED, DRIVE, FIBRE_JOB, MACHINE, NOZZLE, PRINT_JOB
from .rests_on import EXACT, SET, unknown_row

STATED = f"{MEASURED}: as the bench states it"
USUAL = f"{ASSUMED}: usual, common practice"
FORCE_OF_DRIVE = "greatest force of the drive"
OF_BARREL = ("plunger_friction", "barrel_drag")
OF_SLIP = {
    "coefficient": ("slip in the land: coefficient β", "m/(Pa·s)"),
    "threshold": ("slip in the land: threshold τ_s", "Pa"),
}
OF_JOB = (
    "part_height", "ring_radius", "path_length", "span", "drying_flux", "longest_lag", "layer_height_error", "speed_error",
    "bore_error",
)  # fmt: skip


def _said(table, key, value):
    """Return a number in SI as the field of its entry has it: words, and value with unit."""
    entry = ASKED[table][key]
    return entry.words, with_unit(number(float(entry.from_si(value))), "" if entry.unit == "-" else entry.unit)


def _whence(plan, origin):
    """Return what tells where the value of an entry comes from: as told, where it was typed into the plan; else it is the usual one.

    Without a plan what is as usual counts as not typed.
    """

    def of(table, *keys, usual=False):
        typed = any(plan.text(table, key) for key in keys) if plan is not None else not usual
        return origin if typed else USUAL

    return of


def _usual(made):
    """Return what an object of a class has where it is told nothing, by name."""
    return {one.name: one.default for one in fields(made)}


def known_rows(material, extruder):
    """Return the rows of what the readings behind a material know of an extruder, by name: friction, drag, bore, slip; limits as its fit has them."""
    best, fitted = material.rig(extruder), material.origin("law")

    def row(name, words, unit, value, scale=1.0, least=-np.inf):
        value, low, high = numbers(value, *(max(least, scale * end) for end in best.limits(name)))
        return [words, with_unit(value, unit), f"{low} to {with_unit(high, unit)}", fitted]

    rows = {}
    for name in OF_BARREL:
        value, words = getattr(best.extruder, name), MACHINE[name].words
        if name in best.fitted:
            unit = "" if MACHINE[name].unit == "-" else MACHINE[name].unit
            rows[name] = row(name, words, unit, float(value))
        elif value != getattr(extruder, name):
            rows[name] = [*_said("machine", name, value), EXACT, STATED]
    name, peak = "break_loose_friction", extruder.break_loose_friction
    if peak is not None:  # never below a friction that the readings know
        value, words = best.extruder.break_loose_friction, MACHINE[name].words
        if "plunger_friction" in best.fitted and best.limits("plunger_friction")[1] > peak:
            rows[name] = row("plunger_friction", words, "N", float(value), least=peak)
        elif value > peak:
            rows[name] = [*_said("machine", name, value), EXACT, STATED]
    if best.bore_factor is not None:
        words, bore = f"{NOZZLE['bore'].words} as the readings have it, for the pressure", extruder.nozzle.bore / mm
        rows["bore"] = row("bore_factor", words, "mm", float(best.bore_factor * bore), bore)
    for name, (words, unit) in OF_SLIP.items() if "slip_coefficient" in best.fitted else ():
        rows[f"slip {name}"] = row(f"slip_{name}", words, unit, float(getattr(best.extruder.slip, name)))
    return rows


def machine_rows(material, extruder, case, origin, on_page=(), job_origin=None, plan=None):
    """Return the rows of an extruder, as it was given, and a job.

    The case has the extruder as the readings know it, and all that was set on the page: names of axes, "force", "rating",
    "shape" in `on_page`. `origin` says where the other numbers come from, but for those that the readings know; `job_origin`
    where those of the job do, if from elsewhere; both hold for what was typed into the `plan`, if there is one.
    """
    rows = extruder_rows(material, extruder, origin, on_page, case.extruder, plan)
    of_job = _fibre_rows if case.job.kind == FIBRE else _print_rows
    return rows + of_job(case, _whence(plan, job_origin or origin), on_page)


def extruder_rows(material, extruder, origin, on_page=(), rig=None, plan=None):
    """Return the rows of an extruder, as `machine_rows`; `rig` is how the readings know it, with all that was set on the page."""
    known = known_rows(material, extruder)
    rig, rows = rig or material.rig(extruder).extruder, []
    whence, usual = _whence(plan, origin), _usual(Extruder)

    def add(name, words, value, from_=origin):
        rows.append([words, value, EXACT, SET if name in on_page else from_])

    add("bore", NOZZLE["bore"].words, written(rig.nozzle.bore, "m"))
    for row in _segments(rig.nozzle):
        add(*row)
    for name in ("barrel_diameter", "fill_length"):
        add(name, MACHINE[name].words, written(getattr(rig, name), "m"))
    for name in (*OF_BARREL, "break_loose_friction"):
        if name not in known and (value := getattr(rig, name)) is not None:
            from_ = whence("machine", name, usual=value == usual[name])
            if name == "plunger_friction" and from_ == USUAL and name not in on_page:
                rows.append(unknown_row(MACHINE[name].words))
            else:
                add(name, *_said("machine", name, value), from_)
    rows += [row for name, row in known.items() if name != "bore" or "bore" not in on_page]
    if rig.drive is None:
        rows.append(unknown_row(FORCE_OF_DRIVE))
    else:
        by_hand = isinstance(rig.drive, HandDrive)
        add(
            "force", *_drive(rig.drive), whence("drive", "force", usual=rig.drive == HandDrive()) if by_hand else origin
        )
    rating, words = rig.pressure_rating, MACHINE["pressure_rating"].words
    if "rating" in on_page or whence("machine", "pressure_rating", usual=rating is None) != USUAL:
        add("rating", words, written(rating, "Pa") if rating else "none")
    else:
        rows.append(unknown_row(words))
    return rows


def _fibre_rows(case, whence, on_page):
    rows, usual = [], _usual(FibreJob)
    for name in usual:
        value = getattr(case.job, name)
        if value is None or name not in QUANTITIES:
            continue
        from_ = SET if name in on_page else whence(*_place_of(name), usual=value == usual[name])
        rows.append([*_of_fibre(name, value), EXACT, from_])
    said, held = "held on the drum, at its length" if case.job.held else "loose, and shortens", case.job.held
    from_ = SET if "held" in on_page else whence(FIBRE, "held", usual=held == usual["held"])
    return [*rows, [FIBRE_JOB["held"].words, said, EXACT, from_]]


def _place_of(name):
    """Return table and key of a number of a fibre's job."""
    return ("nozzle", "outer_diameter") if name == "needle_outer_diameter" else (FIBRE, name)


def _of_fibre(name, value):
    asked = name in FIBRE_JOB or name == "needle_outer_diameter"
    return (
        _said(*_place_of(name), value) if asked else (f"{name.replace('_', ' ')} {symbol(name)}", written(value, name))
    )


def _print_rows(case, whence, on_page):
    job, usual = case.job, _usual(PrintJob)
    shares = job.layer_height_to_bore, job.line_width_to_bore
    layer, line = (f", {number(share)} of the bore" if share else "" for share in shares)
    said = [
        ("print_speed", PRINT_JOB["print_speed"].words, written(job.print_speed, "m/s")),
        ("layer_height", PRINT_JOB["layer_height"].words, written(case.layer_height, "m") + layer),
        ("line_width", PRINT_JOB["line_width"].words, written(case.line_width, "m") + line),
        ("shape", PRINT_JOB["shape"].words, job.shape),
        (
            "wall_width",
            PRINT_JOB["wall_width"].words,
            written(case.wall_width, "m") + (", one line" if job.wall_width is None else ""),
        ),
    ]
    for name in OF_JOB:
        if (value := getattr(job, name)) is not None:
            said.append((name, *_said("print", name, value)))

    def origin_of(name):
        keys = [key for key in (name, f"{name}_to_bore") if key in PRINT_JOB]
        unsaid = all(getattr(job, key) is usual[key] or getattr(job, key) == usual[key] for key in keys)
        return SET if name in on_page else whence("print", *keys, usual=unsaid)

    return [[words, value, EXACT, origin_of(name)] for name, words, value in said]


def _segments(nozzle):
    """Return name of the axis, words and value of every segment of a nozzle."""
    out, last = [], len(nozzle.segments) - 1
    for place, one in enumerate(nozzle.segments):
        if isinstance(one, Cone):
            ends = between(one.inlet_diameter, one.outlet_diameter, "m")
            angle = f"half angle {written(one.half_angle, 'rad')}"
            out.append(("taper", f"taper from D_in {ends}", f"{written(one.length, 'm')} long, {angle}"))
        else:
            words = NOZZLE["land_length"].words if place == last else f"straight land of {written(one.diameter, 'm')}"
            out.append(("land", words, written(one.length, "m")))
    return out


def _drive(drive):
    if isinstance(drive, AirDrive):
        return DRIVE["pressure"].words, written(drive.pressure, "Pa")
    if isinstance(drive, HandDrive):
        return DRIVE["force"].words, written(drive.force, "N")
    return FORCE_OF_DRIVE, written(drive.force, "N")
