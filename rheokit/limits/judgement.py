"""A case before its limits: a table, and in words the one that binds first and all that was not judged.

The table is in the order of the words: what is broken, hard limits first; what is outside the readings; what is inside, the
least room first; what was not judged; what was not asked.
"""

from collections.abc import Collection
from dataclasses import replace

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from ..fibre.setting import time_to_set
from ..frames import Frame
from ..inputs import doubtful
from ..laws.herschel_bulkley import HerschelBulkley
from ..laws.power_law import PowerLaw
from ..nomenclature import alike, number, sentence, written
from ..origins import in_short
from ..part.job import FIBRE, KINDS, PRINT
from ..things import a
from .base import FOR_THE_NEXT, Limit, quietly
from .case import Case
from .chosen import chosen
from .drive import PRESSURE
from .sure import by_its_draws

NO_STRENGTH = (
    "Cannot be called printable: the law has no yield stress, so whether what is laid keeps its shape is not judged."
)
NOT_AS_A_FIBRE = (
    "Not as a fibre: the law has a yield stress, so what leaves the nozzle does not stretch evenly, but necks and breaks. Print it "
    "as layers, or draw a dope whose law has none, such as Newtonian or the power law."
)
HAS_SET = "the gel has set, and no law of a liquid says anything of it"
NEXT, OF_THE_LAW = "next batches, law and formula in doubt as well", "batches of the law as it is"
BY_EVERY_LAW = "by every law that the readings leave open"
BROKEN, OUTSIDE, INSIDE, NOT_JUDGED, NOT_ASKED = "broken", "outside the readings", "inside", "not judged", "not asked"
ORDER = (BROKEN, OUTSIDE, INSIDE, NOT_JUDGED, NOT_ASKED)
ANOTHER = {  # any: does room change with the law? A fibre is drawn of what has no yield stress
    PRINT: HerschelBulkley(yield_stress=170.0, consistency=230.0, flow_index=0.43),
    FIBRE: PowerLaw(consistency=230.0, flow_index=0.43),
}


def judge(case: Case, limits: Collection[Limit | str] | None = None) -> pd.DataFrame:
    """Return a DataFrame, one row a limit, for a case of single numbers.

    Parameters
    ----------
    case : Case
        Of numbers, not arrays.
    limits : Limit, str, or iterable of them, optional
        Limits, or names in ``LIMITS``; one alone needs no list. All that are asked of its kind of job where none are given.

    Returns
    -------
    table : DataFrame
        Index the limit's name, the first to bind first; columns label, value, low, high, unit, margin (ln of the ratio of
        room: 0.1 is a factor exp(0.1); of a limit with a width the room in widths) [-], verdict ("inside", "broken", "outside the readings", "not asked", "not judged"),
        words, remedy, formula, source, model_error [-], hard, caution, remark. A limit that rests on what the readings leave
        open is not judged, but where every law that they leave open breaks it: then it is broken, its margin that of the
        law that breaks it least, its value NaN where laws differ in it. Where checks of the fit behind the law failed, words
        and remark of what rests on the law begin with it, in short: "4 of 23 checks failed: not to be used".
    """
    a("Case", "judge", "case", case)
    asked = chosen("judge", limits, case.job)
    case = by_its_draws(case, asked)
    rows = [_row(case, limit) for limit in asked]
    first = {limit.name for limit in asked if limit.concerns(case) and limit.underlies(case)}
    columns = ["name", "label", "value", "low", "high", "unit", "margin", "verdict", "words", "remedy"]
    columns += ["formula", "source", "model_error", "hard", "caution", "remark"]
    table = Frame(rows, columns=columns).set_index("name")
    return table.iloc[sorted(range(len(table)), key=lambda place: _place(table.iloc[place], first))]


def _place(row, first):
    broken, margin = row.verdict == BROKEN, 0.0 if np.isnan(row.margin) else row.margin
    return ORDER.index(row.verdict), broken and not row.hard, broken and row.name not in first, margin


