"""The record of a workbook, as it stands in the file at the moment it is asked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ...errors import DataError
from ...framed import framed
from ...hints import Table
from ...planning.predicted import Predicted, Predictions
from ...reading.faults import shown
from ...reading.locking import alone
from ...reading.refusals import refusal
from ...reading.tables import LARGEST_FILE
from ...release import version_line
from ...things import nearest
from ..disk import bytes_of, own_place, still_there, write_file
from ..draft import Draft
from ..shelf import place_of_plan
from .outcome import DIGITS, Outcome
from .predicted import is_invented, predicted_of, rests_on, settings_of
from .quantities import CLAIMS, NUMBERS, unit_of, words_of
from .scored import NOTHING, Score, scored
from .sheet import Sheet, as_written
from .typed import LONGEST_BATCH, day_of, number_of, observed_of, remark_of, text_of

if TYPE_CHECKING:
    from ..opened import Workbook

NAME = "outcomes.csv"
OF_NO_FOLDER = "what is typed here belongs to no folder"


class Outcomes:
    """What was predicted of a paste, and what came out: `outcomes.csv` beside its bench.

    Every method reads the file anew, and writes it in one step: what another window or an editor wrote meanwhile stays.

    Parameters
    ----------
    book : Workbook
    """

    def __init__(self, book: Workbook) -> None:
        self._book = book

    @property
    def place(self) -> Path:
        """The file: beside the plan that is written, which for a demo stands with what is remembered."""
        return (self._book.folder if self._locked else place_of_plan(self._book.folder).parent) / NAME

    @property
    def _locked(self):
        return self._book.plan.locked or (OF_NO_FOLDER if isinstance(self._book.plan, Draft) else "")

    def __iter__(self):
        return iter(self.all)

    def __len__(self) -> int:
        return len(self.all)

    def __repr__(self) -> str:
        told = [
            f"{one.number}. {one.quantity} {one.predicted_words}; came out: {one.observed_words}" for one in self.all
        ]
        return "\n".join([*(told or ["Nothing is recorded yet."]), *(score.words for score in self.scores)])

    @property
    def all(self) -> tuple[Outcome, ...]:
        """Every prediction, oldest first.

        Raises
        ------
        DataError
            If something in the file cannot be read: row, column, value and what to do.
        """
        return tuple(self._sheet().outcomes)

    @property
    def table(self) -> Table:
        """Every prediction as a row of a DataFrame, numbers in the unit of the row."""
        names = (
            "number",
            "when",
            "quantity",
            "unit",
            "value",
            "low",
            "high",
            "probability",
            "observed",
            "came",
            "on",
            "batch",
            "remark",
            "invented",
            "by",
            "fault",
        )
        return framed([{name: getattr(one, name) for name in names} for one in self.all], columns=list(names))

    @property
    def scores(self) -> tuple[Score, ...]:
        """How each quantity fared of which something came out."""
        return scored(self.all)

    @property
    def words(self) -> str:
        """How the predictions fared, in sentences."""
        every = self.all
        faults = [f"Number {one.number} is not scored: {one.fault}." for one in every if one.fault]
        return "\n".join([*[score.words for score in scored(every)], *faults] or [NOTHING])

    def predictions(self) -> Predictions:
        """Return what the workbook predicts now, and what it cannot and why; nothing is written."""
        return predicted_of(self._book)

    def predict(self, quantity: str) -> Outcome:
        """Write down what is predicted of a quantity now, for the settings of the plan.

        Parameters
        ----------
        quantity : str
            Such as "force"; `predictions` tells which there are.

        Returns
        -------
        outcome : Outcome
            With its number, under which `observe` adds what came out.

        Raises
        ------
        DataError
            If it cannot be predicted, the file cannot be read, or the disk refuses; then nothing is written.
        """
        made = self.predictions()
        if quantity not in [*NUMBERS, *CLAIMS]:
            raise DataError(
                f"predict: {quantity!r:.60} is not recorded{nearest(str(quantity), [*NUMBERS, *CLAIMS]) or '.'} Known are {', '.join([*NUMBERS, *CLAIMS])}."
            )
        one = next((one for one in made.found if one.quantity == quantity), None)
        if one is None:
            why = made.lacking.get(quantity) or next(iter(made.lacking.values()), "this plan does not ask for it")
            raise DataError(f"{words_of(quantity)} cannot be predicted: {why}")
        return self.keep([one])[0]

    def keep(self, predicted: list[Predicted]) -> list[Outcome]:
        """Write down predictions that were made just now, as `predict`."""
        bench, plan = rests_on(self._book)
        shared = {
            "when": datetime.now(UTC).replace(microsecond=0, tzinfo=None), "settings": settings_of(self._book), "invented": is_invented(self._book),
            "by": version_line(), "bench": bench, "plan": plan,
        }  # fmt: skip
        written: list[Outcome] = []

        def add(sheet: Sheet) -> bytes:
            raw = bytes(sheet)
            for one in predicted:
                outcome = _outcome(one, Sheet(raw).next_number if written else sheet.next_number, shared)
                raw = (Sheet(raw) if written else sheet).with_row(outcome)
                written.append(outcome)
            return raw

        self._change(add)
        return written

    def observe(
        self,
        number: int,
        observed: str | float | bool,
        on: str | date | None = None,
        batch: str = "",
        remark: str = "",
        correct: bool = False,
    ) -> Outcome:
        """Add what came out of a prediction; the prediction itself stays as it was written.

        Parameters
        ----------
        number : int
            Of the prediction.
        observed : str, float or bool
            A number with its unit such as "72 N", or in SI [N or m]; of what comes true or not "yes" or "no".
        on : str or date, optional
            When it was observed, 2026-01-31; where it is not given, as it stood before, else today.
        batch, remark : str
            Which batch it was of, and what there is to say; what the row held of them before stays.
        correct : bool
            Whether what was typed before is replaced; it is kept in the remark.

        Raises
        ------
        DataError
            If there is no such prediction, what came out of it is known already, or what was observed cannot be.
        """
        number, named = number_of(number), text_of("batch", batch, LONGEST_BATCH)
        given = on if on is None or str(on).strip() else None
        when = day_of(given)
        result: list[Outcome] = []

        def add(sheet: Sheet) -> bytes:
            found = next((one for one in sheet.outcomes if one.number == number), None)
            if found is None:
                raise DataError(
                    f"there is no prediction {number!r:.20}; there are {len(sheet.outcomes)}, with the numbers in the first column"
                )
            if found.is_known and not correct:
                raise DataError(
                    f"of prediction {number} it is known already what came out, {found.observed_words}; correct it only if that was wrong"
                )
            day = found.on if given is None and found.on is not None else when  # what is corrected was observed then
            found.check_day(day)
            value, came = observed_of(found, observed)
            told = {"batch": named or found.batch}
            told["remark"] = remark_of(remark, found, told["batch"])
            result.append(replace(found, observed=value, came=came, on=day, **told))
            return sheet.with_observed(result[0])

        self._change(add)
        return result[0]

    # --- the file ---------------------------------------------------------------------------------------------------

    def _sheet(self) -> Sheet:
        return self._read(bytes_of(self.place, LARGEST_FILE, "record"))

    def _read(self, raw):
        try:
            return Sheet(raw)
        except DataError as fault:
            told = [f"{shown(str(self.place), 200)}, {line}" for line in str(fault).splitlines()]
            raise DataError("\n".join(told)) from None

    def _change(self, change: Callable[[Sheet], bytes]) -> None:
        """Change the file as it is now: nobody else saves meanwhile, and what cannot be read is not written over."""
        if self._locked:
            raise DataError(f"{shown(str(self.place), 200)}: {self._locked}; nothing was written")
        place = self.place
        still_there(self._book.folder)
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            with alone(place.parent):
                raw = bytes_of(place, LARGEST_FILE, "record")
                new = change(self._read(raw))
                self._read(new)  # which must be readable before it takes the place of what is
                if bytes_of(place, LARGEST_FILE, "record") != raw:
                    raise DataError(
                        f"{shown(str(place), 200)} was changed in this moment by another program; nothing was written. Do it again"
                    )
                write_file(own_place(place), new)
        except OSError as error:
            raise refusal(error, place.parent) from None


def outcome_of(one: Predicted) -> Outcome:
    """Return a prediction that is not written down, as one that is."""
    return _outcome(one, 0, {"when": datetime.now(UTC).replace(microsecond=0, tzinfo=None)})


def _outcome(one: Predicted, number: int, shared) -> Outcome:
    """Return a prediction as the file will give it back, in its unit and sealed."""
    si = 1e-3 if unit_of(one.quantity) == "mm" else 1.0
    in_unit = [float(f"{value / si:.{DIGITS}g}") for value in (one.value, one.low, one.high)]
    numbers: dict[str, Any] = dict(zip(("value", "low", "high"), in_unit, strict=True))
    if one.quantity in CLAIMS:
        numbers = {"probability": float(f"{one.value:.{DIGITS}g}")}
    texts = {
        name: as_written(text)
        for name, text in {"holds": one.holds, "doubt": one.doubt, **shared}.items()
        if isinstance(text, str)
    }
    outcome = Outcome(number=number, quantity=one.quantity, **numbers, **(shared | texts))
    return replace(outcome, seal=outcome.sealed)
