"""`plan.toml`: what is planned with a paste, written by the pages and by hand, each entry as it was typed and with its comments.

An entry that cannot be is told with its file, table and key, where it is asked for; the others stand. A save is done or it never
was, and where the file was changed since it was read nothing is written.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, Self

import tomlkit

from ..errors import DataError
from ..reading.faults import encoded, shown
from ..reading.locking import alone
from ..reading.refusals import refusal
from ..reading.toml import toml_document
from .asked import FREE, PROPERTIES
from .assumed import Assumed
from .disk import LARGEST, bytes_of, own_place, still_there, write_file
from .entries import checked, entry_of, fault_of, faults_in, number_of, property_of, text_of_item
from .parted import parted

NAME = "plan.toml"
LONGEST = LARGEST // 4  # characters, of which each has four bytes at most
HEAD = "# What is planned with this paste. Written by the notebooks; may be edited by hand. What is left out is not known.\n"


class Overtaken(DataError):
    """The plan was changed by somebody else since it was read; nothing was written."""


class Plan:
    """What is planned with the paste of one folder.

    Attributes
    ----------
    folder : Path
        Of the paste.
    place : Path
        The file that is written: `plan.toml` of the folder, or of another one where the folder is a demo's.
    """

    locked = ""
    """Why it is never written; nothing where it is."""

    of_demo: bool | None = None
    """Whether it is a demo's, where that is recorded; None where the place of its folder says it."""

    def __init__(self, folder: str | Path, place: str | Path | None = None) -> None:
        self.folder = Path(folder)
        self.place = Path(place) if place else self.folder / NAME
        self.reread()

    @classmethod
    def read(cls, folder: str | Path, place: str | Path | None = None) -> Self:
        """Return the plan of a folder, an empty one where it holds none; `place` is another file that is read first, and written.

        Raises
        ------
        DataError
            If the file cannot be read, or is no TOML: with the line, and what to do.
        """
        return cls(folder, place)

    def __repr__(self) -> str:
        return f"Plan of {shown(str(self.folder), 200)}"

    def __str__(self) -> str:
        return tomlkit.dumps(self._document)

    def reread(self) -> None:
        """Take what the file holds now in place of what is held here."""
        self._had = bytes_of(self.place)
        try:
            self._take((self._had if self._had is not None else bytes_of(self.folder / NAME)) or HEAD.encode())
        except DataError as fault:
            raise DataError(f"{shown(str(self.place), 200)}: {fault}") from None

    def _take(self, raw: bytes) -> None:
        self._plain, self._typed = toml_document(raw), raw.decode("utf-8-sig")
        self._document = tomlkit.parse(self._typed)

    # --- what it says ---------------------------------------------------------------------------------------------

    def text(self, table: str, key: str) -> str:
        """Return an entry as it was typed; nothing where it is not known.

        The name of a table has a point where it is one of a page: ``page.region``.
        """
        return text_of_item(self._at(table).get(key))

    def number(self, table: str, key: str) -> float | None:
        """Return a number in the unit of its entry; None where it is not known, or ``none``.

        Raises
        ------
        DataError
            If it cannot be, with file, table, key, value, and what to write.
        """
        return self._told(table, key, lambda entry, text: number_of(entry, text).in_unit)

    def value(self, table: str, key: str) -> float | None:
        """Return a number in SI, as `number`."""
        return self._told(table, key, lambda entry, text: number_of(entry, text).in_si)

    def choice(self, table: str, key: str) -> str:
        """Return a text, one of its choices where it has some; the first of these where it is not known."""
        entry = entry_of(table, key)
        text = self._told(table, key, checked)
        return text or (entry.choices[0] if entry.choices else "")

    def listed(self, table: str, key: str) -> list[str]:
        """Return a list of texts."""
        return [text_of_item(one) for one in self._many(table, key)]

    def keys(self, table: str) -> list[str]:
        """Return the names of the entries that a table holds."""
        return [str(key) for key in self._at(table)]

    def rows(self, table: str, key: str) -> list[dict[str, str]]:
        """Return rows as they were typed, such as those of ``recipe``, ``ingredient``."""
        return [{name: text_of_item(one) for name, one in row.items()} for row in self._many(table, key, Mapping)]

    @property
    def properties(self) -> dict[str, Assumed]:
        """What is assumed of the paste, by name."""
        out = {}
        for name, given in self._at(PROPERTIES).items():
            try:
                found = property_of(name, given)
            except DataError as fault:
                raise self._fault(PROPERTIES, name, fault) from None
            if found is not None:
                out[name] = Assumed(*found)
        return out

    @property
    def faults(self) -> list[str]:
        """What in it cannot be, each with table, key, value and what to do."""
        return [f"{NAME}, {one}" for one in faults_in(self._plain)]

    def check(self) -> None:
        """Refuse it if anything in it cannot be.

        Raises
        ------
        DataError
            With all that cannot be, one a line.
        """
        if faults := self.faults:
            raise DataError(f"{shown(str(self.place), 200)}:\n" + "\n".join(faults))

    # --- what is changed ------------------------------------------------------------------------------------------

    def put(self, table: str, key: str, text: str) -> None:
        """Set an entry to a text as it is typed; "" makes it not known."""
        if text == self.text(table, key):
            return
        held = self._made(table)
        if isinstance(held.get(key), Mapping):  # a property: spread and origin stay
            held[key]["value"] = text
        else:
            held[key] = text
        self._renew()

    def put_number(self, table: str, key: str, text: str) -> None:
        """Set an entry to the text of a field, whose unit is that of the entry."""
        entry = entry_of(table, key)
        self.put(table, key, entry.typed(text))

    def put_property(self, name: str, value: str, origin: str, spread: float | None = None) -> None:
        """Set what is assumed of the paste: value with unit, where it comes from, standard deviation of its ln."""
        held = self._made(PROPERTIES)
        one = tomlkit.inline_table()
        one.update({"value": value} | ({} if spread is None else {"spread": spread}) | {"origin": origin})
        held[name] = one
        self._renew()

    def origin(self, name: str) -> str:
        """Return where what is assumed of the paste comes from, as it was typed."""
        held = self._at(PROPERTIES).get(name)
        return text_of_item(held.get("origin")) if isinstance(held, Mapping) else ""

    def put_origin(self, name: str, origin: str) -> None:
        """Set where what is assumed of the paste comes from."""
        if name in self.properties and origin != self.origin(name):
            self.put_property(name, self.text(PROPERTIES, name), origin, self.properties[name].spread)

    def put_list(self, table: str, key: str, texts: Iterable[str]) -> None:
        """Set a list of texts."""
        texts = list(texts)
        if texts != self.listed(table, key):
            self._made(table)[key] = texts
            self._renew()

    def put_rows(self, table: str, key: str, rows: Sequence[Mapping[str, str]]) -> None:
        """Set rows, each by the names of its columns; one without any stays where it is."""
        rows = [{name: text for name, text in row.items() if text != ""} for row in rows]
        if rows == self.rows(table, key):
            return
        held = self._made(table)
        held.pop(key, None)
        if rows:
            many = tomlkit.aot()
            for row in rows:
                one = tomlkit.table()
                one.update(row)
                many.append(one)
            held[key] = many
        self._renew()

    def save(self, over: bool = False) -> None:
        """Write it, in one step; `over` says that what somebody else wrote meanwhile is to be replaced.

        Raises
        ------
        Overtaken
            If the file holds something else than was read; nothing is written.
        DataError
            If the disk refuses, with the reason and what to do.
        """
        raw = str(self).encode()
        if raw == self._had:
            return
        if self.locked:
            raise DataError(f"{shown(str(self.place), 200)}: {self.locked}; nothing was written")
        if self.place.parent == self.folder:
            still_there(self.folder)
        try:
            self.place.parent.mkdir(parents=True, exist_ok=True)
            with alone(self.place.parent):
                if not over and bytes_of(self.place) != self._had:
                    where = shown(str(self.place), 200)
                    raise Overtaken(
                        f"{where} was changed in another window or editor since it was read here; nothing was written"
                    )
                write_file(own_place(self.place), raw)
        except OSError as error:
            raise refusal(error, self.place.parent) from None
        self._had = raw

    @property
    def overtaken(self) -> bool:
        """Whether the file holds something else than was read."""
        return bytes_of(self.place) != self._had

    # --- inside ---------------------------------------------------------------------------------------------------

    def _at(self, table: str) -> Mapping[str, Any]:
        held: Any = self._plain
        for part in table.split("."):
            held = held.get(part, {}) if isinstance(held, Mapping) else {}
        return held if isinstance(held, Mapping) else {}

    def _made(self, table: str) -> Any:
        held: Any = self._document
        parts = table.split(".")
        for depth, part in enumerate(parts):
            if part not in held:
                above = depth < len(parts) - 1 and parts[0] == FREE
                held[part] = tomlkit.table(is_super_table=above)
            held = held[part]
            if not isinstance(held, Mapping):
                raise self._fault(table, part, DataError(f"{shown(text_of_item(held))} is no table; take it out"))
        return held

    def _many(self, table: str, key: str, kind: type = object) -> list[Any]:
        many = self._at(table).get(key, [])
        if isinstance(many, list) and all(isinstance(one, kind) for one in many):
            return many
        raise self._fault(table, key, DataError(f"{shown(text_of_item(many))} is no list of its kind; correct it"))

    def _renew(self) -> None:
        """Take what was changed; as it was, where no file could hold it."""
        text = parted(str(self), self._typed)
        try:
            if len(text) > LONGEST:
                raise DataError(f"the plan would have {len(text)} characters; {LONGEST} at most: shorten it")
            self._plain, self._typed, self._document = toml_document(encoded(text)), text, tomlkit.parse(text)
        except DataError as fault:
            self._document = tomlkit.parse(self._typed)
            raise DataError(f"{shown(str(self.place), 200)}: {fault}; nothing was changed") from None

    def _told(self, table: str, key: str, read: Any) -> Any:
        entry, text = entry_of(table, key), self.text(table, key)
        if not text:
            return None
        try:
            return read(entry, text)
        except DataError as fault:
            raise self._fault(table, key, fault) from None

    def _fault(self, table: str, key: str, fault: DataError) -> DataError:
        return DataError(f"{shown(str(self.place), 200)}, {fault_of(table, key, fault)}")
