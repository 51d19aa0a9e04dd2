"""What the uncertainty of the main predictions is made of, input by input."""

from collections.abc import Iterator

from ... import charts
from ...charts.uncertainties import uncertainty_shares
from ...fitting import UncertaintyBudget, budget_words
from ...fitting.at_bounds import told as bound_told
from ...fitting.budget import DRAWS as DRAWN
from ...flow.nozzles import SHEAR_FORMULA
from ...nomenclature import between, capital, number, with_limits
from ...nomenclature.batches import held_of_batches
from ..answers import told_errors
from ..cells import counted, headed, stopped, with_uncertainty
from ..document import Block, Caution, Cell, Equation, Paragraph, Points, Section, Shown, Table
from ..figures import WIDTH, figure
from ..held_at import held_at
from ..study import Study

TITLE = "Uncertainty budget"
HOW = (
    "Following JCGM 100:2008 (from memory), adapted to a fit: each reading, and each number that is not known exactly beside the readings, is one "
    "input with its own standard uncertainty. The measurement function is the fit itself: the answer, "
    "computed from the parameters that fit the readings best. Of kind A is what was estimated from the scatter of readings, of kind B what was stated or "
    "assumed. The sensitivity is the change of the answer over that of the input, all parameters fitted anew, to first order, the curvature of the "
    "residuals counted: a sum may differ from a standard uncertainty under “Estimates”, which is of the slopes alone; the "
    "contribution is its size times the standard uncertainty, and the share that of the variance. Inputs of several readings stand for all of "
    "them: their sensitivity is the root of the sum of squares. The inputs are independent, so that their squares add up; that the parameters of the "
    "law are correlated follows from the inputs they share, and needs no term of its own."
)
EXACT = (
    "What was stated without an uncertainty is taken as exact and brings nothing; the error of the formula of a planned nozzle comes on top of "
    "what the inputs bring."
)
EXACT_NOTE = (
    "All readings staying as they are and all parameters fitted anew, to first order. What would change it by less than a ten-thousandth of its "
    "standard uncertainty is left out. A number of the bench that was stated with ± counts in the budget, where its row here does not say "
    "otherwise; a plan holds numbers without ±, which stand here. Each number is more by itself: where one of an extruder is, its bore too, the "
    "flow stays, though what is typed over the bore would make it other; those ratios have rows of their own. Temperature, water "
    "content and age of the readings are taken as exact with or without ±; where the law depends on them they stand here."
)
SHARES = (
    "A share here is a share of the variance of the answer, to first order, that comes in with one input: what was put into the fit, as it was known before the "
    "readings were fitted. These are independent and add up to 100 %. Shares under “Which reading next” are others: how much of the variance of the "
    "joint draws goes with one unknown as the readings leave it, where unknowns that are told only together count with each; so one thing may "
    "have a smaller share here and a larger one there."
)
HEADINGS = (
    "input", "value", "standard uncertainty", "unit", "kind", "ν", "sensitivity", "contribution",
    "share of variance [%]", "from",
)  # fmt: skip
READ = (
    "Kind: A or B, and the distribution. Sensitivity: change of the answer for one unit of the input, the unit of its row. An empty cell: several "
    "readings have no one value."
)
FREEDOM = " ν: degrees of freedom of what was estimated; those of the rest are not counted."


def section(study: Study) -> Section:
    """Return the budget of each main prediction, with what holds where it does not add up to the interval."""
    fit = study.fit
    parts = [Section(one.words, tuple(_blocks(study, one.name, one.words, found))) for one, found in study.budgets]
    if not parts:
        return Section(TITLE, (Paragraph(f"Not known: {fit.needed}."),))
    return Section(TITLE, (Paragraph(HOW), Paragraph(EXACT), Paragraph(_batches(study))), tuple(parts))


def _batches(study: Study) -> str:
    """Return which batch a budget is of, and what its shares are shares of."""
    return f"Each budget is {held_of_batches(len(study.fit.problem.batches))}. {SHARES}"


def _measured(study, name):
    """Return the measurement function of an answer: its equation, and through what the inputs enter it."""
    law_class = study.fit.problem.law_class
    law = f"τ(γ̇) is the law, {law_class.equation()}"
    rules = [condition.rule for condition, _ in law_class.conditions]
    through = ", ".join(one.symbol for one in law_class.parameters().values())
    law += f" with {' and '.join(rules)}" if rules else ""
    fitted = f"The readings, and what is known of the theories, enter through {through}, which fit them best"
    if name != "force":
        return Equation(law_class.equation(), f"{law}. {fitted}", "the law as fitted")
    return Equation(
        f"F = p A_0 + F_f, p = Σ Δp, {SHEAR_FORMULA}",
        f"p is the pressure at the plunger face, A_0 the section of the barrel, F_f the friction; the sum is over barrel, step, taper and land. Along a wall it is "
        f"that of shear flow: the integral runs from 0 to τ_w, γ̇(τ) is the rate at a stress; of the barrel it counts f_b times, in a taper it is added up along it. "
        f"What a step or a taper costs beside stands with its formula under “Sources of the formulae”. {law}, {held_at(study)}. {fitted}; friction, drag and "
        "bore enter directly",
        "force balance on the plunger; shear flow: Weissenberg and Rabinowitsch (from memory)",
    )


