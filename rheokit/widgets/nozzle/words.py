"""What the page of a nozzle says: its labels and notes; forces, start and stop, limits and cautions of a case as text; no widget."""

import numpy as np

from ...charts.subtitles import INVENTED_READINGS
from ...limits import LIMITS
from ...limits.base import room_of
from ...machine.cautions import CAUTIONS
from ...machine.compression import MEASURE_AIR
from ...machine.drives import HandDrive, ScrewDrive, stored_energy
from ...machine.lower_bound import NO_YIELD_STRESS
from ...machine.transients import rise
from ...nomenclature import alike, between, capital, number, numbers, with_limits, written
from ...origins import in_short
from ...planning.extrapolation import rates_asked
from ...sampling import limits_of as ends_of
from ...units import kPa, mm
from ...workbook import ASKED
from ...workbook.of_fit import refused_of
from ..page.elements import details, table
from ..page.in_short import in_a_strip
from ..page.page_words import not_known
from ..page.strip import DOUBTFUL, SOUND, STOPPED

STIFFER = 1.05
OOZE = 10.0  # s after the stop
STIFFNESS = "stiffness [× fitted]"
FORCE, PRESSURE = "force to run", "pressure at the plunger face to run"
AFTER_REST = START_FORCE, START_PRESSURE = "force to start after the rest", "pressure to start after the rest"
DRAWN = "The 95 % limits hold the uncertainty of the law, of the extruder and of the air content, by joint draws."
MOST_ASKED = 7  # quantities of a case with limits, each found in a step of its own
LIMITS_SAY = (
    "The 95 % limits hold the law's uncertainty and the extruder's, by the profile of the fit; those of the start after the "
    "rest hold that of the static yield stress too, by joint draws. The error of the nozzle's "
    "theory (about 15 %) and how far the next batch lies off those read come on top; the limit on the pressure allows for both."
)
FRICTION = ASKED["machine"]["plunger_friction"].words
CATCH = "Flow factor of a catch"
NEEDS_DENSITY = "Not known: needs the density of the paste, which a test of the bench reads."
NO_LAW = "Not known: needs readings of the paste, in notebook 1. What is typed here is kept."
NOT_DRAWN = "in how many of 100 batches a hard limit holds is not known: the readings hardly fix some parameter"
UNREAD_PLAN = (
    "Not computed: what [fit] of plan.toml says cannot be; the message below says what. Correct it in notebook 1."
)
FORCE_OPEN = "the readings leave the force open"
BEFORE = "Pictures and numbers are the last ones that could be computed."
HEAD, LIMITS_HEAD = ["", "value", "95 % interval", "unit", "note"], ["", "limit", "value", "allowed", "room", "note"]


def no_law(plan):
    """Return what the strip says where no law is fitted: that readings lack, or that the plan says of the fit what cannot be."""
    return UNREAD_PLAN if refused_of(plan) else NO_LAW


def unanswered(missing):
    """Return what is said where the readings give no force."""
    return f"Force and pressure are {missing}.\nAdd such readings to the bench folder, and choose the paste again on top of the page."


def of_open(force, start):
    """Return what is known of a force that is not identified, in words, with the interval of what starts the flow."""
    known = np.isfinite(start.value) and start.value > 0
    return f"{force}. To start it takes at least {with_limits(*start[:3], 'N')}." if known else f"{force}."


def forces(case, limits, at_least):
    """Return force and pressure with their 95 % limits, as `force_rows` takes them; `at_least` says that something is left out of the force."""
    force, pressure = (
        with_limits(value, *(limits.get(words) or (value, value)), unit)
        for words, value, unit in ((FORCE, float(case.force), "N"), (PRESSURE, float(case.pressure), "Pa"))
    )
    alone = f"{force[:-1]}, fit alone)" if force.endswith(")") else force
    return f"Force {'at least ' if at_least else ''}{alone}. Pressure {pressure}."


def asked_and_read(asked, read):
    """Return the range of rates [1/s] that is asked for and the one that was read, None for none, in short."""
    return f"asks for {between(*asked, '1/s')}, read {between(*read, '1/s') if read else 'is no rate'}"


