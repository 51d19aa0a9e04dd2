"""A workbook as a short script: the same numbers by the library's own names, to be run outside Jupyter or to stand in a report.

What is not known is left out, and a comment says what it would need.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from ..errors import DataError
from ..flow.nozzles import Cone
from ..limits import Case
from ..machine.drives import AirDrive, HandDrive
from ..part.job import FIBRE
from ..regions import AXES as AXES_OF_MAP
from .asked import ASKED, DRIVE, FIBRE_JOB, MACHINE, NOZZLE, PRINT_JOB
from .coded import CELSIUS, attempted, because, call, given, imports, mapped, number, quoted
from .of_region import point_of
from .script_of_recipe import recipe_lines

if TYPE_CHECKING:
    from .opened import Workbook

WATER = "water_content"
AXES = ("bore", WATER, "print_speed")  # windows that a print is asked for
NO_WATER = "# the water is not varied: not known is its water content, or how it softens with water (yield stresses at two waters tell it)"


def script_of(book: Workbook) -> str:
    """Return the script of a workbook: fit, machine, job and verdict, then the recipe, as far as its plan knows them.

    Parameters
    ----------
    book : Workbook

    Raises
    ------
    DataError
        If the readings cannot be read or fitted, or an entry of the plan cannot be.
    """
    parts = [_fit_lines(book), _material_lines(book)]
    try:
        extruder, job, refused = _known(book, "extruder"), _known(book, "job"), None
    except DataError as error:
        extruder = job = None
        refused = because("What force, pressure and verdict are", error)
    if refused:
        parts.append(refused)
    elif extruder is None or job is None:
        lacks = [words for what in ("extruder", "job") for words in book.missing(what)]
        parts.append(
            [
                f"# Force, pressure and verdict are left out: not known {'is' if len(lacks) == 1 else 'are'}",
                *(f"# - {one}" for one in lacks),
            ]
        )
    else:
        machine, of_job = book.origins
        parts += [
            [
                *(f"# {one}" for one in book.left_out),
                *(
                    f"# {ASKED['machine'][key].words}: {one.written_as(ASKED['machine'][key])} counts, {one.origin}"
                    for key, one in book.counted.items()
                ),
                f"# numbers of the machine: {machine}",
                *_extruder_lines(extruder),
            ],
            [f"# numbers of the job: {of_job}", *_job_lines(job)],
            attempted("The force that runs it, with its verdict,", partial(_case_lines, book)),
        ]
        asked = {"The map": _region_lines}
        if job.kind == FIBRE:
            asked = {"The chance of all limits": lambda book: _chance_lines(), "How it is wound": _winding_lines}
        parts += [attempted(what, partial(lines, book)) for what, lines in asked.items()]
        parts.append(["print(rk.extruder.CAUTION)"])
    parts += recipe_lines(book)
    body = "\n\n".join("\n".join(lines) for lines in parts if lines)
    head = [
        f'"""{book.name}: what its readings and its plan come to. All numbers are SI; units are factors."""',
        "",
        *imports(body),
    ]
    if CELSIUS in body:
        body = f"{CELSIUS} = 273.15  # K\n{body}"
    return "\n".join(head) + f"\n\n{body}\n"


def _known(book, what):
    """Return a part of a workbook; None where something that it needs is not known."""
    return None if book.missing(what) else getattr(book, what)


def _fit_lines(book):
    invented = "  # INVENTED readings" if book.bench.specimen.invented else ""
    lines = [
        f"FOLDER = {quoted(str(book.folder.resolve()))}  # of the paste; where a copy of it stands, write that place here",
        f"bench = rk.read_bench(FOLDER){invented}",
    ]
    if out := book.plan.listed("fit", "leave_out"):
        lines += [
            f"left_out = [{', '.join(map(quoted, out))}]",
            "bench = bench.where(lambda test: test.gives or (test.label or test.kind) not in left_out)",
        ]
    use = ", use_range=({}, {})".format(*(number(one) for one in book.use_range)) if book.use_range else ""
    lines += [
        f"law = rk.over_conditions(rk.LAWS[{quoted(book.law)}], bench)  # over what the readings differ in, if anything",
        f"paste = rk.fit(law, bench{use})",
        "print(paste)",
    ]
    return lines


def _material_lines(book):
    known = book.given
    if not known:
        return ["material = rk.Material.of(paste)"]
    arguments = {name: repr(float(one.value)) for name, one in known.items()}
    if spreads := {name: one.spread for name, one in known.items() if one.spread is not None}:
        arguments["spreads"] = mapped({name: repr(one) for name, one in spreads.items()})
    arguments["origins"] = mapped({name: quoted(one.origin) for name, one in known.items()})
    if (width := book.material.lean_width) is not None and "modulus" in known:
        arguments["lean_width"] = repr(float(width))
    return [f"material = {call('rk.Material.of', arguments, ['paste'])}"]


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


def _case_lines(book):
    """Return force and pressure with their limits, as the pages say them, and the verdict."""
    lines = [
        "case = rk.limits.sure(rk.Case.of(material, extruder, job), material)",
        "seen = case.pressure_law  # as warm and as stiff as it is pushed",
    ]
    for name, ask in (("force", "plunger_force"), ("pressure", "pressure")):
        asked = f"lambda law, rig: rig.{ask}(law, case.flow_rate)"
        lines.append(f"{name} = paste.interval({asked}, extruder=extruder, like=seen)")
    lines += [
        "unread = rk.planning.extrapolation.outside_readings(case)  # what the readings behind the law do not cover",
        'doubt = "; ".join([f"; extrapolated: {unread[0]}", *unread[1:]]) if unread else ""',
        "if np.isnan(force.value):  # what the readings lack",
        '    print(f"Force and pressure are {force.comment.removeprefix(paste.stamp).strip()}.")',
        "    print(f\"Force: 95 % from {rk.nomenclature.between(force.low, force.high, 'N')}.\")",
        "    start = paste.interval(lambda law, rig: rig.start_force(law), extruder=extruder, like=seen)",
        "    if np.isfinite(start.value):",
        "        print(f\"To start it takes at least {rk.nomenclature.with_limits(*start[:3], 'N')}.\")",
        "else:",
        '    for name, found, unit in (("force", force, "N"), ("pressure", pressure, "Pa")):',
        '        print(f"{name} {rk.nomenclature.with_limits(*found[:3], unit)}{doubt}")',
        '    print(f"Of the extruder: {case.about_extruder}.")',
        "print(rk.verdict(case))",
    ]
    if "invented" in book.machine_origin:
        lines.append('print("INVENTED machine and job, for demonstration")')
    return lines


def _chance_lines(more=""):
    return [
        f"alone = rk.planning.chance(material, extruder, job, draws=1000{more})  # of all limits together",
        "print(rk.planning.in_words(alone))",
    ]


def _window_lines(axes):
    """Return the lines of the windows along axes, and what is left out of them."""
    return [
        *([] if WATER in axes else [NO_WATER]),
        "windows = {}  # from where to where it will do",
        f"for axis in ({', '.join(map(quoted, axes))}):",
        "    try:",
        "        windows[axis] = rk.window(material, extruder, job, axis, probability=rk.planning.LIKELY, held=held)",
        "        print(windows[axis])",
        "    except rk.DataError as error:  # that it is not known is an answer",
        '        print(str(error).removeprefix("window: "))',
    ]


def _region_lines(book):
    """Return the lines of the chance at the point of the page, of what will do along its axes, and of the map over two of them."""
    case = Case.of(book.material, book.extruder, book.job)
    axes, held = point_of(book.plan, case)
    lines = [
        f"held = {mapped({name: repr(value) for name, value in held.items()})}  # at the point of the map",
        *_chance_lines(", held=held"),
        *_window_lines([name for name in dict.fromkeys([*AXES, *axes]) if AXES_OF_MAP[name].moves(case)]),
        "axes = {",
    ]
    for name in axes:
        low, high = AXES_OF_MAP[name].span(case)
        spaced = "geomspace" if AXES_OF_MAP[name].logarithmic else "linspace"
        lines.append(f"    {quoted(name)}: np.{spaced}({low:.6g}, {high:.6g}, 48),")
    rest = {name: repr(value) for name, value in held.items() if name not in axes}
    beside = f", held={mapped(rest)}" if rest else ""
    return [*lines, "}", f"print(rk.region_map(material, extruder, job, axes=axes, draws=500{beside}))"]


def _winding_lines(book):
    lines = [
        "winding = rk.planning.Winding(material, extruder, job)",
        "speed = winding.winding_speed  # for the dry diameter that is wanted",
    ]
    lines += ["if speed is None:", '    print(f"how fast to wind is not known: {winding.lacks_speed}")', "else:"]
    lines.append('    print("wind at {:.0f} mm/s (95 % {:.0f} to {:.0f} mm/s)".format(*(one / mm for one in speed)))')
    drum = book.plan.value("fibre", "drum_diameter")
    if drum is not None:
        lines.append(f"    turns = [60 * float(rk.fibre.drum_speed(one, {number(drum, 'mm')})) for one in speed]")
        lines.append('    print("that is {:.0f} rpm (95 % {:.0f} to {:.0f} rpm)".format(*turns))')
    lines += [
        "wound = winding.at_diameter",
        "if wound.longest_gap:",
        "    gap, ended_by = wound.longest_gap",
        '    print("gap at most {:.1f} mm (95 % {:.1f} to {:.1f} mm)".format(*(one / mm for one in gap)), "by", ended_by)',
        "if wound.shortest_bath:",
        '    print("bath at least {:.0f} mm (95 % {:.0f} to {:.0f} mm)".format(*(one / mm for one in wound.shortest_bath)))',
    ]
    return lines


__all__ = ["script_of"]
