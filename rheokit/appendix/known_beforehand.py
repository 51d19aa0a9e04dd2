"""What is known of the parameters of a fit before a reading counts: where factors enter, priors, and bounds with their reasons."""

import math

from ..nomenclature import and_
from ..nomenclature.measures import Unit
from .cells import in_unit, kept, with_uncertainty
from .document import Block, Equation, Paragraph, Table
from .study import Study

ON_STRESS = ("model_factor", "criterion_factor", "batch_factor", "record_factor", "lack_of_fit_factor")
"""Factors on every stress of a test, in the order in which they are printed."""
WHERE = {
    "model_factor": "one for all tests of a kind",
    "criterion_factor": "of tests that are no simple shear alone",
    "batch_factor": "one a batch",
    "record_factor": "one a record",
    "lack_of_fit_factor": "where the law leaves a pattern along the rate",
}
WHY = {
    "yield_stress": "a stress below which it does not flow is none or more",
    "flow_index": "farther than any paste lies; a value at one of them is said to be at its bound",
    "plunger_friction": "friction never pushes",
    "barrel_drag": "from no drag of the wall to none of slip",
    "wall_friction": "from a plate that slips, 0, to one that holds the paste, 1: its wall carries no more than the yield stress",
    "end_correction": "an end costs no less than nothing; the upper end is farther than any lies",
    "slip_threshold": "a stress is none or more; the upper end is farther than any lies",
}
"""Why a parameter is bounded as it is, by name."""
OF_LOGARITHM = "above 0, since its logarithm is searched"
OPEN = "none or more; nothing bounds it above"
FARTHEST = "the farthest that a search goes"


def factors(study: Study) -> tuple[Block, ...]:
    """Return where factors of theory, criterion, batch and bore enter what the law predicts, nothing where there are none."""
    names = {key.partition("[")[0]: prior.symbol for key, prior in study.fit.problem.nuisances.items()}
    on_stress = [name for name in ON_STRESS if name in names]
    said, spoken = [], []
    if on_stress:
        entering = [(names[name], WHERE[name]) for name in on_stress]
        entering += [("f_r", "one a run, of Table “run factors” under “Estimates”")] if study.fit.problem.runs else []
        said.append(f"τ_t(γ̇) = {' '.join(symbol for symbol, _ in entering)} τ(γ̇)")
        told = and_([f"{symbol} ({where})" for symbol, where in entering])
        spoken.append(f"The stress τ_t that a test sees is that of the law times {told}.")
    if "static_ratio" in names:
        said.append("τ_ys = r τ_y")
        spoken.append("Where flow starts it is r times as much.")
    if "bore_factor" in names:
        said.append("D_t = f_D D")
        spoken.append("The true bore D_t is f_D times the bore stated, one factor a nozzle.")
    if not said:
        return ()
    return (Equation(", ".join(said), " ".join(spoken), "definition of the factors, whose priors stand below"),)


def priors(study: Study) -> Table | Paragraph:
    """Return the priors of apparatus and theories, and where the fit puts each."""
    fit, rows = study.fit, []
    for key, prior in fit.problem.nuisances.items():
        name = key.partition("[")[0].replace("_", " ")
        of = getattr(key, "of", None) or "all tests"
        unit = Unit(prior.unit, 1.0)
        kind = "none" if not math.isfinite(prior.spread) else "lognormal" if prior.logarithmic else "normal"
        spread = "no limit" if not math.isfinite(prior.spread) else in_unit(prior.spread, unit)
        spread_unit = "sd of ln" if prior.logarithmic else prior.unit
        rows.append(
            (
                name,
                prior.symbol,
                str(of),
                kept(float(prior.middle)),
                spread,
                spread_unit,
                kind,
                _fitted(fit, key),
                prior.unit,
            )
        )
    if not rows:
        return Paragraph("Nothing is known beforehand of apparatus or theory: there are no priors.")
    return Table(
        "priors",
        f"{study.of}: what is known beforehand of apparatus and theories (priors), and where the fit puts each.",
        ("quantity", "symbol", "of", "prior", "its spread", "spread in", "distribution", "fitted", "unit"),
        tuple(rows),
        "Prior: median of a lognormal, mean of a normal distribution.",
        row_names=False,
    )


def _fitted(fit, key):
    """Return what the fit made of a prior as a cell, with the digits that it has among the estimates."""
    value = float(fit.nuisance[key])
    error = float(fit.table.stderr.get(key, math.nan))
    return with_uncertainty(value, error)[0] if error > 0 else kept(value)


def bounds(study: Study) -> Table:
    """Return the bounds of every parameter that is searched, of the law and beside it, each with why."""
    problem = study.fit.problem
    rows = [
        _bound(name, name.replace("_", " "), one.symbol, one.low, one.high, one.unit, one.logarithmic)
        for name, one in problem.law_class.parameters().items()
    ]
    rows += [
        _bound(
            key.partition("[")[0], str(key).replace("_", " "), one.symbol, one.low, one.high, one.unit, one.logarithmic
        )
        for key, one in problem.nuisances.items()
    ]
    return Table(
        "bounds",
        f"{study.of}: bounds of every parameter in the search, of the law and beside it. No parameter of the law has a prior.",
        ("parameter", "symbol", "lowest", "highest", "unit", "searched in", "why"),
        tuple(rows),
    )


def _bound(name, words, symbol, low, high, unit, logarithmic):
    why = WHY.get(name) or (
        OF_LOGARITHM
        if logarithmic and low == 0
        else FARTHEST
        if math.isfinite(high)
        else OPEN
        if low == 0
        else FARTHEST
    )
    return words, symbol, _end(low), _end(high), unit, "logarithm" if logarithmic else "itself", why


def _end(value):
    return "no limit" if not math.isfinite(value) else in_unit(value, Unit("", 1.0))
