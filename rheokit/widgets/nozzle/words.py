"""What the page of a nozzle says: its labels and notes; forces, start and stop, limits and cautions of a case as text; no widget."""

import numpy as np

from ...limits.base import room_of
from ...machine.cautions import CAUTIONS
from ...machine.drives import HandDrive, ScrewDrive, stored_energy
from ...machine.transients import MEASURE_AIR, rise
from ...nomenclature import alike, number, numbers, symbol, with_limits, written
from ...sampling import limits_of as ends_of
from ...units import kPa, mm
from ..page.extruder_fields import FIELDS

STIFFER = 1.05
OOZE = 10.0  # s after the stop
LEAST_ANGLE, ABRUPT = 0.5, 90.0  # degrees; a flatter taper is given by its length
BY_LENGTH = ("taper, length [mm], 0: none", 10.0, 0.1, 500.0, True)
BY_ANGLE = ("taper, half angle [°]", 7.0, LEAST_ANGLE, ABRUPT)
INLET = ("inlet of the nozzle D_in [mm]", 4.0, 0.05, 150.0)
NOZZLE = {"bore": FIELDS["bore"], "land": FIELDS["land"], "inlet": INLET, "taper": BY_LENGTH}
BARREL = {
    "barrel": FIELDS["barrel"],
    "fill": ("filled barrel length L_f [mm]", 60.0, 0.0, 1000.0),
    "friction": ("gliding friction F_f [N]", 8.0, 0.0, 1000.0),
    "loose": ("break-loose friction F_b [N]", 12.0, 0.0, 1000.0),
    "rating": ("rating printed on it p_r [kPa]", 1000.0, 1.0, 1e5),
}
DRIVE = {
    "torque": ("torque of the motor M [N·m]", 0.3, 0.001, 1000.0),
    "lead": ("lead of the screw l [mm]", 2.0, 0.1, 100.0),
    "efficiency": ("efficiency of the screw η_s [-]", 0.25, 0.01, 1.0),
    "air": ("pressure at the regulator [kPa]", 200.0, 1.0, 5000.0),
    "hand": ("most asked of the hand [N]", HandDrive.force, 1.0, 1000.0),
}
PASTE = {
    "ratio": ("static over dynamic stress r [-]", 1.3, 1.0, 20.0),
    "air_content": ("air in the paste ε_a [%]", 3.0, 0.0, 90.0),
    "layer": ("layer height h [mm]", 1.0, 0.01, 50.0),
    "line": ("line width w [mm]", 2.0, 0.01, 100.0),
}
"""Words with unit, example, bounds, and whether 0 (none) goes as well."""
SPEED = f"print speed {symbol('print_speed')} [mm/s]"
MINE = "Machine and part are mine: I have checked every number"
NO_SLIP = ["drag of the barrel wall", "1", "taken as exact", "assumed: the paste does not slip in the barrel"]
LIMITS_SAY = (
    "The 95 % limits hold the law's uncertainty, by joint draws. The error of the nozzle's theory (about 15 %) and the "
    "spread from batch to batch come on top; the limit on the pressure allows for both."
)
BEFORE = "Below stands the last one that could be computed."
HEAD, LIMITS_HEAD = ["", "value", "95 % interval", "unit", "note"], ["", "limit", "value", "allowed", "room", "note"]


def unanswered(missing):
    """Return what is said where the readings give no force."""
    return f"Force and pressure are {missing}.\nAdd such readings to the bench folder, read it again, and run this cell again."


def forces_in_words(case, pressure, limits, force_limits, doubt):
    """Return force and pressure [Pa] of a case with their 95 % limits, or none, and what is to be doubted of them."""
    force = float(case.force)
    pushed = with_limits(force, *(force_limits or (force, force)), "N")
    said = f"Force {pushed}. Pressure {with_limits(pressure, *(limits or (pressure, pressure)), 'Pa')}."
    return f"{said}{doubt} Of the extruder: {case.about_extruder}."


def examples_left(invented, names):
    """Return what is still invented of machine and part, and what to do; nothing where all is one's own."""
    said = f"{invented}. Still the example of this page: {', '.join(names)}. Type yours, then tick that they are yours."
    return said if names else ""


def limits_of(quantity, draws, *also):
    """Return the 95 % limits of a quantity of the law, and of what else is drawn with it, by joint draws; None without."""
    if draws is None:
        return None
    found = quantity(draws, *also)
    return tuple(ends_of(found)) if np.ndim(found) else None


def force_rows(case, draws, drawn=None):
    """Return rows of force and pressure: what, value, 95 % limits, unit, note.

    `draws` are joint draws of the law, each field of shape (count,), as stiff as the case's own, or None; `drawn` those of the
    extruder beside them, the case's own otherwise.
    """
    best, flow, ratio = case.real_extruder, float(case.flow_rate), case.paste.static_ratio
    drive, rows = best.drive, []

    def add(words, quantity, unit, note="", factor=1.0):
        rows.append(_row((case.paste.law, best), draws and (draws, drawn or best), words, quantity, factor, unit, note))

    def static(law):
        return ratio * law.yield_stress

    def stiffer(law, rig):
        return rig.stiffer(law, STIFFER, flow)

    by_hand = f"by hand: {drive.effort(float(case.force))}" if isinstance(drive, HandDrive) else ""
    rest = f"static yield stress {ratio:g} times the dynamic, friction to break loose"
    add("force to run", lambda law, rig: rig.plunger_force(law, flow), "N", by_hand)
    add("pressure at the plunger face to run", lambda law, rig: rig.pressure(law, flow), "kPa", "", kPa)
    add("force to start after the rest", lambda law, rig: rig.start_force(law, static(law)), "N", rest)
    add("pressure to start after the rest", lambda law, rig: rig.start_pressure(law, static(law)), "kPa", "", kPa)
    if isinstance(drive, ScrewDrive):
        add("torque of the motor to run", lambda law, rig: drive.torque_for(rig.plunger_force(law, flow)), "N·m")
    else:
        takes = f"the print takes {written(flow, 'm³/s')}"
        add("flow that the drive makes", lambda law, rig: rig.flow_at(law), "mm³/s", takes, mm**3)
    words, held = "batch 5 % stiffer, screw: rise of pressure", "the flow is held; pressure follows"
    add(words, lambda law, rig: 100 * (stiffer(law, rig).pressure_ratio - 1), "%", held)
    words, held = "batch 5 % stiffer, air: loss of flow", "the pressure is held; flow follows"
    add(words, lambda law, rig: 100 * (1 - stiffer(law, rig).flow_ratio), "%", held)
    return rows


