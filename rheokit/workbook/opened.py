"""One folder a paste, opened: bench, fit, material, extruder, job and recipe, each when it is asked for."""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import TYPE_CHECKING, Self

from ..bench import Bench
from ..errors import DataError
from ..laws import LAWS
from ..origins import INVENTED, ORIGINS, word_of
from ..part.job import Job
from ..paste.material import Material
from ..paste.mixed import Mixed
from ..paste.recipe import Recipe
from ..reading.faults import shown
from .asked import PROPERTIES
from .assumed import Assumed
from .blamed import blamed
from .made import NotKnownYet, extruder_of, in_words, job_of, left_out, missing
from .of_fit import LEAVE_OUT, gone_tests, law_of, name_of, of_left_out, rates_of
from .of_paste import Given, Read, given_of, measured_density, read_of, value_of
from .of_recipe import mixed_of, recipe_of
from .of_rig import counted
from .plan import Plan
from .shelf import BENCH, holds_a_paste, is_demo, place_of_plan
from .watched import Watched
from .whence import FOR_DEMONSTRATION, origin_of, origins_of

if TYPE_CHECKING:
    from ..fitting import FitResult
    from ..machine.extruder import Extruder
    from .outcomes import Outcomes

NOTHING_YET = "holds tables to fill in, and no reading yet: fill them in, or type the readings into notebook 1"
AS_IT_CAME = "a demo stays as it came; copy its folder, and change the copy"


