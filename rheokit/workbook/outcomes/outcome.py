"""One prediction with what came out of it."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from hashlib import sha256

from ...errors import DataError
from ...nomenclature import number, with_limits, written
from .quantities import CLAIMS, unit_of

SEAL = 16  # characters
A_DAY = timedelta(days=1)  # by which a date of somewhere may be behind UTC
DIGITS = 6  # significant ones, of numbers in the file


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """One prediction, and what came out; all numbers in the unit of the file.

    Parameters
    ----------
    number : int
        Counted from 1, in one file.
    when : datetime
        Of the prediction, UTC.
    quantity : str
        One of `quantities`.
    value, low, high : float
        Best value with 95 % limits; NaN of what comes true or not. [N or mm]
    probability : float
        Of what comes true; NaN else. [-]
    holds, doubt, settings : str
        What the limits hold, why it is doubted, what it was predicted for.
    invented : bool
        Whether it rests on invented numbers.
    by, bench, plan : str
        Version and commit; digests of readings and plan.
    seal : str
        Digest of all of the above, as it stands in the file.
    observed : float or None
        What came out. [N or mm]
    came : bool or None
        Whether it came true.
    on : date or None
        When it was observed.
    batch, remark : str
        As typed.
    """

    number: int
    when: datetime
    quantity: str
    value: float = float("nan")
    low: float = float("nan")
    high: float = float("nan")
    probability: float = float("nan")
    holds: str = ""
    doubt: str = ""
    settings: str = ""
    invented: bool = False
    by: str = ""
    bench: str = ""
    plan: str = ""
    seal: str = ""
    observed: float | None = None
    came: bool | None = None
    on: date | None = None
    batch: str = ""
    remark: str = ""

    @property
    def unit(self) -> str:
        """Of its numbers."""
        return unit_of(self.quantity)

    @property
    def is_claim(self) -> bool:
        """Whether it comes true or not, and is no number."""
        return self.quantity in CLAIMS

    @property
    def is_known(self) -> bool:
        """Whether it is known what came out."""
        return (self.came if self.is_claim else self.observed) is not None

    @property
    def is_inside(self) -> bool:
        """Whether what was observed lies in the interval."""
        return self.observed is not None and self.low <= self.observed <= self.high

    @property
    def fault(self) -> str:
        """Why it is not scored, in words; nothing where it is."""
        if self.seal != self.sealed:
            return "the prediction is not as it was written: put its row back from an older copy of the file (a spreadsheet may have rounded it)"
        if self.is_known and self.on is None:
            return "when it was observed is not known"
        if self.is_known and self.on < self.when.date() - A_DAY:
            return "it was observed before it was predicted"
        return ""

    def check_day(self, day: date) -> date:
        """Return a day on which it can have been observed, by the calendar of this machine.

        Raises
        ------
        DataError
            If that is before it was predicted, or still to come.
        """
        made = self.when.replace(tzinfo=UTC).astimezone().date()
        if day < made:
            raise DataError(
                f"prediction {self.number} was made on {made}, and {day} is before that: what is known already is not predicted"
            )
        if day > datetime.now().date():
            raise DataError(f"{day} is still to come; give the day on which it was observed")
        return day

    @property
    def is_scored(self) -> bool:
        """Whether it counts."""
        return self.is_known and not self.fault

    @property
    def sealed(self) -> str:
        """The seal that its prediction should have: a change, be it by mistake, is seen."""
        numbers = (f"{one:.{DIGITS - 1}g}" for one in (self.value, self.low, self.high, self.probability))
        texts = (self.holds, self.doubt, self.settings, str(self.invented), self.by, self.bench, self.plan)
        said = "\n".join([str(self.number), f"{self.when:%Y-%m-%d %H:%M:%S}", self.quantity, *numbers, *texts])
        return f"seal {sha256(said.encode('utf-8', 'backslashreplace')).hexdigest()[:SEAL]}"

    @property
    def predicted_words(self) -> str:
        """The prediction as it is read."""
        if self.is_claim:
            return f"{number(100 * self.probability, 2)} of 100"
        value, low, high = (one * self._si for one in (self.value, self.low, self.high))
        return with_limits(value, low, high, self._of)

    @property
    def observed_words(self) -> str:
        """What came out as it is read; "not known" where it is not."""
        if not self.is_known:
            return "not known"
        return ("yes" if self.came else "no") if self.is_claim else written(self.observed * self._si, self._of)

    @property
    def _of(self):
        return "N" if self.unit == "N" else "m"

    @property
    def _si(self):
        return 1e-3 if self.unit == "mm" else 1.0
