"""From bench readings to a law one can trust and the force it means, in one page of controls."""

import warnings
from collections.abc import Callable, Sequence
from pathlib import Path
from time import perf_counter
from typing import Self

import ipywidgets as W

from ... import charts
from ...bench import Bench
from ...fitting import fit, over_conditions
from ...fitting import text as in_text
from ...fitting.result import FitResult
from ...fitting.yields import yield_bounds
from ...laws import LAWS
from ...paste.material import Material
from ...reading.template import still_blank
from ...workbook import Workbook
from ...workbook.shelf import BENCH
from ..page.base import Explorer
from ..page.elements import section, show
from ..page.freshness import Answer, dated_in, outlive
from ..page.layout import Fold, beside
from ..page.pictures import Picture
from ..page.rests_on import fit_rows
from ..page.strip import DOUBTFUL, Strip
from ..page.workbook_page import WorkbookPage
from . import words
from .folds import FitFolds
from .law_choice import LawChoice
from .next_panel import NextPanel
from .ranking import ranked
from .readings import Readings
from .residuals import Residuals
from .saving import SavePanel
from .typed_words import TO_FILL_IN, nothing_to_fit

SLOW = 0.1  # s; a fit that took longer is drawn before its band is computed, which takes longer still


class FitExplorer(Explorer):
    """Choose readings, tests and law; see the fit, its limits, its checks and the force it means; save the bench.

    Parameters
    ----------
    folder : str or path
        A bench folder to begin with; those beside it are offered too.
    law : str
        The law to begin with, a key of ``LAWS``.

    Attributes
    ----------
    readings : Readings
        What bench is open, and which of its tests are ticked.
    fit : FitResult or None
        The last fit that worked.
    look : callable
        Called where somebody asks more of what stands: whoever shows it in a page of a folder says here how that looks for changes.
    """

    look: Callable[[], object]

    def __init__(
        self, folder: str | Path, law: str = "Herschel-Bulkley", *, workbook: Workbook | None = None,
        opened: Callable[[str | Path], object] | None = None,
    ) -> None:  # fmt: skip
        self.fit: FitResult | None = None
        self.look = lambda: None
        self._fits: dict[str, FitResult] = {}
        self.plan, self.material_of = (workbook.plan, workbook.material_of) if workbook else (None, Material.of)
        self.readings = Readings(str(folder), self._refit, self._outlive, self.refresh, workbook, opened)
        self._begun = law
        super().__init__()
        blank = workbook is not None and still_blank(workbook.folder)
        if workbook is None or ((workbook.folder / BENCH).is_file() and not blank):
            self.read(folder)
        else:
            self.message.say(f"{words.NO_READINGS} {TO_FILL_IN}" if blank else words.NO_READINGS)
            self.strip.say(words.NO_FIT_YET, DOUBTFUL)

    @classmethod
    def of(cls, workbook: Workbook, opened: Callable[[str | Path], object] | None = None) -> Self:
        """Return the page of a workbook: its readings, and what its plan says of the fit, into which it writes.

        Parameters
        ----------
        workbook : Workbook
        opened : callable, optional
            Called with a folder into which the file of an instrument was written, in place of showing it here.
        """
        return cls(workbook.folder, workbook=workbook, opened=opened)

    def __repr__(self):
        return f"FitExplorer of {in_text.heading(self.fit)}" if self.fit else "FitExplorer, no fit yet"

    @property
    def bench(self) -> Bench | None:
        """What was read last, all of its tests."""
        return self.readings.bench

    def read(self, folder: str | Path) -> None:
        """Open a bench folder and return whether it was read; one that cannot be is complained of, and what is shown stays."""
        return self.readings.read(folder)

    # --- what is on the page ------------------------------------------------------------------------------------

    def sections(self) -> list[W.Widget]:
        """Return readings, law, and what is found."""
        self.laws = laws = LawChoice(self._begun, self.plan, self.refresh)
        self.law, self.others, self.slow, self.fast = laws.law, laws.others, laws.slow, laws.fast
        self.verdict, self.numbers, self.checks, self.ranking, self.classical = (Answer() for _ in range(5))
        self.curve, self.yields = Picture("Flow curve", 470), Picture("Yield stresses", 0)
        self.strip, self.folds = Strip(), FitFolds(self)
        self.forces, self.nexts = self.folds.forces, self.folds.nexts
        pictures = W.VBox([self.probe, self.curve, self.yields], layout=W.Layout(width="100%"))
        self.residuals = Residuals(self._residuals_opened)
        self._save = Fold(words.SAVE, lambda: SavePanel(self.readings.save))
        return [
            self.strip,
            self.message,
            beside(self.law, pictures, self.status, self.readings.opened, *laws.more),
            self.readings,
            section("Checks", self.verdict, self.checks),
            section("Values and how far to trust them", self.numbers, self.ranking, self.classical),
            self.residuals,
            self.nexts,
            self.forces,
            self._save,
        ]

    def _residuals_opened(self):
        if self.fit is not None:
            self.refresh()

    @property
    def saving(self) -> SavePanel:
        """The panel that saves the bench, made when it is first asked for."""
        return self._save.made

    @property
    def force(self) -> W.Widget:
        """The panel of force and pressure, made when it is first asked for."""
        return self.forces.made

    @property
    def next_readings(self) -> NextPanel:
        """The panel of what to read next, made when it is first asked for."""
        return self.nexts.made

    # --- what happens -------------------------------------------------------------------------------------------

    def _outlive(self, why=""):
        """Say of all that is shown that it is from before an error, and compute nothing until that is mended."""
        if why:
            self.complain(why)
        self._later.stop()
        self.folds.wait()
        outlive(self)
        self.readings.outlive()

    def _forget_saved(self):
        if self._save.inside is not None:
            self.saving.said.say("")

    def _refit(self):
        self._fits = {}
        self.refresh()

    def refresh(self) -> None:
        """Fit and show."""
        if self.bench is None:
            return
        if not self.readings.tests.children:
            self._show_nothing_fitted()
            return
        self.status.say(words.computing("fit"))
        self._forget_saved()
        self.readings.renew()
        self.folds.wait()
        super().refresh()

    def _show_nothing_fitted(self):
        """Say what the bench holds, and what to add; no answer of another bench stays."""
        self._later.stop()
        self.folds.wait()
        self.readings.renew()
        self.fit = None
        answers = (
            *(self.verdict, self.numbers, self.checks, self.ranking, self.classical),
            *(self.curve, self.yields, *dated_in(self.residuals), *dated_in(self.forces), *dated_in(self.nexts)),
        )
        for answer in answers:
            answer.clear()
        self.readings.about.value = words.about_bench(self.bench)
        self.status.say("")
        self._forget_saved()
        self.message.say(nothing_to_fit(self.bench))
        self.strip.say(words.NO_FIT_YET, DOUBTFUL)

    def new_page(self) -> None:
        """Show it again on a page of another colour or width."""
        self.folds.new_page()
        if self.fit is not None:
            self.refresh()

    @property
    def before(self) -> str:
        """Which fit still stands."""
        return words.last_fit(self.fit)

    @property
    def steps(self) -> Sequence[Callable[[], object]]:
        """The picture first, then checks, whose stamp all else carries, residuals, limits and force."""
        tables = self._rank, self._tabulate, self.folds.show, self._correct
        return [self._fit, self._check, self._show_whole_curve, self._show_residuals, *tables]

    def _fitted(self, law, use_range):
        key = (law, use_range)
        if key not in self._fits:
            chosen = self.readings.chosen()
            with warnings.catch_warnings(action="ignore"):  # each warning has its row among the checks
                self._fits[key] = fit(over_conditions(LAWS[law], chosen), chosen, use_range=use_range)
        return self._fits[key]

    def _fit(self):
        began = perf_counter()
        use_range = self.laws.use_range
        found = self._fitted(self.law.value, use_range)
        self.fit, self._use_range = found, use_range
        self.message.complain("")
        self.readings.about.value = words.about_bench(self.bench)
        self._show_curve(band=perf_counter() - began < SLOW, checked=False)
        self.status.say(words.computing("checks"))

    def _check(self):
        self.verdict.value = words.verdict(self.fit)
        self.checks.value = words.checks(self.fit)
        self.strip.trust.say(*words.trust(self.fit))
        self.strip.binds.say(*words.binds(self.fit))
        self.status.say(words.computing("limits"))

    def _rivals(self):
        return [self._fitted(law, self._use_range) for law in self.laws.rivals]

    def _show_curve(self, band=True, others=(), checked=True):
        look = {"band": band, "checked": checked, **self.paper}
        self.curve.put(charts.flow_curve(self.fit, *others, **look))
        alone = len(yield_bounds(self.fit)) or any(test.own_yield_stress is not None for test in self.fit.tests)
        show(self.yields, alone)
        if not alone:
            return self.yields.clear()
        self.yields.put(charts.yield_stresses(self.fit, **look))

    def _show_whole_curve(self):
        self._show_curve(others=self._rivals())

    def _show_residuals(self):
        self.residuals.draw(self.fit, **self.paper)

    def _rank(self):
        self.ranking.value = ranked([self.fit, *self._rivals()], self.readings.chosen(), self._use_range)

    def _tabulate(self):
        self.numbers.value = words.estimates(self.fit)
        self.strip.answer.say(words.in_short(self.fit))
        self.status.say(words.computing("force"))

    def rows(self) -> list[tuple]:
        """Return the rows of the law."""
        return fit_rows(self.fit) if self.fit else []

    def _correct(self):
        self.classical.value = words.classical_corrections(self.fit)


class FitPage(WorkbookPage):
    """Pick a paste; choose its tests and law; see the fit, its limits, its checks and the force it means.

    Attributes
    ----------
    explorer : FitExplorer
    """

    predicts = False

    @property
    def readings_overtaken(self) -> bool:
        """Whether the folder holds other readings than those that are shown of it; what is typed into the page is its own."""
        return self.explorer.readings.overtaken

    def explorer_of(self, workbook: Workbook) -> FitExplorer:
        """Return the page of the readings of a workbook."""
        explorer = FitExplorer.of(workbook, self.open_folder)
        explorer.look = self._look
        return explorer
