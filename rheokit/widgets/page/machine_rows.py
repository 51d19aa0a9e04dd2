"""Every number of an extruder and a job that a force, a verdict or a map rests on, as rows: value, interval and origin."""

from dataclasses import fields

from ...errors import DataError
from ...flow.nozzles import Cone
from ...machine.drives import AirDrive, HandDrive, ScrewDrive
from ...nomenclature import QUANTITIES, between, number, numbers, symbol, with_unit, written
from ...origins import ASSUMED, MEASURED
from ...part.job import FIBRE
from ...part.printing import PrintJob
from ...part.winding import FibreJob
from ...sampling import limits_of
from ...units import mm
from .rests_on import EXACT, SET

STATED = f"{MEASURED}: as the bench states it"
USUAL = f"{ASSUMED}: usual, common practice"
NO_LIMITS = "the readings carry no draws"
OF_BARREL = {
    "plunger_friction": ("gliding friction F_f", "N"),
    "barrel_drag": ("drag of the barrel wall, 1: no slip", ""),
}
OF_SLIP = {
    "coefficient": ("slip in the land: coefficient β", "m/(Pa·s)"),
    "threshold": ("slip in the land: threshold τ_s", "Pa"),
}
OF_JOB = {  # words, unit, that unit in SI
    "part_height": ("part height", "mm", mm),
    "ring_radius": ("radius of the ring, to the middle of its wall", "mm", mm),
    "path_length": ("path of one layer", "mm", mm),
    "span": ("longest bridge", "mm", mm),
    "drying_flux": ("drying while it is printed", "kg/(m²·s)", 1.0),
    "longest_lag": ("longest lag allowed", "s", 1.0),
    "layer_height_error": ("error of the gap, standard deviation", "mm", mm),
    "speed_error": ("error of the speed, standard deviation", "%", 0.01),
    "bore_error": ("error of the bore, standard deviation", "%", 0.01),
}


def known_rows(material, extruder, draws):
    """Return the rows of what the readings behind a material know of an extruder, by name: friction, drag, bore, slip.

    `draws` is the number of joint draws that the 95 % intervals are taken from.
    """
    best, fitted = material.rig(extruder), material.origin("law")
    try:
        drawn = material.rig(extruder, draws)
    except DataError:
        drawn = None

    def row(words, unit, of):
        if drawn is None:
            return [words, with_unit(number(of(best)), unit), NO_LIMITS, fitted]
        ends = limits_of(of(drawn).ravel())
        value, low, high = numbers(float(of(best)), *ends)
        limits = f"{low} to {with_unit(high, unit)}" if ends[0] < ends[1] else EXACT
        return [words, with_unit(value, unit), limits, fitted]

    rows = {}
    for name, (words, unit) in OF_BARREL.items():
        value = getattr(best.extruder, name)
        if name in best.fitted:
            rows[name] = row(words, unit, lambda rig, name=name: getattr(rig.extruder, name))
        elif value != getattr(extruder, name):
            rows[name] = [words, with_unit(number(value), unit), EXACT, STATED]
    if best.bore_factor is not None:
        words = "bore D as the readings have it, for the pressure"
        rows["bore"] = row(words, "mm", lambda rig: rig.bore_factor * extruder.nozzle.bore / mm)
    for name, (words, unit) in OF_SLIP.items() if "slip_coefficient" in best.fitted else ():
        rows[f"slip {name}"] = row(words, unit, lambda rig, name=name: getattr(rig.extruder.slip, name))
    return rows


def machine_rows(material, extruder, case, origin, on_page=(), draws=1000, job_origin=None):
    """Return the rows of an extruder, as it was given, and a job, by the number of joint `draws` for the intervals.

    The case has the extruder as the readings know it, and all that was set on the page: names of axes, "force", "rating",
    "shape" in `on_page`. `origin` says where the other numbers come from, but for those that the readings know; `job_origin`
    where those of the job do, if from elsewhere.
    """
    known = known_rows(material, extruder, draws)
    rig, rows = case.extruder, []

    def add(name, words, value):
        rows.append([words, value, EXACT, SET if name in on_page else origin])

    add("bore", "bore D", written(case.nominal_bore, "m"))
    for row in _segments(rig.nozzle):
        add(*row)
    add("barrel_diameter", "bore of the barrel D_0", written(rig.barrel_diameter, "m"))
    add("fill_length", "filled barrel length L_f", written(rig.fill_length, "m"))
    for name, (words, unit) in OF_BARREL.items():
        if name not in known:
            add(name, words, with_unit(number(getattr(rig, name)), unit))
    if rig.break_loose_friction is not None:
        add("break_loose_friction", "break-loose friction F_b", written(rig.break_loose_friction, "N"))
    rows += [row for name, row in known.items() if name != "bore" or "bore" not in on_page]
    add("force", *_drive(rig.drive))
    rating = rig.pressure_rating
    add("rating", "rating printed on the barrel", written(rating, "Pa") if rating else "none")
    of_job = _fibre_rows if case.job.kind == FIBRE else _print_rows
    return rows + of_job(case, job_origin or origin, on_page)


def _fibre_rows(case, origin, on_page):
    rows = []
    for about in fields(FibreJob):
        name, value = about.name, getattr(case.job, about.name)
        if value is None or name not in QUANTITIES:
            continue
        from_ = SET if name in on_page else USUAL if value == about.default else origin
        rows.append([f"{name.replace('_', ' ')} {symbol(name)}", written(value, name), EXACT, from_])
    held = "held on the drum, at its length" if case.job.held else "loose, and shortens"
    return [*rows, ["how the fibre dries", held, EXACT, SET if "held" in on_page else origin]]


def _print_rows(case, origin, on_page):
    job, usual = case.job, {f.name: f.default for f in fields(PrintJob)}
    shares = job.layer_height_to_bore, job.line_width_to_bore
    layer, line = (f", {number(share)} of the bore" if share else "" for share in shares)
    said = [
        ("print_speed", f"print speed {symbol('print_speed')}", written(job.print_speed, "m/s")),
        ("layer_height", "layer height h", written(case.layer_height, "m") + layer),
        ("line_width", "line width w", written(case.line_width, "m") + line),
        ("shape", "shape of the wall", job.shape),
        ("wall_width", "wall width", written(case.wall_width, "m") + (", one line" if job.wall_width is None else "")),
    ]
    for name, (words, unit, scale) in OF_JOB.items():
        if (value := getattr(job, name)) is not None:
            said.append((name, words, with_unit(number(value / scale), unit)))

    def origin_of(name):
        assumed = name.endswith("_error") and getattr(job, name) == usual[name]
        return SET if name in on_page else USUAL if assumed else origin

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
            words = "straight land L" if place == last else f"straight land of {written(one.diameter, 'm')}"
            out.append(("land", words, written(one.length, "m")))
    return out


def _drive(drive):
    if isinstance(drive, AirDrive):
        return "pressure of the air", written(drive.pressure, "Pa")
    if isinstance(drive, HandDrive):
        return "most asked of the hand", written(drive.force, "N")
    return "greatest force of the drive", written(drive.force, "N") if isinstance(drive, ScrewDrive) else "not known"
