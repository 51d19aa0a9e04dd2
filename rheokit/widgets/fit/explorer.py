"""From bench readings to a law one can trust and the force it means, in one page of controls."""

import warnings
from pathlib import Path
from time import perf_counter
from weakref import WeakKeyDictionary

import ipywidgets as W

from ... import charts
from ...bench import Bench
from ...errors import DataError
from ...fitting import fit
from ...fitting import text as in_text
from ...fitting.comparison import ranked
from ...laws import LAWS
from ...nomenclature import number
from ...reading import joined, read_bench, write_bench
from ...reading.faults import shown
from ...reading.typing_out import with_unit
from ..page.frame import Page
from ..page.freshness import FAILED, OLD, Answer, Unheard, outlive
from ..page.hearing import hear, hear_press
from ..page.number_field import NumberField
from ..page.parts import (
    WIDE,
    Later,
    Message,
    PageProbe,
    caution,
    column,
    details,
    in_words,
    paragraph,
    result,
    section,
    side_by_side,
    stamped,
    table,
    text_field,
    tick_box,
)
from ..page.pictures import Picture
from .entry import EntryForm
from .force_panel import ForcePanel
from .menu import BenchMenu
from .results import about_bench, check_rows, classical_corrections, estimate_rows

RATES = 1e-4, 1e6  # 1/s: bounds of a rate of use
TWO_COLUMNS = 940  # px, from which two pictures stand beside each other
SLOW = 0.1  # s; a fit that took longer is drawn before its band is computed, which takes longer still
SAVING = (
    "All tests of the bench, ticked or not, as a folder that can be opened here again; what is not stated stays so."
)


def rate_of_use(which, changed=None):
    """Return the field of the "slowest" or "fastest" rate of use, which may stay empty."""
    return NumberField(f"{which} rate of use [1/s]", 10.0, *RATES, changed, "optional", begin=None)


def use_range_of(*rates):
    """Return the range of use [1/s] of two number fields, the slowest and the fastest; None where both are empty."""
    values = [rate.value for rate in rates if rate.holds]
    if not values:
        return None
    if len(values) == 1:
        raise DataError("Only one end of the range of use is given; give both rates in 1/s, or none.")
    if values[0] >= values[1]:
        raise DataError(
            f"The slowest rate of use, {values[0]:g} 1/s, is not below the fastest, {values[1]:g} 1/s; exchange them."
        )
    return tuple(values)


def density_of(bench):
    """Return the density of a bench with its uncertainty as text: stated, or measured by its cups; "" where there is none."""
    if bench is None:
        return ""
    value, share = bench.specimen.density, bench.specimen.spreads.get("density")
    if value is None and (measured := bench.properties().get("density")):
        value, share = measured.value, measured.spread
    return "" if value is None else with_unit(value, "kg/m³", share and share * value)