def doubts_of(fit, case, stiffness=1.0):
    """Return in short what of a force is not as it was read: a stiffness other than the fitted one [-], rates that no reading covers."""
    what_if = [] if stiffness == 1 else [f"what if: {number(stiffness)} times as stiff"]
    rates = rates_asked(case)
    return what_if if fit.covers(*rates)[0] else [*what_if, f"extrapolated: {asked_and_read(rates, fit.rate_range)}"]


def of_batches(fit):
    """Return that law and limits are of the median batch, where several were read."""
    return [f"median of {len(fit.problem.batches)} batches"] if fit.problem.batches else []


def limits_say(fit):
    """Return what the limits of force and pressure hold."""
    said = "".join(
        f" Values and limits are those of the {one}: the next batch may lie outside." for one in of_batches(fit)
    )
    return f"{LIMITS_SAY}{said}"


def trust(fit, doubts, machine, left_out=()):
    """Return how far to trust a force, for the strip, and the grade of it; `machine` are lines on an invented machine or part."""
    failed = [in_short(fit.stamp)] if fit.stamp else []
    readings = [INVENTED_READINGS] if any(bench.specimen.invented for bench in fit.benches) else []
    unsound = [*in_a_strip([*readings, *machine]), *doubts, *(one.partition(":")[0] for one in left_out)]
    grade = STOPPED if failed else DOUBTFUL if unsound else SOUND
    said = [*failed, *unsound] or ["no check failed, nothing extrapolated, nothing invented"]
    return capital("; ".join([*said, *of_batches(fit)])), grade


def invented(machine):
    """Return what to do about a machine that nobody has; nothing where it is one's own."""
    return f"{'; '.join(machine)}. Type yours, and choose below them where the numbers come from." if machine else ""


def limits_told(judged, drawn=True):
    """Return what `judge` found as HTML: what is broken or not judged in view, what is kept folded; `drawn` as for `limit_rows`."""
    rows = limit_rows(judged, drawn)
    kept = [row for row in rows if row[0] == "inside"]
    rest = [row for row in rows if row[0] != "inside"]
    stops = [row for row in rest if row[0] != "not judged"]
    unjudged = [row for row in rest if row[0] == "not judged"]
    said = table(LIMITS_HEAD, stops, "What stops it, or is outside the readings") if stops else ""
    for title, some in ((f"Kept ({len(kept)})", kept), (f"Not judged, and what they lack ({len(unjudged)})", unjudged)):
        said += details(title, table(LIMITS_HEAD, some, title)) if some else ""
    return said


def lacking(error, in_strip=False):
    """Return in short what is not known, and needed; in a strip only the first of it."""
    if ("job", "kind") in error.entries:
        return "a fibre is planned: its job and force stand in notebook 6"
    return not_known(error.entries, in_strip)


def first_to_bind(found):
    """Return what `judge` found in short, for the strip: what stops it, or binds first and how near that is; and its grade."""
    asked = found[found.verdict.isin(["broken", "outside the readings", "inside"])]
    if not len(asked):
        return "no limit could be judged", DOUBTFUL
    first = asked.iloc[0]
    if first.verdict == "broken":
        how = "by" if first.hard else "with best values by"  # else a chance, as notebook 3 has it, and no stop
        return f"Stopped {how} {first.words.removesuffix(' allowed')}.", STOPPED if first.hard else DOUBTFUL
    room = LIMITS[first.name].times(first.margin) if np.isfinite(first.margin) else "no number"
    return f"{first.label}, room {room}", SOUND


def limits_of(quantity, draws=None):
    """Return the 95 % limits of a quantity by joint draws; None without, or where it is the same for all."""
    found = None if draws is None else quantity(draws)
    return tuple(ends_of(found.ravel())) if np.ndim(found) else None


def at_rest(quantity):
    """Return one of the quantities `AFTER_REST` as a function of a case."""
    return lambda case: quantity(case.pressure_law, case.real_extruder, case.paste.static_ratio)


