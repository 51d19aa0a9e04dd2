"""What the drive can do, while it runs and to start."""

import numpy as np

from ..checking import Example
from ..hints import Numbers
from ..machine.cautions import CAUTIONS
from ..machine.drives import GREAT, HandDrive
from ..nomenclature import alike, written
from .base import BOTH, Limit
from .case import Case
from .plain import LAW, LINE, NOZZLE, RUNNING, SCREW, STARTING, plain

PRESSURE = "pressure"  # running, starting and rated pressure rest on one nozzle theory, and err together
WARM = 313.15  # K; from here on a rating printed for room temperature says little of a plastic barrel: common practice, no source
STRONGER = "take a wider bore or a shorter land, print slower, add water, or fit a stronger drive in a rated barrel"


class AgainstDrive(Limit):
    """A force against what the drive has."""

    unit = "N"
    jobs = BOTH
    error_name = PRESSURE
    to_judge = "give the extruder its drive"

    def lacks(self, case: Case) -> str:  # noqa: D102
        return super().lacks(case) or ("no drive" if case.extruder.drive is None else "")

    def exact_part(self, case: Case) -> Numbers:  # noqa: D102
        return case.extruder.plunger_friction

    def high(self, case: Case) -> Numbers:  # noqa: D102
        drive = case.extruder.drive
        force = drive.available_force(case.extruder.area)
        return np.minimum(force, GREAT)[()] if isinstance(drive, HandDrive) else force


class AgainstBarrel(Limit):
    """A pressure against what the barrel may bear: a hard limit."""

    unit = "Pa"
    jobs = BOTH
    hard = True
    source = "common practice, no source: half the printed rating at the actual temperature"

    def high(self, case: Case) -> Numbers:  # noqa: D102
        return case.extruder.pressure_limit


class DriveForce(AgainstDrive):
    """Force to run against what the drive has."""

    name = "drive force"
    label = "force to run"
    of_flow = True
    model_error = 0.15
    formula = "p A_0 + F_f ≤ F_drive"
    source = "force balance on the plunger; converging flow by finite elements computed for the project"
    example = (
        Example(
            given=plain(LAW, NOZZLE, LINE, SCREW, "plunger_friction"),
            expected={"value": 17.6033515, "high": 88.3136602, "margin": 1.61280548, "margin with error": 1.52230449},
            source=(
                RUNNING + "pi/4*0.0213^2*p + 7.3 against 2 pi*0.11*0.23/0.0018; p times e^0.15, and not the friction"
            ),
        ),
    )
    remedy = STRONGER
    caution = CAUTIONS["barrel"]

    def caution_for(self, case: Case) -> str:  # noqa: D102
        return self.caution if case.extruder.drive is None else CAUTIONS[case.extruder.drive.hazards[-1]]

    def asked(self, case: Case) -> bool:  # noqa: D102
        return not isinstance(case.extruder.drive, HandDrive)

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.force


class Start(AgainstDrive):
    """Force to start after the rest, with the static yield stress, against what the drive has."""

    name = "start after rest"
    label = "force to start after a rest"
    model_error = 0.25
    formula = (
        "p_start(τ_ys) A_0 + F_break-loose ≤ F_drive, with F_f for F_break-loose where that is not known; of a hand "
        f"F_drive is at most {GREAT:g} N, beyond which none injects"
    )
    source = "force balance on the plunger at rest; plastic work of converging flow"
    example = (
        Example(
            given=plain(NOZZLE, SCREW, "yield_stress static_ratio", break_loose_friction=11.6),
            expected={"value": 18.9644041, "high": 88.3136602, "margin": 1.53833104, "margin with error": 1.43370535},
            source=(
                STARTING
                + "1.4*310*47.6210310*pi/4*0.0213^2 + 11.6 against 2 pi*0.11*0.23/0.0018; p times e^0.25, and not the friction"
            ),
        ),
        Example(
            given=plain(NOZZLE, SCREW, "yield_stress static_ratio plunger_friction"),
            expected={"value": 14.6644041, "high": 88.3136602, "margin": 1.79547173, "margin with error": 1.6621335},
            source="the same with the gliding friction of 7.3 N, where no other is known",
        ),
    )
    remedy = "keep pauses short, purge before a pause, or " + STRONGER
    caution = CAUTIONS["tip"]

    def left_open(self, case: Case) -> str:  # noqa: D102
        return "break_loose_friction not known" if case.extruder.break_loose_friction is None else ""

    def remark(self, case: Case) -> str:  # noqa: D102
        return (
            "with the gliding friction: the peak of a plunger that breaks loose is higher"
            if self.left_open(case)
            else ""
        )

    def exact_part(self, case: Case) -> Numbers:  # noqa: D102
        extruder = case.extruder
        return extruder.plunger_friction if extruder.break_loose_friction is None else extruder.break_loose_friction

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.start_pressure * case.extruder.area + self.exact_part(case)