def _blocks(study: Study, name: str, words: str, found: UncertaintyBudget) -> Iterator[Block]:
    """Return the sentences, the table and the picture of one budget."""
    if found.missing:
        yield Caution(f"No budget: {found.missing}.")
        return
    if found.stamp:
        yield Caution(found.stamp)
    yield _measured(study, name)
    doubt = "" if found.near_linear or not found.standard_uncertainty else budget_words.agreement(found)
    sentences = [one for one in budget_words.summary(found, stamped=False) if one != doubt]
    yield Paragraph(" ".join(map(stopped, sentences)))
    if doubt:
        yield Caution(doubt)
    if not found.standard_uncertainty:
        return
    about = f"{study.of}: {words[0].lower()}{words[1:]}, {with_limits(found.value, found.low, found.high, found.unit)}"
    unit = budget_words.unit_of(found)
    bounded = {one.quantity for one in found.at_bounds}
    rows = [_row(one, one.quantity in bounded) for one in budget_words.told(found)]
    headings = list(HEADINGS)
    headings[6] = headed(headings[6], f"{unit.text if unit.text not in ('', '-') else '1'} per unit")
    headings[7] = headed(headings[7], unit.text)
    estimated = any(row[5] for row in rows)
    if not estimated:
        headings, rows = (headings[:5] + headings[6:], [row[:5] + row[6:] for row in rows])
    compared = ""
    if found.drawn is not None:
        _, low, high = found.drawn
        ends, off = between(low, high, found.unit), told_errors(found.drawn_errors, found.unit)
        compared = f" By Monte Carlo, {DRAWN} joint draws as JCGM 101:2008 asks where a budget is not linear (from memory), 95 % lie in {ends}; standard error "
        compared += f"of these ends by the number of draws: {off} (JCGM 101:2008, 7.9, asks that they have converged)."
        compared += f" {budget_words.validated(found, low, high)}"
    yield Table(
        f"budget-{name.replace('_', '-')}",
        f"{about}: uncertainty budget of {counted(len(rows), 'input')}, the largest share first. Combined standard uncertainty "
        f"{budget_words.combined(found)}, {budget_words.expanded(found)}.",
        tuple(headings),
        tuple(rows),
        f"{READ}{FREEDOM if estimated else ''}{compared}",
    )
    if found.at_bounds:
        yield Points(tuple(capital(bound_told(one, found.unit)) for one in found.at_bounds))
    exact = [(*words, Shown(change, number(change, 2))) for *words, change in budget_words.exact_told(found)]
    if exact:
        yield Table(
            f"budget-{name.replace('_', '-')}-exact",
            f"{about}: {counted(len(exact), 'number')} that {'was' if len(exact) == 1 else 'were'} taken as exact, and what each would change: all dimensions, "
            "settings and numbers of the job that move it.",
            (*budget_words.EXACT_HEADINGS[:3], headed(budget_words.EXACT_HEADINGS[3], unit.text)),
            tuple(exact),
            EXACT_NOTE,
        )
    else:
        yield Paragraph(f"Of the numbers that were taken as exact none moves the {name.replace('_', ' ')}.")
    title = f"What the uncertainty of the {name.replace('_', ' ')} is made of"
    chart = uncertainty_shares(found, title, charts.subtitle_of(study.fit), width=WIDTH)
    yield figure(
        f"budget-{name.replace('_', '-')}-shares",
        chart,
        f"{about}: shares of the variance by input, from the table above.",
    )


def _row(one: budget_words.Told, bounded: bool) -> tuple[Cell, ...]:
    """Return the cells of one input; of one at its bound that it is."""
    value: Cell = ""
    size: Cell = Shown(one.uncertainty, number(one.uncertainty, 2))
    if one.value is not None:
        value, size = with_uncertainty(one.value, one.uncertainty)
    freedom = "" if one.freedom is None else Shown(one.freedom, number(one.freedom))
    slope = Shown(one.sensitivity, number(one.sensitivity))
    brings = Shown(one.contribution, number(one.contribution, 2)), Shown(one.share, budget_words.share_text(one.share))
    return (
        one.quantity,
        value,
        size,
        one.unit or "-",
        f"{one.kind}, {one.distribution}" if one.distribution else one.kind,
        freedom,
        slope,
        *brings,
        f"{one.origin}; at its bound, see below" if bounded else one.origin,
    )