class Workbook:
    """Everything about one paste: what was measured, and what is planned with it.

    Attributes
    ----------
    folder : Path
    plan : Plan
    """

    def __init__(self, folder: str | Path, plan: Plan) -> None:
        self.folder, self.plan = Path(folder), plan
        self._readings: tuple[Bench, Watched] | None = None
        self._fits: dict[tuple, FitResult] = {}
        self._read: tuple[FitResult, Read] | None = None

    @classmethod
    def open(cls, folder: str | Path) -> Self:
        """Return the workbook of a folder, as it stands there.

        Parameters
        ----------
        folder : str or path
            That holds `bench.toml`, and `plan.toml` where something is planned.

        Raises
        ------
        DataError
            If there is no such folder, or something in its plan cannot be: file, table, key, value and what to do.
        """
        book = cls(folder, Plan.read(_there(folder)))
        book.plan.check()
        if book.plan.listed(*LEAVE_OUT) and (book.folder / BENCH).is_file():
            _ = book.tests
        if book.is_demo:
            book.plan.locked = AS_IT_CAME
        return book

    @classmethod
    def shelved(cls, folder: str | Path) -> Self:
        """Return the workbook of a folder as a person left it: changes of a demo stand elsewhere, and what cannot be is told where it is asked for."""
        return cls(folder, Plan.read(_there(folder), place_of_plan(folder)))

    def __repr__(self) -> str:
        return f"Workbook {self.name}" + (", invented" if self.is_demo else "")

    @property
    def name(self) -> str:
        """Of the folder."""
        return self.folder.resolve().name

    @property
    def is_demo(self) -> bool:
        """Whether it came with rheokit: nothing in it was measured."""
        return is_demo(self.folder)

    # --- what was measured ----------------------------------------------------------------------------------------

    @property
    def bench(self) -> Bench:
        """The readings of the folder, read anew where a file of theirs was changed since."""
        if self._readings is None or self._readings[1].overtaken:
            from ..reading import read_bench
            from ..reading.template import still_blank

            try:
                self.bench = read_bench(self.folder)
            except DataError:
                if still_blank(self.folder):
                    raise DataError(f"{shown(str(self.folder), 200)} {NOTHING_YET}") from None
                raise
        return self._readings[0]

    @bench.setter
    def bench(self, bench: Bench) -> None:
        self._readings, self._fits = (bench, Watched(self.folder, bench)), {}

    def reread(self) -> None:
        """Read bench and plan again, as somebody else may have left them."""
        self._readings, self._fits = None, {}
        self.plan.reread()

    @property
    def law(self) -> str:
        """The name of the law that is fitted; Herschel-Bulkley's where the plan says none.

        Raises
        ------
        DataError
            If there is no law of this name.
        """
        return law_of(self.plan)

    @property
    def use_range(self) -> tuple[float, float] | None:
        """Slowest and fastest rate at which the law will be used [1/s]; None where the plan says neither, `DataError` where one alone."""
        return rates_of(self.plan)

    @property
    def tests(self) -> Bench:
        """The bench without the tests that the plan leaves out; `DataError` where it leaves out one that there is not."""
        if gone := gone_tests(self.plan, self.bench):
            raise DataError(f"{shown(str(self.plan.place), 200)}: {gone}")
        out = set(self.plan.listed(*LEAVE_OUT))
        kept = [test for test in self.bench.tests if test.gives or name_of(test) not in out]
        return Bench(self.bench.specimen, kept, self.bench.origin)

    @property
    def fit(self) -> FitResult:
        """The law of the plan fitted to its tests; over the conditions in which the readings differ."""
        _ = self.bench  # where it is read anew its fits are forgotten
        key = self.law, tuple(self.plan.listed(*LEAVE_OUT)), self.use_range
        if key not in self._fits:
            with warnings.catch_warnings(action="ignore"):  # each warning has its row among the checks
                self._fits = {key: self.fit_of(self.law, self.use_range)}
        return self._fits[key]

    def fit_of(self, law: str, use_range: tuple[float, float] | None) -> FitResult:
        """Return a law, by its name, fitted to the tests of the plan for rates of use [1/s]."""
        from ..fitting import fit, over_conditions

        tests = self.tests
        try:
            return fit(over_conditions(LAWS[law], tests), tests, use_range=use_range)
        except DataError as fault:
            if out := self.plan.listed(*LEAVE_OUT):
                raise DataError(f"{fault} {of_left_out(self.plan, out)}") from None
            raise

    # --- what is planned ------------------------------------------------------------------------------------------

    @property
    def read(self) -> Read:
        """What the readings tell of the paste beside its law, by name; without a law where none could be fitted."""
        try:
            fit = self.fit
        except DataError:
            return read_of(self.bench, None)
        if self._read is None or self._read[0] is not fit:
            self._read = fit, read_of(self.bench, fit)
        return self._read[1]

    def _given(self, read: Read) -> Given:
        given = given_of(self.plan, read)
        known = {name: one._replace(origin=self._origin(one.origin)) for name, one in given.known.items()}
        return given._replace(known=known)

    @property
    def given(self) -> dict[str, Assumed]:
        """What the material takes beside what the readings tell, by name: what is typed of it, and what follows from the recipe."""
        return self._given(self.read).known

    def _origin(self, text):
        return FOR_DEMONSTRATION if self.is_demo and not text.startswith(INVENTED) else origin_of(text)

    @property
    def material(self) -> Material:
        """The paste, with how far each of its numbers is to be trusted."""
        return self.material_of(self.fit)

    def material_of(self, fit: FitResult) -> Material:
        """Return the paste of another fit, with what the bench of that fit tells beside the law, and what the plan says."""
        given = self._given(read_of(fit.benches[0] if fit.benches else self.bench, fit))
        with blamed(self.plan, PROPERTIES):
            return Material.of(
                fit,
                spreads={name: one.spread for name, one in given.known.items() if one.spread is not None},
                origins={name: one.origin for name, one in given.known.items()},
                lean_width=given.lean_width,
                **{name: one.value for name, one in given.known.items()},
            )

    @property
    def extruder(self) -> Extruder:
        """Barrel, plunger, nozzle and drive; `NotKnownYet` where the plan lacks something of it."""
        return extruder_of(self.plan)

    @property
    def job(self) -> Job:
        """What is made, a `PrintJob` or a `FibreJob`; `NotKnownYet` where the plan lacks something of it."""
        return job_of(self.plan)

    @property
    def recipe(self) -> Recipe:
        """The powders and the water; `NotKnownYet` where the plan lacks something of it."""
        return recipe_of(self.plan)

    @property
    def mixed(self) -> Mixed:
        """The paste as it is mixed, with its air; `NotKnownYet` where the plan lacks something of it."""
        return mixed_of(self.plan, value_of(self, "properties", "air_content"), measured_density(self))

    @property
    def machine_origin(self) -> str:
        """Where the numbers of extruder and job come from (see `rheokit.origins`): of the two that which is less to be trusted."""
        return max(self.origins, key=lambda origin: ORIGINS.index(word_of(origin)))

    @property
    def origins(self) -> tuple[str, str]:
        """Where the numbers of the extruder come from, and those of the job, each as its table says."""
        return origins_of(self.plan)

    @property
    def left_out(self) -> list[str]:
        """What is computed without, because it is not known, a sentence each: of the extruder, and of the paste."""
        return [*left_out(self.plan, self.counted), *self._given(self.read).left_out]

    @property
    def counted(self) -> dict[str, Assumed]:
        """What counts of the extruder because the readings know it, by entry of the machine; nothing where they or the plan tell too little."""
        try:
            return counted(self.material, self.extruder)
        except DataError:
            return {}

    def missing(self, what: str) -> list[str]:
        """Return in words what "extruder", "job" or "recipe" still needs, and where to type it."""
        return in_words(missing(self.plan, what))

    def script(self, points: int = 48, draws: int = 500) -> str:
        """Return a short script that computes the same outside Jupyter, as far as the plan knows it: see `script_of`."""
        from .script import script_of

        return script_of(self, points, draws)

    @property
    def outcomes(self) -> Outcomes:
        """What was predicted of it, and what came out: `outcomes.csv` beside its bench."""
        from .outcomes import Outcomes

        return Outcomes(self)

    def save(self) -> None:
        """Write the plan, as `Plan.save`."""
        self.plan.save()


def _there(folder):
    """Return a folder that holds a bench, or a plan before there is one; refuse another."""
    folder = Path(folder)
    if not holds_a_paste(folder):
        raise DataError(
            f"{shown(str(folder), 200)} holds no {BENCH}; name the folder of a paste, or make one with `rheokit new`"
        )
    return folder


__all__ = ["NotKnownYet", "Workbook"]