def asked_of_force(case):
    """Return what is asked of a case with limits: words, a quantity of law and extruder, what one of its unit is in SI, unit, note; force and pressure first.

    The quantities `AFTER_REST` take the ratio of static to dynamic yield stress as well; the case's own, if
    none is given.
    """
    flow, ratio, drive = float(case.flow_rate), case.paste.static_ratio, case.real_extruder.drive

    def stiffer(law, rig):
        return rig.stiffer(law, STIFFER, flow)

    by_hand = f"by hand: {drive.effort(float(case.force))}" if isinstance(drive, HandDrive) else ""
    yields = (
        f"static yield stress {number(ratio)} times the dynamic" if case.pressure_law.yield_stress else NO_YIELD_STRESS
    )
    rest = f"{yields}; friction to break loose"
    asked = [
        (FORCE, lambda law, rig: rig.plunger_force(law, flow), 1.0, "N", by_hand),
        (PRESSURE, lambda law, rig: rig.pressure(law, flow), kPa, "kPa", ""),
        (START_FORCE, lambda law, rig, r=ratio: rig.start_force(law, r * law.yield_stress), 1.0, "N", rest),
        (START_PRESSURE, lambda law, rig, r=ratio: rig.start_pressure(law, r * law.yield_stress), kPa, "kPa", ""),
    ]
    if isinstance(drive, ScrewDrive):
        torque = "torque of the motor to run", lambda law, rig: drive.torque_for(rig.plunger_force(law, flow))
        asked.append((*torque, 1.0, "N·m", ""))
    elif drive is not None:
        takes = f"the print takes {written(flow, 'm³/s')}"
        asked.append(("flow that the drive makes", lambda law, rig: rig.flow_at(law), mm**3, "mm³/s", takes))
    held = "batch 5 % stiffer, screw: rise of pressure", "the flow is held; pressure follows"
    asked.append((held[0], lambda law, rig: 100 * (stiffer(law, rig).pressure_ratio - 1), 1.0, "%", held[1]))
    held = "batch 5 % stiffer, air: loss of flow", "the pressure is held; flow follows"
    asked.append((held[0], lambda law, rig: 100 * (1 - stiffer(law, rig).flow_ratio), 1.0, "%", held[1]))
    return asked


def force_rows(case, limits):
    """Return rows of force and pressure: what, value, 95 % limits, unit, note; `limits` by the words of what is asked, None where not known."""
    best, flow, job = (case.pressure_law, case.real_extruder), float(case.flow_rate), case.job
    rows = [
        _row(words, quantity(*best), limits.get(words), factor, unit, note)
        for words, quantity, factor, unit, note in asked_of_force(case)
    ]
    section = flow / float(job.print_speed)
    rows.append(["section of the line", number(section / mm**2), "", "mm²", "two half rounds and what lies between"])
    takes = f"at {written(job.print_speed, 'm/s')}"
    return [*rows, ["flow that the line takes", number(flow / mm**3), "", "mm³/s", takes]]


def start_and_stop_rows(case, drawn):
    """Return rows of what happens at start and stop: lag, ooze and retraction of a screw, the gas behind a plunger.

    `drawn` is the case with joint draws of paste and extruder, or None.
    """
    extruder, flow = case.real_extruder, float(case.flow_rate)
    if extruder.drive is None:
        return [["lag, ooze and drawing back", "not known", "", "", "the drive is not known"]]
    if not isinstance(extruder.drive, ScrewDrive):
        rows = [["lag behind the drive", "0", "", "s", "the pressure is there at once; a valve or a vent stops it"]]
        if getattr(extruder.drive, "compressed_gas", False):
            energy = number(float(stored_energy(extruder.area * extruder.fill_length, extruder.drive.pressure)))
            thrown = "a barrel that gives way throws it out at once"
            rows.append(["energy of the gas when the barrel is empty", energy, "", "J", thrown])
        return rows
    if case.paste.air_content is None:
        why = f"the air content is not known. {MEASURE_AIR}."
        return [["lag, ooze and drawing back", "not known", "", "", why]]
    cases = [one for one in (case, drawn) if one is not None]
    runs = [rise(one.real_extruder, one.pressure_law, flow, one.paste.air_content) for one in cases]
    asked = [
        ("first drop after the start", lambda t: t.first_drop, 1.0, "s", "trapped air is compressed first"),
        ("half of the flow", lambda t: t.half_flow, 1.0, "s", ""),
        ("95 % of the flow", lambda t: t.time_to(0.95), 1.0, "s", "start the part after it"),
        ("ooze in 10 s after a stop", lambda t: t.ooze(OOZE), mm**3, "mm³", "without drawing back"),
        ("plunger to draw back so that nothing oozes", lambda t: t.retraction / extruder.area, mm, "mm", ""),
    ]
    return [
        _row(words, quantity(runs[0]), limits_of(quantity, *runs[1:]), factor, unit, note)
        for words, quantity, factor, unit, note in asked
    ]