def start_and_stop_rows(case, draws, drawn=None):
    """Return rows of what happens at start and stop: lag, ooze and retraction of a screw, the gas behind a plunger.

    Parameters as of `force_rows`; friction holds none of it, and what is drawn of the extruder else moves it little.
    """
    extruder, flow = case.real_extruder, float(case.flow_rate)
    if not isinstance(extruder.drive, ScrewDrive):
        rows = [["lag behind the drive", "0", "", "s", "the pressure is there at once; a valve or a vent stops it"]]
        if getattr(extruder.drive, "compressed_gas", False):
            energy = number(float(stored_energy(extruder.area * extruder.fill_length, extruder.drive.pressure)))
            thrown = "a barrel that gives way throws it out at once"
            rows.append(["energy of the gas when the barrel is empty", energy, "", "J", thrown])
        return rows
    if case.paste.air_content is None:
        why = f"the air in the paste is not known. {MEASURE_AIR}."
        return [["lag, ooze and drawing back", "not known", "", "", why]]
    runs = [rise(extruder, law, flow, case.paste.air_content) for law in (case.paste.law, draws) if law is not None]
    asked = [
        ("first drop after the start", lambda t: t.first_drop, 1.0, "s", "trapped air is compressed first"),
        ("half of the flow", lambda t: t.half_flow, 1.0, "s", ""),
        ("95 % of the flow", lambda t: t.time_to(0.95), 1.0, "s", "start the part after it"),
        ("ooze in 10 s after a stop", lambda t: t.ooze(OOZE), mm**3, "mm³", "without drawing back"),
        ("plunger to draw back so that nothing oozes", lambda t: t.retraction / extruder.area, mm, "mm", ""),
    ]
    return [_row(runs[:1], runs[1:], *item) for item in asked]


def _row(best, draws, words, quantity, factor, unit, note):
    """Return one row; `best` and `draws` are what the quantity takes, nothing where there are no draws."""
    found, limits = quantity(*best), limits_of(quantity, *draws or [None])
    value, low, high = numbers(*(float(one) / factor for one in (found, *(limits or (found, found)))))
    reason = getattr(found, "reason", "")
    note = "; ".join(filter(None, [note, reason and f"a lower bound: {reason}"]))
    value = f"at least {value}" if reason else value
    return [words, value, f"{low} to {high}" if low != high else "", unit, note]


def limit_rows(table):
    """Return what `judge` found as rows of text: verdict, limit, value, allowed, room, what to do."""
    rows = []
    for limit in table[table.verdict != "not asked"].itertuples():
        known = not np.isnan(limit.value)
        bounds = ("at least", limit.low), ("at most", limit.high)
        allowed = [f"{word} {written(bound, limit.unit)}" for word, bound in bounds if not np.isnan(bound)]
        value = written(limit.value, limit.unit) if known else ""
        room = "none" if known else ""
        if known and np.isfinite(limit.margin):
            room = f"{number(room_of(limit.margin))} times"
        why = f"{limit.words.partition(': ')[2]}: " if limit.verdict == "not judged" else ""
        remark = limit.remark and f"{limit.remark}. "
        rows.append([limit.verdict, limit.label, value, ", ".join(allowed), room, remark + why + limit.remedy])
    return rows


def held_pressure(case):
    """Return in words what a drive that holds the pressure makes of it; nothing for a screw."""
    extruder = case.extruder
    if extruder.drive.controls != "pressure":
        return []
    flow, wanted = float(extruder.flow_at(case.paste.law)), float(case.flow_rate)
    makes, takes = alike("m³/s", flow, wanted)
    held = f"{written(extruder.drive.available_force(extruder.area), 'N')} on the plunger"
    return [
        f"This drive holds the pressure, and the flow follows the paste: at {held} it makes {makes}, "
        f"the print takes {takes}, which {written(case.pressure, 'Pa')} would make."
    ]


def blocked(extruder):
    """Return in words what the drive does when the tip is blocked, and whether the barrel may bear it."""
    if isinstance(extruder.drive, HandDrive):
        return CAUTIONS["hand"]
    most, bears = float(extruder.blocked_pressure), extruder.pressure_limit
    if not bears:
        return "A barrel without a printed rating is never driven with compressed air, at no pressure."
    makes, may = (written(pressure, "Pa") for pressure in (most, bears))
    words = f"If the tip blocks, this drive makes {makes} in the barrel, which may bear {may}"
    return f"{words}." if most <= bears else f"{words}: limit the drive, or take a barrel that bears it."
