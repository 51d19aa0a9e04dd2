"""What the sections of an appendix share: the workbook and what it comes to, each made once, or the reason why it cannot be."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any, TypeVar

from ..corrections import Correction, all_of
from ..errors import DataError
from ..inputs import trusted
from ..limits import Case
from ..limits.idle import idle
from ..limits.sure import sure
from ..nomenclature.batches import held_of_batches
from ..planning import chance
from ..reading.files import Disk
from ..reading.folder import Part, read_part
from ..workbook.outcomes.predicted import predicted_of
from ..workbook.standing import standing_of_bench
from .answers import Answer, budgets_of
from .file_words import remarks_of

if TYPE_CHECKING:
    from ..bench import Bench, Specimen
    from ..bench.base import BenchTest
    from ..fitting import FitResult, UncertaintyBudget
    from ..fitting.predictions import Interval
    from ..laws import FlowLaw
    from ..machine.extruder import Extruder
    from ..part.job import Job
    from ..paste.material import Material
    from ..planning import Standing
    from ..planning.predicted import Predictions
    from ..reading.own_words import Remark
    from ..regions import RegionMap
    from ..workbook.opened import Workbook

SEED = 0
"""Of all random draws: those of page and script."""
DRAWS = 1000
"""Joint draws behind a chance or a share, as many as page and script take."""
POINTS, ON_MAP = 36, 300
"""Values along an axis of the map, and joint draws at each: of the figure and of the script that is printed."""
RESTED = 500
"""Joint draws behind what starts the flow, and behind the band of a force, as many as the page of the nozzle takes."""

Made = TypeVar("Made")


def once(make: Callable[[Any], Made]) -> Any:
    """Declare what is made when it is first asked for; where it cannot be, its `DataError` is raised each time."""

    def kept(study: Study) -> Made:
        name = make.__name__
        if name not in study._made:
            try:
                study._made[name] = make(study)
            except DataError as error:
                study._made[name] = error
        found = study._made[name]
        if isinstance(found, DataError):
            raise found
        return found

    kept.__doc__ = make.__doc__
    return property(kept)


class Study:
    """One workbook at one moment.

    What the plan or the readings lack raises `DataError`, in its own words; `lacking` says it without raising.

    Attributes
    ----------
    book : Workbook
    date : str
        Of the appendix that is composed of it, ISO 8601 in UTC; "" where none is.
    """

    date = ""

    def __init__(self, book: Workbook) -> None:
        self.book = book
        self._made: dict[str, Any] = {}

    def lacking(self, name: str) -> str:
        """Return why something of the study, by its name, cannot be made; empty where it can."""
        try:
            getattr(self, name)
        except DataError as error:
            return self.plain(str(error))
        return ""

    def knows(self, name: str) -> bool:
        """Return whether something of the study, by its name, can be made."""
        return not self.lacking(name)

    def plain(self, text: str) -> str:
        """Return a text in one line, without the place of the folder on this machine."""
        return self.without_place(" ".join(text.split("\n")))

    def without_place(self, text: str) -> str:
        """Return a text, with its lines, without the place of the folder on this machine."""
        for place in (str(self.book.folder.resolve()), str(self.book.folder)):
            text = text.replace(place, self.book.name) if len(place) > 1 else text
        return text

    # --- what was measured ------------------------------------------------------------------------------------------

    @once
    def bench(self) -> Bench:
        """Return the readings of the folder: all of them, or those of the tests that can be read, to be printed and not to be fitted."""
        try:
            return self.book.bench
        except DataError:
            if self._part.bench is None:
                raise
            return self._part.bench

    @cached_property
    def _part(self) -> Part:
        return read_part(Disk(self.book.folder))

    @cached_property
    def unread(self) -> str:
        """Why not all readings of the folder can be read; empty where they can."""
        try:
            _ = self.book.bench
        except DataError as error:
            return self.plain(str(error))
        return ""

    @property
    def tests(self) -> list[BenchTest]:
        """The tests of the bench that can be read, none where there are none."""
        return list(self.bench.tests) if self.knows("bench") else []

    @property
    def files(self) -> dict[str, bytes]:
        """Files of the readings, bench.toml among them, as they stand, by name; those that can be read."""
        if self.knows("bench"):
            return dict(self.bench.origin.files) if self.bench.origin else {}
        return dict(self._part.files)

    @cached_property
    def stated(self) -> dict[str, Any]:
        """What bench.toml states, as it is typed; nothing where there is none, or it cannot be read."""
        try:
            return tomllib.loads(self.files.get("bench.toml", b"").decode("utf-8-sig"), parse_float=Decimal)
        except ValueError:  # no TOML, or not in UTF-8
            return {}

    @cached_property
    def remarks(self) -> dict[str, tuple[Remark, ...]]:
        """What the files of readings say beside them, in their own words, by name of the file."""
        return remarks_of(self)

    @property
    def entries(self) -> list[dict[str, Any]]:
        """The tables [[test]] of bench.toml, as they are typed."""
        told = self.stated.get("test", [])
        return [one for one in told if isinstance(one, dict)] if isinstance(told, list) else []

    @property
    def specimen(self) -> Specimen:
        """What was tested."""
        return self.bench.specimen if self.knows("bench") else self._part.specimen

    @once
    def fit(self) -> FitResult:
        """Return the law of the plan at its rates of use, fitted to the tests that it does not leave out."""
        return self.book.fit

    @property
    def law(self) -> FlowLaw:
        """The fitted law, at its reference; `fit.missing` says what of it is open."""
        return self.fit.law

    @once
    def classical(self) -> tuple[Correction, ...]:
        """Return the classical corrections of the capillary and syringe runs that are fitted, with the friction as the fit has it."""
        return all_of(self.fit)

    @once
    def material(self) -> Material:
        """Return the paste, whose joint draws are drawn once."""
        material = self.book.material_of(self.fit)
        draws = material.law_draws
        return material if draws is None else replace(material, law_draws=cache(draws))

    # --- what is planned --------------------------------------------------------------------------------------------

    @once
    def extruder(self) -> Extruder:
        """Return barrel, plunger, nozzle and drive of the plan."""
        return self.book.extruder

    @once
    def chance(self) -> RegionMap:
        """Return in how many of 100 next batches the job of the plan holds every limit judged."""
        return chance(self.material, self.extruder, self.job, draws=DRAWS, seed=SEED)

    @once
    def job(self) -> Job:
        """Return what is made."""
        return self.book.job

    @once
    def case(self) -> Case:
        """Return paste, extruder and job together, best values."""
        return Case.of(self.material, self.extruder, self.job)

    @once
    def sure_case(self) -> Case:
        """Return the same, whose hard limits hold where they do in 97.5 of 100 joint draws; best values where there are no draws."""
        try:
            return sure(self.case, self.material)
        except DataError:
            return self.case

    @once
    def idle(self) -> tuple[str, ...]:
        """Return names of properties that are assumed or typed, and that nothing that is computed of this workbook asks for."""
        if self.knows("case"):
            return idle(self.case)
        return () if self.knows("job") else idle(None)

    @once
    def running(self) -> dict[str, Interval]:
        """Return force [N] and pressure [Pa] to run, as the pages have them, by what they are."""
        flow, like = float(self.case.flow_rate), self.case.pressure_law
        asked = {
            "force to run": lambda law, rig: rig.plunger_force(law, flow),
            "pressure at the plunger face to run": lambda law, rig: rig.pressure(law, flow),
        }
        return {words: self.fit.interval(ask, extruder=self.extruder, like=like) for words, ask in asked.items()}

    @once
    def budgets(self) -> tuple[tuple[Answer, UncertaintyBudget], ...]:
        """Return every main answer with its uncertainty budget."""
        return budgets_of(self, SEED)

    @property
    def standing(self) -> Standing | None:
        """The part of the plan of the paste that was tested, for what its foot carries; None where that cannot be told."""
        try:
            return standing_of_bench(self.book, stiff=False)
        except DataError:
            return None

    @once
    def predicted(self) -> Predictions:
        """Return what the workbook predicts of the next batch, as a record keeps it."""
        return predicted_of(self.book)

    @once
    def rested(self) -> Case | None:
        """Return the case with joint draws of the batch that was read, of paste and extruder; None where the readings carry none."""
        try:
            pastes = self.material.draws(RESTED, SEED, batch=False)
            return self.case.drawn(pastes, rig=self.material.rig(self.case.extruder, RESTED, SEED))
        except DataError:
            return None

    @once
    def band(self) -> tuple[FlowLaw | None, Extruder | None]:
        """Return law and extruder of joint draws, fields of shape (count, 1), as a band asks for them; None twice where there are none."""
        try:
            drawn, known = self.fit.sample_laws(RESTED, SEED), self.fit.nuisance_draws(RESTED, SEED)
        except DataError:
            return None, None
        with trusted():
            law = type(drawn)(**{name: value[:, :, 0] for name, value in drawn.values.items()})
            rig = self.fit.known(self.extruder).at({key: value[:, :, 0] for key, value in known.items()})
            return self.case.pressure_law.of(law), rig

    # --- in words ---------------------------------------------------------------------------------------------------

    @cached_property
    def paste(self) -> str:
        """Name of the paste, or of its folder where nobody named it."""
        return self.specimen.paste.strip() or self.book.name

    @property
    def held(self) -> str:
        """What an interval of the fit holds of batches, and what it leaves out of them."""
        return held_of_batches(len(self.fit.problem.batches))

    @cached_property
    def invented(self) -> bool:
        """Whether the readings are invented, for demonstration."""
        return self.book.is_demo or self.specimen.invented

    @cached_property
    def of(self) -> str:
        """Which paste a caption is about, and whether its readings are invented."""
        return f"{self.paste}{', INVENTED readings' if self.invented else ''}"
