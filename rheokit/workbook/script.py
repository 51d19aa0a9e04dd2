"""A workbook as a short script: the same numbers by the library's own names, to be run outside Jupyter or to stand in a report.

What is not known is left out, and a comment says what it would need.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from ..errors import DataError
from ..limits import Case
from ..origins import invented_of
from ..part.job import FIBRE
from ..regions import AXES as AXES_OF_MAP
from ..release import version_line
from .coded import CELSIUS, attempted, because, call, imports, mapped, number, quoted
from .of_region import point_of
from .script_of_plan import is_judged, planned_lines
from .script_of_recipe import recipe_lines

if TYPE_CHECKING:
    from .opened import Workbook

WATER = "water_content"
AXES = ("bore", WATER, "print_speed")  # windows that a print is asked for
NO_WATER = "# the water is not varied: not known is {}"
NO_SLOPE = "how it softens with water (yield stresses at two waters tell it)"


def script_of(book: Workbook, points: int = 48, draws: int = 500) -> str:
    """Return the script of a workbook: fit, machine, job and verdict, then the recipe, as far as its plan knows them.

    Parameters
    ----------
    book : Workbook
    points, draws : int
        Values along an axis of the map, and joint draws at each; those of the page where none are given.

    What cannot be computed, because it is not known, or readings or plan cannot be, is told in its place, in a comment and when
    the script runs.
    """
    parts = [["spell_out()  # symbols that a terminal or a file has no letters for"]]
    for what, lines in OF_PASTE.items():
        try:
            parts.append(lines(book))
        except DataError as error:  # each needs the one before
            parts.append(because(what, error))
            break
    parts += planned_lines(book)
    if is_judged(book):
        parts.append(attempted("The force that runs it, with its verdict,", partial(_case_lines, book)))
        asked: dict[str, Callable] = {"The map": partial(_region_lines, points=points, draws=draws)}
        if book.job.kind == FIBRE:
            asked = {"The chance of all limits": lambda book: _chance_lines(), "How it is wound": _winding_lines}
        parts += [attempted(what, partial(lines, book)) for what, lines in asked.items()]
        parts.append(["print(rk.extruder.CAUTION)"])
    parts += recipe_lines(book)
    body = "\n\n".join("\n".join(lines) for lines in parts if lines)
    head = [
        f'"""{book.name}: what its readings and its plan come to. All numbers are SI; units are factors."""',
        "",
        f"# Written by {version_line()}; the numbers are those of the rheokit that runs it.",
        "",
        *imports(body),
    ]
    if CELSIUS in body:
        body = f"{CELSIUS} = 273.15  # K\n{body}"
    return "\n".join(head) + f"\n\n{body}\n"


def _bench_lines(book):
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
    if book.bench.properties():
        lines.append('print(*properties(bench), sep="\\n")  # what was measured beside the law')
    return lines


def _fit_lines(book):
    _ = book.fit  # raises where none can be
    use = ", use_range=({}, {})".format(*(number(one) for one in book.use_range)) if book.use_range else ""
    return [
        f"law = rk.over_conditions(rk.LAWS[{quoted(book.law)}], bench)  # over what the readings differ in, if anything",
        f"paste = rk.fit(law, bench{use})",
        "print(paste)",
    ]


def _material_lines(book):
    _ = book.material  # raises where the plan cannot be
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


OF_PASTE = {
    "What the readings tell": _bench_lines,
    "The fit": _fit_lines,
    "The paste with all that is known of it": _material_lines,
}
"""The statements of the paste, by what they come to."""


def _case_lines(book):
    """Return force and pressure with their limits, as the pages say them, and the verdict."""
    lines = [
        "case = rk.Case.of(material, extruder, job)",
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
        "try:",
        "    case = rk.limits.sure(case, material)  # hard limits hold where they do in 97.5 of 100 draws",
        "except rk.DataError as error:  # force and pressure need no draws",
        '    print(f"In how many of 100 batches a hard limit holds is left out: {error}")',
        "print(rk.verdict(case))",
        'print("In how many of 100 cases all of this holds says the chance of all limits; a number without limits is a best value.")',
    ]
    if which := invented_of(*book.origins):
        lines.append(f'print("INVENTED {which}, for demonstration")')
    return lines


def _chance_lines(more=""):
    return [
        f"alone = rk.planning.chance(material, extruder, job, draws=1000{more})  # of all limits together",
        "print(rk.planning.in_words(alone))",
    ]


def _window_lines(axes, water):
    """Return the lines of the windows along axes, and what is left out of them; `water` is that of the paste, None where it is not known."""
    lacks = NO_SLOPE if water is not None else f"the water content of the paste, or {NO_SLOPE}"
    return [
        *([] if WATER in axes else [NO_WATER.format(lacks)]),
        "windows = {}  # from where to where it will do",
        f"for axis in ({', '.join(map(quoted, axes))}):",
        "    try:",
        "        windows[axis] = rk.window(material, extruder, job, axis, probability=rk.planning.LIKELY, held=held)",
        "        print(windows[axis])",
        "    except rk.DataError as error:  # that it is not known is an answer",
        '        print(str(error).removeprefix("window: "))',
    ]


def _region_lines(book, points, draws):
    """Return the lines of the chance at the point of the page, of what will do along its axes, and of the map over two of them."""
    case = Case.of(book.material, book.extruder, book.job)
    axes, held = point_of(book.plan, case)
    lines = [
        f"held = {mapped({name: repr(value) for name, value in held.items()})}  # at the point of the map",
        *_chance_lines(", held=held"),
        *_window_lines(
            [name for name in dict.fromkeys([*AXES, *axes]) if AXES_OF_MAP[name].moves(case)], case.paste.water_content
        ),
        "axes = {",
    ]
    for name in axes:
        low, high = AXES_OF_MAP[name].span(case)
        spaced = "geomspace" if AXES_OF_MAP[name].logarithmic else "linspace"
        lines.append(f"    {quoted(name)}: np.{spaced}({low:.6g}, {high:.6g}, {points}),")
    rest = {name: repr(value) for name, value in held.items() if name not in axes}
    beside = f", held={mapped(rest)}" if rest else ""
    return [*lines, "}", f"print(rk.region_map(material, extruder, job, axes=axes, draws={draws}{beside}))"]


def _winding_lines(book):
    lines = [
        "winding = rk.planning.Winding(material, extruder, job)",
        "speed = winding.winding_speed  # for the dry diameter that is wanted",
    ]
    lines += ["if speed is None:", '    print(f"how fast to wind is not known: {winding.lacks_speed}")', "else:"]
    lines.append("""    print(f"wind at {rk.nomenclature.with_limits(*speed, 'mm/s')}")""")
    drum = book.plan.value("fibre", "drum_diameter")
    if drum is not None:
        lines.append(f"    turns = [60 * float(rk.fibre.drum_speed(one, {number(drum, 'mm')})) for one in speed]")
        lines.append('    print("that is {} rpm (95 % {} to {} rpm)".format(*rk.nomenclature.numbers(*turns)))')
    lines += [
        "wound = winding.at_diameter",
        "if wound.longest_gap:",
        "    gap, ended_by = wound.longest_gap",
        """    print(f"gap at most {rk.nomenclature.with_limits(*gap, 'mm')} by {ended_by}")""",
        "if wound.shortest_bath:",
        """    print(f"bath at least {rk.nomenclature.with_limits(*wound.shortest_bath, 'mm')}")""",
    ]
    return lines


__all__ = ["script_of"]
