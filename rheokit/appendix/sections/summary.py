"""What the whole comes to, in one table: law, rates, checks, force and pressure, verdict, and on what it rests; each is computed by a section below."""

from __future__ import annotations

import math
from collections.abc import Callable

from ...errors import DataError
from ...fitting.text import estimates, named, off_one, told_with_limits
from ...limits import LIMITS, judge
from ...limits.judgement import withheld
from ...nomenclature import between, cells, number, sentence, with_limits, with_unit, written
from ...nomenclature.batches import fit_alone
from ...origins import ASSUMED, invented_of, is_fitted, word_of
from ...planning import LIKELY
from ...planning.predicted import FORCE
from ..answers import LEAST_SHARE, assumed_shares
from ..cells import NOT_KNOWN, counted, stopped
from ..document import Caution, Section, Table
from ..held_at import held_at
from ..study import Study
from ..what_came_out import came_out
from . import validity
from .assumed import TITLE as ASSUMED_SECTION
from .validity import SHORT as UNTRIED

TITLE = "Summary"
SHORT = 300
"""Characters of a reason that stand here; the whole of it stands where it belongs."""


def section(study: Study) -> Section:
    """Return one row a question, answered or not known with what that lacks; the same reason is told once."""
    rows: list[tuple[str, str]] = []
    told: dict[str, str] = {}
    for words, ask in ASKED:
        answer = _told(study, ask)
        rows.append((words, f"{NOT_KNOWN}, as “{told[answer]}”." if answer in told else answer))
        if answer.startswith(NOT_KNOWN):
            told.setdefault(answer, words)
    stamp = study.fit.stamp if study.knows("fit") else ""
    return Section(
        TITLE,
        (
            *((Caution(stamp),) if stamp else ()),
            Table(
                "summary",
                f"{study.of}: what the sections below come to.",
                ("what", "answer"),
                tuple(rows),
                "Intervals are of 95 %. Each answer stands with its reasons in a section of its own. Assumed is told here where it moves an answer: with the "
                "largest share that it has of the variance of one, by the uncertainty budget, from "
                f"{number(LEAST_SHARE)} % on; all else that is assumed stands under “{ASSUMED_SECTION}”.",
            ),
        ),
    )


def _told(study, ask: Callable[[Study], str]) -> str:
    try:
        return ask(study)
    except DataError as error:
        return f"{NOT_KNOWN}: {_short(study.plain(str(error)).strip())}"


def _short(why):
    """Return a reason that fits a cell of the summary."""
    return stopped(why) if len(why) <= SHORT else f"{why[:SHORT].rpartition(' ')[0]} ... (in full below)"


def _rests_on(study: Study) -> str:
    """Return how many readings there are, and whether anything is invented or assumed."""
    flow = [test for test in study.tests if not test.gives]
    said = [
        f"{counted(sum(len(test.readings) for test in flow), 'reading')} of the flow in {counted(len(flow), 'test')}"
        if flow
        else "no reading of the flow that can be read"
    ]
    if study.invented:
        said.append("INVENTED, for demonstration")
    planned = [what for what in ("machine", "job") if study.knows("extruder" if what == "machine" else what)]
    if which := [what for what in invented_of(*study.book.origins).split(" and ") if what in planned]:
        said.append(f"{' and '.join(which)} INVENTED")
    shares = assumed_shares(study)
    for answer in dict.fromkeys(answer for *_, answer in shares):
        of = ", ".join(f"{name} ({number(share, 2)} %)" for name, share, one in shares if one == answer)
        said.append(f"assumed, with its share of the variance of {answer}: {of}")
    more = [name for name in _of_material(study) if name not in {name for name, *_ in shares}]
    said += [f"assumed{' beside' if shares else ''}: {', '.join(more)}"] if more else []
    return f"{'; '.join(said)}."


def _of_material(study):
    """Return names of what is assumed of the paste and moves a prediction of the plan; of batches where something of the next one is predicted."""
    if not study.knows("material"):
        return []
    return [
        "spread from batch to batch" if name == "batch" else str(name).replace("_", " ")
        for name, row in study.material.table.iterrows()
        if word_of(row.origin) == ASSUMED
        and not is_fitted(row.origin)
        and math.isfinite(row.value)
        and name not in study.idle
        and (name != "batch" or study.knows("case") or study.standing is not None)
    ]


