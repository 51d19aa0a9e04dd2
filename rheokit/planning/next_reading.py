"""Which reading to take next: the candidates of a bench, ranked by how much each is expected to narrow an answer."""

import warnings
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import numpy as np

from ..errors import DataError
from ..fitting import FitResult
from ..hints import OfLaw
from ..inputs import trusted
from ..machine.extruder import Extruder
from ..progress import step
from ..sampling import MOVED
from ..things import a, called
from . import reading_advice as words
from .candidate import Candidate, tools_lacking
from .candidates import as_candidates, candidates_of
from .foreseen import FEWEST, TELLING, Outlook
from .ranked_readings import TIE, TWO, NextReading, Ranked
from .rivals import Rival, rivals_of, told_apart


def next_reading(
    fit: FitResult,
    question: OfLaw,
    candidates: Iterable[Any] | None = None,
    extruder: Extruder | None = None,
    batch: str = "median",
    unit: str = "",
    seed: int = 0,
    also: Iterable[Any] = (),
) -> NextReading:
    """Return which reading to take next for a question: the candidates, ranked by the width of the interval that each is expected to leave.

    Parameters
    ----------
    fit : FitResult
        Of the readings there are.
    question : callable
        As in `FitResult.interval`: it takes a law, or a law and the `extruder`, and returns one number.
    candidates : sequence, optional
        Records such as `LoadedPlate` or `FlowCurve`, whose readings count as guesses alone; a tuple of records is read together.
        Without them: slower, faster and repeated readings on the apparatus that was read, a land of another length, the tests of the
        yield stress that were not made and suit it, other temperatures, water contents and ages of a law that depends on them, and
        a batch more, which is foreseen where three or more were read.
    extruder : Extruder, optional
        As in `FitResult.interval`.
    batch : {"median", "next"}
        As in `FitResult.interval`.
    unit : str
        SI unit of the answer, for words.
    seed : int
        Of the simulation.
    also : sequence
        Candidates beside those, as in `candidates`.

    Returns
    -------
    NextReading
        As text it is a sentence: what to take next, and the interval that is expected; or that nothing cheap will help, and what is left.

    Raises
    ------
    DataError
        If the question gives no number, no candidate is left, or the readings do not carry joint draws.

    Notes
    -----
    The expected width is the mean over 240 simulated readings of each candidate, each from a truth of the joint draws with scatter, errors of
    theory and of apparatus: the 95 % interval of all draws, weighed by how well they agree with it, as a share of the interval without. It holds
    if the law and the errors are as the fit has them, which no reading that repeats others can show: so the table names what each exposes.
    How a reading scatters that was never made, its theory's error and its minutes are common practice, no source.

    Examples
    --------
    >>> import rheokit as rk
    >>> curve = rk.FlowCurve(shear_rate=[20, 40, 80, 160], shear_stress=[1310, 1500, 1750, 2110], relative_uncertainty=0.03, model_error=0.05)
    >>> found = rk.next_reading(rk.fit(rk.HerschelBulkley, curve), lambda law: law.yield_stress, unit="Pa")
    >>> found.best.name
    'yield stress by a loaded plate'
    """
    a("FitResult", "next_reading", "fit", fit)
    if not callable(question):
        raise TypeError(
            f"next_reading: question is {called(question)}; give a function of a law, such as lambda law: law.yield_stress."
        )
    given = candidates_of(fit, batch) if candidates is None else as_candidates(fit, candidates)
    given = [*given, *as_candidates(fit, also)]
    if not given:
        raise DataError("next_reading: no candidate is left for this bench; give some with candidates=.")
    step("the interval as it stands")
    with warnings.catch_warnings(action="ignore"):
        today = fit.interval(question, extruder=extruder, batch=batch)
        if np.ndim(today.value):
            raise DataError(
                "next_reading: the question gives an array; ask for one number, such as the force at one speed."
            )
        needed = fit.missing(question, extruder) or (fit.needed if np.isnan(today.value) else "")
        if needed:
            return _of_open(fit, today, given, unit, needed)
        outlook = Outlook(fit, question, extruder, batch, seed)
        found = []
        for place, candidate in enumerate(given, 1):
            step(f"candidate {place} of {len(given)}: {candidate.name}")
            if candidate.untold:
                found.append(Ranked(candidate, None, candidate.untold))
            elif fit.unidentified and _tells_open(fit, candidate):
                found.append(Ranked(candidate, None, words.open_too(fit), True))
            else:
                found.append(_foreseen(outlook, candidate))
        step("laws that are not ruled out")
        others = rivals_of(fit)
        found = [_against(outlook, others, one) for one in found]
    found.sort(key=lambda one: (np.nan_to_num(one.share, nan=np.inf), not one.stands_apart))
    found = [replace(one, needs=tools_lacking(fit, one.candidate.tests)) for one in found]
    width, left = outlook.width, words.left_of(outlook, batch)
    answer = NextReading(today, tuple(found), unit, left, drawn_width=width, stamp=fit.stamp)
    at_bound = any(map(fit.is_at_bound, fit.problem.free))
    return replace(answer, ranked=tuple(_widening(answer, one, at_bound) for one in found))


