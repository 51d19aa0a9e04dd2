"""What the readings set no limit to, and what rests on it.

A slump tells the yield stress and nothing about flow: any consistency and any flow index belong to it. The search ends at
some pair of them, and a force computed from that pair is no answer. So laws are looked at that the readings cannot tell
from the best one, far along every direction that moves no residual; a quantity that differs between them is not
identified, and one that does not (a yield stress, the height of a stack) is as well known as ever.
"""

from functools import cached_property

import numpy as np

from ..bench import cheap_test
from ..inputs import judged_number
from ..laws import FlowLaw
from ..laws.condition_words import in_words
from ..nomenclature import between, written
from ..sampling import LEVEL, moves
from ..things import named
from . import profile
from .between_batches import more_batches
from .conditions import parting_reading
from .estimate import informative
from .solution import Solution

FLAT = 1e-7  # of the greatest singular value: a direction that moves no reading
OPEN = "not identified"
REACHES = np.array([0.05, 0.3, 1.0, 3.0, 10.0, 30.0])  # natural sizes of a coordinate, either way
ALIKE = 0.02  # of the misfit's rise at the limit, below which readings do not tell two laws apart
FAR = 1e4  # times the value: a limit beyond is none
NO_LIMIT = 50.0  # logarithmic limits beyond this are no limits


SLOWER, FASTER = "slower", "faster"
AT_AN_END = {  # of the rates read, where a parameter shows, and how
    "zero_shear_viscosity": (
        SLOWER,
        "where the viscosity no longer rises; a paste with a yield stress has no such plateau, take a law with one",
    ),
    "final_viscosity": (FASTER, "where the viscosity no longer falls"),
}
LIKE = {
    "time_constant": "zero_shear_viscosity",
    "transition": "zero_shear_viscosity",
}  # the bend at the end of the plateau


