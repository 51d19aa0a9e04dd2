"""Force against print speed: the law's force with its 95 % band, the speeds that were read, and what stops it."""

from collections.abc import Sequence
from typing import NamedTuple

import altair as alt
import numpy as np
import pandas as pd

from ..errors import DataError
from ..laws import FlowLaw
from ..limits import Case
from ..limits.forces import force_course, force_limits, speeds_read
from ..machine.extruder import Extruder
from ..nomenclature import between, cells, number, with_limits, with_unit
from ..things import a
from ..units import mm
from .drawing import Drawing, layer_of, round_down, round_up, stretches
from .labels import LINE, FreeRoom
from .looks import axis, axis_title, sheet_of, shrunk, tip
from .subtitles import Caveat

SPEEDS = (1e-3, 0.1)  # m/s, drawn in any case
HATCH = 16  # px from one line of the hatching to the next
EXTRAPOLATED = "extrapolated"
AXIS = 75  # px beside the picture
OFF = 14  # px from a line to the middle of words beside it, whose halo then leaves it whole
MARK = 9  # px from the mark of the force at hand to words beside it
HALO = 4  # px about a line that the halo of words leaves whole
ONE_LINE = 3  # px within which two limits look like one
FAR = 12.0  # a limit more than this times above the curve is named and not drawn


def drawn_force_speed(
    case: Case,
    draws: FlowLaw | None = None,
    subtitle: Sequence[str] = (),
    page: str = "light",
    width: int = 600,
    drawn: Extruder | None = None,
    interval: tuple[float, float] | None = None,
    starts: tuple[float, float] | None = None,
) -> Drawing:
    """Return the force on the plunger against the print speed.

    Parameters
    ----------
    case : Case
        Of numbers, not arrays; its speed is marked.
    draws : FlowLaw, optional
        Joint draws of the law, each field of shape (count, 1): the 95 % band.
    subtitle : sequence of str
        Lines below the title: say here if the readings are invented.
    page : {"light", "dark"}
    width : int
        Axes included. [px]
    drawn : Extruder, optional
        Joint draws of the extruder beside those of the law, each field of their shape; the case's own otherwise.
    interval : tuple of float, optional
        95 % limits of the force at the speed of the case, as they are known better than by draws: drawn and said there. [N]
    starts : tuple of float, optional
        95 % limits of the force that starts the flow after a rest, drawn as a band about its rule, and said. [N]

    Returns
    -------
    chart : altair.LayerChart, or its `Drawing`
        Dashed and hatched where no reading covers the shear rate in the bore. The rules are the limits of the force,
        the thick one that of the barrel.
    """
    a("PrintJob", "force_speed", "job", case.job)
    speed = np.asarray(case.job.print_speed, float)
    if speed.ndim:
        raise DataError("force_speed: the case holds arrays; give one speed, one nozzle and one paste.")
    read, limits = speeds_read(case), force_limits(case)
    low, high = min(SPEEDS[0], round_down(float(speed))), max(SPEEDS[1], round_up(float(speed)))  # which seldom move
    course = force_course(case, low, high, draws, drawn)
    curve = course.assign(speed=course.speed / mm)
    near = (limits.force > 0) & (limits.force <= FAR * curve.high.max())
    seen = [*curve.low, *curve.high, *limits.force[near]]
    spread = max(seen) / min(seen)
    height = shrunk(page, sheet_of(page, width).height)
    room = spread ** (2 * LINE / height)  # below for what is extrapolated, above for a name
    span = (round_down(min(seen) / room), round_up(max(seen) * room))
    pixels = _Pixels(shrunk(page, width), height, (low / mm, high / mm), span)
    here = curve[curve.here]
    pieces = [rows[["speed", "force"]].assign(piece=k, covered=c) for k, (rows, c) in enumerate(stretches(curve))]
    here = here.assign(low=interval[0], high=interval[1]) if interval else here
    within = here[["low", "high"]].clip(*span)  # what has no limit reaches to the end of the picture
    about = pd.DataFrame([starts] if starts else [], columns=["low", "high"], dtype=float).clip(*span)
    frames = {
        "starts": about[about.low < about.high],
        "hatching": _hatching(curve, pixels),
        "band": curve[~curve.here][["speed", "low", "high"]],  # drawn through, so that two limits stand nowhere
        "law": pd.concat(pieces),
        "limits": limits[near][["force", "words", "hard"]],
        "here": here[["speed", "force"]].join(within),
        "names": _names(curve, limits, near, here.iloc[0], pixels),
    }
    caveats = tuple(map(Caveat, case.caveats))
    said = " ".join([*caveats, words(curve, here.iloc[0], _told(limits, starts), read)])
    return Drawing(frames, said, (page, width, (*caveats, *subtitle), pixels.speeds, span), _picture)


