"""The result of a fit in words: for a terminal, and for a notebook."""

import html as escaping

import numpy as np

from ..bench.gathered import words as gathering
from ..checking import verdict_of
from ..nomenclature import QUANTITIES, cells, common_unit, number, with_decimals, with_limits, written
from ..sampling import SURE
from . import stamp
from .handling import caution
from .identified import OPEN

OF_ONE = ("model_factor", "criterion_factor", "bore_factor")  # factors that are 1 where theory and dimensions are right
HEAD = ["parameter", "", "value", "95 % interval", "unit", ""]
RANKED = ["law", "parameters", "leaves of the stress (rms)", "AICc above the best", "verdict"]


def estimates(result):
    """Return the rows of the table of estimates as text: name, symbol, value, limits, unit, note."""
    rows = []
    for name, row in result.table.iterrows():
        value, limits, unit = cells(row.value, row.low, row.high, row.unit)
        note = "at its bound" if row.at_bound else ""
        low, high = ends_found(result, name, row.low, row.high)
        if np.isnan(low) or np.isnan(high):
            limits = " to ".join("not known" if np.isnan(end) else number(end, 4) for end in (low, high))
        if name in result.not_identified:
            value, limits, unit, note = OPEN, "no limit", row.unit, f"needs {result.not_identified[name]}"
        rows.append([name, row.symbol, value, limits, unit, note])
    return rows


def stresses(result):
    """Return the rows of the table of stresses as text."""
    rows = []
    several = bool(result.problem.batches)
    unit = common_unit("shear_stress", *result.stresses.value)
    for rate, row in result.stresses.iterrows():
        is_open = np.isnan(row.value)
        limits = [("median batch" if several else "", row.low, row.high)]
        limits += [("next batch", row.next_low, row.next_high)] if several else []
        for batch, low, high in limits:
            note = ", ".join(filter(None, [batch, "extrapolated" if row.extrapolated and not is_open else ""]))
            value, shown, text = cells(row.value, low, high, unit)
            rows.append([f"stress at {written(rate, '1/s')}", "τ", OPEN if is_open else value, shown, text, note])
    return rows


def off_one(result):
    """Return the factors of theories and dimensions, by name, whose 95 % interval leaves out 1: what the readings move away from what was told."""
    table = result.table
    names = [str(key) for key in result.problem.nuisances if key.name in OF_ONE and key in table.index]
    return [name for name in names if not table.low[name] <= 1 <= table.high[name]]


def ends_found(result, name, low, high):
    """Return the limits of a parameter, NaN for one that was not found: of what was told beforehand a search goes 15 standard deviations and no farther."""
    prior = result.problem.nuisances.get(name)
    if prior is None or not np.isfinite(prior.spread):
        return float(low), float(high)
    return (
        np.nan if prior.logarithmic and low <= 0 else float(low),
        np.nan if np.isinf(high) else float(high),
    )


def told_with_limits(result, name):
    """Return an estimate with its limits in words; a limit that was not found is not known."""
    row = result.table.loc[name]
    low, high = ends_found(result, name, row.low, row.high)
    if np.isfinite([low, high]).all():
        return with_limits(float(row.value), low, high, row.unit)
    ends = ("not known" if np.isnan(end) else number(end, 4) for end in (low, high))
    return f"{number(float(row.value), 4)} (95 %: {', '.join(f'{side} limit {end}' for side, end in zip(('lower', 'upper'), ends, strict=True))})"


def ranking(frame):
    """Return the rows of a comparison of laws as text: law, parameters, what it leaves, its AICc above the best, verdict."""
    return [
        [
            law,
            str(row.parameters),
            "not fitted" if np.isnan(row.rms) else written(row.rms, "%", 2),
            "none" if np.isnan(row.difference) else number(row.difference),
            row.verdict,
        ]
        for law, row in frame.iterrows()
    ]


def ranked(frame):
    """Return a comparison of laws as text, with the sentence that says which to take."""
    return "\n".join([*_columns([RANKED, *ranking(frame)]), "", frame.attrs["advice"]])


def properties(bench):
    """Return what the tests of properties of a bench measure, one line each."""
    lines = []
    for name, one in bench.properties().items():
        low, high = (one.value * np.exp(sign * SURE * one.spread) for sign in (-1, 1))
        said = with_limits(one.value, low, high, name)
        lines.append(f"{name.replace('_', ' ')} {QUANTITIES[name].symbol} = {said}: {one.origin}")
    return lines