class Identified(Solution):
    """The part of a `FitResult` that says what the readings set a limit to, and which."""

    @cached_property
    def directions(self) -> tuple[np.ndarray, np.ndarray]:
        """Those that move readings, and those that move none: rows in coordinates over their natural sizes."""
        problem, minimum = self.problem, self.minimum
        scaled = informative(problem, minimum) * problem.scales(minimum.theta)
        _, s, vt = np.linalg.svd(scaled, full_matrices=True)
        s = np.concatenate([s, np.zeros(len(problem.names) - len(s))])
        flat = s <= max(FLAT * s.max(initial=0.0), 1e-9)
        return vt[~flat], vt[flat]

    @cached_property
    def unidentified(self) -> set[str]:
        """Names of the parameters along which the sum of squares does not change at all."""
        flat = np.abs(self.directions[1])
        return {self.problem.names[i] for i in np.flatnonzero((flat > 1e-2).any(0))} if len(flat) else set()

    @cached_property
    def alike(self) -> np.ndarray:
        """Coordinates that the readings cannot tell from the best fit, shape (k, p), the best first [as the fit's]."""
        problem, best = self.problem, self.minimum
        _, flat = self.directions
        if not len(flat):
            return best.theta[None]
        own = np.eye(len(problem.names))[[problem.names.index(name) for name in sorted(self.unidentified)]]
        steps = np.concatenate([sign * reach * np.concatenate([flat, own]) for reach in REACHES for sign in (-1, 1)])
        stack = np.clip(best.theta + steps * problem.scales(best.theta), *problem.box)
        misfit = self.misfit()
        with np.errstate(all="ignore"):
            rise = misfit.of(problem.residuals(stack)) - best.chi_square
        return np.concatenate([best.theta[None], stack[np.isfinite(rise) & (np.abs(rise) < ALIKE * misfit.rise)]])

    @property
    def laws_alike(self) -> FlowLaw | None:
        """One law whose fields hold laws that the readings cannot tell apart, shape (k, 1, 1); None where there is one alone."""
        return self.problem.laws(self.alike) if len(self.alike) > 1 else None

    def limits(self, name: str, level: float = LEVEL) -> tuple[float, float]:
        """Return the profile limits (low, high) of one parameter, in its unit, at a level of confidence [-].

        Its bounds, or no limit, where the readings do not fix it.
        """
        if (name, level) not in self._limits:
            self._limits[name, level] = self._limits_of(name, level)
        return self._limits[name, level]

    @cached_property
    def _limits(self):
        return {}

    def _limits_of(self, name, level):
        level = judged_number("FitResult.limits", "level", level, "confidence_level")
        named("FitResult.limits", [name], [*self.problem.names, *self.problem.fixed], "parameter of this fit")
        problem, known = self.problem, self.problem.about(name)
        if name in self.unidentified or (len(self.alike) > 1 and moves(problem.values(self.alike)[name])):
            return known.ends
        of, extent = (np.log, (-NO_LIMIT, NO_LIMIT)) if known.logarithmic else (np.asarray, (known.low, known.high))
        (low, why_low), (high, why_high) = profile.limits(
            problem, self.misfit(level), self.minimum, lambda stack: of(problem.values(stack)[name]), extent
        )
        if known.logarithmic:
            low, high = np.exp(low), np.exp(high)
        least, most = known.ends
        low, high = low if why_low == "crossed" else least, high if why_high == "crossed" else most
        return float(max(low, least)), float(min(high, most))

    @cached_property
    def not_identified(self) -> dict[str, str]:
        """Parameters to which the readings set no limit, each with what it needs in words: their values mean nothing."""
        problem, found = self.problem, {}
        with np.errstate(all="ignore"):
            values = problem.values(self.alike)
        for name in problem.names:
            about = problem.about(name)
            if np.isfinite(about.spread):
                continue
            if name in self.unidentified or moves(values[name]) or tuple(self.limits(name)) == about.ends:
                found[name] = needs(self, name)
        for condition, _ in problem.law_class.conditions:  # no effect and a usual one are both possible
            name, usual = condition.parameter_name, condition.parameter.size
            if name in problem.free and name not in found:
                low, high = self.limits(name)
                if low <= 0 <= high and not -usual < low <= high < usual:
                    found[name] = needs(self, name)
        return found

    @property
    def needed(self) -> str:
        """What to say of a quantity that rests on what is not identified: "not identified: needs ..."."""
        law, open_ones = self.problem.law_class.parameters(), self.not_identified
        names = [name for name in open_ones if name in law] or list(open_ones)
        needed = "; and ".join(dict.fromkeys(open_ones[name] for name in names))
        return f"{OPEN}: needs {needed or 'more readings, or closer ones: these set it no limit'}"

    @property
    def left_open(self) -> str:
        """What to say of anything that rests on `not_identified`: "not identified: needs ..."; "" where nothing is open."""
        return self.needed if self.not_identified else ""


def needs(result, name):
    """Return in words the readings that would settle a parameter: a cheap test, or the end of the rates where it shows."""
    for condition, _ in result.problem.law_class.conditions:
        if condition.parameter_name == name:
            so_far = in_words(condition.name, *result.condition_ranges[condition.name])
            if parting := parting_reading(result.problem.law_class, condition, result.problem.free, result.tests):
                return f"{parting} (so far {so_far})"
            if more := more_batches(result.problem, condition.name):
                return f"{more} (so far {so_far})"
            return f"readings farther apart in {condition.name.replace('_', ' ')}, or at more of them (so far {so_far})"
    if name == "yield_stress":
        made = {test.kind for test in result.tests}
        return f"a test of the yield stress: {cheap_test(result.problem.typical_stress, made)}"
    if name in result.problem.law_class.parameters():
        at, read = "the rates of use" if result.use_range is None else between(*result.use_range, "1/s"), ""
        if result.rate_range is not None:
            slow, fast = result.rate_range
            so_far = f"{written(slow, '1/s')} alone" if fast < 1.01 * slow else between(slow, fast, "1/s")
            read = f" (so far {so_far})"
            side, where = AT_AN_END.get(LIKE.get(name, name), ("", ""))
            if side and fast >= 1.01 * slow:
                end = written(slow if side == SLOWER else fast, "1/s")
                return f"readings at {side} rates than {end}, {where}"
        return f"readings at several rates{read}: a syringe run or a flow curve at {at}"
    return result.problem.nuisances[name].cure