def _widening(answer: NextReading, one: Ranked, at_bound: bool) -> Ranked:
    """Return a candidate, told where it may widen the interval: at a bound, which the next reading may lift the fit off, or of any batch more."""
    if one.foreseen is None or not answer.narrowing(one) < TIE:
        return one
    by_bound = at_bound and one.share * answer.drawn_width > answer.width
    if not by_bound and one.foreseen.share <= 1 + max(words.NONE, TWO * one.foreseen.error):
        return one
    doubt = words.WIDENS_AT_BOUND if by_bound else words.WIDENS
    return replace(one, doubt="; ".join(filter(None, [doubt, one.doubt])), may_widen=True)


def _foreseen(outlook: Outlook, candidate: Candidate) -> Ranked:
    try:
        with trusted():
            found = outlook.foresee(candidate.tests)
    except DataError as fault:
        return Ranked(candidate, None, str(fault).removeprefix("next_reading: "))
    if found.effective < TELLING:
        return Ranked(candidate, None, words.FEW_DRAWS, too_few=True)
    hangs = words.of_new_batch(found) if outlook.adds_a_batch(candidate.tests) else ""
    return Ranked(candidate, found, "; ".join(filter(None, [words.ROUGH if found.effective < FEWEST else "", hangs])))


def _against(outlook: Outlook, others: tuple[Rival, ...], one: Ranked) -> Ranked:
    """Return a candidate with how far other laws that the readings do not rule out differ there."""
    if one.foreseen is None or not others:
        return one
    apart, rival = told_apart(outlook.fit, others, one.candidate.tests, one.foreseen)
    return Ranked(one.candidate, one.foreseen, one.doubt, one.tells_open, apart, rival)


def _tells_open(fit, candidate):
    """Return whether a candidate reads otherwise of laws that the readings so far cannot tell apart."""
    moved = False
    with trusted(), np.errstate(all="ignore"):
        stack = fit.alike
        law = fit.problem.law_class(
            **{name: np.asarray(value)[..., None] for name, value in fit.problem.law_values(stack).items()}
        )
        values = {key: np.asarray(value)[:, None] for key, value in fit.problem.nuisance_values(stack).items()}
        for test in candidate.tests:
            read = np.broadcast_to(test.predict(law, values), (len(stack), len(test.readings)))
            moved |= bool(np.any(np.ptp(read, axis=0) > MOVED * np.max(np.abs(read), axis=0)))
    return moved


def _of_open(fit, today, given, unit, needed):
    """Return the candidates of a question without an answer: those first that tell laws apart which the readings do not."""
    found = []
    for candidate in given:
        moved = _tells_open(fit, candidate)
        told = words.OPEN_TOLD if moved else candidate.untold or words.OPEN_NOT_TOLD
        found.append(Ranked(candidate, None, told, moved, needs=tools_lacking(fit, candidate.tests)))
    found.sort(key=lambda one: (not one.tells_open, one.candidate.minutes))
    return NextReading(today, tuple(found), unit, (), needed, stamp=fit.stamp)
