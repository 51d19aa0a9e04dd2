"""What a fit knows of an extruder: friction, barrel drag, bore and slip, as its readings left them.

A force rests on the apparatus as much as on the paste, and a fit has moved both together. So whoever asks for a force
hands the extruder over, and gets it back with what the fit knows of it; what was typed otherwise stays as typed.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from ..bench.base import Values
from ..bench.run import bore_key
from ..bench.whence import word_of
from ..errors import DataError
from ..flow.channel import Slip
from ..flow.nozzles import Cylinder
from ..hints import Numbers
from ..machine.extruder import Extruder
from ..nomenclature import and_, between, with_limits, written

SAME = 1e-6  # share by which two numbers that were typed as one may differ
BENCH_HAS = {"stated": "states", "measured": "measured", "assumed": "assumes"}
OF_BARREL = {"plunger_friction": ("friction", "N", 0.0), "barrel_drag": ("barrel drag", "", 1.0)}  # and if not stated
BORE, SLIP = "bore_factor", ("slip_coefficient", "slip_threshold")


@dataclass(frozen=True, eq=False)
class Known:
    """An extruder as typed, with what its bench states as exact, and which parameters of a fit belong to it.

    `keys` are of nuisance parameters, by what they are of the extruder; `exact` says what is taken as exact, and why. `peak` is the
    break-loose friction as typed [N]: where the friction that the readings know is above it, that friction is the peak.
    """

    extruder: Extruder
    keys: dict
    exact: tuple
    peak: Numbers | None = None

    def at(self, values: Values) -> Extruder:
        """Return the extruder for values of the nuisance parameters by key; arrays give an extruder of arrays."""
        rig = self.at_stated_bore(values)
        if BORE not in self.keys:
            return rig
        return replace(rig, nozzle=rig.nozzle.with_bore(rig.nozzle.bore * self.bore_factor(values)))

    def at_stated_bore(self, values: Values) -> Extruder:
        """Return the extruder of `at`, but for its bore, which stays as it was typed."""
        changed: dict = {name: values[self.keys[name]] for name in OF_BARREL if name in self.keys}
        if SLIP[0] in self.keys:
            coefficient, threshold = (values[self.keys[name]] for name in SLIP)
            changed["slip"] = Slip(coefficient=coefficient, threshold=threshold)
        if "plunger_friction" in changed:
            changed |= _peak_over(self.extruder.break_loose_friction, changed["plunger_friction"])
        return replace(self.extruder, **changed) if changed else self.extruder

    def bore_factor(self, values: Values) -> Numbers | None:
        """Return the bore as it is over the bore as stated [-]; None where the fit does not know it."""
        return values[self.keys[BORE]] if BORE in self.keys else None

    def words(self, values: Values, limits: Callable[[str], tuple[float, float]]) -> str:
        """Return in words what is as fitted, with its value and its limits by key, and what is taken as exact."""

        def told(words, name, unit, scale=1.0):
            ends = (float(np.mean(scale * one)) for one in (values[self.keys[name]], *limits(self.keys[name])))
            return f"{words} {with_limits(*ends, unit, before='')}"

        said = [told(words, name, unit) for name, (words, unit, _) in OF_BARREL.items() if name in self.keys]
        if BORE in self.keys:
            said.append(told("bore", BORE, "m", self.extruder.nozzle.bore))
        if SLIP[0] in self.keys:
            said.append("slip in the land")
        fitted = f"{and_(said)} as fitted" if said else ""
        return "; ".join(filter(None, [fitted, *self.exact, self.raised(values)]))

    def raised(self, values: Values) -> str:
        """Return in words that the peak of friction that was typed is below the friction; nothing where it is not."""
        peak, friction = self.peak, self.at_stated_bore(values).plunger_friction
        if peak is None or np.all(np.greater_equal(peak, friction)):
            return ""
        own, other = _apart(peak, friction, "N")
        return f"its break-loose friction of {own} is below its friction of {other}, which is taken as the peak"


def known(result, extruder):
    """Return what a fit knows of an extruder, as `Known`.

    Its friction, drag and slip are those of the apparatus that it names or, where the readings come from one extruder
    alone and its barrel is the same, of that one. Its bore is known where one was read with a tip of the same size. An
    apparatus that no run of the fit has is refused.
    """
    runs, why = _runs_of(result, extruder)
    keys, stated, exact, told = {}, {}, [], []
    for name, (words, unit, default) in OF_BARREL.items():
        if name == "barrel_drag" and not np.any(extruder.fill_length):
            continue
        typed = getattr(extruder, name)
        read = [getattr(run.extruder, name) for run in runs]
        key = next((run.shared(name) for run in runs if run.shared(name) in result.problem.nuisances), None)
        as_typed = f"{words} of {_shown(typed, unit)}"
        if not runs:
            exact.append(as_typed)
        elif not any(_same(typed, value) for value in (default, *read)):
            own, other = _apart(typed, read[0], unit)
            told.append(
                f"its {words} of {own} is taken as exact, as typed: the bench {BENCH_HAS[word_of(runs[0], name)]} another, {other}"
            )
        elif key:
            keys[name] = key
        else:
            stated[name] = typed if any(_same(typed, value) for value in read) else read[0]
            if name == "plunger_friction":
                told.append(
                    f"its {words} of {_shown(stated[name], unit)} is taken as exact, as the bench {BENCH_HAS[word_of(runs[0], name)]} it"
                )
    if exact:
        told.append(f"its {and_(exact)} {'are' if len(exact) > 1 else 'is'} taken as exact: {why}")
    if bore_key(extruder.nozzle) in result.problem.nuisances:
        keys[BORE] = bore_key(extruder.nozzle)
    slipping, left_out = _slip(result, extruder, runs)
    peak = extruder.break_loose_friction
    if "plunger_friction" in stated:
        stated |= _peak_over(peak, stated["plunger_friction"])
    return Known(replace(extruder, **stated) if stated else extruder, keys | slipping, (*told, *left_out), peak)


def frictions(result):
    """Return the plunger friction of each apparatus as fitted, by its key: (value, standard uncertainty) [N]; none that the readings leave open."""
    names, sizes = list(result.problem.names), np.sqrt(np.diag(result.covariance))
    return {
        name: (float(result.nuisance[name]), float(sizes[names.index(name)]))
        for name in names
        if getattr(name, "name", "") == "plunger_friction" and name not in result.not_identified
    }


def bench_of(result, extruder):
    """Return the name of the apparatus of the bench that an extruder is; "" where it is none of it."""
    runs, _ = _runs_of(result, extruder)
    return runs[0].apparatus_name if runs else ""


def _runs_of(result, extruder):
    """Return the force runs of an extruder's apparatus, and in words why there are none."""
    runs = {}
    for test in result.tests:
        if test.nozzle is not None:
            runs.setdefault(test.apparatus_name, []).append(test)
    named = extruder.apparatus
    if named and named not in runs:
        there = f"it has {', '.join(runs)}" if runs else "none of its tests pushed paste through a nozzle"
        raise DataError(
            f"Extruder: apparatus = {named!r} is none of this fit; {there}. Give the name that the bench gives it, or leave "
            "it out."
        )
    pushed = {name: [run for run in of if run.extruder is not None] for name, of in runs.items()}
    pushed = {name: of for name, of in pushed.items() if of}
    if not named and len(pushed) > 1:
        return [], f"the readings come from {and_(list(pushed))}; say which it is with apparatus="
    found = pushed.get(named, []) if named else next(iter(pushed.values()), [])
    if not found:
        return [], "no reading is of its force"
    barrel = found[0].extruder.barrel_diameter
    if not _same(extruder.barrel_diameter, barrel):
        own, read = _apart(extruder.barrel_diameter, barrel, "m")
        return [], f"its barrel of {own} is not that of the bench, {read}"
    return found, ""


