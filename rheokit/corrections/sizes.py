"""How large the corrections are that a fit makes within its predictions: the entry, and the true rate at the wall."""

from collections.abc import Sequence

import numpy as np

from ..bench.run import Run
from ..laws.base import FlowLaw


def entry_losses(run: Run, law: FlowLaw) -> tuple[np.ndarray, np.ndarray] | None:
    """Return what converging flow costs beyond shear flow in each row of a run [Pa], and as a share of its nozzle's pressure [-].

    None where the loss is fitted as a length of land, or nothing narrows. Valid where the formula of `flow.converging` is, which
    is its source.

    Parameters
    ----------
    run : PressureRun or ForceRun
    law : FlowLaw
        As fitted: the pressures are those that it predicts, with nominal dimensions and without slip.
    """
    parts = run.nozzle.parts(run.inlet_diameter)
    if run.end_correction == "fitted" or not any(part.contraction for part in parts):
        return None
    shape = run.flow_rate.shape
    lost = np.array([np.broadcast_to(part.pressure_drop(law, run.flow_rate), shape) for part in parts])
    entry = lost[[part.contraction is not None for part in parts]].sum(axis=0)
    return entry, entry / np.maximum(lost.sum(axis=0), 1e-300)


def rate_ratios(run: Run, law: FlowLaw) -> np.ndarray:
    """Return the true over the apparent rate at the wall of the bore in each row of a run [-], of flow without slip.

    The apparent rate is 32 Q/(π D³). Source: the integral of Weissenberg and Rabinowitsch, for the law itself (from memory).

    Parameters
    ----------
    run : PressureRun or ForceRun
    law : FlowLaw
        As fitted.
    """
    return run.shear_rates(law) / (32 * run.flow_rate / (np.pi * run.nozzle.bore**3))


def spans(found: Sequence[np.ndarray]) -> tuple[float, float] | None:
    """Return the least and the greatest finite number of arrays; None where there is none."""
    held = np.concatenate([np.ravel(one) for one in found]) if found else np.empty(0)
    held = held[np.isfinite(held)]
    return (float(held.min()), float(held.max())) if held.size else None
