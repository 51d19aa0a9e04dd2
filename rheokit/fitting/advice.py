"""Which of several laws to take where it will be used, and why, in one sentence.

The measure is what each law leaves of the readings at the rates of use, in shares of the stress: that is what a force will be wrong by. A
criterion of information ranks laws for all readings at once, and with many good ones a tenth of a percent decides it, wherever it
lies. So of the laws that the readings support (`ranking`) the one is taken that leaves least, with no bend that matters, or a
simpler one that is as good there. What the readings cover, and what any law is beyond, is said with it.
"""

from typing import NamedTuple

from ..hints import Table
from ..laws import FlowLaw
from ..nomenclature import between
from . import consequence, stamp
from .consequence import share
from .misfits import RATE, Pattern, pattern
from .result import FitResult
from .text import named

AS_GOOD = 1.1  # times the least that a law leaves: less than two samples of twenty readings tell apart; common practice
WEAK = 2.0
"""Difference of AICc up to which two laws are not to be told apart (Burnham and Anderson 2002, from memory)."""
HARDLY = 0.002  # of the stress: less between two laws is nothing that anybody uses; common practice, no source


class Advice(NamedTuple):
    """A law for some rates of use.

    Attributes
    ----------
    law : type or None
        The law to take, a subclass of FlowLaw; None where the readings support none, or checks of its fit forbid to use it.
    words : str
        One sentence that says which, for which rates, and why; or that there is none to take, and why.
    table : DataFrame
        What `compare` returns.
    """

    law: type[FlowLaw] | None
    words: str
    table: Table

    def __repr__(self):
        return self.words


class _Left(NamedTuple):
    """A fit, the share of the stress that it leaves [-], the pattern in it, and its AICc above the least."""

    fit: FitResult
    rms: float
    pattern: Pattern | None
    above: float

    @property
    def bent(self):
        return self.pattern is not None and self.pattern.matters

    @property
    def count(self):
        return self.fit.problem.free_without_prior

    @property
    def name(self):
        return named(self.fit.problem.law_class)


def advice(supported, nearer=(), rejected=(), against=()):
    """Return law and words of the advice.

    `supported` are fits of the laws that the readings support, the likeliest first, each with its AICc above the least; `nearer` those of
    laws that come nearer than any of them, and have a parameter to which the readings set no limit; `rejected` as `supported` of laws that do
    not describe the readings, to compare with alone; `against` are fits of laws that tests of the yield stress speak against, the likeliest first.
    """
    if nearer:
        return None, _no_law(min(nearer, key=consequence.rms))
    if not supported:
        return None, _none_supported([*against], [*dict(rejected)])
    if unread := _unread(next(iter(supported))):
        return None, unread
    found, others = (
        [_Left(fit, consequence.rms(fit), pattern(fit, RATE), above) for fit, above in fits]
        for fits in (supported.items(), dict(rejected).items())
    )
    fair = [one for one in found if not one.bent] or found
    least = min(fair, key=lambda one: one.rms)
    good = [one for one in fair if one.rms <= as_good(least.rms) or one.above <= WEAK]
    chosen = min(good, key=lambda one: one.count)  # of as few parameters the likeliest
    leaves = f"leaves {share(chosen.rms)} of the stress (rms){_bend(chosen)}{_beside(chosen, least, [*found, *others])}{_whole(chosen, found)}"
    if stamp.forbids(chosen.fit):
        return (
            None,
            f"No law is to be taken yet. Nearest{_where(chosen.fit)} is the {chosen.name}, which {leaves}. Of its fit {chosen.fit.stamp}",
        )
    words = f"Take the {chosen.name}{_where(chosen.fit)}: it {leaves}{_runs(chosen.fit)}{_outside(chosen.fit)}."
    return chosen.fit.problem.law_class, words