def _law(study: Study) -> str:
    fit = study.fit
    rows = estimates(fit)[: len(fit.problem.law_class.parameters())]
    known = [
        f"{symbol} = {with_unit(value, unit)} ({with_unit(limits, unit)})"
        for _, symbol, value, limits, unit, note in rows
        if "needs" not in note
    ]
    open_ = [f"{symbol} {value}, {note}" for _, symbol, value, _, _, note in rows if "needs" in note]
    at = f" at {fit.reference}" if fit.reference else ""
    equations = [fit.problem.law_class.equation(), *(condition.rule for condition, _ in fit.law.conditions)]
    return f"{named(fit.problem.law_class)}{at}: {'; '.join([*equations, *known, *open_])}."


def _rates(study: Study) -> str:
    fit = study.fit
    read = _span(fit.rate_range) if fit.rate_range else "none"
    slow = (" and" if fit.rate_range else ", but") + " the yield stress" if fit.yield_measured else ""
    used = f"; used at {_span(fit.use_range)}" if fit.use_range else "; the rates of use are not stated"
    return f"{read}{slow}{used}."


def _checks(study: Study) -> str:
    fit = study.fit
    apart = [f"{name.replace('_', ' ')} {told_with_limits(fit, name)}" for name in off_one(fit)]
    return f"{fit.verdict} Intervals that leave out 1: {'; '.join(apart)}." if apart else fit.verdict


def _span(ends: tuple[float, float]) -> str:
    return between(ends[0], ends[1], "1/s")


def _force(study: Study) -> str:
    """Return the force that runs, of the median batch as the fit knows it and of the next one with what the fit leaves out."""
    found = study.running["force to run"]
    if math.isnan(found.value):
        return f"not identified: {study.fit.needed}."
    return f"{with_limits(found.value, found.low, found.high, 'N')} {held_at(study)}, {_alone(study)}; {_next(study)}{_shape(study)}."


def _alone(study):
    return fit_alone(len(study.fit.problem.batches))


def _next(study):
    """Return the interval that holds the next batch, the machine and the formula too, or why it is not known."""
    for one in study.predicted.found:
        if one.quantity == FORCE:
            return f"the next batch, with the errors of machine and formula: {' '.join(cells(one.value, one.low, one.high, 'N')[1:])}"
    return f"of the next batch {NOT_KNOWN}: {study.plain(study.predicted.lacking.get(FORCE, 'no draws'))}".rstrip(".")


def _shape(study):
    return f"; {UNTRIED} (“{validity.TITLE}”)" if validity.geometry_outside(study) else ""


def _pressure(study: Study) -> str:
    found = study.running["pressure at the plunger face to run"]
    if math.isnan(found.value):
        return f"not identified: {study.fit.needed}."
    return f"{with_limits(found.value, found.low, found.high, 'Pa')} at {written(float(study.case.flow_rate), 'm³/s')}, {held_at(study)}, {_alone(study)}{_shape(study)}."


def _verdict(study: Study) -> str:
    """Return whether the job is inside every limit judged, and the names of those that were not judged."""
    case = study.sure_case
    table = judge(case)
    groups = {
        word: list(table[table.verdict == word].index) for word in ("broken", "outside the readings", "not judged")
    }
    asked = [LIMITS[name] for name, row in table.iterrows() if row.verdict != "not asked"]
    doubt = withheld(case, asked)
    if (table.verdict == "inside").any() and not groups["broken"]:
        sure = not (groups["outside the readings"] or doubt or case.caveats)
        inside = f"Inside every limit judged{', by best values' if _share(study) < LIKELY else ''}"
        said = [inside if sure else "No limit judged is broken"]
    else:
        said = [] if groups["broken"] else ["No limit could be judged"]
    groups["judged in part"] = [one.name for one in asked if one.judges(case) and one.left_open(case)]
    said += [f"{word}: {', '.join(names)}" for word, names in groups.items() if names]
    return " ".join([*doubt, sentence("; ".join(said)), *_chance(study)])


def _share(study):
    """Return the share of next batches in which every limit judged holds; NaN where that cannot be counted."""
    try:
        return float(study.chance.probability[0, 0])
    except DataError:
        return math.nan


def _chance(study):
    """Return in how many of 100 next batches every limit judged holds, and whether that is as many as windows and map ask for."""
    share = _share(study)
    if math.isnan(share):
        return []
    short = f", which does not reach the {100 * LIKELY:.0f} asked" if share < LIKELY else ""
    return [f"Every limit judged holds in {number(100 * share, 2)} of 100 next batches{short}."]


ASKED: tuple[tuple[str, Callable[[Study], str]], ...] = (
    ("checks of the fit", _checks),
    ("rests on", _rests_on),
    ("flow law", _law),
    ("shear rates read", _rates),
    ("force on the plunger to run", _force),
    ("pressure at the plunger face", _pressure),
    ("limits of the job", _verdict),
    ("what came out of predictions", came_out),
)
