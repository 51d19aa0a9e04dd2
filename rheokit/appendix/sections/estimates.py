"""Estimates with their limits, how they hang together, and stresses at reference rates."""

import math

from ...fitting.correlations import WITHIN, decimals_of
from ...fitting.over_conditions import activation_of_stress
from ...fitting.text import ends_found, off_one
from ...nomenclature import common_unit, number, unit_for, with_decimals
from ...nomenclature import with_limits as with_text
from ..cells import with_limits, with_uncertainty
from ..document import Block, Caution, Cell, Paragraph, Section, Shown, Table
from ..study import Study

TITLE = "Estimates"
HOW = (
    "Limits are of the 95 % interval by the profile of the sum of squares, in which all other parameters move along; they need not lie evenly about "
    "the value. A value here ends with the digit of its standard uncertainty (JCGM 100, 7.2.6, from memory), "
    "its limits, and the value elsewhere, with that of the interval."
)

OF_BATCHES = (
    "The spread from batch to batch is integrated out, by Student's t of as many degrees of freedom as tell it, so at these limits the sum of squares has "
    "risen by more than the 3.84 of one parameter when all else is known."
)


def section(study: Study) -> Section:
    """Return values with limits, correlations, and stresses."""
    fit = study.fit
    blocks: list[Block] = [Caution(fit.stamp)] if fit.stamp else []
    if fit.reference:
        blocks.append(Paragraph(f"Values of the law hold at its reference, {fit.reference}."))
    if fit.problem.batches:
        blocks.append(
            Paragraph(
                f"Values of the law and their limits are {study.held}. "
                f"Spread of ln stress from batch to batch: {fit.between_batches}."
            )
        )
    how = f"{HOW} {OF_BATCHES}" if fit.problem.batches else HOW
    return Section(
        TITLE,
        (
            *blocks,
            Paragraph(how),
            _values(study),
            *_run_factors(study),
            *_of_stress(study),
            *_correlations(study),
            _stresses(study),
        ),
    )


def _values(study):
    fit, rows, apart = study.fit, [], off_one(study.fit)
    for name, row in fit.table.iterrows():
        words = str(name).replace("_", " ")
        if name in fit.not_identified:
            rows.append(
                (
                    words,
                    row.symbol,
                    "not identified",
                    "no limit",
                    "no limit",
                    "-",
                    row.unit,
                    f"needs {fit.not_identified[name]}",
                )
            )
            continue
        value, low, high, unit = with_limits(row.value, *ends_found(fit, name, row.low, row.high), row.unit)
        error: Cell = "-"
        if not math.isnan(row.stderr):
            error = _error(row, unit)
            if isinstance(value, Shown):
                value, error = _to_one_digit(value, error)
        rows.append((words, row.symbol, value, low, high, error, unit, _note(row, str(name) in apart)))
    return Table(
        "estimates",
        f"{study.of}: {study.fit.problem.total} readings, values with the limits of their 95 % profile interval and their standard uncertainty.",
        ("parameter", "symbol", "value", "low", "high", "standard uncertainty", "unit", "note"),
        tuple(rows),
        "Standard uncertainty: from the linear covariance, to be compared with; the limits are to be preferred. Parameters with [...] are of "
        "apparatus and theory, with a prior; a limit of theirs is not known where it was not met within 15 standard deviations of what was told.",
    )


def _of_stress(study):
    """Return how the stress at one rate moves with the temperature, where one number says so: what is mostly quoted as an activation energy."""
    found = activation_of_stress(study.fit)
    if found is None:
        return []
    told = with_text(found.value, found.low, found.high, "J/mol")
    return [
        Paragraph(
            f"The stress at one rate (above the yield stress), and K, move with n E_a = {told}: the slope of ln K against 1/T, times R. E_a itself is that of the rates."
        )
    ]


def _run_factors(study):
    """Return the table of the factors of runs; none where no record has several."""
    rows = [
        (
            row.name,
            Shown(int(row.run), str(int(row.run))),
            row.branch or "none",
            *(Shown(float(value), number(float(value), 3)) for value in (row.value, row.low, row.high)),
        )
        for row in study.fit.run_factors.itertuples(index=False)
    ]
    if not rows:
        return
    yield Table(
        "run-factors",
        f"{study.of}: the factor of each run on every stress, over the law of the median run, with the limits of its 95 % interval.",
        ("test", "run", "branch", "factor [-]", "low [-]", "high [-]"),
        tuple(rows),
        "Drawn to 1 by as much as the spread from run to run (“run spread” above) is told beside the scatter of a run's readings; predictions under “Residuals” hold it.",
        row_names=False,
    )


