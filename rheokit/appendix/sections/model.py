"""The law and its equation, how residuals are weighted, what is known beforehand, and which other laws were compared."""

from ...bench.base import CRITERION_ERROR
from ...errors import DataError
from ...fitting.advice import WEAK
from ...fitting.comparison import compared
from ...fitting.over_conditions import CHOSEN
from ...fitting.search import NO_FALL, STILL, STUCK, TIMES
from ...fitting.text import RANKED, named, ranking
from ...laws import LAWS
from ...nomenclature import and_, number, with_unit, written
from ..authors import unless_noted
from ..cells import NOT_STATED, counted
from ..document import Block, Equation, Paragraph, Points, Section, Table
from ..known_beforehand import bounds, factors, priors
from ..stated_errors import how_stated
from ..study import Study

TITLE = "Law and error model"
OF_ERRORS = ("uncertainties", "instruments", "calibration")
"""Entries of the authors that may state how large the error of a reading is."""
METHOD = (
    "All tests are fitted together, by weighted least squares: the sum of squares of the residuals of all readings, and of what is known beforehand (the "
    "priors), each in its standard deviation. A bound (at most, at least) enters as √(-2 ln Φ(z)).",
    "A residual is formed in one of two ways, and the table says for each test in which. On the scale of the reading: (reading - prediction)/u, where an "
    "amount a is stated, alone or beside a share s; then u² = a² + (s × reading)², the parts added in quadrature row by row. On the scale of logarithms: "
    "ln(reading/prediction)/s, where a share s alone is stated, or where none is and the residuals tell s. A share is one of what was read and not of "
    "the prediction, so that no weight moves with the search.",
    "Readings that lie far off are kept, with full weight: the loss is the plain square, not a robust one, and nothing is left out or weighed down by the "
    "fit itself. Errors that were stated are not enlarged to suit the scatter: that they are too small fails the check “scatter about the law as "
    "expected”. Which reading lies farthest, and whether farther than chance has it, says the check “no reading pulls the fit” (studentised residuals); "
    "what each answer becomes without a reading or a test, or why that is not known, stands under “Residuals”. What somebody left out is named under “Protocol”.",
    "The search runs from several starts read off the bench (no start was given by hand), in the law's own coordinates: a yield stress as it "
    "is, with a wall at 0; the logarithm of the viscous stress at the middle rate; a flow index.",
    "Limits are those of the 95 % profile of the sum of squares; where the size of an error was estimated from the residuals, Student's t of "
    "its degrees of freedom sets the rise.",
)
LOGARITHMS, READ, QUADRATURE = "its logarithm", "the reading", "the reading, parts in quadrature"
NO_RESIDUAL, OF_APPARATUS = "none: property of the paste", "none: property of the apparatus"
COMPARED = ("Newtonian", "power law", "Bingham", "Casson", "Herschel-Bulkley")
"""Laws that are compared beside that of the plan: those in common use; all that there are would take a minute and more."""
RIVALS = "page.fit", "compare"
"""Where a plan keeps the names of the laws that are compared on the page of the fit: they are compared here too."""


def section(study: Study) -> Section:
    """Return equation, error model, priors, and the laws that were compared."""
    fit = study.fit
    law_class = fit.problem.law_class
    plain = getattr(law_class, "base", law_class)
    about = law_class.parameters()
    told = "; ".join(f"{one.symbol} [{one.unit}]: {one.meaning}" for one in about.values())
    blocks: list[Block] = [
        Equation(
            law_class.equation(),
            f"The {named(law_class)}, shear stress τ [Pa] at a shear rate γ̇ [1/s]. {told}.",
            plain.source,
        ),
        *_conditions(fit),
        *factors(study),
        Paragraph(_freedom(fit)),
        Points((*METHOD, _minimiser(), *_besides(fit.problem))),
        _errors(study),
        how_stated(study),
    ]
    blocks += [priors(study), bounds(study)]
    try:
        blocks += _compared(study)
    except DataError as error:
        blocks.append(Paragraph(f"Other laws: not compared. {study.plain(str(error))}"))
    return Section(TITLE, tuple(blocks))


