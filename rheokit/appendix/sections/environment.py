"""With what all of this was computed, and how it is computed again."""

from importlib.metadata import PackageNotFoundError, version
from shlex import quote

from ..document import Listing, Paragraph, Section, Table
from ..environment import versions
from ..study import DRAWS, ON_MAP, POINTS, RESTED, SEED, Study

TITLE = "Computing environment"
ALSO = ("tomlkit", "pypdf", "fonttools")


def section(study: Study) -> Section:
    """Return versions, commit, seed, platform, commands, and the script of the workbook."""
    rows = [
        *versions().items(),
        *((name, _version(name)) for name in ALSO),
        ("seed of all random draws", str(SEED)),
        (
            "joint draws",
            f"{DRAWS} behind a chance and a window, {RESTED} behind what starts the flow and a band, {ON_MAP} at each point of a map",
        ),
    ]
    table = Table(
        "environment",
        f"{study.paste}: versions of all that computed this appendix, as installed where it was made.",
        ("what", "version or value"),
        tuple(rows),
    )
    name = study.book.name
    commands = "\n".join(
        (f"python -m rheokit appendix {quote(name)}", f"python -m rheokit verify {quote(f'{name}/appendix')}")
    )
    blocks = (
        table,
        Paragraph(
            "The files of the workbook are attached as they stand. From the folder that holds the workbook, the first command makes this appendix again, and the second "
            "recomputes it and names what differs."
        ),
        Listing(commands, "Commands that make and verify this appendix."),
        Listing(
            study.without_place(study.book.script(POINTS, ON_MAP)),
            f"{study.paste}: the script that computes the same by the library, outside any notebook; it reads the folder by its name.",
        ),
    )
    return Section(TITLE, blocks)


def _version(name):
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed"
