"""An uncertainty budget in words and as rows of text."""

from typing import NamedTuple

import numpy as np

from ..nomenclature import number, unit_for, with_limits, with_uncertainty, with_unit, written

HEADINGS = (
    "input",
    "value",
    "standard uncertainty",
    "kind",
    "distribution",
    "degrees of freedom",
    "sensitivity",
    "contribution",
    "share of variance",
    "from",
)
SHORT_HEADINGS = ("input", "share of variance", "contribution", "standard uncertainty", "sensitivity", "kind")
EXACT_HEADINGS = ("taken as exact", "value", "if it were", "the answer would change by")
EXACT_DIGITS = 4  # of a number that is taken as exact: 1006 kg/m3 stays what was typed
UNFELT = 1e-4  # of the combined standard uncertainty, below which a number that is taken as exact moves nothing
LONGEST = 110  # characters of a name in a sentence
TOLD = 3  # of the inputs, the largest first, that a sentence names
SMALLEST = 0.01  # share of the variance that is written as a number [%]
MANY = 1000.0  # degrees of freedom, above which Student's t is the normal distribution to three digits
NEAR = 0.1  # of the expanded uncertainty, within which the ends of an interval are where a linear budget has them; of this project, no source
LEAST = 0.01  # share of the variance below which an input is not named


class Told(NamedTuple):
    """A row of a budget in the units in which it is shown; None where there is no number to show."""

    quantity: str
    value: float | None
    uncertainty: float
    unit: str
    kind: str
    distribution: str
    freedom: float | None
    sensitivity: float
    sensitivity_unit: str
    contribution: float
    share: float
    origin: str


def told(budget):
    """Return the table of a budget as `Told` rows: contributions in the unit of the answer (`unit_of`), shares in per cent."""
    own, found = unit_of(budget), []
    for row in budget.table.itertuples():
        as_share = row.unit == "-" and not np.isfinite(row.value)
        per = unit_for("%" if as_share else row.unit, row.standard_uncertainty)
        known = (
            row.quantity,
            None if np.isnan(row.value) else row.value / per.factor,
            row.standard_uncertainty / per.factor,
            "" if per.text == "-" else per.text,
        )
        freedom = row.degrees_of_freedom if np.isfinite(row.degrees_of_freedom) else None
        slope = row.sensitivity * per.factor / own.factor, over(own.text, per.text)
        found.append(
            Told(
                *known,
                row.kind,
                row.distribution,
                freedom,
                *slope,
                row.contribution / own.factor,
                100 * row.share,
                row.origin,
            )
        )
    return found


def share_text(share):
    """Return a share of the variance [%] as a number in words."""
    return number(share, 2) if share >= SMALLEST else f"below {number(SMALLEST)}"


def rows(budget):
    """Return the table of a budget as rows of text, under `HEADINGS`."""
    unit = unit_of(budget).text
    return [
        [
            one.quantity,
            *_beside(one),
            one.kind,
            one.distribution,
            "" if one.freedom is None else number(one.freedom),
            _with(one.sensitivity, one.sensitivity_unit),
            _with(one.contribution, unit, 2),
            f"{share_text(one.share)} %",
            one.origin,
        ]
        for one in told(budget)
    ]


def _beside(one):
    """Return value and standard uncertainty of an input as texts with their unit."""
    if one.value is None:
        return "", _with(one.uncertainty, one.unit, 2)
    return tuple(with_unit(text, one.unit) for text in with_uncertainty(one.value, one.uncertainty))


def short_rows(budget):
    """Return the same in fewer columns, under `SHORT_HEADINGS`: the share first, and with the kind where the input comes from."""
    return [[row[0], row[8], row[7], row[2], row[6], f"{row[3]}, {row[9].partition(':')[0]}"] for row in rows(budget)]


def exact_told(budget):
    """Return what was taken as exact, its value in words, how much more of it, and the change of the answer in its unit (`unit_of`).

    What moves the answer by less than `UNFELT` of its uncertainty is left out.
    """
    unit, found = unit_of(budget), []
    for row in budget.exact.itertuples():
        if abs(row.change) >= UNFELT * budget.standard_uncertainty:
            value = "" if np.isnan(row.value) else written(row.value, row.unit, EXACT_DIGITS)
            found.append((row.quantity, value, f"{row.for_more} more", row.change / unit.factor))
    return found


def exact_rows(budget):
    """Return the same as rows of text, under `EXACT_HEADINGS`."""
    unit = unit_of(budget).text
    return [[*words, _with(change, unit, 2)] for *words, change in exact_told(budget)]


def unit_of(budget):
    """Return the `Unit` in which the uncertainties of a budget are written: that of its answer."""
    return unit_for(budget.unit or "-", budget.value)


def over(unit, other):
    """Return the unit of a sensitivity: that of the answer over that of the input; "" where neither has one."""
    if other in ("", "-"):
        return "" if unit == "-" else unit
    other = f"({other})" if any(sign in other for sign in "/·") else other
    return f"{'1' if unit in ('', '-') else unit}/{other}"


def _with(value, unit, digits=3):
    return number(value, digits) if unit in ("", "-") else f"{number(value, digits)} {unit}"


def _own(budget, value):
    """Return an uncertainty of the answer in the unit of the answer."""
    unit = unit_of(budget)
    return _with(value / unit.factor, unit.text, 2)


