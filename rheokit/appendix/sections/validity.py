"""Where the law holds: rates, stresses and conditions that were read, and those at which it will be used."""

import math

from ... import charts
from ...charts.flow_curves import drawn_readings, errors_drawn
from ...fitting.result import FitResult
from ...laws.condition_words import CONDITIONS
from ...nomenclature import between, number, written
from ...nomenclature.phrases import sentence
from ...planning.extrapolation import at_reference, outside_readings, rates_asked
from ...planning.geometry import geometry_read
from ..cells import NOT_KNOWN, stopped
from ..document import Block, Caution, Paragraph, Section, Table
from ..figures import figure
from ..held_at import held_at
from ..stress_of_a_reading import stress_of_a_reading
from ..study import Study

TITLE = "Range of validity"
NONE = "none was read"
NOT_STATED = "not stated"
OUTSIDE = "OUTSIDE what was read"
SHORT = "geometry outside what was read"
"""Beside a number that rests on a geometry that no reading has tried."""
RESTS = (
    "What is predicted there rests on the law and on formulae that no reading of this geometry has tried: slip, which goes with the bore, and what a step or a "
    "taper costs, would show in it."
)


def section(study: Study) -> Section:
    """Return the ranges that were read, the use range and the job over them, and what is extrapolated."""
    fit = study.fit
    how = stress_of_a_reading(study)
    blocks: list[Block] = [_ranges(study, bool(how))]
    if fit.use_range:
        covered, words = fit.covers(*fit.use_range)
        said = f"The use of the law {words}."
        blocks.append(
            Paragraph(f"{said} The use range is covered.")
            if covered
            else Caution(f"{said} What lies outside is extrapolated.")
        )
    else:
        blocks.append(Paragraph("Rates of use: not stated in the plan ([fit] slowest_rate and fastest_rate)."))
    why = study.lacking("case")
    if not why:
        said = f"The job of the plan {fit.covers(*rates_asked(study.case))[1]}"
        outside = outside_readings(study.case)
        blocks.append(
            Caution(f"{said}. It asks for more than was read: {'; '.join(outside)}. Its predictions are extrapolated.")
            if outside
            else Paragraph(f"{said}. It stays inside the rates and conditions that the readings cover.")
        )
        if shape := geometry_outside(study):
            blocks.append(Caution(shape))
    else:
        blocks.append(Paragraph(f"Whether the job of the plan stays inside what was read: not known. {stopped(why)}"))
    blocks += how
    blocks.append(
        figure(
            "flow-curve",
            charts.flow_curve(fit),
            f"{study.of}: {_caption(study)}.",
        )
    )
    return Section(TITLE, tuple(blocks))


def geometry_outside(study: Study, sizes: bool = True) -> str:
    """Return in sentences which sizes of the extruder of the plan no reading has tried, with them or by name alone, and what rests on that; "" for none."""
    if not study.knows("extruder"):
        return ""
    reaches = geometry_read(study.fit.tests, study.extruder)
    found = [one for one in reaches if one.outside]
    if not found:
        return ""
    if not any(one.read for one in reaches):
        return f"No test pushed paste through a nozzle: {', '.join(one.name for one in found)} are as no reading has tried them. {RESTS}"
    if not sizes:
        return f"The geometry of the machine lies outside what was read: {', '.join(one.name for one in found)} (sizes: “{TITLE}”). {RESTS}"
    said = "; ".join(
        f"{one.name} {_or(one.asked, one.unit)} ({f'read: {_or(one.read, one.unit)}' if one.read else NONE})"
        for one in found
    )
    return f"The geometry of the machine lies outside what was read: {said}. {RESTS}"


def _geometry(study):
    """Return the rows of the sizes through which paste was pushed, with those of the machine of the plan beside them."""
    known = study.extruder if study.knows("extruder") else None
    for one in geometry_read(study.fit.tests, known):
        asked = NOT_KNOWN if known is None else "none"
        if one.asked:
            asked = f"{_or(one.asked, one.unit)}, {OUTSIDE if one.outside else 'within'}"
        yield one.name, _or(one.read, one.unit) if one.read else NONE, "-", asked


def _caption(study):
    """Return what the flow curve shows, and nothing that does not stand on it."""
    fit = study.fit
    drawn, total = drawn_readings(fit), fit.problem.total
    readings = f"{drawn} of {total} readings, those with a rate, as stresses against rates ({_bars(fit)})"
    if not drawn:
        readings = f"no reading of {total} has a rate, so that none stands here"
    if fit.not_identified:
        said = "the law is not identified and no curve of it stands here: " + (
            f"the yield stress is a dashed level, its 95 % limits {study.held} grey"
            if "yield_stress" not in fit.unidentified
            else "nor is a level"
        )
        return f"{readings}; {said}"
    lines = f"the law as a line, in grey its 95 % band by joint draws ({study.held})"
    return f"{'; '.join([readings, lines, *_rates(fit)])}{_moved(fit)}"


