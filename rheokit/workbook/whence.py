"""Where the numbers of a plan come from: each table says it for its own, and of one that does not that is said, in the same words everywhere."""

from ..origins import ASSUMED, INVENTED, ORIGINS, TABLE, UNSAID
from .plan import Plan
from .shelf import is_demo

FOR_DEMONSTRATION = f"{INVENTED}: for demonstration"


def origin_of(text: str) -> str:
    """Return an origin that begins with one of the words of `origins`; what says nothing of the kind is assumed.

    >>> origin_of("measured: calipers"), origin_of("from a handbook"), origin_of("")
    ('measured: calipers', 'assumed: from a handbook', 'assumed: origin not given')
    """
    text = text.strip()
    if not text:
        return UNSAID
    if text.partition(":")[0].strip() in ORIGINS:
        return text
    return f"{TABLE if text.startswith('from a table') else ASSUMED}: {text}"


SAID_IN = {
    "nozzle": "machine",
    "drive": "machine",
    "print": "job",
    "fibre": "job",
    "shape": "recipe",
    "drying": "recipe",
}
"""The table that says where the numbers of another one come from."""


def origin_in(plan: Plan, table: str) -> str:
    """Return where the numbers of a table of a plan come from, in the words of `origin_of`."""
    return origin_of(plan.text(SAID_IN.get(table, table), "origin"))


def _unsaid(plan):
    """Return where numbers come from of which a plan does not say it: those of a demo are invented."""
    demo = is_demo(plan.folder) if plan.of_demo is None else plan.of_demo
    return FOR_DEMONSTRATION if demo else ""


def told_in(plan: Plan, table: str) -> str:
    """Return where the numbers of a table of a plan come from, in words for a reader: what its author stated is not called assumed."""
    text = plan.text(SAID_IN.get(table, table), "origin").strip() or _unsaid(plan)
    known = not text or text.partition(":")[0].strip() in ORIGINS or text.startswith("from a table")
    return origin_of(text) if known else f"stated: {text}"


def origins_of(plan: Plan) -> tuple[str, str]:
    """Return where the numbers of the extruder come from, and those of the job; of a demo they are invented until somebody says otherwise."""
    unsaid = _unsaid(plan)
    machine, job = (origin_of(plan.text(table, "origin") or unsaid) for table in ("machine", "job"))
    return machine, job