def words(curve, here, limits, read):
    """Return the picture in words: forces, speeds that were read, and limits."""
    at, first, last = (
        f"{with_limits(one.force, one.low, one.high, 'N')} at {number(one.speed)} mm/s"
        for one in (here, curve.iloc[0], curve.iloc[-1])
    )
    said = [f"Force against print speed: {at}, from {first} to {last}."]
    if read is None:
        said.append("No test has read a rate: all of it is extrapolated.")
    elif read[0] > read[1]:
        said.append("The readings cover no print speed, from the barrel to the bore: all of it is extrapolated.")
    else:
        slow, fast = (number(v / mm) for v in read)
        speeds = f"of {slow} to {fast} mm/s" if read[0] else f"up to {fast} mm/s"
        said.append(f"The readings cover print speeds {speeds}; beyond, dashed and hatched: extrapolated.")
    return " ".join([*said, f"Limits: {', '.join(limits.words)}."])


def _told(limits, starts):
    """Return the limits with the interval of the force that starts the flow in its words, where that is known."""
    if not starts:
        return limits
    of_start = limits.name.str.startswith("start after rest") & (limits.force > 0)
    return limits.assign(words=limits.words.where(~of_start, limits.words + f" (95 % {between(*starts, 'N')})"))


class _Pixels(NamedTuple):
    """Where speeds [mm/s] and forces [N] lie in the picture, in px of the usual text from its lower left corner, and back."""

    width: float
    height: float
    speeds: tuple
    forces: tuple

    @property
    def across(self):
        return max(self.width - AXIS, 100) / np.log(self.speeds[1] / self.speeds[0])

    @property
    def up(self):
        return self.height / np.log(self.forces[1] / self.forces[0])

    def x_of(self, speed):
        return self.across * np.log(speed / self.speeds[0])

    def y_of(self, force):
        return self.up * np.log(force / self.forces[0])

    def between(self, force, other):
        """How far apart two forces lie [px]."""
        return abs(self.y_of(force) - self.y_of(other))

    def speed(self, x):
        return self.speeds[0] * np.exp(x / self.across)

    def force(self, y):
        return self.forces[0] * np.exp(y / self.up)


def _hatching(curve, pixels):
    """Return the ends of slanted lines over the speeds that were not read."""
    lines = [pd.DataFrame(columns=["speed", "to", "force", "up"], dtype=float)]
    for rows, covered in stretches(curve):
        if covered:
            continue
        left, right = pixels.x_of(rows.speed.iloc[0]), pixels.x_of(rows.speed.iloc[-1])
        foot = np.arange(left - pixels.height + HATCH / 2, right, HATCH)  # a line climbs from (foot, 0) by 45°
        start, end = np.maximum(foot, left), np.minimum(foot + pixels.height, right)
        ends = (pixels.speed(start), pixels.speed(end), pixels.force(start - foot), pixels.force(end - foot))
        lines.append(pd.DataFrame(dict(zip(("speed", "to", "force", "up"), ends, strict=True))))
    return pd.concat(lines[1:] or lines)


def _names(curve, limits, near, here, pixels):
    """Return the force at hand, the names of the limits and what is extrapolated, each where it lies on nothing else."""
    text, _, unit = cells(here.force, here.low, here.high, "N")  # digits as its interval deserves
    ends = [min(max(end, pixels.forces[0]), pixels.forces[1]) for end in (here.low, here.high)]
    mark, right = (pixels.x_of(here.speed), *map(pixels.y_of, ends)), pixels.x_of(pixels.speeds[1])
    free, said = _free_room(curve, limits[near], mark, pixels), with_unit(text, unit)
    rows = [free.put(said, _about(mark, pixels.y_of(here.force), free.wide(said)))]
    for name, drawn, force in _as_one(limits, near, pixels):
        name = f"{name}, above the picture" if force and not drawn else name
        highest = pixels.height - OFF if force else 1.5 * LINE
        ups = pixels.y_of(force) + OFF * np.array([1, -1]) if drawn else highest - LINE * np.arange(3)
        ends = 6.0, max(right - free.wide(name), 6.0)
        rows.append(
            free.put(name, [(x, up) for across in (ends, np.linspace(*ends, 12)[1:-1]) for up in ups for x in across])
        )
    for stretch, covered in stretches(curve):
        if not covered:
            begins = stretch.speed.iloc[0] == curve.speed.iloc[0]
            across = 6.0 if begins else right - free.wide(EXTRAPOLATED)
            ups = np.arange(LINE / 2, pixels.height - LINE / 2, LINE / 2)
            rows.append(
                free.put(EXTRAPOLATED, [(across, up) for up in sorted(ups, key=lambda up: min(up, pixels.height - up))])
            )
    places = [(pixels.speed(across), pixels.force(up), name) for across, up, name in rows]
    return pd.DataFrame(places, columns=["speed", "force", "words"])


