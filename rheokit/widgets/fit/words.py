"""What the page of a fit says: its headings, labels and notes, and a bench and a fit as rows and paragraphs; no widget."""

from types import MappingProxyType

import numpy as np

from ... import corrections
from ...bench.force_run import ForceRun
from ...bench.pressure_run import PressureRun
from ...checking import FAILED, PASSED, SEEN, verdict_of
from ...fitting import stamp as stamps
from ...fitting import text as in_text
from ...fitting.text import OPEN
from ...nomenclature import between, capital, numbers, with_unit
from ...origins import in_short as first_of
from ...units import kPa
from ..page.elements import caution, details, escape, paragraph, result, scrolling, stamped, table
from ..page.strip import DOUBTFUL, SOUND, STOPPED, begun

TO_FIT, COMPARED = "Tests to fit:", "Compare with:"
TYPE = "Type readings into the page"
FIRST = "What shall I measure first?"
FORCE = "Force and pressure for a nozzle"
RESIDUALS = "Residuals"
NEXT = "Which reading next?"
NO_READINGS = "There are no readings of this paste yet. Type them in below, or read the file of an instrument: they are saved in its folder at once."
NO_FIT_YET = "No law is known yet: there is nothing to fit."
EXPORT = "Read the file of an instrument"
READ = "what was read; the other was set"
SAVING = (
    "All tests of the bench, ticked or not, as a folder that can be opened here again; what is not stated stays so."
)
SAVE, TARGET = "Save the bench", "folder to save into"
NO_TARGET = "Name a folder to save into: a new or an empty one."
NO_BENCH = "No bench is open, so there is nothing to save; open a folder, or type readings."
HOW_TO_TYPE = (
    "Type numbers with their unit, and with ± where you know it: 26.70 ± 0.05 mm, with a decimal point or comma. Units of the table "
    "stand in its headings and may be changed there; a cell may have its own, such as 1,5 kgf."
)
ONE_APPARATUS = "a name; tests of one apparatus share what is uncertain about it"
MORE_COLUMNS = "Columns that may be added:"
NO_ROOM = "The rows of the table would go to the field for pasted rows, which is not empty: empty it first."
EMPTIED = "The table is empty; its rows stand in the field for pasted ones, to be put back."
NO_TEST = "No test is ticked, so there is nothing to fit; tick at least one."
ONE_END = "The {} rate of use is not given, and the {} one is; give both in 1/s, or none."
SAME_ENDS = "The slowest rate of use and the fastest rate of use are the same; type two rates, such as a tenth and ten times what a nozzle asks for."
ALONG_RATE, ALONG_ORDER = "Residuals along the shear rate", "Residuals in the order of reading"
AGAINST = "Readings against predictions"
VALUES = ["", "symbol", "value", "95 % interval", "unit", "note"]
CHECKS = ["", "question", "what was found"]
FORCES = ["", "value", "95 % interval", "unit", "note"]
ALONG = "Fitted along with the law"
OWN_ERROR = "The limits hold the law's uncertainty; the error of the converging-flow formula comes on top."


def computing(what):
    """Return in words what is being computed."""
    return f"Computing the {what} ..."


def last_fit(fit):
    """Return in words which fit still stands after an error; nothing before the first."""
    return f"What is shown is the last fit that worked: {in_text.heading(fit)}." if fit else ""


def counted(test):
    """Return a test with the number of its readings."""
    count = len(test.readings)
    return f"{test.name}, {count} reading{'s' if count > 1 else ''}"


def saved_words(bench, unticked, folder):
    """Return what was saved of a bench, `unticked` of whose tests are not fitted, and where."""
    besides = sum(bool(test.gives) for test in bench.tests)
    count = len(bench.tests) - besides
    said = f"Saved {count} test{'s' if count > 1 else ''}" + (f" and {besides} of properties" if besides else "")
    if unticked:
        said += f", {unticked} of them not ticked (ticking chooses what is fitted, not what is saved),"
    return f"{said} in {folder}."


