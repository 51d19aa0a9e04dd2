"""Force and pressure that the plan asks for, with their intervals, by parts of the nozzle, and what starts the flow."""

from __future__ import annotations

import math

import numpy as np

from ... import charts
from ...limits import Case
from ...limits.forces import force_limits
from ...machine.blocked import when_blocked
from ...machine.cautions import CAUTIONS
from ...machine.drives import HandDrive
from ...machine.lower_bound import NO_YIELD_STRESS
from ...nomenclature import between, cells, common_unit, number, sentence, written
from ...nomenclature.batches import fit_alone
from ...origins import invented_of, is_fitted
from ...part.job import PRINT
from ...paste.fitted import taken_as_dynamic
from ...planning.extrapolation import outside_readings
from ...planning.predicted import DRAWS as NEXT_DRAWS
from ...planning.predicted import FORCE
from ...planning.standing import softened
from ...sampling import errors_of_limits, limits_of
from ...workbook.whence import told_in
from ..answers import told_errors
from ..cells import in_unit, stopped, with_limits
from ..document import Block, Caution, Paragraph, Points, Section, Shown, Table
from ..figures import figure
from ..held_at import held_at, held_at_in_full
from ..predicted_formulae import WHERE
from ..start_and_stop import start_and_stop
from ..study import RESTED, SEED, Study
from .validity import SHORT, geometry_outside

TITLE = "Predictions: force and pressure"
NOBODY = {"machine": "nobody has this machine", "job": "nobody made this part"}
HOLD = (
    "Limits are of the 95 % interval. Those of the running force and pressure hold the uncertainty of the law and of the extruder as the readings "
    "know it, by the profile of the fit; those of the start hold that of the static yield stress too, by joint draws. They are {held}. The error of the "
    "nozzle's own theory (standard deviation about 15 % of the pressure) and how far the next batch lies off come on top."
)
START_FORCE, START_PRESSURE = "force to start after the rest", "pressure to start after the rest"


def section(study: Study) -> Section:
    """Return the predictions of the extruder and the job of the plan."""
    if not study.knows("case"):
        return Section(TITLE, _without_a_job(study))
    case, fit = study.case, study.fit
    flow = float(case.flow_rate)
    blocks: list[Block] = _warned(study, case)
    blocks += [
        Paragraph(
            f"The job takes {written(flow, 'm³/s')}. {held_at_in_full(study)} {HOLD.format(held=study.held)} {WHERE}"
        ),
        _forces(study, case, flow),
    ]
    said = [
        f"Of the extruder: {case.about_extruder}." if case.about_extruder else "",
        *(sentence(one) for one in study.book.left_out),
    ]
    if any(said):
        blocks.append(Points(tuple(filter(None, said))))
    if not case.not_identified:
        blocks += [_parts(study, case, flow), *_pictures(study, case, flow)]
    blocks.append(start_and_stop(study, case, flow))
    hazards = getattr(case.extruder.drive, "hazards", ("barrel",))
    blocks += [Caution(CAUTIONS[hazard]) for hazard in dict.fromkeys(("barrel", *hazards))]
    if blocked := when_blocked(case.extruder):
        blocks.append(Caution(blocked))
    if fit.problem.batches:
        blocks.append(
            Paragraph(
                f"All of this is of the median batch of {len(fit.problem.batches)}: the next one may lie outside."
            )
        )
    return Section(TITLE, tuple(blocks))


def alone(study: Study) -> str:
    """Return what limits of a force or a pressure are that the fit gives by itself."""
    return fit_alone(len(study.fit.problem.batches))


def _warned(study, case):
    blocks: list[Block] = []
    if which := invented_of(*study.book.origins):
        blocks.append(
            Caution(
                f"INVENTED {which}, for demonstration: {' and '.join(NOBODY[one] for one in which.split(' and '))}."
            )
        )
    if outside := outside_readings(case):
        blocks.append(Caution(f"Extrapolated: {'; '.join(outside)}."))
    if shape := geometry_outside(study, sizes=False):
        blocks.append(Caution(shape))
    if not case.knows_temperature:
        blocks.append(
            Caution("The law does not depend on temperature, and is taken at the temperatures of the job as it is.")
        )
    return blocks