def _minimiser():
    """Return how the sum of squares is searched, and when a search has converged."""
    return (
        "The minimiser is rheokit's own (fitting/search.py): Gauss-Newton in the box of the bounds, damped as by Levenberg and Marquardt where a step does not "
        "lower the sum, with a secant term for the curvature of the residuals (Dennis, Gay and Welsch 1981, from memory) where steps do not shorten fast; linear "
        f"algebra by numpy. Converged is a search whose step moved no coordinate by {number(STILL)} of its scale, or whose sum fell by a share of less than "
        f"{number(NO_FALL)} in {counted(TIMES, 'step')} on end, or, where no step lowers the sum, whose last one was shorter than {number(STUCK)} of a scale."
    )


def _conditions(fit):
    """Return the equation of each factor of a condition with its reference, and how that is chosen."""
    for condition, _ in fit.law.conditions:
        about = condition.parameter
        symbol = condition.reference_symbol
        yield Equation(
            condition.rule,
            f"{condition.factor} is a factor on every {'rate' if condition.on_rates else 'stress'}, and is 1 at the reference, {symbol} = "
            f"{fit.references[condition.name]}. {about.symbol} [{about.unit}]: {about.meaning}. {condition.meaning}. "
            f"{'; '.join(f'{one} [{unit}]: {meaning}' for one, meaning, unit in condition.symbols)}",
            condition.source,
        )
    if fit.law.conditions:
        yield Paragraph(f"Values of the law hold at its reference, {fit.reference}. {CHOSEN}")


def _besides(problem):
    """Return how residuals are formed where a row stands for several readings, or readings for several runs."""
    if problem.total > sum(problem.counts):
        yield f"{problem.total} readings were gathered into {sum(problem.counts)} means: the residual of a mean of m readings is √m times that of one."
    if problem.runs:
        yield "Readings of one run share how far that run lies off: their residuals are turned into independent ones before they are squared."


def _freedom(fit):
    problem = fit.problem
    batches = (
        f" {counted(len(problem.batches), 'batch', 'batches')} differ by a spread of ln stress of {number(problem.batch_spread)}; what tells it stands under “Estimates”."
        if problem.batches
        else ""
    )
    lack = (
        f" The law leaves {number(100 * problem.lack_of_fit)} % of the stress along the rate, which the limits hold."
        if problem.lack_of_fit
        else ""
    )
    open_ = [name for name in fit.not_identified if name in problem.free]
    fixed = (
        f", {len(open_)} of which the readings do not fix ({and_([one.replace('_', ' ') for one in open_])})"
        if open_
        else ""
    )
    prior = fit.chi_square - fit.squares_of_readings
    parts = (
        f" ({number(fit.squares_of_readings)} of the readings, {number(prior)} of what is known beforehand)"
        if problem.nuisances
        else ""
    )
    return (
        f"{counted(problem.total, 'reading')} in {counted(len(fit.tests), 'test')}; {counted(problem.free_without_prior, 'free parameter')}{fixed}, "
        f"{counted(len(problem.nuisances), 'parameter')} of apparatus and theory with a prior; {counted(fit.degrees_of_freedom, 'degree')} of freedom, "
        f"readings less free parameters; sum of squares {number(fit.chi_square)}{parts}.{batches}{lack}"
    )


def _state(test):
    """Return which yield stress the readings of a test see."""
    static = test.static_rows
    return test.state if static.all() or not static.any() else f"{test.state}; {test.rows_where(static)}: static"


