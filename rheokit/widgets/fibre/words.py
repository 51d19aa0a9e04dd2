"""What the page of a fibre says: its labels and fields; speed, gap and bath, what if, and cautions, as words and rows; no widget."""

import math
from dataclasses import replace
from typing import NamedTuple

from ...fibre.draw import drum_speed
from ...limits import LIMITS, judge
from ...limits.judgement import BROKEN, INSIDE, NOT_JUDGED, OUTSIDE, why_not_judged, withheld
from ...machine.cautions import CAUTIONS
from ...nomenclature import capital, number, with_limits, written
from ...nomenclature.measures import Unit
from ...planning.extrapolation import outside_readings
from ...planning.winding import BATHS, GAP_LIMITS, GAPS, OF_NOZZLE
from ...units import minute, mm
from ...workbook.asked import ASKED, FIBRE, HELD, LOOSE
from ..page.elements import paragraph, result, stamped, table
from ..page.rests_on import EXACT, unknown_row

PICTURES = {  # first the one that the winding speed changes most
    "diameter": "Diameter along the way",
    "temperature": "Temperature along the way",
    "setting": "Setting along the way",
}
HEATED, BARE = "heated", "bare, in the air"
HOW_WARM = "Type how warm it is: until then it counts as a bare needle."
NOT_ASKED = "Empty: not asked."
UNKNOWN_OUTER = "Empty: not known. What a bare needle does is not computed."


class Setting(NamedTuple):
    """What is asked by a field: words with unit, one of it and its zero in SI; example, least, most; what else may stand there."""

    words: str
    scale: float
    zero: float
    usual: float
    low: float
    high: float
    or_0: bool = False
    hint: str = ""


def _as_in_plan(key, table=FIBRE, hint="", none=False):
    """Return the setting of an entry of a plan."""
    asked = ASKED[table][key]
    zero = asked.in_si(0.0)
    said = f"{asked.label}, 0: none" if none else asked.label
    return Setting(said, asked.in_si(1.0) - zero, zero, asked.example, asked.low, asked.high, asked.or_0, hint)


FIELDS = {
    "bore": _as_in_plan("bore", "nozzle"),
    "needle_length": Setting("length of the last piece of the nozzle [mm]", mm, 0.0, 12.7, 0.1, 200.0),
    "barrel_temperature": _as_in_plan("barrel_temperature"),
    "needle_outer_diameter": _as_in_plan("outer_diameter", "nozzle", UNKNOWN_OUTER),
    "pause": _as_in_plan("pause", hint=NOT_ASKED),
    "air_temperature": _as_in_plan("air_temperature"),
    "relative_humidity": _as_in_plan("relative_humidity"),
    "draught": _as_in_plan("draught", none=True),
    "bath_length": _as_in_plan("bath_length", none=True),
    "bath_temperature": _as_in_plan("bath_temperature"),
    "dry_diameter": _as_in_plan("dry_diameter", hint=NOT_ASKED),
    "drum_diameter": _as_in_plan("drum_diameter"),
}
COLUMNS = {
    "Needle": ("bore", "needle_length", "heated", "needle_outer_diameter", "barrel_temperature", "pause"),
    "Air and bath": ("air_temperature", "relative_humidity", "draught", "bath_length", "bath_temperature"),
    "Drum": ("drum_diameter", "dry_diameter", "held"),
}
PLANNED = {
    "Barrel and pauses": ("barrel_temperature", "pause", "longest_lag"),
    "Air and bath": ("air_temperature", "relative_humidity", "draught", "bath_length", "bath_temperature"),
    "Drum": ("drum_diameter", "dry_diameter", "dry_diameter_tolerance"),
    "Errors of hand and machine": ("temperature_error", "flow_error", "speed_error", "bore_error"),
}
"""Fields of a workbook's page, by the title of their group."""
MADE = {"not said": "", "printed": "print", "drawn as a fibre": "fibre"}
MACHINE = "Needle, barrel and drive"
NOT_A_FIBRE = "A print is planned of this paste: see notebooks 2 and 3"
LOOK_AT_A_DEMO = "Open a gel, invented"
RPM = Unit("rpm", 1 / minute)
BEFORE = "Pictures and numbers are the last ones that could be computed."
WORKING = "Computing limits and maps ..."
LIMITS_TITLE, WHAT_IF_TITLE = "Limits", "What if"
WHAT_IF = ["what if", "leaves the needle at", "then"]
MAPS = "Where it can be drawn"
NOTE = (
    "The pictures let the fibre thin, cool and set place by place. The limits take it as thick and as fast as it is wound over the "
    "whole gap, and the draw as all done in it. Drawing a gel again after it has set is another matter, and not computed here."
)
PAUSE = 60.0  # s, of a pause where none is typed
WARMER = 5.0  # K
ROOM_ABOVE = 5.0  # K above the gel point, to which a bare needle would be heated


def lacks(labels):
    """Return what a picture is waiting for, by the words of its fields."""
    return f"Not known yet. It needs: {'; '.join(labels)}."


