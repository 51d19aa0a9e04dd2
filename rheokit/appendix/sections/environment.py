"""With what all of this was computed, and how it is computed again."""

import platform
import sys
from importlib.metadata import PackageNotFoundError, version

from ...release import commit, version_line
from ..document import Listing, Paragraph, Section, Table
from ..study import DRAWS, RESTED, SEED, Study

TITLE = "Computing environment"
LIBRARIES = (
    "numpy",
    "scipy",
    "pandas",
    "lmfit",
    "altair",
    "vl-convert-python",
    "tomlkit",
    "typst",
    "jinja2",
    "pypdf",
    "fonttools",
    "openpyxl",
)


def section(study: Study) -> Section:
    """Return versions, commit, seed, platform, commands, and the script of the workbook."""
    rows = [
        ("rheokit", version_line()),
        ("commit", commit().whole),
        ("Python", f"{platform.python_implementation()} {platform.python_version()}"),
    ]
    rows += [(name, _version(name)) for name in LIBRARIES]
    rows += [
        ("operating system", platform.platform()),
        ("machine", platform.machine() or "not known"),
        ("byte order", sys.byteorder),
        ("seed of all random draws", str(SEED)),
        ("joint draws", f"{DRAWS} behind a chance and a window, {RESTED} behind what starts the flow and a band"),
    ]
    table = Table(
        "environment",
        f"{study.paste}: versions of all that computed this appendix, as installed where it was made.",
        ("what", "version or value"),
        tuple(rows),
    )
    name = study.book.name
    commands = "\n".join(
        (f"python -m rheokit appendix {_quoted(name)}", f"python -m rheokit verify {_quoted(f'{name}/appendix')}")
    )
    blocks = (
        table,
        Paragraph(
            "The files of the workbook are attached as they stand. From the folder that holds the workbook, the first command makes this appendix again, and the second "
            "recomputes it and names what differs."
        ),
        Listing(commands, "Commands that make and verify this appendix."),
        Listing(
            study.without_place(study.book.script()),
            f"{study.paste}: the script that computes the same by the library, outside any notebook; it reads the folder by its name.",
        ),
    )
    return Section(TITLE, blocks)


def _version(name):
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed"


def _quoted(text):
    """Return a name as a shell takes it: in quotes where it holds more than letters, digits and dashes."""
    plain = all(letter.isalnum() or letter in "-_./" for letter in text)
    return text if plain else "'" + text.replace("'", "'\\''") + "'"