def _row(words, found, limits, factor, unit, note):
    """Return one row: a value and its limits [SI], and what one of its unit is in SI."""
    value, low, high = numbers(*(float(one) / factor for one in (found, *(limits or (found, found)))))
    reason = getattr(found, "reason", "")
    note = "; ".join(filter(None, [note, reason and f"a lower bound: {reason}"]))
    value = f"at least {value}" if reason else value
    return [words, value, f"{low} to {high}" if low != high else "", unit, note]


def limit_rows(table, drawn=True):
    """Return what `judge` found as rows of text: verdict, limit, value, allowed, room, what to do; without draws nothing of the next batches."""
    rows = []
    for limit in table[table.verdict != "not asked"].itertuples():
        known = not np.isnan(limit.value)
        bounds = ("at least", limit.low), ("at most", limit.high)
        allowed = [f"{word} {written(bound, limit.unit)}" for word, bound in bounds if not np.isnan(bound)]
        value = written(limit.value, limit.unit) if known else ""
        room = "none" if known else ""
        if known and np.isfinite(limit.margin):
            room = LIMITS[limit.Index].times(limit.margin)
        why = f"{limit.words.partition(': ')[2]}: " if limit.verdict == "not judged" else ""
        remark = limit.remark and f"{limit.remark}. "
        if drawn and limit.hard and room[:1].isdigit():
            surely = limit.high / room_of(limit.margin)
            spread = surely > limit.value  # a pressure that a regulator holds has none
            remark += f"97.5 of 100 next batches stay below {written(surely, limit.unit)}. " if spread else ""
        rows.append([limit.verdict, limit.label, value, ", ".join(allowed), room, remark + why + limit.remedy])
    return rows


def held_pressure(case):
    """Return in words what a drive that holds the pressure makes of it; nothing for a screw."""
    extruder = case.extruder
    if getattr(extruder.drive, "controls", "") != "pressure":
        return []
    flow, wanted = float(extruder.flow_at(case.paste.law)), float(case.flow_rate)
    makes, takes = alike("m³/s", flow, wanted)
    held = f"{written(extruder.drive.available_force(extruder.area), 'N')} on the plunger"
    return [
        f"This drive holds the pressure, and the flow follows the paste: at {held} it makes {makes}, "
        f"the print takes {takes}, which {written(case.pressure, 'Pa')} would make."
    ]


def blocked(extruder):
    """Return in words what the drive does when the tip is blocked, and whether the barrel may bear it; nothing without a drive."""
    if extruder.drive is None:
        return ""
    if isinstance(extruder.drive, HandDrive):
        return CAUTIONS["hand"]
    most, bears = float(extruder.blocked_pressure), extruder.pressure_limit
    if not bears:
        return "A barrel without a printed rating is never driven with compressed air, at no pressure."
    makes, may = (written(pressure, "Pa") for pressure in (most, bears))
    words = f"If the tip blocks, this drive makes {makes} in the barrel, which may bear {may}"
    return f"{words}." if most <= bears else f"{words}: limit the drive, or take a barrel that bears it."