def _none_supported(against, rejected):
    """Return in words why no law is supported: those whose parameters the readings fix contradict tests, or do not describe the readings."""
    nearest = next(iter([*against, *rejected]), None)  # the likeliest, as the table of the laws has it
    if nearest is None:
        return "No law is supported: the readings fix the parameters of none of these; read at more rates, or name simpler laws."
    why = (
        "the tests of the yield stress speak against it" if nearest in against else "it does not describe the readings"
    )
    stamped = f" Of its fit {nearest.stamp}" if nearest.stamp else ""
    return (
        f"No law is supported: the {named(nearest.problem.law_class)} comes nearest, leaving {share(consequence.rms(nearest))} of the stress (rms), but {why}."
        f"{stamped}"
    )


def _no_law(fit):
    """Return in words that the law that comes nearest has a parameter which the readings leave open."""
    lacking = "; ".join(f"{name} needs {needs}" for name, needs in fit.not_identified.items())
    return (
        f"No law is supported: the {named(fit.problem.law_class)} comes far nearer than any other, leaving {share(consequence.rms(fit))} of the "
        f"stress (rms), but the readings do not fix all of its parameters ({lacking})."
    )


def _unread(fit):
    """Return in words that none of the rates of use was read; "" where some were, or a test of the yield stress covers them."""
    if fit.use_range is None or fit.rate_range is None or fit.covers(*fit.use_range)[0]:
        return ""
    (slowest, fastest), (low, high) = fit.use_range, fit.rate_range
    if fastest > low and slowest < high:
        return ""
    return f"No law is supported for {between(slowest, fastest, '1/s')}: {fit.covered_words}, and none of the rates of use was read. Read at those rates too."


def as_good(rms):
    """Return what another law may leave of the stress [-] and be as good as one that leaves this."""
    return max(AS_GOOD * rms, rms + HARDLY)


def _where(fit):
    """Return in words the rates that the advice is for."""
    if fit.rate_range is None:
        return ""
    rates = consequence.rates_of_use(fit)
    return f" for {between(rates[0], rates[-1], '1/s')}"


def _beside(chosen, least, found):
    """Return in words what another law leaves: the better one that is not worth its parameters, or the best without more of them."""
    more = ", with more parameters," if least.count > chosen.count else ""
    if chosen.rms > as_good(least.rms):
        return (
            f"; the {least.name}{more} leaves {share(least.rms)}, but so few readings do not tell the two apart (AICc)"
        )
    if more:
        return f"; the {least.name}{more} leaves hardly less, {share(least.rms)}"
    others = [one for one in found if one is not chosen]
    simpler = [one for one in others if one.count <= chosen.count] or others
    if not simpler:
        return ""
    next_one = min(simpler, key=lambda one: one.rms)
    if not next_one.bent and next_one.rms <= as_good(chosen.rms):
        return f"; the {next_one.name} is as good there, with {share(next_one.rms)}"
    bend = ", with a bend that matters" if next_one.bent and not chosen.bent else ""
    return f", where the {next_one.name} leaves {share(next_one.rms)}{bend}"


def _whole(chosen, found):
    """Return in words that another law is the likeliest of all readings, where the one for the rates of use is far from it."""
    if chosen.above <= WEAK:
        return ""
    return f" (of all readings together, whatever the rate, the {found[0].name} is the likeliest)"


def _bend(chosen):
    if chosen.pattern is None:
        return ""
    if not chosen.pattern.real:
        return ", with no bend left"
    return f", with a bend of up to {share(chosen.pattern.size)}{' that matters' if chosen.bent else ''}"


def _runs(fit):
    """Return in words how far runs differ, where there are several: that is more than a law of one of them leaves."""
    if fit.run_spread is None:
        return ""
    return f"; its runs differ by {share(fit.run_spread[0])} (standard deviation), which the intervals hold"


def _outside(fit):
    """Return in words what the readings cover, and what the law is beyond."""
    used = "; the rates of use go beyond that" if consequence.goes_beyond(fit) and fit.rate_range else ""
    return f"; {fit.covered_words}{used}: {fit.beyond_words}"
