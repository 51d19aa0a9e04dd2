"""Where the numbers of a plan come from: each table says it for its own, and of one that does not that is said, in the same words everywhere."""

import re

from ..origins import ASSUMED, INVENTED, ORIGINS, STATED, TABLE, UNSAID
from .plan import Plan
from .shelf import came_from, is_demo

FOR_DEMONSTRATION = f"{INVENTED}: for demonstration"


def origin_of(text: str) -> str:
    """Return an origin that begins with one of the words of `origins`; what says it in words of its own is stated, and what says nothing assumed.

    >>> origin_of("measured: calipers"), origin_of("from a handbook"), origin_of("")
    ('measured: calipers', 'stated: from a handbook', 'assumed: origin not given')
    >>> origin_of("Assumed, from a similar paste"), origin_of("invented for a lecture")
    ('assumed: from a similar paste', 'invented: for a lecture')
    """
    text = text.strip()
    if not text:
        return UNSAID
    if text.partition(":")[0].strip() in ORIGINS:
        return text
    first = re.match(r"\w*", text)[0]  # it matches nothing too
    if first.lower() in (ASSUMED, INVENTED):  # by nobody, whatever its author says beside
        return f"{first.lower()}: {text[len(first) :].lstrip(' ,;.:-') or 'origin not given'}"
    return f"{TABLE if text.startswith('from a table') else STATED}: {text}"


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


def told_in(plan: Plan, table: str, key: str = "") -> str:
    """Return where the numbers of a table of a plan come from, or the one of a `key`.

    Where the table does not say it, those that came with a demo are invented, in a copy of it too, until another is typed over them.
    """
    if (text := plan.text(SAID_IN.get(table, table), "origin").strip()) or not key:
        return origin_of(text or _unsaid(plan))
    came = came_from(plan.folder)
    return (
        origin_of(_unsaid(plan)) if came is None else FOR_DEMONSTRATION if _came_so(came, plan, table, key) else UNSAID
    )


def _came_so(came, plan, table, key):
    """Return whether an entry of a plan stands as it came with a demo."""
    return plan.text(table, key) == Plan.read(came).text(table, key)


def origins_of(plan: Plan) -> tuple[str, str]:
    """Return where the numbers of the extruder come from, and those of the job; of a demo they are invented until somebody says otherwise."""
    unsaid = _unsaid(plan)
    machine, job = (origin_of(plan.text(table, "origin") or unsaid) for table in ("machine", "job"))
    return machine, job