def correlations(result):
    """Return the correlations of the law's parameters in one line."""
    names = [name for name in result.problem.free if np.isfinite(result.correlations.loc[name, name])]
    pairs = [(a, b) for i, a in enumerate(names) for b in names[i + 1 :]]
    symbols = result.table.symbol
    said = ", ".join(
        f"{symbols[a]} with {symbols[b]} {with_decimals(result.correlations.loc[a, b], 2, sign=True)}" for a, b in pairs
    )
    return f"correlations: {said} (use the joint draws or the stresses, not these values one by one)" if said else ""


def _columns(rows):
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]


def named(law_class):
    """Return a law's name in words: "Herschel-Bulkley law", "power law"."""
    name = law_class.name or law_class.__name__
    return name if name.endswith("law") else f"{name} law"


def heading(result):
    """Return law, pastes and tests in one line."""
    pastes = {b.specimen.paste for b in result.benches if b.specimen.paste}
    invented = any(b.specimen.invented for b in result.benches)
    at = f" (values at {result.reference})" if result.reference else ""
    of = f" of {', '.join(sorted(pastes))}" if pastes else ""
    note = " (INVENTED readings, for demonstration)" if invented else ""
    rows = sum(result.problem.counts)
    means = f" in {rows} means" if rows < result.problem.total else ""
    readings = f"{_counted(result.problem.total, 'reading')}{means}"
    said = [
        named(result.problem.law_class) + at + of + note,
        _counted(len(result.tests), "test"),
        readings,
    ]
    return ", ".join(filter(None, [*said, median_batch(result)]))


def median_batch(result):
    """Return that law and estimates are of the median batch, where several were read."""
    return f"median batch of {len(result.problem.batches)}" if result.problem.batches else ""


def apart(result):
    """Return how far the batches lie apart and what tells so; nothing where one batch was read."""
    return f"Spread of ln stress from batch to batch: {result.between_batches}." if result.between_batches else ""


def _counted(count, noun):
    return f"{count} {noun}{'' if count == 1 else 's'}"


def short(result):
    """Return law and estimates with their limits, and the verdict, as text."""
    own = estimates(result)[: len(result.problem.law_class.parameters())]
    lines = [result.stamp, heading(result), *_columns([HEAD, *own]), "" if result.stamp else result.verdict]
    return "\n".join(filter(None, lines))


def in_order(result):
    """Return the checks of a fit, a DataFrame: failed ones first, the likeliest cause before its consequences, then what was seen and is small."""
    import pandas as pd

    return pd.concat(
        [stamp.failed(result), stamp.seen(result), result.checks[result.checks.passed & ~result.checks.seen]]
    )


def summary(result):
    """Return the whole result as text."""
    rows = [HEAD, *estimates(result), *stresses(result)]
    stamped = [result.verdict, ""] if result.stamp else []
    lines = [*stamped, heading(result), "", *_columns(rows), *filter(None, [correlations(result)])]
    lines += [
        *filter(None, [gathering(result.tests), apart(result)]),
        *([f"Caution. {caution(result)}"] if caution(result) else []),
        "",
    ]
    lines += [] if stamped else [result.verdict]
    for check in in_order(result).itertuples():
        lines.append(f"  {verdict_of(check)}  {check.question}: {check.comment}")
    return "\n".join(lines)


def html(result):
    """Return the whole result as HTML tables; every name is escaped."""

    def cells(row, tag="td"):
        return "".join(f"<{tag} style='text-align:left'>{escaping.escape(str(cell))}</{tag}>" for cell in row)

    head = cells(["parameter", "symbol", "value", "95 % interval", "unit", "note"], "th")
    body = "".join(f"<tr>{cells(row)}</tr>" for row in [*estimates(result), *stresses(result)])
    asked = "".join(f"<tr>{cells([verdict_of(c), c.question, c.comment])}</tr>" for c in in_order(result).itertuples())
    verdict = f"<p>{escaping.escape(result.verdict)}</p>"
    verdict += f"<div role='note'><p>Caution. {escaping.escape(caution(result))}</p></div>" if caution(result) else ""
    stamped, passed = (f"<div role='alert'><b>{verdict}</b></div>", "") if result.stamp else ("", verdict)
    return (  # no formula is set of what stands between two dollar signs
        f"<div class='mathjax_ignore'>{stamped}<p><b>{escaping.escape(heading(result))}</b></p><table><tr>{head}</tr>{body}</table>"
        f"<p>{escaping.escape(correlations(result))}</p><p>{escaping.escape(gathering(result.tests))}</p>"
        f"<p>{escaping.escape(apart(result))}</p>"
        f"{passed}<table><tr>{cells(['', 'check', 'comment'], 'th')}</tr>{asked}</table></div>"
    )
