"""What was kept of a page: a folder for each picture, with the picture, its numbers and what it was made with.

`keep` writes such a folder below ``kept/`` in one step, under a name that no other has; `kept_in` reads all of them back.
"""

import csv
import io
import os
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path

from ..errors import DataError
from .faults import shown
from .refusals import refusal
from .saving import save
from .tables import LARGEST_FILE
from .toml import as_toml

KEPT = "kept"
PICTURE, NUMBERS, INPUTS = "picture.svg", "numbers.csv", "inputs.toml"
LONGEST_NAME = 40
OF_INPUT = ("words", "value", "interval", "origin")


@dataclass(frozen=True)
class Kept:
    """One picture with its numbers, as it was when it was kept.

    Parameters
    ----------
    page, title : str
        Whose picture it is, and what it shows.
    when : datetime
    svg, words : str
        The picture, and its numbers in words.
    heads, rows : sequence
        The numbers that it draws; where a column has a unit, its head ends in it.
    inputs : sequence of sequences of str
        What it was made with: words, value with unit, 95 % interval, origin.
    plan : str
        The text of plan.toml, as it was.
    invented : bool
        Whether any of it rests on invented numbers.
    by : str
        Version and commit of the rheokit that made it; "" where that was not noted.
    folder : Path, optional
        Where it was written.
    """

    page: str
    title: str
    when: datetime
    svg: str
    words: str = ""
    heads: Sequence[str] = ()
    rows: Sequence[Sequence] = ()
    inputs: Sequence[Sequence[str]] = ()
    plan: str = ""
    invented: bool = False
    by: str = ""
    folder: Path | None = field(default=None, compare=False)

    @property
    def name(self) -> str:
        """Of its folder."""
        title = re.sub(r"\W+", "-", self.title.lower()).strip("-")[:LONGEST_NAME].strip("-") or "picture"
        return f"{title}-{self.when:%Y-%m-%d-%H%M%S}"

    @property
    def numbers(self) -> str:
        """The numbers as CSV."""
        text = io.StringIO()
        csv.writer(text, lineterminator="\n").writerows([self.heads, *self.rows])
        return _whole(text.getvalue())

    def files(self) -> dict[str, bytes]:
        """Return its files by name."""
        about = {"page": self.page, "picture": self.title, "kept": f"{self.when:%Y-%m-%dT%H:%M:%S}"}
        lines = ["# What the picture beside this file was made with, when it was kept.", *_pairs(about)]
        lines += _pairs({"by": self.by} if self.by else {})
        lines += [f"invented = {str(self.invented).lower()}", *_pairs({"words": self.words})]
        for row in self.inputs:
            lines += ["", "[[input]]", *_pairs(dict(zip(OF_INPUT, row, strict=True)))]
        if self.plan:
            lines += ["", "[plan]", *_pairs({"text": self.plan})]
        texts = {PICTURE: _whole(self.svg), NUMBERS: self.numbers, INPUTS: "\n".join([*lines, ""])}
        return {name: text.encode() for name, text in texts.items()}


def keep(one: Kept, folder: str | os.PathLike) -> Kept:
    """Write a picture into ``kept/`` of a folder, never over another, and return it with its place; what is missing is made.

    Raises
    ------
    DataError
        If it cannot be written, with the place and what to do; then there is nothing of it.
    """
    place = Path(os.path.abspath(folder)) / KEPT
    try:
        place.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        told = "is a file, where a folder for what is kept is to stand; rename it, then keep the picture again"
        raise DataError(f"{shown(place, 200)} {told}") from None
    except OSError as error:
        raise refusal(error, place) from None
    number, target = 1, place / one.name
    while os.path.lexists(target):
        number += 1
        target = place / f"{one.name}-{number}"
    save(one.files(), target)
    return replace(one, folder=target)


def kept_in(folder: str | os.PathLike) -> tuple[list[Kept], list[str]]:
    """Return what was kept in a folder, oldest first, and complaints of what could not be read."""
    found, complaints = [], []
    place = Path(folder) / KEPT
    try:
        folders = sorted(one for one in place.iterdir() if one.is_dir()) if place.is_dir() else []
    except OSError as error:
        return [], [str(refusal(error, place))]
    for one in folders:
        try:
            found.append(_read(one))
        except DataError as error:
            complaints.append(f"{shown(one, 200)}: {error}")
    return sorted(found, key=lambda one: one.when), complaints


def _read(folder):
    try:
        raw = {name: _bytes(folder / name) for name in (PICTURE, NUMBERS, INPUTS)}
        about = tomllib.loads(raw[INPUTS].decode())
        heads, *rows = csv.reader(io.StringIO(raw[NUMBERS].decode()))
        return Kept(
            page=str(about["page"]), title=str(about["picture"]), when=datetime.fromisoformat(str(about["kept"])),
            svg=raw[PICTURE].decode(), words=str(about.get("words", "")), heads=heads, rows=rows,
            inputs=[[str(row.get(key, "")) for key in OF_INPUT] for row in about.get("input", [])],
            plan=str(about.get("plan", {}).get("text", "")), invented=about.get("invented") is not False, by=str(about.get("by", "")),
            folder=folder,
        )  # fmt: skip
    except OSError as error:
        raise refusal(error, folder) from None
    except (ValueError, KeyError, AttributeError, csv.Error) as error:
        told = f"{PICTURE}, {NUMBERS} or {INPUTS} is not as it was kept ({shown(str(error), 100)})"
        raise DataError(f"{told}; it is left out. Take the folder away, or keep the picture anew") from None


def _bytes(path):
    if path.stat().st_size > LARGEST_FILE:
        raise DataError(f"{path.name} is too large to be a file that was kept; take the folder away")
    return path.read_bytes()


def _pairs(texts):
    return [f"{key} = {as_toml(_whole(text))}" for key, text in texts.items()]


def _whole(text):
    """Return text that can be written: half a character by its number."""
    return text.encode("utf-8", "backslashreplace").decode()
