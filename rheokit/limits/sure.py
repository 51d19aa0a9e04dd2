"""What a hard limit keeps free, found by joint draws, so that a case alone is judged as the chance of it is: by 97.5 of 100."""

from collections.abc import Callable, Collection
from dataclasses import replace

import numpy as np

from ..errors import DataError
from ..paste.material import Material
from ..paste.properties import Paste
from ..sampling import TAILS, Normals, errors_of_limits
from .base import Limit, quietly
from .case import Case
from .chosen import chosen

DRAWS = 1000


def sure(
    case: Case, material: Material, draws: int = DRAWS, seed: int = 0, like: Callable[[Paste], Paste] | None = None
) -> Case:
    """Return a case whose hard limits hold only where they do in 97.5 of 100 joint draws of all that is not known exactly.

    Parameters
    ----------
    case : Case
        Of numbers, not arrays.
    material : Material
        Whose draws count.
    draws, seed : int
        As for `planning.chance`, which with the same numbers refuses what is broken here.
    like : callable, optional
        Makes of drawn pastes what the case has made of its own, such as a stiffer one.
    """
    normals, pastes = Normals(draws, seed), material.draws(draws, seed)
    drawn = case.drawn(like(pastes) if like else pastes, normals, material.rig(case.extruder, draws, seed))
    return replace(case, kept_free=kept_free(case, drawn, normals, chosen("sure", None, case.job)))


def sure_errors(case: Case, material: Material, draws: int = DRAWS, seed: int = 0) -> dict[str, float]:
    """Return by how much, as ln of the value [-], the ends below which hard limits hold in 97.5 of 100 draws scatter from one set of draws to the next.

    Parameters
    ----------
    case, material, draws, seed
        As for `sure`.

    Returns
    -------
    errors : dict
        Standard errors of what each hard limit that can be judged keeps free, by its name; see `sampling.errors_of_limits`. [-]
    """
    normals, pastes = Normals(draws, seed), material.draws(draws, seed)
    drawn = case.drawn(pastes, normals, material.rig(case.extruder, draws, seed))
    effective = np.inf if material.fit is None else material.fit.draw(draws, seed).effective
    asked = [one for one in chosen("sure", None, case.job) if one.hard and one.judges(case)]
    return {one.name: errors_of_limits(one.margin(drawn, normals), effective)[0] for one in asked}


def by_its_draws(case: Case, limits: Collection[Limit]) -> Case:
    """Return a case with what its hard limits keep free by the draws of its fit; as it is where it knows that, or readings carry no draws."""
    material = case.material
    if material is None or case.kept_free or case.errors or case.paste is not material.paste:
        return case
    if not any(limit.hard and limit.judges(case) for limit in limits):
        return case
    try:
        return sure(case, material)
    except DataError:
        return case


def kept_free(case: Case, drawn: Case, normals: Normals, limits: Collection[Limit]) -> dict[str, float]:
    """Return what each hard limit that can be judged keeps free so that it holds in 97.5 of 100 draws, as ln of the value [-]."""
    return {limit.name: _between(case, drawn, normals, limit) for limit in limits if limit.hard and limit.judges(case)}


def _between(case, drawn, normals, limit):
    """Return how far the margin of the draw that decides lies below that of best values with nothing kept free."""
    margins = np.sort(np.ravel(limit.margin(drawn, normals)))
    free = np.squeeze(quietly(limit.margin, case) + limit.allowance(case))
    decides = margins[int(TAILS[0] * margins.size)]
    return float(free - decides) if np.isfinite(free) else 0.0  # of a paste that does not flow


__all__ = ["by_its_draws", "kept_free", "sure", "sure_errors"]
