"""Tests that were not made and could be taken next: those of the yield stress that suit it, and flow curves where nothing was read at any rate."""

from dataclasses import replace
from typing import Any

import numpy as np

from ..bench import KINDS
from ..bench.run import Run
from ..bench.specimen import known_of_paste
from ..bench.usual import usual_record
from ..errors import DataError
from ..fitting import FitResult
from .candidate import Candidate, as_legible, cautions_of, foretold, has_rates, one_row, shows_of
from .foreseen import COUNT


def yield_tests(fit: FitResult) -> list[Candidate]:
    """Return the tests of the yield stress that were not made and whose window holds that of the fit."""
    stress = float(np.ravel(getattr(fit.law, "yield_stress", 0.0))[0])
    if "yield_stress" not in fit.problem.free:
        return []
    stress = max(stress, float(np.ravel(_middle_yield(fit))[0]))
    made, found, density = {test.kind for test in fit.tests}, [], known_of_paste(fit.benches, "density")
    for kind in KINDS.values():
        low, high = kind.measures
        if (
            kind.gives
            or kind.kind in made
            or "paste" not in kind.serves
            or issubclass(kind, Run)
            or not low <= stress <= high
        ):
            continue
        record = usual_record(kind)
        if has_rates(fit, record):
            continue
        given: dict[str, Any] = {"model_error": kind.default_model_error, "relative_uncertainty": kind.usual_scatter}
        given["batch"] = fit.problem.batches[-1] if fit.problem.batches else fit.tests[0].batch
        given["of_specimen"] = fit.tests[-1].of_specimen
        if "density" in kind.__dataclass_fields__ and density is not None:
            given["density"] = density.value
        record = foretold(fit, as_legible(one_row(replace(record, **given), 0)))
        name = f"yield stress by {_article(kind.kind)}"
        found.append(
            Candidate(
                name,
                (record,),
                kind.usual_minutes,
                shows_of(fit, record),
                cautions_of(fit, (record,), name),
            )
        )
    return found


def curves(fit: FitResult) -> list[Candidate]:
    """Return the usual flow curves of a paste, each whole, where nothing was read at any rate."""
    if fit.rate_range is not None:
        return []
    found = []
    for kind in KINDS.values():
        if kind.gives or "paste" not in kind.serves or not has_rates(fit, record := usual_record(kind)):
            continue
        given: dict[str, Any] = {
            "model_error": kind.default_model_error,
            "relative_uncertainty": kind.usual_scatter,
            "batch": fit.tests[-1].batch,
        }
        record = foretold(fit, as_legible(replace(record, **given, of_specimen=fit.tests[-1].of_specimen)))
        minutes = kind.usual_minutes * len(record.readings)
        name = f"readings at several rates by {_article(kind.kind)}"
        found.append(
            Candidate(
                name,
                (record,),
                minutes,
                "",
                cautions_of(fit, (record,), name),
            )
        )
    return found


def _middle_yield(fit):
    """Return the middle yield stress of the joint draws, which a best fit at zero does not say [Pa]."""
    try:
        return np.median(fit.draws(COUNT, 0)["yield_stress"])
    except DataError:
        return fit.problem.typical_stress / 2


def _article(word):
    return f"{'an' if word[0] in 'aeiou' else 'a'} {word}"