def about_bench(bench):
    """Return what was tested, and what the reader filled in, as HTML."""
    specimen = bench.specimen
    known = [specimen.paste or "paste without a name", f"batch {specimen.batch}" if specimen.batch else ""]
    known += [str(specimen.date or ""), f"density {specimen.density:.4g} kg/m³" if specimen.density else ""]
    said = paragraph(", ".join(filter(None, known)) + ".")
    if specimen.invented:
        said += paragraph("INVENTED readings, for demonstration: nobody measured them.")
    measured = in_text.properties(bench)
    if measured:
        said += details(f"Properties measured besides the law ({len(measured)})", "".join(map(paragraph, measured)))
    notes = getattr(bench.origin, "notes", ())
    if notes:
        said += details(f"What was not stated and is assumed ({len(notes)})", "".join(map(paragraph, notes)))
    return said


def classical_corrections(bench):
    """Return the classical corrections of the capillary and syringe runs of a bench, or of a fit, as HTML, folded; nothing without runs."""
    if not any(isinstance(test, (PressureRun, ForceRun)) for test in bench.tests):
        return ""
    about = paragraph("Step by step, to follow beside the fit, which does all of it at once with every uncertainty.")
    folded = "".join(
        details(
            f"{one.name}: {'' if one.analysable else 'not '}analysable", scrolling(one._repr_html_(), escape(one.name))
        )
        for one in corrections.all_of(bench)
    )
    return f"<h3>Classical corrections of the runs</h3>{about}{folded}"


def verdict(fit_result):
    """Return whether to trust a fit, and what can hurt, as HTML."""
    said = stamped(fit_result.verdict) if fit_result.stamp else result(fit_result.verdict)
    return said + caution(in_text.caution(fit_result))


def check_rows(fit_result):
    """Return the checks as rows of text, the failed first, the likeliest cause before its consequences."""
    rows = in_text.in_order(fit_result).itertuples()
    return [[verdict_of(row), row.question, row.comment] for row in rows]


def checks(fit_result):
    """Return the checks as HTML: those that failed, or found something small, as a table on top, those that passed folded."""
    rows = check_rows(fit_result)
    on_top, passed = [row for row in rows if row[0] != PASSED], [row for row in rows if row[0] == PASSED]
    heading = in_text.heading(fit_result)
    words = {FAILED: "Failed", SEEN: capital(SEEN)}
    named = " or ".join(words[verdict] for verdict in dict.fromkeys(row[0] for row in on_top))
    on_top = table(CHECKS, on_top, f"{named}: {heading}") if on_top else ""
    return on_top + (details(f"Passed checks ({len(passed)})", table(CHECKS, passed, heading)) if passed else "")


def in_short(fit_result):
    """Return the law and its parameters with their 95 % limits in a sentence."""
    count = len(fit_result.problem.law_class.parameters())
    said = [
        f"{symbol} {value}" if value == OPEN else f"{symbol} {with_unit(value, unit)} ({limits})"
        for _, symbol, value, limits, unit, *_ in in_text.estimates(fit_result)[:count]
    ]
    return f"{fit_result.problem.law_class.name}: {', '.join(said)}"


def trust(fit_result):
    """Return in a sentence how many checks failed and what is invented, and its grade."""
    stamp = fit_result.stamp
    small = int((fit_result.checks.passed & fit_result.checks.seen).sum())
    over = len(stamps.passed_beyond(fit_result))
    told = [f", {over} of them although beyond {'its limit' if over == 1 else 'their limits'}"] if over else []
    told += [f", {small} with something small seen"] if small else []
    passed = f"All {len(fit_result.checks)} checks passed{''.join(told)}."
    said = f"{first_of(stamp)}." if stamp else passed
    invented = any(bench.specimen.invented for bench in fit_result.benches)
    grade = STOPPED if stamp else DOUBTFUL if invented else SOUND
    return f"{said} INVENTED readings." if invented else said, grade


