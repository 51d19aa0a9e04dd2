"""Corrections of the readings and their sizes: which were applied, which were tested and are negligible, and which could not be tested."""

from ...bench.base import CRITERION_ERROR
from ...bench.usual_corrections import UNKNOWN
from ...bench.whence import word_of
from ...corrections.capillary import SOURCE as YOUNG
from ...corrections.capillary import capillary_share
from ...corrections.inertia import KINETIC, SOURCE, kinetic_share
from ...corrections.sizes import entry_losses, rate_ratios, spans
from ...fitting import FitResult
from ...flow.converging import FORMULA, MEANT, MODEL, VERIFIED
from ...nomenclature import and_, between, marked, number, written
from ..authors import KEYS, TABLE, unless_noted
from ..cells import as_told
from ..classical_corrections import classical
from ..document import Block, Equation, Paragraph, Section, Table
from ..study import Study
from ..usual_corrections import heating
from ..usual_corrections import rows as usual_rows

TITLE = "Corrections"
APPLIED, NEGLIGIBLE, TESTED, UNTESTED = "applied", "tested and negligible", "tested", "not testable"
IN_PART, NEGLECTED = "tested in part", "neglected"
BORES = "no flow below yield (slip)"
"""The question that asks several bores for slip; without it flow below the yield stress alone would show it."""
OF_RUN = "2 γ/D of a strand as wide as the bore, over the pressure read less friction"
PLATE, OF_PLATE = "loaded plate", "2 γ/h of a meniscus across the gap, the most there can be, over the load per area"
WITHOUT = "What is not known or not applied counts, if anywhere, in the error of the theory of its test (“Law and error model”)."
TO_STATE = f"A word in brackets is the entry of [{TABLE}] in plan.toml in which the authors may state what the correction needs{{unless}}."
OF_EACH = "Sizes of entry and true rate are of the law as fitted, in the batch and at the condition of each test, with nominal dimensions."
SMALL = 0.01
"""Of the pressure, below which inertia is called negligible; common practice, no source. [-]"""


def section(study: Study) -> Section:
    """Return one row a correction, and the classical corrections followed beside the fit."""
    fit = study.fit
    runs = [test for test in fit.tests if test.nozzle is not None]
    rows = [*(_of_runs(study, fit, runs) if runs else ()), *_capillary(study), *_of_all(fit), *usual_rows(study)]
    table = Table(
        "corrections",
        f"{study.of}: corrections of the readings. The fit predicts each reading with friction, entry, slip and its own true rate, so that a correction is part of the "
        "prediction; nothing was taken off the raw readings.",
        ("correction", "status", "size", "how"),
        tuple(rows),
        f"{WITHOUT} {TO_STATE.format(unless=unless_noted(study))}" if _asks(rows) else WITHOUT,
    )
    blocks: list[Block] = [table]
    if any(run.end_correction == "formula" for run in runs):
        spoken = "The excess pressure of converging flow: viscous stretching and plastic work."
        blocks.append(Equation(marked(FORMULA), spoken, MODEL))
        blocks.append(Paragraph(f"There {marked(MEANT)}. {marked(VERIFIED)}. {OF_EACH}"))
    if runs:
        blocks += classical(study)
    return Section(TITLE, tuple(blocks))


def _asks(rows):
    """Return whether a row names an entry of the authors in brackets."""
    return any(f"({key})" in str(cell) for row in rows for cell in row for key in KEYS)


def _answers(fit, *questions):
    """Return what checks say, by their questions, a sentence each."""
    return " ".join(row.comment for row in fit.checks.itertuples() if row.question in questions)


def _of_runs(study, fit, runs):
    pushed = [run for run in runs if run.extruder is not None]
    if pushed:
        said = _answers(fit, "friction known well enough", "friction leaves little of the force open")
        yield (
            "plunger friction",
            APPLIED,
            said or "see the estimates",
            f"taken off the force, {_with_or_without(fit, 'plunger_friction')}",
        )
        yield (
            "drag of the barrel wall",
            APPLIED,
            _answers(fit, "barrel drag described") or "see the estimates",
            f"share of the no-slip wall stress, {_with_or_without(fit, 'barrel_drag')}",
        )
    ends = _answers(fit, "converging flow in range", "end loss as the formula says")
    how = (
        "converging flow, fitted to finite elements computed for the project; or a length of land, where that is fitted"
    )
    yield "entry and ends", APPLIED, " ".join(filter(None, (_entry(fit, runs), ends))) or "see the estimates", how
    yield (
        "true rate at the wall (Weissenberg-Rabinowitsch)",
        APPLIED,
        _rates(fit, runs),
        "exact for the law that is fitted: the flow is integrated over the section",
    )
    fitted = [run for run in runs if run.slip != "none"]
    said = _slip(fit)
    whole = slip_by_bores(fit)
    part = f"{said} This finds gross slip alone: slip beside flow in the bulk shows between bores, and there was {_bores(runs)}."
    yield (
        "slip at the wall",
        APPLIED if fitted else TESTED if whole else IN_PART if said else UNTESTED,
        said if fitted or whole else part if said else f"{_bores(runs)}, or too few readings",
        "records of several bores, and flow below the yield stress",
    )
    yield from _inertia(study, runs)
    said = _answers(fit, "rows read when steady")
    yield (
        "trapped air, not yet steady",
        TESTED if said else UNTESTED,
        said or "no column of a run holds the time of its readings",
        "stored volume over flow, and the time constant of the nozzle",
    )
    yield "viscous heating", UNTESTED, *heating(study, runs)