def summary(budget, stamped=True):
    """Return a budget in sentences: the answer, what it is made of, and how far that may be trusted.

    Whoever shows its stamp apart asks for them without it.
    """
    if budget.missing:
        return [f"No budget: {budget.missing}."]
    value = with_limits(budget.value, budget.low, budget.high, budget.unit or "-")
    said = [f"{budget.stamp} {value}".strip() if stamped else value]
    if not budget.standard_uncertainty:
        return [*said, "It rests on none of the inputs: what it was computed from is taken as exact."]
    said.append(f"Combined standard uncertainty {combined(budget)}, {expanded(budget)}.")
    said.append(f"It is made of: {largest(budget)}.")
    return [*said, agreement(budget), *([f"Of the interval: {budget.comment}."] if budget.comment else [])]


def combined(budget):
    """Return the combined standard uncertainty with its unit."""
    return _own(budget, budget.standard_uncertainty)


def expanded(budget):
    """Return coverage factor and expanded uncertainty in words."""
    freedom = budget.degrees_of_freedom
    if not np.isfinite(budget.coverage_factor):
        return "no expanded uncertainty: too few readings tell how they scatter"
    why = "normal distribution" if freedom > MANY else f"Student's t of {number(freedom)} effective degrees of freedom"
    return f"expanded {_own(budget, budget.expanded_uncertainty)} at 95 % with k = {number(budget.coverage_factor)} ({why})"


def largest(budget):
    """Return the inputs that bring most of the variance, in words."""
    told = [row for row in budget.table.head(TOLD).itertuples() if row.share >= LEAST]
    named = "; ".join(f"{_short(row.quantity)} ({written(row.share, '%', 2)} of the variance)" for row in told)
    rest = 1 - sum(row.share for row in told)
    return f"{named}; all others {written(rest, '%', 2)}" if rest >= LEAST else named


def shares(budget, most=8):
    """Return the largest inputs and their shares of the variance [-] as pairs, the last one what all others bring together.

    Each has a name of its own: those that are alike are numbered.
    """
    names = [_short(name) for name in budget.table.quantity]
    own = [f"{name} ({names[:k].count(name) + 1})" if names.count(name) > 1 else name for k, name in enumerate(names)]
    rows = list(zip(own, map(float, budget.table.share), strict=True))
    if len(rows) > most:
        rest = rows[most - 1 :]
        rows = [*rows[: most - 1], (f"{len(rest)} others", sum(share for _, share in rest))]
    return rows


def _short(name):
    """Return the name of an input as it stands in a sentence or beside a bar: that of a record may be as long as somebody typed it."""
    return name if len(name) <= LONGEST else f"{name[: LONGEST - 4]} ..."


def agreement(budget):
    """Return in a sentence whether the budget adds up to the interval of the fit, and what holds where it does not."""
    ends = with_limits(budget.value, *budget.budget_limits, budget.unit or "-", before="")
    if budget.near_linear:
        how = "as value ± expanded uncertainty" if budget.scale == "linear" else "as value times or over a factor"
        return f"The budget adds up to the interval within 10 %: {how} it gives {ends}."
    why = "; ".join(budget.reasons) or "the interval is lopsided, or wider or narrower than first order has it"
    return (
        f"Not linear enough for the budget to add up to the interval ({why}): by itself it would give {ends}. The interval above, by the "
        "profile, holds; the shares say only what matters most."
    )


def validated(budget, low, high):
    """Return how far the ends of the budget lie from those by draws and by the profile, beside what is tolerated, in a sentence."""
    tolerance = NEAR * budget.expanded_uncertainty
    if not np.isfinite(tolerance):
        return "There is no expanded uncertainty to hold against these ends."
    told, logarithms, farthest = [], budget.scale == "logarithmic", []
    for words, ends in (("these draws", (low, high)), ("the profile", (budget.low, budget.high))):
        pairs = list(zip(budget.budget_limits, ends, strict=True))
        apart = [abs(own - end) for own, end in pairs]
        if logarithms:
            apart = [abs(np.log(own / end)) * budget.value if end > 0 else np.inf for own, end in pairs]
        farthest.append(max(apart))
        within = "within" if farthest[-1] <= tolerance else "not within"
        told.append(f"from {words} d_low = {_own(budget, apart[0])} and d_high = {_own(budget, apart[1])}, {within} δ")
    return (
        f"Held against each other in the way of JCGM 101:2008, clause 8 (from memory), with a tolerance δ that is rheokit's own, {NEAR:.0%} of the "
        f"expanded uncertainty, {_own(budget, tolerance)}: the ends that the budget gives by itself lie {'; '.join(told)}"
        f"{', as logarithms times the value' if logarithms else ''}. {_by_digits(budget, farthest[0])}"
    ).replace("10%", "10 %")


def half_a_digit(uncertainty, digits):
    """Return half a unit of the last of so many digits of an uncertainty, the δ of JCGM 101:2008, 7.9.2 (from memory), in its unit."""
    exponent = int(f"{uncertainty:.{digits - 1}e}".partition("e")[2])
    return 0.5 * 10.0 ** (exponent - digits + 1)


def _by_digits(budget, farthest):
    """Return in a sentence whether the ends lie within the δ of the guide itself from those by draws, whose farthest is given."""
    unit = unit_of(budget)
    sizes = [half_a_digit(budget.standard_uncertainty / unit.factor, digits) for digits in (1, 2)]
    within = [farthest / unit.factor <= size for size in sizes]
    one, two = (_with(size, unit.text, 2) for size in sizes)
    which = {(True, True): "with both", (True, False): "with the first", (False, False): "with neither"}[tuple(within)]
    return (
        f"The δ of its 7.9.2 (from memory) is stricter, half a unit of the last digit of the standard uncertainty: {one} where one digit counts, {two} "
        f"where two do; by these draws the budget is validated {which}."
    )
