"""Which limits are asked, given as such or by name."""

from collections.abc import Collection

from ..part.job import Job
from ..things import called, named
from .base import Limit


def chosen(where: str, limits: Collection[Limit | str] | None, job: Job) -> list[Limit]:
    """Return limits given as such or by name, or where none are given all of a kind of job; refuse what is neither."""
    from . import LIMITS

    if limits is None:
        return [limit for limit in LIMITS.values() if job.kind in limit.jobs]
    found = []
    for one in [limits] if isinstance(limits, str | Limit) else limits:
        if isinstance(one, str):
            named(where, [one], LIMITS, "limit")
        if not isinstance(one, str | Limit):
            raise TypeError(f"{where}: {called(one)} is no limit; give a Limit, or a name of LIMITS.")
        found.append(LIMITS[one] if isinstance(one, str) else one)
    return found
