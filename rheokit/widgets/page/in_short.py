"""What the strip of a page says of one point: its chance in a word, how far to trust that, and what stops it first."""

import re
from collections.abc import Sequence

from ...charts import as_one
from ...charts.subtitles import FOR_DEMONSTRATION, INVENTED_READINGS
from ...nomenclature import capital, written
from ...origins import INVENTED, in_short, word_of
from ...planning.extrapolation import UNREAD, ranges_left
from ...regions.maps import NOT_ASKED, RegionMap
from .judged import allowed, case_of, finding
from .strip import DOUBTFUL, SOUND, STOPPED, Strip, few, with_room

_BRACKETS = re.compile(r" \([^)]*\)")
SURE = 0.5  # chance below which the answer is no more than doubtful
NOTHING = "nothing failed, nothing extrapolated, every limit judged"


def tell_point(
    strip: Strip, alone: RegionMap, where: str, invented: Sequence[str] = (), lead: str = "", taken: Sequence[str] = ()
) -> None:
    """Say of the map of a single point what `judged.answer` says of it in full.

    Parameters
    ----------
    strip : Strip
    alone : RegionMap
        Of that point, with draws.
    where : str
        The point in words.
    invented : sequence of str
        What of it is invented, in lines.
    lead : str
        Said in place of the point: what to do there.
    taken : sequence of str
        What counts as something because it is not known.
    """
    said = finding(alone)
    sure = not said.stopped and float(alone.probability[0, 0]) >= SURE
    short = capital(said.short)
    strip.answer.say(
        f"{short}. {lead}" if lead else f"{short}, with {where}",
        STOPPED if said.stopped else SOUND if sure else DOUBTFUL,
    )
    tell_trust(strip, alone, invented, taken)
    remedy = f"To do: {_BRACKETS.sub('', said.remedy)}." if said.remedy else ""
    strip.binds.say(with_room(f"{said.first}.", remedy), STOPPED if said.stopped else SOUND)


def tell_trust(strip: Strip, alone: RegionMap, invented: Sequence[str] = (), taken: Sequence[str] = ()) -> None:
    """Say which checks failed, what is not known and counts as something, what is extrapolated, invented and not judged."""
    case = case_of(alone)
    failed = [in_short(caveat) for caveat in case.caveats]
    readings = [INVENTED_READINGS] if word_of(alone.material.origin("law")) == INVENTED else []
    outside = [
        f"{UNREAD[row.Index]} ({written(row.value, row.unit)}; read {allowed(row)})"
        for row in ranges_left(case).itertuples()
    ]
    unjudged = [name for name, why in alone.not_judged.items() if why != NOT_ASKED]
    doubts = [*taken, f"extrapolated: {', '.join(outside)}"] if outside else [*taken]
    doubts += [f"not judged: {few(unjudged)}"] if unjudged else []
    made_up = in_a_strip([*readings, *invented])
    strip.trust.say(
        capital("; ".join([*failed, *made_up, *doubts]) or NOTHING),
        STOPPED if failed else DOUBTFUL if made_up or doubts else SOUND,
    )


def in_a_strip(invented: Sequence[str]) -> list[str]:
    """Return lines that say what is invented as short as a strip says it."""
    return [line.removesuffix(FOR_DEMONSTRATION) for line in as_one(invented)]
