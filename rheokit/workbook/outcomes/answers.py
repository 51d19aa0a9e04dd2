"""Times, dates, and yes or no as they are typed into a record."""

from datetime import date, datetime

from ...errors import DataError
from ...reading.faults import shown

YES, NO = "yes", "no"


def moment(text: str) -> datetime:
    """Return a time of a prediction."""
    try:
        return datetime.strptime(text, "%Y-%m-%d %H:%M:%S")
    except ValueError:
        raise DataError(
            f"{shown(text)} is no time; write it as it was, such as 2026-01-31 14:05:00 (a spreadsheet drops the seconds: take the row from an older copy)"
        ) from None


def day(text: str) -> date | None:
    """Return a date that was typed, None for nothing."""
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise DataError(f"{shown(text)} is no date; write year, month and day, such as 2026-01-31") from None


def yes_or_no(text: str) -> bool | None:
    """Return yes or no that was typed, None for nothing."""
    if text.lower() not in (YES, NO, "true", "false", ""):  # the latter as spreadsheets save them
        raise DataError(f"{shown(text)} is neither {YES} nor {NO}; write one of them")
    return None if not text else text.lower() in (YES, "true")
