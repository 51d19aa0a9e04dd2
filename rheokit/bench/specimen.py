"""What was tested, and all the tests of it."""

import html as escaping
import warnings
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from ..errors import DataError
from ..inputs import settled, trusted
from ..laws.condition_words import CONDITIONS
from ..nomenclature import QUANTITIES
from ..origins import MEASURED, SPREAD_ASSUMED
from ..things import a, called, text_faults
from .base import BenchTest
from .measured import SIDES, Property, merged, stated
from .repeated import refuse_repeated

if TYPE_CHECKING:
    from ..reading.origin import BenchOrigin

SHOWN = 15  # tests of a bench that its text lists


@dataclass(frozen=True, kw_only=True)
class Specimen:
    """One paste as it was tested.

    Parameters
    ----------
    paste, batch, date, note : str
        Names for tables; `batch` tells batches of one paste apart.
    water_content : float, optional
        Water over dry mass, dry basis. [-]
    density : float, optional
        With its air. [kg/m3]
    air_content : float, optional
        Volume share of trapped air. [-]
    temperature : float, optional
        At the test. [K]
    age : float, optional
        Since mixing. [s]
    invented : bool
        True for demonstration data that nobody measured.
    spreads : mapping
        Standard uncertainties of its numbers, each over its number, by name: those that were stated. [-]
    """

    paste: str = ""
    batch: str = ""
    date: str = ""
    water_content: float | None = None
    density: float | None = None
    air_content: float | None = None
    temperature: float | None = None
    age: float | None = None
    invented: bool = False
    note: str = ""
    spreads: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self):
        with settled(self):
            if faults := text_faults(self, ("paste", "batch", "date", "note")):
                raise DataError(f"Specimen: {'; '.join(faults)}.")

    def stated(self) -> dict[str, Property]:
        """Return density, air and water content as far as they are stated, a `Property` by its name."""
        found = {}
        for name in ("density", "air_content", "water_content"):
            if (value := getattr(self, name)) is not None:
                usual = QUANTITIES[name].spread
                how = "" if name in self.spreads else SPREAD_ASSUMED if usual else ", taken as exact"
                found[name] = Property(value, self.spreads.get(name, usual), f"stated of the specimen{how}")
        return found

    @property
    def wet_water_content(self) -> float | None:
        """Water over total mass, wet basis [-], or None where the water content is not known."""
        return None if self.water_content is None else self.water_content / (1 + self.water_content)


def _handed(test, specimen):
    """Return a test with the batch of its specimen, and the condition it states, where it has none of its own."""
    condition = {name: value for name in CONDITIONS if (value := getattr(specimen, name)) is not None}
    changed = {"batch": specimen.batch} if specimen.batch and not test.batch else {}
    changed |= {"of_specimen": condition} if condition != test.of_specimen else {}
    return replace(test, **changed) if changed else test


@dataclass(frozen=True, eq=False, repr=False)
class Bench:
    """A specimen and the bench tests of it.

    Parameters
    ----------
    specimen : Specimen
    tests : sequence of BenchTest
        A test without a batch takes the specimen's.
    origin : BenchOrigin, optional
        Where it was read from, kept so that it can be written back as it was.
    """

    specimen: Specimen
    tests: tuple[BenchTest, ...]
    origin: "BenchOrigin | None" = None

    def __init__(self, specimen: Specimen, tests: Iterable[BenchTest], origin: "BenchOrigin | None" = None) -> None:
        """Put tests of one specimen together."""
        a("Specimen", "Bench", "specimen", specimen)
        if not isinstance(tests, Iterable):
            raise TypeError(f"Bench: {called(tests)} is no list of records; give one such as [FlowCurve(...)].")
        tests = tuple(tests)
        for test in tests:
            if not isinstance(test, BenchTest):
                raise TypeError(
                    f"Bench: {called(test)} is not a bench test; give a list of records such as FlowCurve(...)."
                )
        if not tests:
            raise DataError("Bench: it holds no test; a bench needs at least one.")
        refuse_repeated("Bench", tests)
        with trusted():
            tests = tuple(_handed(test, specimen) for test in tests)
        for name, value in (("specimen", specimen), ("tests", tests), ("origin", origin)):
            object.__setattr__(self, name, value)

    @property
    def heading(self) -> str:
        """The paste, its batch, and how many tests of it there are, in one line."""
        one = self.specimen
        invented = " (INVENTED readings, for demonstration)" if one.invented else ""
        said = [one.paste or "a paste without a name", f"batch {one.batch}" if one.batch else "", one.date]
        tests = f"{len(self.tests)} test{'s' * (len(self.tests) > 1)}"
        return f"Bench of {', '.join(filter(None, said))}{invented}, {tests}"

    def __repr__(self):
        lines = [self.heading, *(f"  {test.heading}" for test in self.tests[:SHOWN])]
        more = len(self.tests) - SHOWN
        return "\n".join([line[:100] for line in lines] + ([f"  and {more} more"] if more > 0 else []))

    def _repr_html_(self):
        rows = "".join(f"<li>{escaping.escape(test.heading)}</li>" for test in self.tests)
        return f"<div class='mathjax_ignore'><p>{escaping.escape(self.heading)}</p><ul>{rows}</ul></div>"

    def where(self, keep: Callable[[BenchTest], bool]) -> "Bench":
        """Return the bench with only the tests for which ``keep(test)`` is true."""
        return Bench(self.specimen, [test for test in self.tests if keep(test)], self.origin)

    def properties(self) -> dict[str, Property]:
        """Return what its tests of properties of the paste measure, a `Property` by its name; several of one are averaged.

        Warns
        -----
        RheokitWarning
            If two lie farther apart than three standard deviations of their difference.
        """
        return merged([test for test in self.tests if not test.of_apparatus])

    def stated(self) -> dict[str, Property]:
        """Return what is stated of the paste and not measured, a `Property` by its name.

        Density, air and water content of the specimen, then what tests of something else state, such as the gel point of a
        setting time. Warns as `properties`.
        """
        return stated(self.tests) | self.specimen.stated()


def known_of_paste(benches: Iterable[Bench], name: str) -> Property | None:
    """Return a property of the paste of some benches: as their tests measure it, else as it is stated, which its origin says; None where neither is so."""
    benches = tuple(benches)
    with warnings.catch_warnings(action="ignore"):  # that two disagree stands in the origin
        found = merged([test for bench in benches for test in bench.tests if not test.of_apparatus]).get(name)
        if found is None:
            return next((told[name] for bench in benches if name in (told := bench.stated())), None)
    side = f"{SIDES[found.side]}: " if found.side else ""
    return found._replace(origin=f"{MEASURED}: {side}{found.origin}")