def settings(job, drum_diameter):
    """Return what is set, in words."""
    turns = f" ({number(float(drum_speed(job.winding_speed, drum_diameter)) * minute)} rpm)" if drum_diameter else ""
    needle = "Bare needle" if job.nozzle_temperature is None else f"Nozzle {written(job.nozzle_temperature, 'K')}"
    wound = f"wound at {written(job.winding_speed, 'winding_speed')}{turns}"
    return f"{needle}, {written(job.throughput, 'throughput')}, gap {written(job.gap, 'm')}, {wound}"


def drum_row(drum_diameter, origin):
    """Return the row of the drum among what the answers rest on."""
    words = ASKED[FIBRE]["drum_diameter"].words
    return [words, written(drum_diameter, "m"), EXACT, origin] if drum_diameter else unknown_row(words)


def wind_words(winding, drum_diameter):
    """Return how fast to wind for the diameter that is wanted, how long gap and bath then have to be, as HTML."""
    said = [_speed_words(winding, drum_diameter)]
    if winding.sets_in_nozzle:
        said += [_stuck_words(winding)]
    else:
        said += [_gap_words(winding), _bath_words(winding) if winding.job.has_bath else _air_words(winding)]
    read = "; ".join(outside_readings(winding.at_diameter.case))
    extrapolated = f"Extrapolated, outside the readings: {read}." if read else ""
    return stamped(extrapolated) + "".join(map(result, said))


def _stuck_words(winding):
    row = judge(winding.case.without_caveats, OF_NOZZLE).iloc[0]
    return f"No gap and no bath will do, as it can set in the nozzle: {row.words}. {capital(row.remedy)}."


def _speed_words(winding, drum_diameter):
    job, found = winding.job, winding.winding_speed
    if found is None:
        return f"How fast to wind is not known: {winding.lacks_speed}."
    dry = f"{written(job.dry_diameter, 'm')} dry, {HELD if job.held else LOOSE}"
    if not drum_diameter:
        return f"Wind at {with_limits(*found, 'winding_speed')} for {dry}; turns are not known without the diameter of the drum."
    wind, turns = with_limits(*found, "winding_speed"), _turns(found, drum_diameter)
    return f"Wind at {wind} for {dry}: a drum of {written(drum_diameter, 'm')} makes {turns} then."


def _turns(found, drum_diameter):
    """Return the turns of a drum at a winding speed with its limits, in words."""
    return with_limits(*(float(drum_speed(one, drum_diameter)) for one in found), RPM)


def wind_in_short(winding, drum_diameter):
    """Return what `wind_words` says in a few words: how fast, over which gap, through which bath."""
    if winding.sets_in_nozzle:
        return "It can set in the nozzle"
    found, at, said = winding.winding_speed, winding.at_diameter, []
    if found is not None:
        turns = f", {_turns(found, drum_diameter).partition(' (')[0]}" if drum_diameter else ""
        said.append(f"wind at {with_limits(*found, 'winding_speed')}{turns}")
    if at.longest_gap is not None and 0 < at.longest_gap[0].value < math.inf:
        said.append(f"gap ≤ {with_limits(*at.longest_gap[0], 'm', before='')}")
    bath = at.shortest_bath if winding.job.has_bath else None
    if bath is not None and 0 < bath.value < math.inf and not math.isinf(bath.high):
        said.append(f"bath ≥ {with_limits(*bath, 'm', before='')}")
    words = ", ".join(said) or "how to wind it is not known"
    return capital(words)


def _at(winding):
    return "At this speed" if winding.winding_speed is None else "At that speed"


def _gap_words(winding):
    at, found = winding.at_diameter, winding.at_diameter.longest_gap
    lacking = _lacking([name for name in GAP_LIMITS if name not in at.gap_limits], at.case)
    lacking = winding.material.not_identified or lacking
    if found is None:
        return f"How long the gap may be is not known: {lacking}."
    known, limit = found
    unjudged = f" Not judged: {lacking}." if lacking else ""
    remark = LIMITS[limit].remark(at.case)
    assumed = f" ({remark})" if remark else ""
    if known.value == 0:
        return f"{_at(winding)} no gap will do: {LIMITS[limit].label} stops even {written(GAPS[0], 'm')}.{unjudged}"
    if math.isinf(known.value):
        return f"{_at(winding)} any gap up to {written(GAPS[1], 'm')} will do.{unjudged}"
    return f"{_at(winding)} the gap may be at most {with_limits(*known, 'm')}; {limit} ends it{assumed}.{unjudged}"


def _bath_words(winding):
    at, found = winding.at_diameter, winding.at_diameter.shortest_bath
    bath = f"the bath of {written(winding.job.bath_temperature, 'K')}"
    if found is None:
        return f"How long {bath} must be is not known: {_lacking(['set before winding'], at.case)}."
    if found.value == 0:
        return f"It has set before {bath}."
    if math.isinf(found.value):
        return f"{_at(winding)} {bath} would have to be longer than {written(BATHS[0], 'm')}: it does not set in it."
    said = f"The{bath[3:]} must be at least {with_limits(*found, 'm')} long"
    if math.isinf(found.high):
        return f"{said}: the first is as likely too short as not."
    return f"{said}: the first is as likely too short as not, the last is long enough in 97 of 100 cases."


