"""What a material takes from the fit behind it: joint draws of the law, and of an extruder that the readings know."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ..brief import brief
from ..nomenclature import QUANTITIES, with_limits
from .properties import LEAST, bounded, limits_of_property

if TYPE_CHECKING:
    from collections.abc import Callable

    from ..fitting.result import FitResult
    from ..hints import Numbers
    from ..machine.extruder import Extruder
    from .material import Material


RATIO = "static_ratio"


def taken_as_dynamic(fit: FitResult) -> str:
    """Return in words why the static yield stress is taken as the dynamic one: the ratio fits below 1, which its 95 % interval holds; "" elsewhere."""
    ratio, least = fit.nuisance[RATIO], LEAST[RATIO]
    if ratio >= least:
        return ""
    low, high = fit.limits(RATIO)
    if high < least:  # readings contradict each other, as the checks say: no value is made of it
        return ""
    return f"{with_limits(ratio, low, high, QUANTITIES[RATIO])}, taken as 1, for rest does not soften a paste"


def static_ratio_of(fit: FitResult, origin: str) -> tuple[float, str]:
    """Return the static over the dynamic yield stress [-] that a fit tells, with its origin: 1 where `taken_as_dynamic`."""
    if words := taken_as_dynamic(fit):
        return LEAST[RATIO], f"{origin}{'; ' if ':' in origin else ': '}{words}"
    return fit.nuisance[RATIO], origin


class Rig(NamedTuple):
    """An extruder with what a fit knows of it: best values, or joint draws with the law, shape (count, 1, 1).

    `extruder` keeps the bore as stated, to which flow and line are set; `bore_factor` is the bore as it is over that one [-],
    None where no reading knows it; `words` say what is as fitted and what is taken as exact, `fitted` names the former,
    and `limits` returns the 95 % limits of one of it by its name.
    """

    extruder: Extruder
    bore_factor: Numbers | None = None
    words: str = ""
    fitted: tuple = ()
    limits: Callable[[str], tuple[float, float]] | None = None

    def __repr__(self):
        return brief(self)


class FittedLaws:
    """Joint draws of the law of a fit, and of the ratio of static to dynamic yield stress where the readings tell it."""

    def __init__(self, fit: FitResult, with_ratios: bool) -> None:
        """Take a fit, and whether its readings tell the ratio."""
        self.fit, self.with_ratios = fit, with_ratios

    def __call__(self, count, seed):
        """Return (law of joint draws, static ratios or None), fields of shape (count, 1, 1)."""
        ratios = None
        if self.with_ratios:
            ratios = self.fit.draws(count, seed)["static_ratio"].to_numpy()[:, None, None]
        return self.fit.sample_laws(count, seed), ratios


class FittedApparatus:
    """What a fit knows of an extruder."""

    def __init__(self, fit: FitResult) -> None:
        """Take a fit."""
        self.fit = fit

    def __call__(self, extruder, count=0, seed=0):
        """Return the `Rig` of an extruder: best values for a count of 0, else the draws that belong to those of the law."""
        fit, known = self.fit, self.fit.known(extruder)
        values = fit.nuisance_draws(count, seed) if count else fit.nuisance
        words = known.words(fit.nuisance, fit.limits)
        rig = known.at_stated_bore(values), known.bore_factor(values)
        return Rig(*rig, words, tuple(known.keys), lambda name: fit.limits(known.keys[name]))


def told(material: Material) -> list[str]:
    """Return what a material rests on, one line each: with the limits of the fit behind it, else with its spread."""
    estimates, lines = {} if material.fit is None else material.fit.table.to_dict("index"), []
    for name, row in material.table.iterrows():
        unit = QUANTITIES.get(name, row.unit)
        spread = material.sure_spread if name == "batch" else row.spread  # few batches tell it badly
        low, high = map(float, limits_of_property(str(name), row.value, spread))
        if name in estimates and np.isfinite(row.value):
            low, high = (float(bounded(str(name), estimates[name][end], row.value)) for end in ("low", "high"))
        lines.append(f"    {name} = {with_limits(row.value, low, high, unit)}, {row.origin}")
    return lines