def _free_room(curve, limits, mark, pixels):
    """Return the room that curve, limits and the mark of the force at hand leave to words, best outside the band."""
    across = pixels.x_of(curve.speed.to_numpy())
    law, low, high = (pixels.y_of(curve[name].to_numpy()) for name in ("force", "low", "high"))
    lines = [[[0, up - HALO], [pixels.width, up + HALO]] for up in map(pixels.y_of, limits.force)]
    at, foot, top = mark
    pieces, band = (
        np.stack([np.stack([across, one], axis=1)[:-1], np.stack([across, other], axis=1)[1:]], axis=1)
        for one, other in ((law, law), (low, high))
    )
    marks = np.concatenate([pieces, [[[at - MARK, foot], [at + MARK, top]]], lines or np.empty((0, 2, 2))])
    return FreeRoom(marks, band, (pixels.x_of(pixels.speeds[1]), pixels.height))


def _about(mark, force, wide):
    """Return where the force at hand may be said, near its mark: on the left above it, as the force rises with the speed, or elsewhere."""
    at, foot, top = mark
    beside = (at - MARK - wide, at + MARK, at - wide / 2)
    ups = top + OFF, foot - OFF, force + OFF, force - OFF
    return [
        (across, up + way * step)
        for step in LINE / 2 * np.arange(9)
        for up, way in zip(ups, (1, -1, 1, -1), strict=True)
        for across in beside
    ]


def _as_one(limits, near, pixels):
    """Return the limits to be named: words, whether drawn, and force; those drawn as one line with one name."""
    told = []
    for name, drawn, force in zip(limits.words, near, limits.force, strict=True):
        same = [k for k, (_, other, at) in enumerate(told) if drawn and other and pixels.between(at, force) < ONE_LINE]
        if same:
            told[same[0]] = (f"{told[same[0]][0]}, {name}", True, told[same[0]][2])
        else:
            told.append((name, drawn, force))
    return told


def _picture(page, width, subtitle, speeds, span):
    sheet = sheet_of(page, width)
    ink, colours = sheet.page.ink, sheet.page.colours
    x = axis(alt.X, "speed", axis_title("print_speed", "mm/s"), speeds, log=True, labelOverlap=True)
    force = axis_title("plunger_force", words="force on the plunger")
    y = axis(alt.Y, "force", force, span, log=True, labelOverlap=True)

    def dashed(where, dash):
        return alt.condition(where, alt.value(dash), alt.value([1, 0]))

    slanted = layer_of("hatching").mark_rule(color=sheet.page.band, opacity=0.45, strokeWidth=1.5, clip=True)
    area = layer_of("band").mark_area(color=sheet.page.band, opacity=0.4, clip=True)
    line = layer_of("law").mark_line(color=ink, strokeWidth=3, clip=True)
    rule = layer_of("limits").mark_rule(color=colours[1])
    wide = alt.condition("datum.hard", alt.value(4), alt.value(2))
    tips = [tip("speed", "print speed [mm/s]"), tip("force", "force [N]")]
    begins = layer_of("starts").mark_rect(color=colours[1], opacity=0.16)
    layers = [
        slanted.encode(x, y, alt.X2("to:Q"), alt.Y2("up:Q")),
        begins.encode(alt.Y("low:Q"), alt.Y2("high:Q")),
        area.encode(x, alt.Y("low:Q"), alt.Y2("high:Q")),
        rule.encode(y, strokeDash=dashed("!datum.hard", [12, 5]), strokeWidth=wide, tooltip=["words:N"]),
        line.encode(x, y, strokeDash=dashed("!datum.covered", [7, 6]), detail=["piece:N", "covered:N"], tooltip=tips),
        layer_of("here").mark_rule(color=colours[0], strokeWidth=4).encode(x, alt.Y("low:Q"), alt.Y2("high:Q")),
        layer_of("here").mark_point(color=colours[0], size=170, filled=True, opacity=1).encode(x, y),
        *sheet.texts(layer_of("names"), "words", x, y, align="left", baseline="middle"),
    ]
    return sheet.finished(alt.layer(*layers), "Force against print speed", list(subtitle), "")
