"""What the strip of a page says of one point: its chance in a word, how far to trust that, and what stops it first."""

import re
from collections.abc import Sequence

from ...origins import INVENTED, in_short, word_of
from ...planning.extrapolation import outside_readings
from ...regions.maps import NOT_ASKED, RegionMap
from .judged import case_of, finding
from .strip import DOUBTFUL, SOUND, STOPPED, Strip

_BRACKETS = re.compile(r" \([^)]*\)")
SURE = 0.5  # chance below which the answer is no more than doubtful
INVENTED_READINGS = "INVENTED readings"
NOTHING = "nothing failed, nothing extrapolated, every limit judged"


def tell_point(strip: Strip, alone: RegionMap, where: str, invented: Sequence[str] = (), lead: str = "") -> None:
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
    """
    said = finding(alone)
    sure = not said.stopped and float(alone.probability[0, 0]) >= SURE
    strip.answer.say(
        f"{said.short[0].upper()}{said.short[1:]}. {lead}" if lead else f"{said.short}, at {where}",
        STOPPED if said.stopped else SOUND if sure else DOUBTFUL,
    )
    tell_trust(strip, alone, invented)
    remedy = f" To do: {_BRACKETS.sub('', said.remedy)}." if said.remedy else ""
    strip.binds.say(f"{said.first}.{remedy}", STOPPED if said.stopped else SOUND)


def tell_trust(strip: Strip, alone: RegionMap, invented: Sequence[str] = ()) -> None:
    """Say which checks failed, what is extrapolated, invented and not judged."""
    case = case_of(alone)
    failed = [in_short(caveat) for caveat in case.caveats]
    readings = [INVENTED_READINGS] if word_of(alone.material.origin("law")) == INVENTED else []
    outside = outside_readings(case)
    unjudged = [name for name, why in alone.not_judged.items() if why != NOT_ASKED]
    doubts = [f"extrapolated: {'; '.join(outside)}"] if outside else []
    doubts += [f"not judged: {', '.join(unjudged)}"] if unjudged else []
    strip.trust.say(
        "; ".join([*failed, *readings, *invented, *doubts]) or NOTHING,
        STOPPED if failed else DOUBTFUL if readings or invented or doubts else SOUND,
    )