def _errors(study):
    fit, rows = study.fit, []
    properties = [test for test in study.tests if test.gives]
    sizes = [*fit.problem.sizes, *[None] * len(properties)]
    for test, size in zip([*fit.tests, *properties], sizes, strict=True):
        both = test.uncertainty is not None and test.relative_uncertainty is not None
        if size is None and not test.error_is_known:
            usual = f", {with_unit(number(100 * test.usual_scatter), '%')}" if test.usual_scatter else ""
            how, scatter = f"not stated; their scatter counts, else what is usual{usual}", NOT_STATED
        elif not test.error_is_known:
            how = f"estimated from the residuals, equal {'shares' if test.error == 'relative' else 'amounts'}"
            scatter = with_unit(number(100 * size), "%") if test.error == "relative" else written(size, _unit(test))
        else:
            how = "of rounding stated, of scatter estimated" if test.rounding_alone else "stated"
            parts = []
            if test.uncertainty is not None:
                parts.append(_range(test.uncertainty, lambda one, test=test: written(one, _difference(test))))
            if test.relative_uncertainty is not None:
                parts.append(_range(test.relative_uncertainty, lambda one: f"{number(100 * one)} %"))
            scatter = " and ".join(parts)
        none = OF_APPARATUS if test.of_apparatus else NO_RESIDUAL
        scale = none if size is None else LOGARITHMS if test.in_logarithms else QUADRATURE if both else READ
        criterion = "-" if size is None else "no: simple shear" if test.simple_shear else "yes"
        rows.append(
            (
                test.name,
                test.reads.replace("_", " "),
                scatter,
                how,
                scale,
                "exact" if not test.model_error else number(test.model_error),
                criterion,
                "-" if size is None else _state(test),
            )
        )
    return Table(
        "error-model",
        f"{study.of}: standard uncertainty of each reading, and standard deviation of the ln of the stress for the theory of its test (one factor "
        f"for all tests of a kind); von Mises' criterion has one factor more, of {number(CRITERION_ERROR)}, where a test is no simple shear.",
        (
            "test",
            "what was read",
            "standard uncertainty of a reading",
            "whence",
            "residual on the scale of",
            "theory, sd of ln [-]",
            "criterion",
            "yield stress",
        ),
        tuple(rows),
        f"Not stated: not typed in bench.toml{unless_noted(study, *OF_ERRORS)}. How a residual is formed on each scale stands above. "
        "Tests of properties are no part of the fit: of them the theory is sd of ln of the property. A theory without an error is taken as exact, and a check says so.",
    )


def _unit(test):
    from ...bench.base import quantity_of

    return quantity_of(test, test.reads)


def _difference(test):
    about = _unit(test)
    return "temperature_difference" if about.unit == "K" else about


def _range(value, write):
    low, high = (
        (float(value), float(value)) if not getattr(value, "ndim", 0) else (float(value.min()), float(value.max()))
    )
    return write(low) if low == high else f"{write(low)} to {write(high)}"


def _compared(study):
    fit = study.fit
    asked = (*COMPARED, study.book.law, *study.book.plan.listed(*RIVALS))
    names = [name for name in LAWS if name in asked]
    left = [name for name in LAWS if name not in names]
    frame = compared([LAWS[name] for name in names], (study.book.tests,), known=(fit,), use_range=study.book.use_range)
    fitted = int(frame.rms.notna().sum())
    idle = len(frame) - fitted
    beside = (
        f"; {idle} more {'is' if idle == 1 else 'are'} not fitted, for the reason in the last column" if idle else ""
    )
    table = Table(
        "laws",
        f"{study.of}: {counted(fitted, 'law')} fitted to the same readings, the likeliest first, by Akaike's criterion for few readings (AICc){beside}.",
        tuple(_heads()),
        tuple(tuple(row) for row in ranking(frame)),
        "Leaves of the stress: root mean square of what the law leaves of the readings. A law with an AICc of more than 10 above the best has no "
        "support (Burnham and Anderson 2002, from memory).",
    )
    rest = (
        [
            Paragraph(
                f"Not compared here: {', '.join(left)}; all of them would take a minute and more. “Best” is the best of the table alone: one of "
                "these may not be to be told apart from it, or describe the readings better. The command rheokit fit FOLDER --compare compares them all; "
                "laws that are chosen on the page of the fit stand here too."
            )
        ]
        if left
        else []
    )
    alike = frame.index[frame.difference <= WEAK].tolist()
    apart = [Paragraph(f"Not to be told apart by these readings: {', '.join(alike)}.")] if len(alike) > 1 else []
    return [table, *apart, Paragraph(frame.attrs["advice"]), *rest]


def _heads():
    return [*RANKED[:2], "leaves of the stress, rms [%]", *RANKED[3:]]
