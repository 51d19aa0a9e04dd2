"""Does a wall dry evenly enough not to crack?"""

from dataclasses import dataclass

from ..checking import Example
from ..hints import Numbers
from ..part.drying import crack_index
from .base import Limit
from .case import Case
from .measuring import how_to_measure
from .plain import plain


@dataclass(frozen=True, eq=False, repr=False)
class Cracking(Limit):
    """Crack index of a drying wall against the one above which walls of this paste cracked.

    Parameters
    ----------
    cracked_above : float, optional
        Index above which walls of this paste were seen to crack; without it there is nothing to hold it against. [-]
    """

    cracked_above: float | None = None

    name = "cracking"
    label = "crack index while drying"
    model_error = 0.5
    needs = ("diffusivity", "dry_density")
    formula = "N = j b/(ρ_d D_e), b half the wall, at most the one above which walls of this paste cracked"
    source = "ratio of surface flux to diffusion; an index to calibrate on walls of one's own, not a prediction"
    example = (
        Example(
            given=plain("drying_flux wall_width dry_density diffusivity cracked_above"),
            expected={"value": 0.0969723563, "high": 0.41, "margin": 1.44173121, "margin with error": 0.941731208},
            source="by hand: 1.7e-5*1.3e-3/(530*4.3e-10); 0.5 for the formula",
        ),
        Example(
            given=plain("drying_flux line_width dry_density diffusivity cracked_above"),
            expected={"value": 0.0857832383, "high": 0.41, "margin": 1.56433353},
            source="by hand, a wall of one line: 1.7e-5*1.15e-3/(530*4.3e-10)",
        ),
    )
    remedy = "cover the part, dry slower, thinner and more even walls"

    def asked(self, case: Case) -> bool:  # noqa: D102
        return case.job.drying_flux is not None

    def lacks(self, case: Case) -> str:  # noqa: D102
        return super().lacks(case) or (
            "" if self.cracked_above else "the index at which walls of this paste crack not known"
        )

    def to_judge_it(self, case: Case) -> str:  # noqa: D102
        return (
            how_to_measure(self.unknown(case))
            or "dry walls of this paste faster and faster, and note the index at which they crack"
        )

    def value(self, case: Case) -> Numbers:  # noqa: D102
        paste = case.paste
        return crack_index(case.job.drying_flux, case.wall_width / 2, paste.dry_density, paste.diffusivity)

    def high(self, case: Case) -> Numbers:  # noqa: D102
        return self.cracked_above
