"""Joint draws of a fit, made once for a page: of the law, and of what the readings know of an extruder."""

from collections.abc import Callable
from typing import Any

import numpy as np

from ...errors import DataError
from ...fitting import FitResult
from ...hints import OfLaw
from ...inputs import trusted
from ...laws import FlowLaw
from ...limits import Case, sure
from ...machine.extruder import Extruder
from ...nomenclature import between, capital
from ...paste.material import Material
from ...paste.properties import Paste
from ...workbook.made import NotKnownYet
from ..page.page_words import silent
from . import words
from .controls import NozzleControls

DRAWS, SEED = 500, 0
TWO_LIMITS = (
    "Force and pressure, with their 95 % limits, are of the median batch, or of the batch read where it was one. The barrel must bear the next one too: its pressure is "
    "judged by what 97.5 of 100 next batches stay below, which is more, here as on the map of notebook 3."
)
SAME = 1e-6  # of a value: narrower limits are none


class NozzleDraws:
    """Draws on which the band of the force rests, and the limits of start and stop.

    Attributes
    ----------
    none : str
        Why there are none; "" where there are.
    """

    def __init__(self, fit: FitResult) -> None:
        self._fit, self.none = fit, ""
        self.laws: Any = None
        try:
            drawn = fit.sample_laws(DRAWS, SEED)
            with trusted():
                self.laws = type(drawn)(**{name: np.asarray(value)[:, 0, 0] for name, value in drawn.values.items()})
            self._nuisance = fit.nuisance_draws(DRAWS, SEED)
        except DataError as error:
            self.none = f"No 95 % band: {error}"

    @property
    def doubts(self) -> list[str]:
        """What of a case is not known without draws; nothing with them."""
        return [words.NOT_DRAWN] if self.none else []

    @property
    def of_limits(self) -> str:
        """What limits and hard limits hold, in words."""
        return f"{capital(words.NOT_DRAWN)}." if self.none else TWO_LIMITS

    def of_law(self, like: FlowLaw, shape: tuple[int, ...] = ()) -> FlowLaw | None:
        """Return the laws at the condition of another and as stiff, each field of shape (count, ...); None without draws."""
        if self.laws is None:
            return None
        values = {name: value.reshape(-1, *shape) for name, value in self.laws.values.items()}
        with trusted():
            return like.of(type(self.laws)(**values))

    def of_extruder(self, extruder: Extruder, shape: tuple[int, ...] = ()) -> Extruder | None:
        """Return an extruder as the fit knows it, drawn with the law: what it knows of shape (count, ...)."""
        if self.laws is None:
            return None
        values = {name: value.reshape(-1, *shape) for name, value in self._nuisance.items()}
        return self._fit.known(extruder).at(values)

    def of_case(self, case: Case, material: Material, like: Callable[[Paste], Paste]) -> Case | None:
        """Return a case with joint draws of the batch that was read, of law and properties of shape (count, 1, 1); None without draws.

        `material` is what is known of its paste; `like` makes its pastes as the controls say.
        """
        if self.laws is None:
            return None
        pastes = like(material.draws(DRAWS, SEED, batch=False))
        return case.drawn(pastes, rig=material.rig(case.extruder, DRAWS, SEED))

    def sure(self, case: Case, material: Material, like: Callable[[Paste], Paste]) -> Case:
        """Return a case whose hard limits hold where they do in 97.5 of 100 joint draws, as on a map; as it is without draws."""
        return case if self.laws is None else sure(case, material, like=like)

    def of_start(
        self, extruder: Extruder, material: Material, like: Callable[[Paste], Paste]
    ) -> tuple[Extruder, Paste] | None:
        """Return extruder and paste with joint draws, as `of_case`, which need no job; None without draws."""
        if self.laws is None:
            return None
        return material.rig(extruder, DRAWS, SEED).extruder, like(material.draws(DRAWS, SEED, batch=False))


def limits_of(fit: FitResult, quantity: OfLaw, extruder: Extruder, like: FlowLaw) -> tuple[float, float] | None:
    """Return the 95 % limits of a quantity, by the profile of a fit as a script has them; None where it is the same for all or not known."""
    with silent():  # said for the best values
        found = fit.interval(quantity, extruder=extruder, like=like)
    return (found.low, found.high) if found.high - found.low > SAME * abs(found.value) else None


def left_open(fit: FitResult, material: Material, controls: NozzleControls) -> str:
    """Return in words what readings that give no force tell of it all the same: its 95 % limits, and what starts the flow."""
    try:
        extruder = controls.extruder()
    except NotKnownYet as error:
        return words.lacking(controls.lacking() or error, in_strip=True)
    like = controls.paste(material.paste).law
    with silent():  # said on the page
        start = fit.interval(lambda law, rig: rig.start_force(law), extruder=extruder, like=like)
        try:
            case = controls.case(material)
            flow, like = float(case.flow_rate), case.pressure_law
            force = fit.interval(lambda law, rig: rig.plunger_force(law, flow), extruder=extruder, like=like)
        except NotKnownYet as error:
            return words.of_open(words.lacking(error, in_strip=True), start)
    return words.of_open(f"Force not identified, 95 % from {between(force.low, force.high, 'N')}", start)


def lacks_of(fit: FitResult) -> str:
    """Return what the readings of a fit lack for a force; nothing where they lack nothing."""
    missing = fit.missing(lambda law: law.shear_stress(np.array([1.0, 10.0, 100.0])))
    return missing if set(fit.not_identified) & set(fit.problem.law_class.parameters()) else ""
