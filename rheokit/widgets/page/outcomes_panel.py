"""Predictions that are kept, what came out of them, and how the two agree: a fold of every page that predicts."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import ipywidgets as W

from ... import charts
from ...errors import DataError
from ...planning.predicted import Predicted
from ...workbook import Workbook
from ...workbook.outcomes import Outcome, Score
from ...workbook.outcomes.record import outcome_of
from ...workbook.outcomes.typed import LONGEST_BATCH, day_of, observed_of, text_of
from . import outcome_words as words
from .accessible import JUDGED, name
from .elements import (
    Later,
    Message,
    PageProbe,
    caution,
    details,
    paragraph,
    press_button,
    show,
    table,
    text_field,
    tick_box,
)
from .fields import choice
from .freshness import Answer
from .hearing import hear
from .layout import beside
from .page_words import in_words, page_words, silent
from .pictures import Picture

if TYPE_CHECKING:
    from ...workbook.outcomes import Outcomes

YES, NO, NEWTON = "yes", "no", "N"


class OutcomesPanel(W.VBox):
    """What is predicted, kept, observed and scored of the workbook that is open.

    Parameters
    ----------
    book : callable
        Returns the workbook that is open.
    overtaken : callable
        Says whether its folder holds other readings, or another plan, than what the page shows.
    """

    def __init__(self, book: Callable[[], Workbook], overtaken: Callable[[], bool] = lambda: False) -> None:
        self._book, self._overtaken, self._rested, self._later = book, overtaken, "", Later(self._fault)
        self.message, self.probe, self.kept = Message(), PageProbe(), Message()
        self.ask = press_button(words.PREDICT, self.predict)
        self.offered, self.told, self.every = W.VBox([], layout=W.Layout(width="100%")), Answer(), Answer()
        self.which, self.quantity = choice(words.WHICH, [], self._choose), choice(words.OF_WHICH, [], self._draw)
        self.which.layout.max_width = "100%"
        self.chosen, self.refused = W.HTML(), {key: Message() for key in ("observed", "on", "batch", "")}
        self.observed = text_field(words.OBSERVED.format(NEWTON))
        self.true = choice(words.TRUE, [(words.CHOOSE, ""), (YES, YES), (NO, NO)])
        self.on, self.batch = text_field(words.ON, words.SUCH_ON), text_field(words.BATCH, words.SUCH_BATCH)
        self.remark, self.correct = text_field(words.REMARK), tick_box(words.CORRECT)
        self.write = press_button(words.WRITE, self._observe)
        self.ask.layout.align_self = self.write.layout.align_self = "flex-start"
        self.picture = Picture(words.PICTURE, 330)
        why = self.refused
        fields = [
            *(_judged(why["observed"], self.observed, self.true), _judged(why["on"], self.on)),
            *(_judged(why["batch"], self.batch), self.remark, self.correct, self.write, why[""]),
        ]
        self._typed = W.VBox(fields, layout=W.Layout(width="100%"))
        self._asked = W.VBox(
            [W.HTML(f"<h2>{words.CAME_OUT}</h2>"), self.which, self.chosen], layout=W.Layout(width="100%")
        )
        shown = W.VBox([self.probe, self.quantity, self.picture, self.told], layout=W.Layout(width="100%"))
        said = W.HTML(paragraph(words.ABOUT) + (paragraph(words.OF_DEMO) if book().is_demo else ""))
        super().__init__(
            [
                said,
                self.ask,
                self.offered,
                self.kept,
                self._asked,
                beside(self._typed, shown),
                self.message,
                self.every,
            ],
            layout=W.Layout(width="100%"),
        )
        hear(self.probe, self._draw, "page", "width")
        self.offered.add_class("answer")
        for place in (self.told, self.every, self.picture):  # the record itself, whatever became of the readings
            place.add_class("read-anew")
        self.refresh()

    @property
    def _record(self) -> "Outcomes":
        return self._book().outcomes

    # --- what is predicted ------------------------------------------------------------------------------------------

    def predict(self) -> None:
        """Ask what is predicted for the settings as they are now."""
        self._later.start([lambda: self.kept.say(words.PREDICTING), self._offer])

    def forget(self) -> None:
        """Offer nothing that was predicted for other settings."""
        if self.offered.children:
            self.offered.children = []
            self.kept.say(words.CHANGED)

    def _offer(self):
        if self._overtaken():
            raise DataError(words.OVERTAKEN)
        with silent():
            made = self._record.predictions()
        self._rested = str(self._book().plan)
        rows = [self._row(one) for one in made.found]
        said = "".join(map(caution, words.cautions(made)))
        lacks = "".join(paragraph(page_words(f"{what}: {why}.")) for what, why in made.lacking.items())
        folded = details(words.NOT_PREDICTED, lacks) if rows else f"<h2>{words.NOT_PREDICTED}</h2>{lacks}"
        self.offered.children = [*rows, W.HTML((said if rows else "") + (folded if lacks else ""))]
        self.kept.say("")

    def _row(self, one: Predicted):
        told = words.prediction(outcome_of(one).predicted_words, one.quantity, one.doubt)
        button: W.Button = press_button(words.KEEP, lambda: self._keep(one, button))
        name(button, f"{words.KEEP}: {told}")
        holds = details(
            "What its limits hold" if one.low == one.low else "Which limits it is of", paragraph(page_words(one.holds))
        )
        button.layout.flex = "none"
        said = W.HTML(paragraph(told) + holds, layout=W.Layout(flex="1 1 260px", min_width="0"))
        return W.HBox([button, said], layout=W.Layout(width="100%", flex_flow="row wrap", align_items="flex-start"))

    def _keep(self, one, button):
        if button.disabled:  # the second press of two
            return
        if str(self._book().plan) != self._rested or self._overtaken():
            self.forget()
            return
        try:
            (kept,) = self._record.keep([one])
        except (DataError, OSError) as error:
            self.kept.complain(in_words(error))
        else:
            button.disabled, button.description = True, words.IS_KEPT.format(kept.number)
            name(button, f"{button.description}: {kept.quantity} {kept.predicted_words}")
            self.kept.say(words.KEPT.format(kept.number, f"{kept.quantity} {kept.predicted_words}"))
            self.refresh(kept.number)

    # --- what came out ----------------------------------------------------------------------------------------------

    def refresh(self, number: int | None = None) -> None:
        """Read the record anew, and choose a prediction of it, else the first of which nothing is known."""
        try:
            every = self._record.all
        except (DataError, OSError) as error:
            self._show_typed(False)
            self.message.complain(in_words(error))
            return
        self.message.complain("")
        open_first = sorted(every, key=lambda one: one.is_known)
        self._outcomes = {one.number: one for one in every}
        self.which.options = [(words.option(one), one.number) for one in open_first]
        if open_first:
            self.which.value = number if number in self._outcomes else open_first[0].number
        self._show_typed(bool(every))
        rows = [words.row(one) for one in every]
        self.every.value = (
            details(words.every(len(rows)), table(words.HEAD, rows, words.TITLE))
            if rows
            else paragraph(words.NOTHING_KEPT)
        )
        self._scores = {score.quantity: score for score in self._record.scores}
        said = self._record.words if rows else ""
        self.told.value = "".join(map(paragraph, said.splitlines()))
        chosen = self.quantity.value
        self.quantity.options = list(self._scores)
        if self._scores:
            self.quantity.value = chosen if chosen in self._scores else next(iter(self._scores))
        show(self.quantity, len(self._scores) > 1)
        self._choose()
        self._draw()

    def _show_typed(self, wanted):
        for part in (self._asked, self._typed):
            show(part, wanted)

    _outcomes: dict[int, Outcome]
    _scores: dict[str, Score]

    def _choose(self):
        one = self._outcomes.get(self.which.value)
        show(self.observed, one is not None and not one.is_claim)
        show(self.true, one is not None and one.is_claim)
        show(self.correct, one is not None and one.is_known)
        self.chosen.value = paragraph(words.made_for(one)) if one is not None else ""
        if one is not None and not one.is_claim:
            self.observed.description = words.OBSERVED.format(one.unit)
            name(self.observed, self.observed.description)
        self.correct.value, self.true.value = False, ""
        for message in self.refused.values():
            message.complain("")

    def _observe(self):
        one = self._outcomes[self.which.value]
        typed = self.true.value if one.is_claim else self.observed.value
        asked = {
            "observed": lambda: observed_of(one, typed),
            "on": lambda: one.check_day(day_of(self.on.value)),
            "batch": lambda: text_of("batch", self.batch.value, LONGEST_BATCH),
        }
        refused = [key for key, check in asked.items() if self._refuses(key, check)]
        more = {"on": self.on.value, "batch": self.batch.value, "remark": self.remark.value}
        if refused or self._refuses(
            "", lambda: self._record.observe(one.number, typed, **more, correct=self.correct.value)
        ):
            return
        self.observed.value = self.remark.value = self.on.value = ""  # the batch stays: several outcomes are of one
        self.refresh()
        done = self._outcomes[one.number]
        self.refused[""].say(words.WRITTEN.format(done.observed_words, done.number))

    def _refuses(self, key, act):
        """Do something, and say at a field, or below the button, why it cannot be; return whether it could not."""
        try:
            act()
        except (DataError, OSError) as error:
            self.refused[key].complain(in_words(error))
            return True
        self.refused[key].complain("")
        return False

    def _draw(self):
        score = self._scores.get(self.quantity.value) if self.quantity.options else None
        show(self.picture, score is not None)
        if score is not None:
            draw = charts.predicted_and_true if score.is_claim else charts.predicted_and_observed
            self.picture.put(draw(score, page=self.probe.page, width=self.probe.width))

    def _fault(self, error):
        self.kept.complain(in_words(error))


def _judged(message, *fields):
    """Return fields with the place below them for what is refused of them."""
    return W.VBox([*fields, message], layout=W.Layout(width="100%")).add_class(JUDGED)
