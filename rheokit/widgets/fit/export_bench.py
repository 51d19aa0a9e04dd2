"""An instrument's file with what its [[test]] says of it to a bench, and into a folder: a new one, or one that holds a bench."""

from pathlib import Path

from ...errors import DataError
from ...reading import joined, read_bench, write_bench
from ...reading.faults import encoded
from ...reading.files import Disk, Memory
from ...reading.folder import read_files
from ...reading.tables import LARGEST_FILE
from ...reading.template import still_blank
from ...reading.toml import as_toml
from . import export_words as words


def file_bytes(path):
    """Return the bytes of a file by its path; `DataError` where it cannot be read."""
    place = Path(path)
    return Disk(place.parent).plain(place.name, LARGEST_FILE)


def export_bench(raw, stated):
    """Return the bench of a file, its bytes, and of what its [[test]] says, by key.

    A density serves a test that has none of its own too, so it is the specimen's. Runs are numbers parted by commas.
    """
    stated = dict(stated)
    density = stated.pop("density", "")
    lines = ["[specimen]", *([f"density = {as_toml(density)}"] if density else []), "", "[[test]]"]
    if "runs" in stated:
        stated["runs"] = _numbers(stated["runs"])
    lines += [f"{key} = {as_toml(value)}" for key, value in stated.items()]
    return read_files(Memory({"bench.toml": encoded("\n".join(lines) + "\n"), stated["file"]: raw}))


def _numbers(text):
    parts = [part.strip() for part in text.split(",")]
    if not all(part.isdecimal() and part.isascii() for part in parts):
        raise DataError(f"runs = {text!r} must be numbers parted by commas, such as 1, 3; all of them: leave it empty.")
    return [int(part) for part in parts]


def write_into(bench, folder):
    """Write a bench into a folder, beside the tests of the bench that it holds, if it does; return the folder.

    `DataError` where the folder holds something else, or the two cannot be one bench.
    """
    if not folder:
        raise DataError(words.NO_TARGET_FOR_EXPORT)
    place = Path(folder)
    if (place / "bench.toml").is_file() and not still_blank(place):
        bench = joined(read_bench(place), bench)
    write_bench(bench, place, over_blank=True)
    return place
