"""What the panel of what to measure first says: its labels, a feel, the tests to make as HTML, and the folder that was made."""

from ...nomenclature import between
from .elements import caution, details, escape, paragraph, scrolling

AT_HAND = "What is at hand:"
ANYWAY = "Taken to be at hand anyway: a watch, a flat board, two plates, and weights or bottles of water."
FEEL = "how the paste feels"
NEW_FOLDER, SUCH_AS = "folder to make for these tests", "such as ../data/my-paste"
NAME_SUCH_AS = "such as my-paste"
MAKE_FOLDER = "Make the folder to fill in"
MAKE_EMPTY = "Make an empty one, for notebook 1 to fill"
FIRST_HEAD = ("test", "how it is made", "expected reading, and what it tells")


def feels(feel, low, high, unit="Pa"):
    """Return a feel with what it stands for: yield stresses [Pa], or viscosities [Pa·s]."""
    return f"{feel}: about {between(low, high, unit)}"


def first_tests(found):
    """Return the tests to make first, a table of `rk.first_tests`, as HTML: what is said of all of them, and a row each."""
    head = "".join(f"<th scope='col'>{escape(one)}</th>" for one in FIRST_HEAD)
    rows = "".join(_first_test(place, row) for place, row in zip(found.index, found.itertuples(), strict=True))
    said = "".join(map(paragraph, found.attrs["said"]))
    title = "Tests to make first, in order"
    inside = f"<table class='wrapped'><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
    return said + (f"<p class='caption'>{title}</p>{scrolling(inside, title)}" if rows else "")


def _first_test(place, row):
    """Return a row: the test, what it tells and needs; how it is made, what can hurt and go wrong; the expected reading."""
    told = f"It tells {row.tells}.", f"Tools: {row.tools}."
    wrong = details("What goes wrong", paragraph(f"{row.watch}."))
    made = f"{paragraph(row.protocol)}{caution(row.caution)}{wrong}"
    expected = "".join(map(paragraph, (f"{row.expected}.", *told)))
    return f"<tr><th scope='row'>{escape(f'{place}. {row.kind}')}</th><td>{made}</td><td>{expected}</td></tr>"


def no_new_folder(such_as):
    """Return that the name of a folder is missing."""
    return f"Name a folder to make for these tests: a new or an empty one, {such_as}."


def folder_made(folder, count):
    """Return in words which folder was made for so many tests, and what to do next."""
    files = "a table" if count == 1 else f"{count} tables"
    return (
        f"Made {folder}: a bench.toml and {files}. Next: fill in what stands between empty quotes in bench.toml, type the readings into "
        "the tables (delete a [[test]] that you do not make), then open the folder by its path above."
    )


def exists(folder):
    """Return in words that a new folder cannot have this name."""
    return f"There is already a {folder}; name a new one, or choose that one among the pastes above."


def no_name(name):
    """Return why a new folder cannot be called as it was."""
    return f'{name!r} cannot be the name of a folder everywhere: leave out / \\ : * ? " < > | and points at its ends.'