class RatedPressure(AgainstBarrel):
    """Pressure at the plunger face, running or starting, against what the barrel is rated for."""

    name = "rated pressure"
    label = "pressure in the barrel"
    of_flow = True
    model_error = 0.15
    error_name = PRESSURE
    formula = "p and p_start(τ_ys) ≤ half the printed rating, of the next batch in 97.5 of 100; unrated: ≤ 100 kPa, and never air"
    remedy = "stop: take a barrel with a printed rating above twice this pressure, a wider bore, or a softer paste"
    caution = CAUTIONS["barrel"]
    example = (
        Example(
            given=plain(LAW, NOZZLE, LINE, "pressure_rating stress_spread"),
            expected={"value": 28915.4150, "high": 470e3, "margin": 2.34400328, "margin with error": 2.19400328},
            source=(RUNNING + "ln(470e3/p) - 1.959964*sqrt(0.15^2 + 0.17^2); 0.15 for the formula"),
        ),
        Example(
            given=plain(NOZZLE, "yield_stress stress_spread", static_ratio=3.2),
            expected={"value": 47240.0628, "high": 100e3, "margin": 0.305573293, "margin with error": 0.155573293},
            source=(
                STARTING + "without a rating: 3.2*310*47.6210310; "
                "ln(100e3/p) - 1.959964*sqrt(0.15^2 + 0.17^2); 0.15 for the formula"
            ),
        ),
    )

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return np.maximum(case.pressure, case.start_pressure)

    def caution_for(self, case: Case) -> str:
        """Return the caution of barrels, of a warm one, and what a blocked tip would do where the drive is stronger than the barrel."""
        blocked, allowed = case.extruder.blocked_pressure, case.extruder.pressure_limit
        warm, caution = case.job.barrel_temperature, self.caution
        if warm is not None and np.max(warm) > WARM:
            caution = (
                f"A plastic barrel at {written(np.max(warm), 'K')} bears less than its printed rating: ask its maker what it bears "
                f"there, and do not press where nobody knows. {CAUTIONS['hot gel']} {caution}"
            )
        if blocked is None or not np.all(blocked > allowed) or not np.all(allowed > 0):
            return caution
        force = float(np.min(allowed * case.extruder.area))
        makes, bears = alike("Pa", np.max(blocked), np.min(allowed))
        return (
            f"If the tip blocks, this drive makes {makes}, and the barrel may bear {bears}: limit the drive to "
            f"{written(force, 'N')}. {caution}"
        )


class SuppliedPressure(AgainstBarrel):
    """Pressure of the gas behind the plunger, which the barrel bears whatever the paste does, against what it may bear."""

    name = "supplied pressure"
    label = "gas pressure behind the plunger"
    formula = "p_regulator ≤ half the printed rating; unrated: never"
    remedy = "stop: set the regulator and a relief valve below half the rating, or take a barrel of a higher one"
    caution = CAUTIONS["stored gas"]
    example = (
        Example(
            given={"supply_pressure": 210e3, "pressure_rating": 940e3},
            expected={"value": 210e3, "high": 470e3, "margin": 0.805625164},
            source="by hand: ln(940/2/210)",
        ),
    )

    def asked(self, case: Case) -> bool:  # noqa: D102
        return case.extruder.drive is not None and case.extruder.drive.compressed_gas

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.extruder.drive.pressure  # type: ignore[union-attr]  # `asked` of compressed gas alone

    def allowance(self, case: Case) -> Numbers:
        """Return 0: the regulator's pressure does not hang on the batch."""
        return 0.0