def _bars(fit):
    """Return what the bars of the points are, and how long."""
    ends = errors_drawn(fit)
    if ends is None:
        return "no bars: their uncertainties are zero or not known"
    low, high = (number(100 * end, 2) for end in ends)
    size = f"{low} %" if low == high else f"{low} to {high} %"
    return (
        f"bars: one standard uncertainty of the reading either way, {size} of the stress, hidden where the mark is larger; those of friction, bore and "
        "batch are not in them"
    )


def in_nozzles(fit: FitResult) -> bool:
    """Return whether a reading of the fit is of a nozzle, so that its rate rests on a bore."""
    return any(getattr(test, "nozzle", None) is not None for test in fit.tests)


def _rates(fit):
    """Return how the picture shows which rates were read and which are asked for."""
    said = []
    if (read := fit.reference_rate_range) and read[0] < read[1]:
        stated = ", by the bores as stated; readings are drawn by the bores as fitted" if in_nozzles(fit) else ""
        said.append(f"the thick bar at the foot spans the rates read, {between(*read, '1/s')}{stated}")
    if fit.rate_range is None:
        said.append("the line is dashed, since no rate was read")
    elif fit.yield_measured:
        said.append(
            "the line is full where the readings cover it, also slower than the rates read, down to the yield stress that was read, and dashed where it is "
            "extrapolated"
        )
    else:
        said.append("the line is full along the rates read and dashed where it is extrapolated")
    used = "the rates of use are shaded" if fit.use_range else "rates of use are not stated, so that none are shaded"
    return [*said, used]


def _moved(fit):
    """Return how the rates of a picture at the reference are those that were read, in words."""
    return f"; points and line hold at {fit.reference}: {fit.covered_at_reference}" if fit.rates_move else ""


def _ranges(study, told):
    fit = study.fit
    asked = rates_asked(study.case) if study.knows("case") else None
    used = [("read", fit.rate_range, NONE), ("use", fit.use_range, NOT_STATED), ("job", asked, NOT_KNOWN)]
    rows: list[tuple[str, ...]] = [
        (
            f"shear rate{', as it was read' if fit.rates_move else ''}",
            *(_or(ends, "1/s") if ends else without for _, ends, without in used),
        ),
    ]
    if fit.rates_move:
        there = at_reference(study.case, asked) if asked else None
        rows.append(
            (
                f"shear rate, where the law takes it at {fit.reference}",
                _or(fit.reference_rate_range, "1/s"),
                _or(fit.use_range, "1/s") if fit.use_range else NOT_STATED,
                _or(there, "1/s") if there else NOT_KNOWN,
            )
        )
    rows.append(
        (
            "shear stress",
            f"{_or(fit.stress_range, 'Pa')}, as it was read{' (how: below)' if told else ''}"
            if fit.stress_range
            else NONE,
            f"{_stresses(fit.stress, fit.use_range)}{f' at {fit.reference}' if fit.reference else ''}, by the law"
            if fit.use_range
            else NOT_STATED,
            f"{_stresses(study.case.pressure_law.shear_stress, asked)}, by the law {held_at(study)}"
            if asked and not study.case.not_identified
            else NOT_KNOWN,
        )
    )
    job = study.job if study.knows("job") else None
    for name in CONDITIONS:
        rows.append((name.replace("_", " "), _read(fit, name), "-", _used(job, name)))
    rows += _geometry(study)
    return Table(
        "validity",
        f"{study.of}: what was read, what the law will be used for, and what the job of the plan asks for, of rates at the walls from "
        "barrel to bore, of conditions and of geometry.",
        ("quantity", "read", "use of the law", "job of the plan"),
        tuple(rows),
        f"{sentence(f'{fit.covered_words}: {fit.beyond_words}')} Geometry: of the tests fitted that pushed paste through a nozzle, least to greatest; within: not "
        "more than 2 % beyond these.",
    )


def _or(ends, unit):
    return written(ends[0], unit) if ends[0] == ends[1] else between(*ends, unit)


def _stresses(stress, rates):
    """Return the stresses of a law at the ends of a range of rates [1/s], in words."""
    ends = [float(stress(rate)) for rate in rates]
    return "not identified" if any(map(math.isnan, ends)) else _or(ends, "Pa")


def _read(fit, name):
    known = [value for test in fit.tests if (value := test.conditions.get(name)) is not None]
    if not known:
        return "not stated"
    ends = [
        float(end) for value in known for end in ((value.min(), value.max()) if getattr(value, "ndim", 0) else (value,))
    ]
    depends = (
        "the law depends on it" if name in fit.law.depends_on else "the law does not depend on it: it holds there alone"
    )
    return f"{_or((min(ends), max(ends)), name)}; {depends}"


def _used(job, name):
    if job is None:
        return NOT_KNOWN
    if name == "temperature":
        ends = [
            one
            for one in (getattr(job, "barrel_temperature", None), getattr(job, "nozzle_temperature", None))
            if one is not None
        ]
        return _or((min(ends), max(ends)), name) if ends else "as warm as the readings"
    return "as read"
