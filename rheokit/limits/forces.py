"""What bounds the force on the plunger of a case, and the print speeds that its readings cover."""

import warnings

import numpy as np

from ..errors import RheokitWarning
from ..flow.channel import AS_READ
from ..flow.segments import apparent_rate
from ..framed import framed
from ..hints import Table
from ..laws import FlowLaw
from ..machine.drives import HandDrive
from ..machine.extruder import Extruder
from ..nomenclature import number
from ..sampling import limits_of
from ..things import a
from .case import Case

POINTS = 25  # of the force along the speed


def force_limits(case: Case) -> Table:
    """Return what bounds the force on the plunger, a DataFrame: name, force [N] (0: none allowed), hard, words.

    Parameters
    ----------
    case : Case
        Of numbers, not arrays.
    """
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
    frame = framed(rows, columns=["name", "force", "hard"]).astype({"force": float})
    frame["words"] = [
        f"{name} {number(force)} N" if force else name for name, force in zip(frame.name, frame.force, strict=True)
    ]
    return frame


def speeds_read(case: Case) -> tuple[float, float] | None:
    """Return the slowest and the fastest print speed [m/s] whose rates were read, from the barrel to the bore; None where no rate was.

    The slowest is 0 where the yield stress was read; where it is above the fastest, no speed was read in all of the walls.
    """
    a("PrintJob", "speeds_read", "job", case.job)
    if case.rate_range is None:
        return None
    from . import LIMITS

    section = float(case.flow_rate / case.job.print_speed)
    limit, wide, bore = LIMITS["rates read"], float(case.widest_wall), float(case.nominal_bore)
    (low, high), flows = case.rate_range, (apparent_rate(section, wide), apparent_rate(section, bore))
    slowest = 0.0 if case.yield_read else float(limit.apparent(case, low / AS_READ) / flows[0])
    return slowest, float(limit.apparent(case, high * AS_READ) / flows[1])


def force_course(
    case: Case, slowest: float, fastest: float, draws: FlowLaw | None = None, drawn: Extruder | None = None
) -> Table:
    """Return the force on the plunger along the print speed.

    Parameters
    ----------
    case : Case
        Of numbers, not arrays.
    slowest, fastest : float
        Ends of the print speed. [m/s]
    draws : FlowLaw, optional
        Joint draws of the law, each field of shape (count, 1).
    drawn : Extruder, optional
        Joint draws of the extruder beside those of the law, each field of their shape; the case's own otherwise.

    Returns
    -------
    course : DataFrame
        Columns speed [m/s], force with the 95 % limits low and high of the draws [N], covered (whether it was read), here
        (whether it is the speed of the case). The ends of what was read are among the speeds.
    """
    here, read, extruder = float(case.job.print_speed), speeds_read(case) or (np.inf, np.inf), case.real_extruder
    edges = [speed for speed in read if slowest < speed < fastest]
    speeds = np.unique(np.concatenate([np.geomspace(slowest, fastest, POINTS), edges, [here]]))
    flows = float(case.flow_rate / case.job.print_speed) * speeds
    # a warning of the one at hand is said where its pressure is computed
    with warnings.catch_warnings(action="ignore", category=RheokitWarning):
        force = extruder.plunger_force(case.pressure_law, flows)
        low, high = (force, force) if draws is None else limits_of((drawn or extruder).plunger_force(draws, flows))
    covered = (speeds >= read[0]) & (speeds <= read[1])
    columns = {"speed": speeds, "force": force, "low": low, "high": high, "covered": covered, "here": speeds == here}
    return framed(columns)