def _with_or_without(fit, name):
    """Return in words whether what the readings are corrected by was fitted along with the law, or taken as stated."""
    fitted = any(str(key).partition("[")[0] == name for key in fit.problem.nuisances)
    words = and_([*dict.fromkeys(word_of(test, name) for test in fit.tests if test.extruder is not None)])
    return "with its uncertainty; fitted along with the law" if fitted else f"as {words}, taken as exact"


def _as_fitted(fit, name):
    return f"; fitted as {number(fit.nuisance[name])}" if name in fit.nuisance else ""


def slip_by_bores(fit: FitResult) -> bool:
    """Return whether slip was fitted, or asked of several bores."""
    asked = any(row.question == BORES for row in fit.checks.itertuples())
    return asked or any(getattr(test, "slip", "none") != "none" for test in fit.tests)


def _bores(runs):
    """Return the bores of some runs in words."""
    bores = sorted({round(float(run.nozzle.bore), 7) for run in runs})
    said = ", ".join(written(one, "m") for one in bores)
    return f"one bore alone ({said})" if len(bores) == 1 else f"no comparison of the bores ({said})"


def _capillary(study):
    """Return the row of surface tension, which the theories of runs and plates leave out."""
    paste = study.material.paste if study.knows("material") else None
    tension = getattr(paste, "surface_tension", None)
    if tension is None:
        return
    for kind, most in capillary_share(study.fit.tests, tension).items():
        yield (
            f"surface tension ({kind})",
            f"{NEGLECTED}, and small" if most < SMALL else NEGLECTED,
            f"at most {number(100 * most, 2)} % of what drives it, with γ = {written(tension, 'surface_tension')} ({as_told(study.material.origin('surface_tension'))})",
            (OF_PLATE if kind == PLATE else OF_RUN) + f" ({YOUNG})",
        )


def _slip(fit):
    return " ".join(
        row.comment
        for row in fit.checks.itertuples()
        if "slip" in row.question or "below the tests' yield stress" in row.question
    )


def _law_of(fit, run):
    """Return the fitted law as a run saw it: in its batch, at its condition."""
    return fit.problem.of_batch(run.at_its_condition(fit.law), run, fit.nuisance)


def _entry(fit, runs):
    """Return the size of the entry of each test, as the fitted law gives it in its own batch, at its own condition."""
    told = []
    for run in runs:
        found = entry_losses(run, _law_of(fit, run))
        if found is None:
            continue
        pressure, share = (spans([one]) for one in found)
        if pressure and share:
            told.append(f"{run.name}: {between(*pressure, 'Pa')}, {between(*share, '%')} of its nozzle's pressure.")
    return " ".join(told)


def _rates(fit, runs):
    told = [(run.name, spans([rate_ratios(run, _law_of(fit, run))])) for run in runs]
    said = "; ".join(f"{name} {number(found[0])} to {number(found[1])}" for name, found in told if found)
    return f"true over apparent rate, of the fitted law and without slip: {said}" if said else "not known: no row flows"


def inertia_formula() -> str:
    """Return what inertia takes, in words."""
    return f"{number(KINETIC)} ρ U² over the pressure"


def _inertia(study, runs):
    how = f"{inertia_formula()} ({SOURCE})"
    known = study.bench.properties().get("density") or study.bench.stated().get("density")
    if known is None:
        yield "inertia", UNTESTED, "the density of the paste is not known", how
        return
    found = kinetic_share(runs, known.value)
    if found is None:
        yield "inertia", UNTESTED, "no straight land", how
        return
    most = found[1]
    yield (
        "inertia",
        NEGLIGIBLE if most < SMALL else "tested, and NOT applied",
        f"at most {number(100 * most, 2)} % of the pressure",
        how,
    )


def _of_all(fit):
    if any(not test.simple_shear for test in fit.tests):
        yield (
            "criterion of yielding (tests that are no simple shear)",
            APPLIED,
            f"one factor with a standard deviation of ln of {number(CRITERION_ERROR)}{_as_fitted(fit, 'criterion_factor')}",
            "von Mises: yield stress in simple shear",
        )
    if any(test.static_rows.any() for test in fit.tests):
        yield (
            "static against dynamic yield stress",
            APPLIED,
            f"ratio {number(fit.nuisance.get('static_ratio', float('nan')))} as fitted",
            "one ratio for all static tests, with a prior",
        )
    for name in fit.law.depends_on:
        yield (
            f"{name.replace('_', ' ')} of the readings",
            APPLIED,
            f"to the reference, {fit.reference}",
            "the law depends on it",
        )
    drift = _answers(fit, "readings do not drift in the order of reading", "first setting repeats")
    yield (
        "change with time (evaporation, rest, migration)",
        TESTED if drift else UNTESTED,
        drift or "no column holds an order of reading",
        "pattern of the residuals along the order of reading",
    )
    yield "evaporation by itself", UNTESTED, UNKNOWN, "needs the mass of a specimen before and after its readings"