def _to_one_digit(value, error):
    """Return a value and its standard uncertainty as cells that end with the same digit: that of the uncertainty, or of the interval where that is finer."""
    finer, places = with_uncertainty(value.value, error.value), _decimals(value)
    return finer if _decimals(finer[0]) >= places else (value, Shown(error.value, with_decimals(error.value, places)))


def _decimals(cell):
    return len(str(cell).replace(",", ".").partition(".")[2])


def _note(row, apart):
    """Return what is remarkable of an estimate: that it is at its bound, or a factor of a theory or an apparatus whose interval leaves out 1."""
    if row.at_bound:
        return "at its bound"
    return "its interval leaves out 1" if apart else ""


def _error(row, unit):
    """Return a standard uncertainty as a cell in the unit in which its value stands."""
    size = row.value if math.isfinite(row.value) else row.high
    factor = unit_for(row.unit, size).factor
    return Shown(row.stderr / factor, number(row.stderr / factor, 2))


def _correlations(study):
    frame = study.fit.correlations
    names = [str(name) for name in frame.index]
    places = {name: f"({place})" for place, name in enumerate(names, 1)}
    if len(names) < 2:
        return [Paragraph("One parameter alone was fitted: there is nothing that it could be correlated with.")]
    rows, (digits, enough) = [], decimals_of(frame)
    kept = (
        f"With {digits} decimals the printed matrix is positive definite, and gives the variance of any sum of parameters within {number(100 * WITHIN)} %."
        if enough
        else f"The readings tell a sum of some of them alone: even {digits} decimals do not make the printed matrix positive definite."
    )
    for name in names:
        values = [frame.loc[name, other] for other in names]
        cells_ = [
            "-" if math.isnan(value) else Shown(float(value), with_decimals(value, digits, sign=True))
            for value in values
        ]
        rows.append((f"{places[name]} {name.replace('_', ' ')}", *cells_))
    return [
        Table(
            "correlations",
            f"{study.of}: full correlation matrix of the fitted parameters, from the linear covariance; parameters are numbered. {kept}",
            ("parameter", *places.values()),
            tuple(rows),
            "A parameter at its bound, or not identified, has none (-). Use joint draws or the stresses below, and not correlated values one by one.",
        )
    ]


def _stresses(study):
    fit = study.fit
    several, rows = bool(fit.problem.batches), []
    unit = common_unit("shear_stress", *fit.stresses.value)
    for rate, row in fit.stresses.iterrows():
        limits = [("median batch" if several else "", row.low, row.high)]
        limits += [("next batch", row.next_low, row.next_high)] if several else []
        for batch, low, high in limits:
            open_ = math.isnan(row.value)
            value, least, most, _ = with_limits(row.value, low, high, unit)
            if isinstance(value, Shown) and math.isfinite(row.high - row.low):  # alike in both rows of a rate
                value, _ = with_uncertainty(value.value, (row.high - row.low) / unit.factor / 4)
            note = ", ".join(
                filter(None, [batch, "extrapolated: beyond the rates read" if row.extrapolated and not open_ else ""])
            )
            rows.append((Shown(float(rate), number(rate)), "not identified" if open_ else value, least, most, note))
    return Table(
        "stresses",
        f"{study.of}: shear stress at reference rates{' and at the rates of use' if fit.use_range else ''}, with the limits of its 95 % interval.",
        ("shear rate [1/s]", f"stress [{unit.text}]", f"low [{unit.text}]", f"high [{unit.text}]", "note"),
        tuple(rows),
        ". ".join(
            filter(
                None,
                [
                    fit.needed if fit.stresses.value.isna().any() else "",
                    f"Next batch: spread of {fit.between_batches}" if several else "",
                    "A stress ends with the digit of a quarter of its 95 % interval, which is about its standard uncertainty.",
                ],
            )
        ),
    )