def _without_a_job(study):
    why = study.lacking("case")
    blocks: list[Block] = [Paragraph(f"Force and pressure of a job: not known. {stopped(why)}")]
    if study.knows("fit") and study.knows("extruder"):
        start = study.fit.interval(lambda law, rig: rig.start_force(law), extruder=study.extruder)
        if math.isfinite(start.value):
            value, low, high, unit = with_limits(*start[:3], "N")
            blocks.append(
                Paragraph(
                    f"To start it takes at least {value} {unit} on the plunger (95 % {low} to {high} {unit}): a lower bound, by the dynamic yield stress."
                )
            )
        blocks.append(Caution(CAUTIONS["barrel"]))
    return tuple(blocks)


def _at_rest(study, case):
    """Return force [N] and pressure [Pa] that start the flow after a rest: best value and limits of joint draws, by name."""

    def force(one: Case):
        return one.real_extruder.start_force(one.pressure_law, one.paste.static_ratio * one.pressure_law.yield_stress)

    def pressure(one: Case):
        return one.real_extruder.start_pressure(
            one.pressure_law, one.paste.static_ratio * one.pressure_law.yield_stress
        )

    drawn, out = study.rested, {}
    for words, ask in ((START_FORCE, force), (START_PRESSURE, pressure)):
        found = ask(case)
        draws = np.asarray(ask(drawn) if drawn is not None else []).reshape(-1)
        limits = limits_of(draws) if draws.size > 1 else (float(found),) * 2
        out[words] = float(found), float(limits[0]), float(limits[1]), getattr(found, "reason", ""), draws
    return out


def _softer(study, case):
    """Return in words what is to be known of a static yield stress that was read lower than the dynamic one; "" of any other."""
    if why := softened(case.paste):
        return f", NOT to be relied on: {why}, so that more than this can be needed"
    fitted = study.knows("fit") and is_fitted(study.material.origin("static_ratio"))
    words = taken_as_dynamic(study.fit) if fitted else ""
    return f": fitted {words}" if words else ""


def start_errors(study: Study) -> dict[str, tuple[float, float]]:
    """Return the standard errors of the limits of what starts the flow by the number of draws, [N] and [Pa], by words; none without draws."""
    found = {words: draws for words, (*_, draws) in _at_rest(study, study.case).items() if draws.size > 1}
    return {words: errors_of_limits(draws, study.fit.draw(RESTED, SEED).effective) for words, draws in found.items()}


def _forces(study, case, flow):
    rows, shape = [], SHORT if geometry_outside(study) else ""
    for words, found in study.running.items():
        unit = "N" if "force" in words else "Pa"
        note = "; ".join(
            filter(
                None,
                [
                    found.comment,
                    "extrapolated" if found.extrapolated and "extrapolated" not in found.comment else "",
                    shape,
                ],
            )
        )
        told = with_limits(found.value, found.low, found.high, unit)
        if math.isnan(found.value):
            told = ("not identified", *told[1:])
        rows.append((words, *told, note))
    for words, (value, low, high, reason, _) in _at_rest(study, case).items():
        unit = "N" if "force" in words else "Pa"
        yields = (
            f"static yield stress {number(case.paste.static_ratio)} times the dynamic{_softer(study, case)}"
            if case.pressure_law.yield_stress
            else NO_YIELD_STRESS
        )
        note = "; ".join(
            filter(
                None,
                [
                    f"a lower bound: {reason}" if reason else "",
                    yields,
                    "best value, without limits" if low == high else "",
                    shape,
                ],
            )
        )
        rows.append((words, *with_limits(value, low, high, unit), note))
    what = "print" if case.job.kind == PRINT else "fibre"
    return Table(
        "forces",
        f"{study.of}: force and pressure at the flow of the {what} that is planned, {written(flow, 'm³/s')}, {held_at(study)}, with their 95 % interval: {alone(study)}.",
        ("quantity", "value", "low", "high", "unit", "note"),
        tuple(rows),
        f"{_next_batch(study)} Extruder: {told_in(study.book.plan, 'machine')}. Job: {told_in(study.book.plan, 'job')}.",
    )


