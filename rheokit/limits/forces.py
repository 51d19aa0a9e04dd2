"""What bounds the force on the plunger of a case, and the print speeds that its readings cover."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ..machine.drives import HandDrive
from ..nomenclature import number

if TYPE_CHECKING:
    import pandas as pd

    from .case import Case


def force_limits(case: Case) -> pd.DataFrame:
    """Return what bounds the force on the plunger, a DataFrame: name, force [N] (0: none allowed), hard, words.

    Parameters
    ----------
    case : Case
        Of numbers, not arrays.
    """
    from ..frames import Frame
    from . import LIMITS

    extruder, drive = case.extruder, case.extruder.drive
    rows = []
    if drive is not None and not isinstance(drive, HandDrive):
        rows.append(("drive", drive.available_force(extruder.area), False))
    hand = drive if isinstance(drive, HandDrive) else HandDrive()
    begins = LIMITS["start after rest"]
    start = "start after rest, at least" if begins.left_open(case) else "start after rest"
    rows += [("hand", hand.force, False), (start, begins.value(case), False)]
    bears = extruder.pressure_limit
    rated = (
        "half the rating" if extruder.pressure_rating else "unrated barrel" if bears else "unrated barrel: never air"
    )
    rows.append((rated, bears * extruder.area + extruder.plunger_friction if bears else 0.0, True))
    frame = Frame(rows, columns=["name", "force", "hard"]).astype({"force": float})
    frame["words"] = [
        f"{name} {number(force)} N" if force else name for name, force in zip(frame.name, frame.force, strict=True)
    ]
    return frame


def speeds_read(case: Case) -> tuple[float, ...] | None:
    """Return the slowest and the fastest print speed [m/s] whose rate in the bore was read; None where none was."""
    if case.rate_range is None:
        return None
    section = float(case.flow_rate / case.job.print_speed)
    law, bore = case.paste.law, float(case.nominal_bore)
    apparent = [law.apparent_shear_rate(law.shear_stress(rate)) for rate in case.rate_range]
    return tuple(float(rate * np.pi * bore**3 / 32 / section) for rate in apparent)
