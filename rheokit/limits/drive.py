"""What the drive can do, while it runs and to start."""

from typing import ClassVar

import numpy as np

from ..drives import CAUTIONS, HandDrive
from ..units import kPa
from .base import Limit

PRESSURE = "pressure"  # running, starting and rated pressure rest on one nozzle theory, and err together
STRONGER = "take a wider bore or a shorter land, print slower, add water, or fit a stronger drive in a rated barrel"


class AgainstDrive(Limit):
    """A force against what the drive has."""

    unit: ClassVar[str] = "N"
    error_name: ClassVar[str] = PRESSURE
    to_judge: ClassVar[str] = "give the extruder its drive"

    def missing(self, case):  # noqa: D102
        return super().missing(case) or ("no drive" if case.extruder.drive is None else "")

    def exact_part(self, case):  # noqa: D102
        return case.extruder.plunger_friction

    def high(self, case):  # noqa: D102
        return case.extruder.drive.available_force(case.extruder.area)


class AgainstBarrel(Limit):
    """A pressure against what the barrel may bear: a hard limit."""

    unit: ClassVar[str] = "Pa"
    hard: ClassVar[bool] = True
    source: ClassVar[str] = "common practice, no source: half the printed rating at the actual temperature"

    def high(self, case):  # noqa: D102
        return case.extruder.pressure_limit


class DriveForce(AgainstDrive):
    """Force to run against what the drive has."""

    name: ClassVar[str] = "drive force"
    label: ClassVar[str] = "force to run"
    model_error: ClassVar[float] = 0.15
    formula: ClassVar[str] = "p A_0 + F_f ≤ F_drive"
    source: ClassVar[str] = "force balance on the plunger; converging flow by finite elements computed for the project"
    remedy: ClassVar[str] = STRONGER
    caution: ClassVar[str] = CAUTIONS["barrel"]

    def caution_for(self, case):  # noqa: D102
        return self.caution if case.extruder.drive is None else CAUTIONS[case.extruder.drive.hazards[-1]]

    def asked(self, case):  # noqa: D102
        return not isinstance(case.extruder.drive, HandDrive)

    def value(self, case):  # noqa: D102
        return case.force


class Start(AgainstDrive):
    """Force to start after the rest, with the static yield stress, against what the drive has."""

    name: ClassVar[str] = "start after rest"
    label: ClassVar[str] = "force to start after a rest"
    model_error: ClassVar[float] = 0.25
    formula: ClassVar[str] = "p_start(τ_ys) A_0 + F_break-loose ≤ F_drive"
    source: ClassVar[str] = "force balance on the plunger at rest; plastic work of converging flow"
    remedy: ClassVar[str] = "keep pauses short, purge before a pause, or " + STRONGER
    caution: ClassVar[str] = CAUTIONS["tip"]

    def left_open(self, case):  # noqa: D102
        return "break_loose_friction not known" if case.extruder.break_loose_friction is None else ""

    def remark(self, case):  # noqa: D102
        return (
            "with the gliding friction: the peak of a plunger that breaks loose is higher"
            if self.left_open(case)
            else ""
        )

    def exact_part(self, case):  # noqa: D102
        extruder = case.extruder
        return extruder.plunger_friction if extruder.break_loose_friction is None else extruder.break_loose_friction

    def value(self, case):  # noqa: D102
        return case.start_pressure * case.extruder.area + self.exact_part(case)


class RatedPressure(AgainstBarrel):
    """Pressure at the plunger face, running or starting, against what the barrel is rated for."""

    name: ClassVar[str] = "rated pressure"
    label: ClassVar[str] = "pressure in the barrel"
    model_error: ClassVar[float] = 0.15
    error_name: ClassVar[str] = PRESSURE
    formula: ClassVar[str] = "p ≤ half the printed rating; unrated: p ≤ 100 kPa, and never air"
    remedy: ClassVar[str] = (
        "stop: take a barrel with a printed rating above twice this pressure, a wider bore, or a softer paste"
    )
    caution: ClassVar[str] = CAUTIONS["barrel"]

    def value(self, case):  # noqa: D102
        return np.maximum(case.pressure, case.start_pressure)

    def caution_for(self, case):
        """Return the caution of barrels, and what a blocked tip would do where the drive is stronger than the barrel."""
        blocked, allowed = case.extruder.blocked_pressure, case.extruder.pressure_limit
        if blocked is None or not np.all(blocked > allowed) or not np.all(allowed > 0):
            return self.caution
        force = float(np.min(allowed * case.extruder.area))
        return (
            f"If the tip blocks, this drive makes {float(np.max(blocked)) / kPa:.3g} kPa, and the barrel may bear "
            f"{float(np.min(allowed)) / kPa:.3g} kPa: limit the drive to {force:.3g} N. {self.caution}"
        )


class SuppliedPressure(AgainstBarrel):
    """Pressure of the gas behind the plunger, which the barrel bears whatever the paste does, against what it may bear."""

    name: ClassVar[str] = "supplied pressure"
    label: ClassVar[str] = "gas pressure behind the plunger"
    formula: ClassVar[str] = "p_regulator ≤ half the printed rating; unrated: never"
    remedy: ClassVar[str] = (
        "stop: set the regulator and a relief valve below half the rating, or take a barrel of a higher one"
    )
    caution: ClassVar[str] = CAUTIONS["stored gas"]

    def asked(self, case):  # noqa: D102
        return case.extruder.drive is not None and case.extruder.drive.compressed_gas

    def value(self, case):  # noqa: D102
        return case.extruder.drive.pressure

    def allowance(self, case):
        """Return 0: the regulator's pressure does not hang on the batch."""
        return 0.0