def _slip(result, extruder, runs):
    """Return the keys of the slip that belongs in the land of an extruder, and in words what is left out."""
    land, told = extruder.nozzle.segments[-1], []
    if any(run.end_correction == "fitted" for run in runs):
        told.append("its end loss is the formula's: the fitted one stays with the bench")
    fitted = [test for test in result.tests if test.nozzle is not None and test.slip == "fitted"]
    if not fitted or extruder.slip is not None:
        return {}, told
    for run in fitted:
        own = extruder.apparatus in ("", run.apparatus_name)
        if own and isinstance(land, Cylinder) and _same(land.diameter, run.nozzle.bore):
            return {name: run.shared(name) for name in SLIP}, told
    return {}, [*told, "no slip in its land: the slip that was fitted is of other lands"]


def _peak_over(typed, friction):
    """Return the field of the peak of friction [N] where one was typed, never below the friction."""
    return {} if typed is None else {"break_loose_friction": np.maximum(typed, friction)}


def _same(one, other):
    return bool(np.all(np.isclose(one, other, rtol=SAME, atol=0.0)))


def _shown(value, unit, digits=3):
    low, high = np.min(value), np.max(value)
    one = written(low, unit, digits)
    return one if one == written(high, unit, digits) else between(low, high, unit, digits)


def _apart(one, other, unit):
    """Return two values that differ with digits enough to tell them apart."""
    texts = [(_shown(one, unit, digits), _shown(other, unit, digits)) for digits in range(3, 10)]
    return next((pair for pair in texts if pair[0] != pair[1]), texts[-1])
