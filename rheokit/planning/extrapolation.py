"""What a prediction asks for that was not read: the law behind it is then extrapolated."""

from ..limits import Case, judge
from ..limits.judgement import OUTSIDE, chosen


def outside_readings(case: Case) -> list[str]:
    """Return in words each range of the readings that a case of single numbers leaves; empty where it leaves none."""
    advice = [limit for limit in chosen("outside_readings", None, case.job) if limit.advice]
    found = judge(case.without_caveats, advice)
    return list(found.words[found.verdict == OUTSIDE])