def _air_words(winding):
    at, found = winding.at_diameter, winding.at_diameter.shortest_air_way
    if found is None:
        return f"How long it takes to set in the air is not known: {_lacking(['set before winding'], at.case)}."
    if math.isinf(found.value):
        return "Without a bath it never sets in this air."
    return f"Without a bath it sets in the air on {with_limits(*found, 'm')}: the gap would have to be as long."


def _lacking(names, case):
    """Return why limits are not judged, each reason once."""
    reasons = {}
    for name in names:
        reasons.setdefault(why_not_judged(case, LIMITS[name]).replace("_", " "), []).append(name)
    return "; ".join(f"{', '.join(which)} ({why})" for why, which in reasons.items())


def paused_words(winding):
    """Return what becomes of the gel when the flow stops, in a bare needle and in a heated one."""
    found, gel, wall = winding.blocks_after, winding.material.paste.gel_temperature, winding.job.nozzle_temperature
    if found is None:
        missing = why_not_judged(winding.bare.case, LIMITS["pause"]).replace("_", " ")
        said = f"How long the flow may pause in a bare needle is not known: {missing}."
    elif math.isinf(found.value):
        said = "In this air a bare needle never blocks: the air is as warm as the gel point."
    else:
        said = f"When the flow stops, a bare needle has blocked after {with_limits(*found, 's')}."
    if wall is not None and gel is not None:
        kept = "stays liquid in it" if wall > gel else "sets in it as well"
        said += f" Heated to {written(wall, 'K')}, with its gel point at {written(gel, 'K')}, it {kept}."
    return said


def variations(winding):
    """Return what is changed in words, and the job then."""
    job, gel = winding.job, winding.material.paste.gel_temperature
    pause = PAUSE if job.pause is None else job.pause
    rows = [("as it is set", job)]
    if job.nozzle_temperature is not None:
        bare = replace(job, nozzle_temperature=None)
        rows += [
            ("the needle is not heated", replace(bare, pause=None)),
            (f"the needle is not heated, and the flow pauses {written(pause, 's')}", replace(bare, pause=pause)),
        ]
    elif gel is not None:
        warm = gel + ROOM_ABOVE
        rows += [(f"the needle is heated to {written(warm, 'K')}", replace(job, nozzle_temperature=warm, pause=None))]
    if job.has_bath:
        rows += [("there is no bath", replace(job, bath_length=0.0))]
    rows += [
        ("the gap is half as long", replace(job, gap=job.gap / 2)),
        ("the gap is twice as long", replace(job, gap=job.gap * 2)),
        (f"the room is {written(WARMER, 'temperature_difference')} warmer", replace(job, air_temperature=job.air_temperature + WARMER)),
    ]  # fmt: skip
    return rows


def what_if_words(cases, pause):
    """Return a table of what is changed and what becomes of it, of pairs of words and a case, and what a pause does."""
    rows, known = [], None
    for words, case in cases:
        found = judge(case.without_caveats)
        unjudged = set(found.index[found.verdict == NOT_JUDGED])
        known = unjudged if known is None else known
        broken, outside = (found[found.verdict == verdict] for verdict in (BROKEN, OUTSIDE))
        said = [f"stopped: {row.words}" for row in broken.itertuples()] or [_unbroken(case, found)]
        said += [f"outside the readings: {row.words}" for row in outside.itertuples()]
        said += [f"not judged: {_lacking(sorted(unjudged - known), case)}"] if unjudged - known else []
        left = case.exit_temperature
        rows.append([words, "not known" if left is None else written(left, "K"), "; ".join(said)])
    return table(WHAT_IF, rows, "With best values, one thing changed at a time") + paragraph(pause)


def _unbroken(case, found):
    """Return what may be said of a case none of whose limits is broken, and no more."""
    doubts = " ".join(withheld(case, [LIMITS[name] for name in found.index]))
    if not {name for name in found.index[found.verdict == INSIDE] if not LIMITS[name].advice}:
        return " ".join(filter(None, ["no limit could be judged.", doubts])).removesuffix(".")
    if doubts:
        return f"no limit judged is broken. {doubts}".removesuffix(".")
    return "no limit judged is broken" if (found.verdict == OUTSIDE).any() else "inside every limit judged"


def hazards(drive):
    """Return what can hurt with a drive, or None: its cautions by hazard."""
    return {hazard: CAUTIONS[hazard] for hazard in ("hot gel", "bath", "tip", *(drive.hazards if drive else ()))}


def cautions(drive):
    """Return what can hurt, as HTML."""
    said = "".join(paragraph(f"{hazard.capitalize()}: {words}") for hazard, words in hazards(drive).items())
    return f"<div role='note'><p class='caption'>Cautions</p>{said}</div>"
