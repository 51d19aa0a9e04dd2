"""Several laws to the same readings, by one call: which is worth its parameters, and which to take."""

import warnings
from collections.abc import Iterable

from ..bench import Bench, BenchTest
from ..errors import DataError
from ..hints import Table
from ..laws import LAWS, FlowLaw
from ..progress import part_of
from ..things import called
from . import consequence
from .advice import Advice
from .asked import fitted, tests_and_benches
from .over_conditions import over_conditions
from .ranking import TOO_FEW, TOO_MANY, ranked, too_many


def compare(
    law_classes: Iterable[type[FlowLaw]],
    *tests_or_bench: Bench | BenchTest,
    use_range: tuple[float, float] | None = None,
) -> Table:
    """Fit several laws to the same readings and rank them.

    Parameters
    ----------
    law_classes : sequence of type
        Subclasses of FlowLaw; made to depend on the conditions in which the readings differ, as by `over_conditions`.
    *tests_or_bench : Bench or BenchTest
    use_range : tuple of float, optional
        Slowest and fastest shear rate at which the law will be used; else those read. [1/s]

    Returns
    -------
    comparison : DataFrame
        Index: the law's name, best first. Columns: parameters (those that no prior holds), residual_sum (in standard
        uncertainties; an unknown error size is that of the first law), rms (what it leaves at the rates of use, as a share of the
        stress), misfit, AICc, difference, weight, verdict. With too few readings for AICc, or none that set a limit to one of
        its parameters, a law has no AICc and its verdict is "too many parameters for N readings", or "no more than" a law that it
        holds and that goes as near. The verdict of the first law says too where the checks of its fit forbid to use it. Which law to
        take at the rates of use, and why, stands as one sentence in ``attrs["advice"]``; see `which_law`.

    Notes
    -----
    AICc = misfit + 2k + 2k(k+1)/(N-k-1). The misfit is -2 ln likelihood but for a constant: χ² of readings with stated
    uncertainties and of priors, and N_g ln(squares/N_g) for each set of N_g readings that share an unknown error size, its
    squares as read; each such size counts in k. Sets too small to tell their error size, and the spread of batches, keep the
    size that the law of most parameters finds. A law that contains another never has the larger misfit: where a search
    says otherwise, the larger law is fitted again from the smaller one's end.
    """
    if isinstance(law_classes, str) or not isinstance(law_classes, Iterable):
        raise TypeError(
            f"compare: {called(law_classes)} is no list of laws; give one such as [rk.PowerLaw, rk.HerschelBulkley], and then "
            "the bench."
        )
    law_classes = list(law_classes)
    if not law_classes:
        raise DataError("compare: no law was given; give a list such as [rk.PowerLaw, rk.HerschelBulkley].")
    return compared(law_classes, tests_or_bench, use_range=use_range)


def which_law(
    *tests_or_bench: Bench | BenchTest,
    law_classes: Iterable[type[FlowLaw]] | None = None,
    use_range: tuple[float, float] | None = None,
) -> Advice:
    """Say in one sentence which law to take for the rates of use, and why.

    Parameters
    ----------
    *tests_or_bench : Bench or BenchTest
    law_classes : sequence of type, optional
        Laws to choose from; by default all of ``rk.LAWS``. They depend on the conditions in which the readings differ, as by
        `over_conditions`.
    use_range : tuple of float, optional
        Slowest and fastest shear rate at which the law will be used; else those read. [1/s]

    Returns
    -------
    Advice
        law, words, table: of the laws that the readings support the one that leaves least of them at these rates, or a simpler one that
        is as good there.

    Raises
    ------
    DataError
        As `fit`.

    Examples
    --------
    >>> import rheokit as rk
    >>> rate = [0.3, 1, 3, 10, 30, 100, 300, 600, 1000]
    >>> curve = rk.FlowCurve(shear_rate=rate, shear_stress=[771, 874, 957, 1180, 1400, 1890, 2480, 3020, 3580])
    >>> rk.which_law(curve, law_classes=[rk.Bingham, rk.HerschelBulkley]).law.name
    'Herschel-Bulkley'
    """
    table = compare(LAWS.values() if law_classes is None else law_classes, *tests_or_bench, use_range=use_range)
    return Advice(table.attrs["law"], table.attrs["advice"], table)


def compared(law_classes, tests_or_bench, known=(), use_range=None):
    """Return what `compare` does; laws that are `known` by a fit need no search."""
    law_classes = [over_conditions(one, *tests_or_bench) for one in law_classes]
    needless, known = _needless(law_classes, tests_or_bench), {one.problem.law_class: one for one in known}
    asked, fits, had = [one for one in law_classes if one not in needless], [], known
    if len({bool(one.conditions) for one in (*asked, *known)}) > 1:
        known = {}  # all laws to the same records, as the one of most conditions takes them
    with warnings.catch_warnings(action="ignore"):
        for place, law_class in enumerate(asked, 1):
            with part_of(f"{place} of {len(asked)}"):
                one = known.get(law_class) or fitted(law_class, tests_or_bench, use_range=use_range, beside=asked)
                fits.append(one)
    frame = ranked(fits)
    if len(frame) == 1 and any(TOO_MANY in why for why in needless.values()):
        frame["verdict"] = TOO_FEW
    for law_class, why in needless.items():
        name = law_class.name or law_class.__name__
        frame.loc[name, ["parameters", "verdict"]] = len(law_class.parameters()), why
        if law_class in had:  # it was fitted, whatever the verdict
            frame.loc[name, ["residual_sum", "rms"]] = had[law_class].chi_square, consequence.rms(had[law_class])
    return frame.astype({"parameters": int})


def _needless(law_classes, tests_or_bench):
    """Return why a law need not be fitted, in words, by its class: none follows where a search would take long for a verdict known before.

    A law of as many parameters as there are readings but one has no AICc; one without a yield stress cannot be a paste's that shows one.
    """
    tests = [test for test in tests_and_benches(tests_or_bench)[0] if not test.gives]
    count, found = sum(len(test.readings) for test in tests), {}
    shown = next((test.kind for test in tests if len(test.yield_stresses()) and not test.bounds[0].all()), None)
    for law_class in law_classes:
        if shown and "yield_stress" not in law_class.parameters():
            found[law_class] = f"has no yield stress, which the {shown} shows"
        elif len(law_class.parameters()) >= count - 1:
            found[law_class] = too_many(count)
    fewest = min(len(law_class.parameters()) for law_class in law_classes)
    if len(found) == len(set(law_classes)):  # somebody asks of these alone
        return {one: why for one, why in found.items() if len(one.parameters()) > fewest}
    return found
