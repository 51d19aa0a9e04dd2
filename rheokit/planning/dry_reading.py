"""Which reading to take next for the diameter of a dry fibre: it rests on a measured share of its section, and on no law of flow.

In ln everything is a sum of errors: of the section, of flow and winding speed as the job states them, and of the formula. A thread more
makes the first smaller, but for the error that every weighed thread shares.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ..bench import KINDS, BenchTest
from ..bench.usual import usual_record
from ..fitting.predictions import Interval
from ..inputs import trusted
from ..limits import LIMITS, Case
from ..sampling import limits_of_spread, widened
from .candidate import LOCAL, Candidate
from .foreseen import Foreseen
from .ranked_readings import NextReading, Ranked

SECTION = "dry_section"
STEP = 1e-4  # of ln section, for how the diameter goes with it
MINUTES = 30.0  # of work a thread, beside its drying; common practice, no source
ROOT = 0.5  # the diameter goes as the root of flow over speed, by the mass balance


def next_for_diameter(case: Case, tests: Sequence[BenchTest]) -> NextReading:
    """Return what to read next for the dry diameter of a fibre: a thread more, or the first one.

    Parameters
    ----------
    case : Case
        Of a job that winds a fibre, and a material whose dry section is known.
    tests : sequence of BenchTest
        Of the bench; those that gave the section count.
    """
    limit, job, material = LIMITS["dry diameter"], case.job, case.material
    with trusted():
        value = float(np.mean(limit.value(case)))
        power = _power(case, limit)
    spread = QUITE_UNKNOWN if material is None else float(material.spread(SECTION))
    beside = np.sqrt((ROOT * job.flow_error) ** 2 + (ROOT * job.speed_error) ** 2 + limit.model_error**2)

    def interval(of_section):
        return limits_of_spread(value, float(np.hypot(power * of_section, beside)))

    low, high = interval(spread)
    found = []
    for candidate, after in _threads(tests, spread):
        ends = interval(min(after, spread))
        share = float((ends[1] - ends[0]) / (high - low))
        test = candidate.tests[0]
        error = test.usual_scatter * np.mean(test.readings)
        reading = np.mean(test.readings) + np.array([[-2.0], [0.0], [2.0]]) * error
        found.append(Ranked(candidate, Foreseen(share, 0.0, np.array([share]), np.inf, reading, *ends)))
    found.sort(key=lambda one: one.share)
    parts = {
        "the section that dries": power * spread,
        "the formula": limit.model_error,
        "flow and winding speed as set": 0.0,
    }
    parts["flow and winding speed as set"] = float(np.sqrt(max(beside**2 - limit.model_error**2, 0.0)))
    total = sum(part**2 for part in parts.values())
    left = tuple(f"{name} ({100 * part**2 / total:.0f} % of its variance)" for name, part in parts.items() if part)
    today = Interval(value, float(low), float(high), False, "of the best dry section, flow and winding speed")
    return NextReading(today, tuple(found), "m", left, drawn_width=float(high - low))


QUITE_UNKNOWN = 0.1  # of ln section, where no material says how well it is known; common practice, no source


def _power(case, limit):
    """Return by how much ln diameter moves with ln section [-]."""
    thicker = replace(case, paste=replace(case.paste, dry_section=case.paste.dry_section * np.exp(STEP)))
    return float(np.mean(np.log(limit.value(thicker) / limit.value(case))) / STEP)


def _threads(tests, spread):
    """Return candidates with the spread of ln section that each leaves: a thread more of each record, or a first one."""
    found = []
    for test in tests:
        if SECTION not in test.gives:
            continue
        count = len(test.readings)
        own = np.sqrt(max(test.properties()[SECTION].spread ** 2 - test.model_error**2, 0.0))
        scatter = own * np.sqrt(count) / (widened(count - 1) if count > 1 else 1.0)
        fewer = scatter / np.sqrt(count + 1) * (widened(count) if count > 1 else 1.0)
        other = np.sqrt(max(spread**2 - own**2 - test.model_error**2, 0.0))  # what else the material counts
        after = float(np.sqrt(fewer**2 + test.model_error**2 + other**2))
        found.append((_candidate(f"repeat: {test.name}", test), after))
    if not found:
        for kind in KINDS.values():
            if SECTION in kind.gives:
                after = float(np.hypot(kind.usual_scatter, kind.default_model_error))
                found.append((_candidate(f"the first {kind.kind}", usual_record(kind)), after))
    return found


def _candidate(name, test):
    return Candidate(name, (test,), MINUTES, "", tuple(filter(None, [test.caution, LOCAL if test.caution else ""])))