class FitExplorer(Page):
    """Choose readings, tests and law; see the fit, its limits, its checks and the force it means; save the bench.

    Parameters
    ----------
    folder : str or path
        A bench folder to begin with; those beside it are offered too.
    law : str
        The law to begin with, a key of ``LAWS``.

    Attributes
    ----------
    bench : Bench
        What was read last, all of its tests.
    fit : FitResult or None
        The last fit that worked.
    """

    def __init__(self, folder, law="Herschel-Bulkley"):
        self.bench = self.fit = None
        self._fits = {}
        self.message, self.status = Message(), Message()
        self.probe = PageProbe(layout=W.Layout(width="100%", height="0"))
        self._later = Later(self._complain, self)
        self._readings_controls(str(folder))
        self._law_controls(law)
        self.about, self.verdict, self.numbers, self.asked, self.ranking, self.classical = (Answer() for _ in range(6))
        self.curve = Picture("Flow curve", 470)
        self.along_rate, self.along_order = (
            Picture("Residuals along the shear rate", 400),
            Picture("Residuals in the order of reading", 400),
        )
        self.against = Picture("Readings against predictions", 380)
        self.force = ForcePanel()
        self.target, self.saved = text_field("folder to save into", example="new or empty"), Message()
        self.save = W.Button(description="Save the bench")
        hear_press(self.save, self._save)
        hear(self.probe, self._new_page, "page", "width")
        super().__init__(self._sections())
        self.read(folder)

    def __repr__(self):
        return f"FitExplorer of {in_text.heading(self.fit)}" if self.fit else "FitExplorer, no fit yet"

    # --- what is on the page ------------------------------------------------------------------------------------

    def _readings_controls(self, folder):
        self.choice = BenchMenu(folder, self._choose)
        self.path = text_field("or its path", example="press Enter to open")
        self.entry = EntryForm(self._take_typed, self._outlive, self.refit, lambda: density_of(self.bench))
        self.entry.layout.display = "none"
        self.typing = W.ToggleButton(
            description="Type readings into the page", icon="pencil", layout=W.Layout(width="auto")
        )
        hear(self.typing, lambda: self._show_entry(self.typing.value))
        self.tests, self._ticks = W.VBox([]), WeakKeyDictionary()
        hear(self.path, lambda: self._open(self.path.value.strip()))

    def _law_controls(self, law):
        self.law = W.Dropdown(options=list(LAWS), value=law, description="flow law", style=WIDE)
        self.others = [
            W.Checkbox(description=other, indent=False, layout=W.Layout(width="auto", margin="0 14px 0 0"))
            for other in LAWS
        ]
        self.slow, self.fast = (rate_of_use(which, self.refit) for which in ("slowest", "fastest"))
        for control in (self.law, *self.others):
            hear(control, self.refit)

    def _sections(self):
        compared = W.Box(self.others, layout=W.Layout(display="flex", flex_flow="row wrap"))
        return [
            self.probe,
            section("Readings", side_by_side(
                column(self.choice, self.path, self.about), column(W.HTML(paragraph("Tests to fit:")), self.tests, share="1 1 340px")
            ), self.typing, self.entry),
            self.message,
            section("Law", side_by_side(
                column(self.law, W.HTML(paragraph("Compare with:")), compared), column(self.slow, self.fast, share="1 1 340px")
            )),
            self.status,
            section("Flow curve", self.curve, self.ranking),
            section("Values and how far to trust them", self.verdict, self.numbers),
            section("Checks", self.asked),
            self.classical,
            section("Residuals", side_by_side(column(self.along_rate, share="1 1 450px"), column(self.along_order, share="1 1 450px")), self.against),
            section("Force and pressure for a nozzle", self.force),
            section("Save", W.HTML(paragraph(SAVING)), self.target, self.save, self.saved),
            Unheard(),
        ]  # fmt: skip

    # --- readings -----------------------------------------------------------------------------------------------

    def read(self, folder):
        """Open a bench folder and return whether it was read; one that cannot be is complained of, and what is shown stays."""
        try:
            bench = read_bench(folder)
        except (DataError, OSError) as error:
            self._complain(in_words(error))
            self._outlive()
            self.choice.keep()
            return False
        self.choice.name(folder)
        self._show_bench(bench)
        return True

    def _choose(self, chosen):
        """Show a bench of the list; a path that was opened before goes: the list has it."""
        opened = self.path.value.strip() == self.choice.shown
        if chosen in self.choice.typed:
            self.choice.name(chosen)
            self._show_bench(self.choice.typed[chosen])
        elif not self.read(chosen):
            return
        if opened:
            self.path.value = ""

    def _open(self, path):
        """Open a typed path; one that is taken away again takes its error along."""
        if path:
            self.read(path)
        elif self.message.value:
            self.refit()

    def _outlive(self):
        """Say of all that is shown that it is from before an error, and compute nothing until that is mended."""
        self._later.stop()
        self.force.wait()
        outlive(self)
        self.tests.add_class(OLD).add_class(FAILED)  # the ticks of the bench before

    def _show_entry(self, wanted):
        """Show or hide the form to type into; with it goes what was wrong in it."""
        self.entry.layout.display = None if wanted else "none"
        if not wanted:
            self.entry.forget()

    def _take_typed(self, bench, new):
        if not new and self.bench is not None:
            bench = joined(self.bench, bench)
            self._keep_ticks(bench)
        self.choice.hold(bench, new)
        self._show_bench(bench)

    def _keep_ticks(self, bench):
        """Tick the tests of a bench as those that are shown; more of them are ticked."""
        for old, new in zip(self.bench.tests, bench.tests, strict=False):
            self._ticks[new] = self._ticks.get(old, True)

    def _show_bench(self, bench):
        self.bench = bench
        boxes = []
        for test in (t for t in bench.tests if not t.gives):
            count = len(test.readings)
            box = tick_box(f"{test.name}, {count} reading{'s' if count > 1 else ''}", self._ticks.get(test, True))
            hear(box, self._tick)
            boxes.append(box)
        self.tests.children = boxes
        self._tick()

    def _tick(self):
        self._ticks |= zip(
            (t for t in self.bench.tests if not t.gives), (box.value for box in self.tests.children), strict=True
        )
        self._fits = {}
        self.refit()

    def chosen(self):
        """Return the bench with the ticked tests, and those of properties, which no fit takes."""
        boxes = iter(self.tests.children)
        kept = [test for test in self.bench.tests if test.gives or next(boxes).value]
        if self.tests.children and all(test.gives for test in kept):
            raise DataError("No test is ticked, so there is nothing to fit; tick at least one.")
        return Bench(self.bench.specimen, kept, self.bench.origin)

    # --- fit and what it shows ----------------------------------------------------------------------------------

    def refit(self):
        """Fit and show: the picture first, then checks, whose stamp all else carries, residuals, limits and force."""
        if self.bench is None:
            return
        self.status.say("Computing the fit ...")
        self.saved.say("")
        self.tests.remove_class(OLD).remove_class(FAILED)
        self.force.wait()
        steps = [self._fit, self._check, self._draw_rest, self._rank, self._tabulate, self._show_force, self._correct]
        self._later.start(steps)

    def _fitted(self, law, use_range):
        key = (law, use_range)
        if key not in self._fits:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # each warning has its row among the checks
                self._fits[key] = fit(LAWS[law], self.chosen(), use_range=use_range)
        return self._fits[key]

    def _fit(self):
        began = perf_counter()
        use_range = use_range_of(self.slow, self.fast)
        found = self._fitted(self.law.value, use_range)
        self.fit, self._use_range = found, use_range
        self.message.complain("")
        self.about.value = about_bench(self.bench)
        self._draw_curve(band=perf_counter() - began < SLOW, checked=False)
        self.status.say("Computing the checks ...")

    def _rivals(self):
        return [box.description for box in self.others if box.value and box.description != self.law.value]

    def _draw_curve(self, band=True, others=(), checked=True):
        look = {"page": self.probe.page, "width": self.probe.width}
        self.curve.draw(charts.flow_curve(self.fit, *others, band=band, checked=checked, **look))

    def _draw_rest(self):
        page, width = self.probe.page, self.probe.width
        half = width // 2 - 20 if width > TWO_COLUMNS else width
        rivals = [self._fitted(law, self._use_range) for law in self._rivals()]
        self._draw_curve(others=rivals)
        self.along_rate.draw(charts.residuals(self.fit, charts.RATE, page, half))
        self.along_order.draw(charts.residuals(self.fit, charts.RUN_ORDER, page, half))
        self.against.draw(charts.read_against_predicted(self.fit, page, width))

    def _rank(self):
        rivals = self._rivals()
        if not rivals:
            self.ranking.value = ""
            return
        frame = ranked([self._fitted(law, self._use_range) for law in (self.law.value, *rivals)])
        rows = [
            [law, row.parameters, number(row.residual_sum), number(row.difference), row.verdict]
            for law, row in frame.iterrows()
        ]
        head = ["law", "parameters", "residual sum", "AICc above the best", "verdict"]
        self.ranking.value = table(head, rows, "Which law is worth its parameters")

    def _tabulate(self):
        head = ["", "symbol", "value", "95 % interval", "unit", "note"]
        own, apparatus = estimate_rows(self.fit)
        shown = table(head, own, in_text.heading(self.fit))
        if apparatus:
            shown += details(
                "Apparatus and test theories, fitted along", table(head, apparatus, "Fitted along with the law")
            )
        self.numbers.value = shown
        self.status.say("Computing the force ...")

    def _check(self):
        rows = check_rows(self.fit)
        said = stamped(self.fit.verdict) if self.fit.stamp else result(self.fit.verdict)
        self.verdict.value = said + caution(in_text.caution(self.fit))
        self.asked.value = table(["", "question", "what was found"], rows, in_text.heading(self.fit))
        self.status.say("Computing the limits ...")

    def _show_force(self):
        self.force.show(self.fit)  # it says from here on what is being computed
        self.status.say("")

    def _correct(self):
        self.classical.value = classical_corrections(self.chosen())

    def _new_page(self):
        self.force.page, self.force.width = self.probe.page, self.probe.width
        if self.fit is not None:
            self.refit()

    def _complain(self, words):
        if self.fit is not None:
            words += f"\nBelow stands the last fit that worked: {in_text.heading(self.fit)}."
        self.message.complain(words)
        self.status.say("")

    # --- saving -------------------------------------------------------------------------------------------------

    def _save(self):
        if not self.target.value.strip():
            self.saved.complain("Name a folder to save into: a new or an empty one.")
            return
        if self.bench is None:
            self.saved.complain("No bench is open, so there is nothing to save; open a folder, or type readings.")
            return
        try:
            bench = write_bench(self.bench, self.target.value.strip())
        except (DataError, OSError) as error:
            self.saved.complain(in_words(error))
            return
        self._keep_ticks(bench)
        self.bench = bench  # it knows what the folder holds now
        if self.choice.shown in self.choice.typed:
            self.choice.typed[self.choice.shown] = bench
        besides = sum(bool(test.gives) for test in bench.tests)
        count = len(bench.tests) - besides
        said = f"Saved {count} test{'s' if count > 1 else ''}" + (f" and {besides} of properties" if besides else "")
        unticked = sum(not box.value for box in self.tests.children)
        if unticked:
            said += f", {unticked} of them not ticked (ticking chooses what is fitted, not what is saved),"
        self.saved.say(f"{said} in {shown(Path(self.target.value.strip()).resolve(), 400)}.")