def _row(case, limit):
    """Return the row of a limit; what was judged by the law of a fit begins with what checks of that fit say."""
    row = {name: getattr(limit, name) for name in ("name", "label", "unit", "formula", "source", "hard")}
    row |= dict.fromkeys(("value", "low", "high", "margin"), float("nan"))
    row |= {"model_error": float(limit.error(case)), "caution": limit.caution_for(case), "remedy": "", "remark": ""}
    if not limit.concerns(case):
        return {**row, "verdict": NOT_ASKED, "words": f"{limit.label}: not asked by this job"}
    missing, outside = why_not_judged(case, limit), OUTSIDE if limit.advice else BROKEN
    if missing != HAS_SET and limit.broken_anyway(case):
        value, low, high, margin = limit.least_broken(case)
        verdict, remedy = outside, limit.remedy_for(case)
        remark = f"{'outside' if limit.advice else 'broken'} {BY_EVERY_LAW} ({missing})"
        words = f"{limit.label}: {_numbers(limit, value, low, high, remark if np.isnan(value) else f', {remark}')}"
    elif missing:
        remedy = (
            ""
            if missing == HAS_SET
            else limit.to_judge_it(case)
            if limit.lacks(case)
            else f"add {missing.partition(': needs ')[2]}"
        )
        words = f"{limit.label}: cannot be judged, {missing.replace('_', ' ')}"
        return {**row, "verdict": NOT_JUDGED, "words": words, "remedy": remedy}
    else:
        given = limit.value(case), limit.low(case), limit.high(case), limit.margin(case)
        value, low, high, margin = (float("nan") if x is None else float(x) for x in given)
        verdict, remedy = (INSIDE, "") if margin >= 0 else (outside, limit.remedy_for(case))
        words, remark = words_of(limit, case, value, low, high), limit.remark(case)
    if case.caveats and _rests_on_law(case, limit):
        said = "; ".join(map(in_short, case.caveats))
        words, remark = f"{said}. {words}", "; ".join(filter(None, [said, remark]))
    judged = {"value": value, "low": low, "high": high, "margin": margin, "verdict": verdict}
    return {**row, **judged, "words": words, "remedy": remedy, "remark": remark}


def why_not_judged(case: Case, limit: Limit) -> str:
    """Return in words why a limit cannot be judged in a case; empty where it can: what it lacks, or that the gel has set."""
    of_liquid = (limit.of_flow or limit.error_name == PRESSURE) and not limit.underlies(case)
    return HAS_SET if of_liquid and case.has_set else limit.missing(case)


def _rests_on_law(case, limit):
    """Return whether a limit is of the yield stress, or its value or a bound is another with another law."""
    other = replace(case, paste=replace(case.paste, law=ANOTHER[case.job.kind]), laws_alike=None)
    parts = (limit.value, limit.low, limit.high)
    return limit.strength or any(quietly(of, case) != quietly(of, other) for of in parts)


def words_of(limit: Limit, case: Case, value: ArrayLike, low: ArrayLike, high: ArrayLike) -> str:
    """Return a limit with its numbers in one line."""
    allowance, remark = float(limit.allowance(case)), limit.remark(case)
    of = NEXT if limit.name in case.kept_free else OF_THE_LAW
    return f"{limit.label}: {_numbers(limit, value, low, high, f' ({remark})' if remark else '', allowance, of, case.of_batch)}"


def _numbers(limit, value, low, high, remark, allowance=0.0, of="", batch=""):
    """Return a value with a remark and what is allowed, in one unit; a value that is NaN is left to the remark."""
    shown, most, least, greatest = alike(limit.unit, value, value * np.exp(allowance), low, high)
    likely = f" for the {batch}, up to {most} in {number(97.5)} of 100 {of}" if allowance else ""
    bounds = (("at least", low, least), ("at most", high, greatest))
    allowed = " and ".join(f"{side} {text}" for side, bound, text in bounds if bound == bound)
    known = remark if np.isnan(value) else f"{shown}{likely}{remark}"
    return f"{known}; {allowed} allowed" if allowed else known


def verdict(case: Case, limits: Collection[Limit | str] | None = None) -> str:
    """Return a case in words: what its fit warns of, whether it passes, what binds first, what was not judged, and the caution.

    Inside is said only where each limit that was judged is inside, and what was not judged is named with what it lacks.
    `limits` as in `judge`; a verdict on one limit alone says so.
    """
    return " ".join(filter(None, finding(case, limits)))


def finding(case: Case, limits: Collection[Limit | str] | None = None) -> tuple[str, str]:
    """Return the verdict of a case in words, and apart from it the caution of the limit that binds first."""
    a("Case", "verdict", "case", case)
    limits = chosen("verdict", limits, case.job)
    table = judge(case.without_caveats, limits)
    judged = table[table.verdict.isin([BROKEN, OUTSIDE, INSIDE])]
    solid = [limit for limit in limits if limit.concerns(case) and why_not_judged(case, limit) == HAS_SET]
    open_ = [limit for limit in limits if limit not in solid and not limit.broken_anyway(case)]
    doubt = withheld(case, open_)
    broken, outside = (judged[judged.verdict == one] for one in (BROKEN, OUTSIDE))
    if set(judged.index) <= {limit.name for limit in limits if limit.advice}:
        said, caution = ["No limit could be judged.", *_not_asked(case, limits)], ""
    elif len(broken):
        first, also = broken.iloc[0], ", ".join(broken.label.iloc[1:])
        said, caution = [f"Stopped by {first.words}. {sentence(first.remedy)}"], first.caution
        said += [f"Also broken: {also}."] if also else []
    else:
        inside = judged[judged.verdict == INSIDE]
        first = inside.iloc[0]
        near = next(limit for limit in limits if limit.name == first.name)
        room = f"{near.room(first.margin, 2)} of room{FOR_THE_NEXT if near.hard and np.isfinite(first.margin) else ''}"
        binds = f"irst to bind: {first.words} ({room})."
        said, caution = [f"Inside every limit judged; f{binds}"], first.caution
        if len(limits) == 1:
            said = [f"Asked of {limits[0].name} alone, which is inside: {first.words} ({room})."]
        if len(outside) or doubt or case.caveats:
            said = [f"No limit judged is broken. F{binds}"]
    said += [f"Outside the readings: {row.words}. {sentence(row.remedy)}" for row in outside.itertuples()]
    said += [f"Not judged: {', '.join(limit.name for limit in solid)} ({HAS_SET})."] if solid else []
    return " ".join([*case.caveats, *doubt, *said, not_judged(case, open_)]).strip(), caution