def _next_batch(study):
    """Return in a sentence the interval of the force that holds the next batch, and the errors of machine and formula."""
    found = [one for one in study.predicted.found if one.quantity == FORCE]
    if not found:
        return f"Force of the next batch: not known, {study.plain(study.predicted.lacking.get(FORCE, 'there are no draws')).rstrip('.')}."
    (one,) = found
    ends = " ".join(cells(one.value, one.low, one.high, "N")[1:])
    off = told_errors(one.errors, "N")
    by = f" By {NEXT_DRAWS} joint draws; standard error of these ends by their number: {off}." if off else ""
    return f"Force to run of the next batch, with the errors of machine and formula: {ends} (95 %).{by}"


def _parts(study, case, flow):
    budget = case.real_extruder.budget(case.pressure_law, flow)
    unit = common_unit("Pa", *budget.pressure_drop)
    rows = tuple(
        (row.part, in_unit(row.pressure_drop, unit), Shown(100 * row.share, number(100 * row.share, 2)), row.model)
        for row in budget.itertuples()
    )
    return Table(
        "pressure-by-parts",
        f"{study.of}: where the pressure at the plunger face goes at {written(flow, 'm³/s')}, {held_at(study)}; best values.",
        ("part", f"pressure [{unit.text}]", "share [%]", "how it is computed"),
        rows,
    )


def _pictures(study, case, flow):
    subtitle = [
        *charts.subtitle_of(study.fit),
        held_at(study),
        *charts.invented_lines(study.material, *study.book.origins),
    ]
    force, pressure = (None if math.isnan(one.value) else (one.low, one.high) for one in study.running.values())
    if case.job.kind == PRINT:
        draws, drawn = study.band
        begins = _at_rest(study, case)[START_FORCE]
        starts = begins[1:3] if begins[1] < begins[2] else None
        chart = charts.force_speed(case, draws, subtitle, drawn=drawn, interval=force, starts=starts)
        yield figure(
            "force-speed",
            chart,
            f"{study.of}: force on the plunger against print speed, {held_at(study)}, with its 95 % band ({alone(study)}) in grey; the speed of the plan is a dot, "
            "its bar the 95 % limits of the table above. The line is dashed and the ground hatched where no reading covers the shear rates from barrel to "
            "bore. Rules are what bounds the force: full and thick where it can hurt, dashed otherwise. "
            f"What bounds it: {_bounds(case, begins)}.",
        )
    chart = charts.nozzle_pressure(case.real_extruder, case.pressure_law, flow, pressure, subtitle)
    yield figure(
        "nozzle-pressure",
        chart,
        f"{study.of}: pressure along the extruder at {written(flow, 'm³/s')}, {held_at(study)}; the line falls from the plunger face to the tip, with the part "
        f"that takes each fall and how much of it; the upright bar at the plunger face is the 95 % interval there ({alone(study)}), and no other place has one. "
        "Below zero: the section of barrel and nozzle, as long as the axis says, its widths in proportion to each other alone.",
    )


def _bounds(case, begins):
    """Return in words what bounds the force on the plunger, each with what it is, as the picture names it."""
    said = []
    for row in force_limits(case).itertuples():
        words = row.words
        if row.name == "hand":
            words += f" (what is asked of one hand; {HandDrive.BANDS}" + (
                ")" if isinstance(case.extruder.drive, HandDrive) else ", for comparison: this drive is no hand)"
            )
        elif row.name.startswith("start after rest") and begins[1] < begins[2]:
            words += f" (95 % {between(begins[1], begins[2], 'N')}, the band about its line)"
        said.append(words)
    return "; ".join(said)
