"""What a workbook predicts now, for the settings of its plan, and which readings and plan that rests on."""

from __future__ import annotations

from contextlib import suppress
from hashlib import sha256
from typing import TYPE_CHECKING

from ...errors import DataError
from ...nomenclature import number
from ...origins import INVENTED, word_of
from ...part.job import PRINT
from ...planning import predicted as of
from ...planning.predicted import Predicted, Predictions
from ..asked import ASKED
from ..made import NotKnownYet, in_words
from ..of_paste import SHRINKS, shrinkages
from ..standing import standing_of

if TYPE_CHECKING:
    from ...planning import Standing
    from ..opened import Workbook

RIG = ("machine", "nozzle", "drive")
DRIES = {of.DRY_LENGTH: ("length", SHRINKS[0]), of.DRY_HEIGHT: ("height", SHRINKS[1])}


def predicted_of(book: Workbook) -> Predictions:
    """Return what the workbook predicts, and why the rest is not, by quantity."""
    found: list[Predicted] = []
    lacking: dict[str, str] = {}
    standing, mixed = _standing(book)
    try:
        made = of.predictions(book.material, book.extruder, book.job, standing=standing)
        found, lacking = [*made.found], dict(made.lacking)
    except NotKnownYet as unknown:
        lacking[of.FORCE] = f"needs {'; '.join(in_words(unknown.entries))}"
    except DataError as fault:
        lacking[of.FORCE] = str(fault)
    if standing is not None:
        heights = of.of_height(standing)
        found = [one for one in found if one.quantity != of.HEIGHT]
        found += [one._replace(holds=f"{one.holds}; of the paste as mixed, {mixed}") for one in heights.found]
        lacking |= heights.lacking
    for quantity in DRIES:
        if (one := _dry(book, quantity)) is not None:
            found.append(one)
    return Predictions(tuple(found), lacking)


def _standing(book) -> tuple[Standing | None, str]:
    """Return the part of the paste of the recipe, and the water of that; None where there is no recipe."""
    try:
        mixed = book.mixed
        return standing_of(book, mixed), f"u = {number(mixed.recipe.water_content)}"
    except DataError:
        return None, ""


def _dry(book, quantity):
    """Return a size of the dry part, None where nobody wants one, or its shrinkage or how well that is known is not known."""
    key, name = DRIES[quantity]
    with suppress(DataError):
        size, known = book.plan.value("drying", key), shrinkages(book).get(name)
        if size and known is not None and known.value > 0 and known.spread:
            return of.of_drying(quantity, size, known.value, known.spread)
    return None


def settings_of(book: Workbook) -> str:
    """Return in a line what a prediction is for: the paste, its law, and the machine and job of the plan as they were typed."""
    plan, said = book.plan, []
    with suppress(DataError):
        specimen = book.bench.specimen
        said += [f"paste {specimen.paste}" if specimen.paste else "", f"law {book.law}"]
    for table in (*RIG, plan.text("job", "kind") or PRINT):
        held = {key: text for key in ASKED.get(table, ()) if key != "origin" and (text := plan.text(table, key))}
        if told := ", ".join(f"{key} {text}" for key, text in held.items()):
            said.append(f"{table}: {told}")
    return "; ".join(filter(None, said))


def rests_on(book: Workbook) -> tuple[str, str]:
    """Return digests of the readings and of the plan (SHA-256)."""
    whole = sha256()
    for name, raw in sorted(book.bench.origin.files.items()):
        whole.update(f"{name}\n{len(raw)}\n".encode())
        whole.update(raw)
    return f"sha256 {whole.hexdigest()}", f"sha256 {sha256(str(book.plan).encode()).hexdigest()}"


def is_invented(book: Workbook) -> bool:
    """Whether any of what is predicted rests on invented numbers."""
    return book.is_demo or book.bench.specimen.invented or word_of(book.machine_origin) == INVENTED


__all__ = ["is_invented", "predicted_of", "rests_on", "settings_of"]