def _not_asked(case, limits):
    """Return in sentences which limits are not asked of this kind of job, and which not by this job."""
    kind = case.job.kind
    other = [limit.name for limit in limits if kind not in limit.jobs]
    own = [limit.name for limit in limits if kind in limit.jobs and not limit.concerns(case)]
    groups = ((f"Not asked of a job that {KINDS[kind]}", other), ("Not asked by this job", own))
    return [f"{why}: {', '.join(names)}." for why, names in groups if names]


def withheld(case: Case, limits: Collection[Limit]) -> list[str]:
    """Return why a case cannot be called safe, or printable, whatever the limits judged say; mostly empty.

    A number that no bench has; a law that knows no temperature where the job states one; a limit that can hurt somebody and is
    not judged; a law without a yield stress, which leaves open what strength holds, and one with it, which is not drawn.
    """
    records = (case.best, case.extruder, case.extruder.drive, case.job)
    doubts = [doubt for record in records if record is not None for doubt in doubtful(record)]
    asked = [limit for limit in limits if limit.concerns(case)]
    said = [f"Not to be relied on: {'; '.join(doubts)}."] if doubts else []
    if not case.knows_temperature and any(limit.of_flow for limit in asked):
        warm = written(np.max(case.exit_temperature), "K")
        said.append(
            f"Not to be relied on: the law does not depend on temperature, and is taken at {warm} as it is; read it at two "
            "temperatures or more, so that a law that depends on it can be fitted."
        )
    said += [
        f"Cannot be called safe: {limit.label} is not judged." for limit in asked if limit.hard and limit.missing(case)
    ]
    if any(limit.strength for limit in asked) and not case.has_strength:
        said.append(NO_STRENGTH if case.paste.gel_temperature is None else not_as_layers(case))
    if case.job.kind == FIBRE and case.has_strength and any(limit.jobs == (FIBRE,) for limit in asked):
        said.append(NOT_AS_A_FIBRE)
    return said


def not_as_layers(case: Case) -> str:
    """Return why a gel that has no yield stress is not printed as layers, in words."""
    paste, exit_temperature, speed = case.paste, case.exit_temperature, ""
    if exit_temperature is None:
        speed = "how warm it is laid is not known, for the barrel temperature is not"
    elif np.all(np.asarray(exit_temperature) >= paste.gel_temperature):
        speed = (
            f"at {written(np.max(exit_temperature), 'K')}, as it leaves the nozzle, it does not set at all, for its gel point is "
            f"{written(np.max(paste.gel_temperature), 'K')}"
        )
    elif paste.setting_time is None:
        speed = "how fast it sets is not known, for its setting time is not"
    else:
        time = time_to_set(
            exit_temperature,
            gel_temperature=paste.gel_temperature,
            setting_time=paste.setting_time,
            setting_exponent=paste.setting_exponent,
        )
        speed = (
            f"it sets too slowly, in {written(np.max(time), 's')} at {written(np.max(exit_temperature), 'K')}, and flows "
            "meanwhile"
        )
    return (
        f"Not as layers: the law has no yield stress, so a line does not hold its section; {speed}. Draw it as a fibre into a cold "
        "bath, or cast it."
    )


def not_judged(case: Case, limits: Collection[Limit | str] | None = None) -> str:
    """Return in one line the limits that could not be judged, or in part only, by what they lack; empty where all were."""
    asked = [limit for limit in chosen("not_judged", limits, case.job) if limit.concerns(case)]
    whole = _grouped((limit.name, limit.missing(case)) for limit in asked)
    part = _grouped((limit.name, limit.left_open(case)) for limit in asked if not limit.missing(case))
    said = (("Not judged", whole), ("Judged in part", part))
    return " ".join(f"{how}: {'; '.join(which)}." for how, which in said if which)


def broken_anyway(case: Case, limits: Collection[Limit]) -> list[Limit]:
    """Return those limits, advice apart, that have no number and are broken by every law that the readings leave open."""
    return [limit for limit in limits if not limit.advice and limit.broken_anyway(case)]


def _grouped(pairs):
    by_reason = {}
    for name, why in pairs:
        by_reason.setdefault(why, []).append(name)
    return [f"{', '.join(names)} ({why.replace('_', ' ')})" for why, names in by_reason.items() if why]