def binds(fit_result):
    """Return in a sentence what a fit founders on first, else how far its readings reach, and the grade."""
    row = next(in_text.in_order(fit_result).itertuples())
    if not row.passed:
        cause = fit_result.verdict.partition("Likeliest cause: ")[2].partition(" Failed: ")[0]
        return begun(capital(cause) if cause else f"{row.question}: no. {row.comment}"), STOPPED
    low, high = fit_result.rate_range or (0.0, 0.0)
    if not low < high:
        return "No reading has a shear rate: of the law the yield stress alone is known.", DOUBTFUL
    slower, beyond = (", and the yield stress", "faster") if fit_result.yield_measured else ("", "beyond")
    return f"Read from {between(low, high, '1/s')}{slower}; {beyond}, the law is extrapolated.", SOUND


def estimates(fit_result):
    """Return parameters of the law and stresses as a table, and those of the apparatus apart, folded."""
    own = len(fit_result.problem.law_class.parameters())
    rows = [[_plain(name), *rest] for name, *rest in in_text.estimates(fit_result)]
    shown = table(VALUES, rows[:own] + in_text.stresses(fit_result), in_text.heading(fit_result))
    along = details("Apparatus and test theories, fitted along", table(VALUES, rows[own:], ALONG))
    return shown + along if rows[own:] else shown


def _plain(name):
    """Return the name of a parameter in words: model_factor[fall cone] as "model factor, fall cone"."""
    return name.replace("[", ", ").removesuffix("]").replace("_", " ")


def force_rows(fit, extruder, flow_rate, condition=MappingProxyType({})):
    """Return the rows of the table of forces and pressures as text: what, value, 95 % limits, unit, note.

    `condition` of the paste, in SI by name; what is not given is at the law's reference. Without a flow [m3/s] only what
    starts it is known.
    """
    rows, best, like = [], fit.known(extruder).at(fit.nuisance), fit.law.at(**condition)
    asked = (
        ("force on the plunger", lambda law, rig: rig.plunger_force(law, flow_rate), 1.0, "N"),
        ("pressure at the plunger face", lambda law, rig: rig.pressure(law, flow_rate), kPa, "kPa"),
        ("least force that starts it", lambda law, rig: rig.start_force(law), 1.0, "N"),
        ("least pressure that starts it", lambda law, rig: rig.start_pressure(law), kPa, "kPa"),
    )
    for words, quantity, factor, unit in asked if flow_rate else asked[2:]:
        found = fit.interval(quantity, extruder=extruder, like=like)
        comment = found.comment.removeprefix(fit.stamp).strip()  # the headline is stamped, once for all rows
        note = f"extrapolated: {comment}" if found.extrapolated else ""
        value, low, high = numbers(*(limit / factor for limit in found[:3]))
        if np.isnan(found.value):
            value, note = OPEN, comment
        elif reason := getattr(quantity(like, best), "reason", ""):
            value, note = f"at least {value}", "; ".join(filter(None, [note, f"a lower bound: {reason}"]))
        limits = "" if low == high else f"{low} to {high}"
        rows.append([words, value, limits, unit, note])
    return rows


def force_words(rows, where=""):
    """Return the first two of the rows of forces in a sentence, `where` they are, and with what is to be doubted of them."""
    said = [
        f"{what} {with_unit(value, unit)}, 95 % from {with_unit(limits, unit)}"
        for what, value, limits, unit, _ in rows[:2]
    ]
    doubt = " See the note below: what it needs." if any(row[1] == OPEN for row in rows[:2]) else ""
    if not doubt and any("extrapolated" in row[-1] for row in rows[:2]):
        doubt = " Extrapolated: see the note below."
    return f"F{'; '.join(said)[1:]}{where}.{doubt}"
