"""Which rheokit this is, by version and commit, and how it is cited.

The commit is that of the clone whose package is at work, or the one that pip noted when it installed from a repository; where neither is known,
that is said. Nothing is asked before somebody wants to know.
"""

import json
import os
import re
import subprocess
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import NamedTuple

from . import __version__
from .errors import DataError

HOME = Path(__file__).parent
FORMS = ("text", "bibtex", "cff")
SHORT = 12  # characters of a commit that are written in a line
PATIENCE = 5.0  # how long git may take [s]
UNKNOWN = "commit not known"
CHANGED, UNCHECKED = "with changes of its own", "whether it was changed since is not known"


class Commit(NamedTuple):
    """A commit by its whole name, "" where it is not known, and what is to be said beside it."""

    name: str
    remark: str = ""

    def __str__(self) -> str:
        return self._told(self.name[:SHORT])

    @property
    def whole(self) -> str:
        """The commit by its whole name, and what is to be said beside it."""
        return self._told(self.name)

    def _told(self, name):
        return " ".join(filter(None, [f"commit {name}" if name else UNKNOWN, self.remark and f"({self.remark})"]))


@cache
def commit() -> Commit:
    """Return the commit of this rheokit, as it was when it was first asked for."""
    root = HOME.parent
    if not (root / ".git").exists() or not _is_ours(root):
        return Commit(_installed_from())
    name = _git(root, "rev-parse", "HEAD").strip() or _head_of(root / ".git")
    if not re.fullmatch(r"[0-9a-f]{40,64}", name):
        return Commit("")
    status = _git(root, "status", "--porcelain", "--", HOME.name, refused="?")
    return Commit(name, "" if not status else UNCHECKED if status == "?" else CHANGED)


def version_line() -> str:
    """Return version and commit in a line, as it stands in everything that rheokit writes."""
    return f"rheokit {__version__}, {commit()}"


def cite(form: str = "text") -> str:
    """Return how this rheokit is cited: with its version and its commit, as far as that is known.

    Parameters
    ----------
    form : {"text", "bibtex", "cff"}
        A sentence, an entry of BibTeX, or a file in the Citation File Format 1.2.0.

    Returns
    -------
    text : str
        Year and authors are those of the licence. There is no DOI, and none is named.

    Raises
    ------
    DataError
        If there is no such form.
    """
    if form not in FORMS:
        raise DataError(f"cite: form = {form!r:.60} is not known; give one of {', '.join(map(repr, FORMS))}.")
    year, authors = _of_licence()
    about = f"Software, BSD 3-Clause licence, {commit().whole}"
    if form == "text":
        return f"{authors[:1].upper()}{authors[1:]} ({year}): rheokit, version {__version__}. {about}."
    if form == "bibtex":
        fields = {
            "author": f"{{{authors}}}",
            "title": "rheokit",
            "version": __version__,
            "year": year,
            "note": about,
        }
        lines = [f"  {key:<7} = {{{value}}}," for key, value in fields.items()]
        return "\n".join(["@software{rheokit,", *lines, "}"])
    text = (HOME / "CITATION.cff").read_text(encoding="utf-8")
    if not commit().name:
        return text
    return f'{text}commit: "{commit().name}"' + (f"  # {commit().remark}" if commit().remark else "") + "\n"


def _of_licence():
    """Return the year and the authors that the licence names."""
    return re.search(r"Copyright \(c\) (\d{4}), (.+)", (HOME / "LICENSE").read_text(encoding="utf-8")).groups()


def _is_ours(root):
    """Return whether a repository is the one of rheokit, and not another one that rheokit was copied into."""
    try:
        return 'name = "rheokit"' in (root / "pyproject.toml").read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return False


def _git(root, *asked, refused=""):
    """Return what git says of a repository; `refused` where there is no git, or it refuses."""
    quiet = os.environ | {"GIT_OPTIONAL_LOCKS": "0"}
    command = ["git", "-c", "core.fsmonitor=false", "-C", str(root), *asked]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE, env=quiet, check=False)
    except (OSError, subprocess.SubprocessError, UnicodeDecodeError):
        return refused
    return done.stdout if done.returncode == 0 else refused


def _head_of(place):
    """Return the commit that a repository is at, read from its files where there is no git; "" where they do not tell."""
    try:
        if place.is_file():  # one of several working trees
            place = (place.parent / place.read_text(encoding="utf-8").partition("gitdir:")[2].strip()).resolve()
        head = (place / "HEAD").read_text(encoding="utf-8").strip()
        if not head.startswith("ref:"):
            return head
        name, common = head.partition("ref:")[2].strip(), place
        if (place / "commondir").is_file():
            common = (place / (place / "commondir").read_text(encoding="utf-8").strip()).resolve()
        for home in (place, common):
            if (home / name).is_file():
                return (home / name).read_text(encoding="utf-8").strip()
        packed = (common / "packed-refs").read_text(encoding="utf-8").splitlines()
        return next((line.split()[0] for line in packed if line.endswith(f" {name}")), "")
    except (OSError, UnicodeDecodeError, IndexError):
        return ""


def _installed_from():
    """Return the commit that pip noted when it installed this package from a repository; "" where it did not."""
    try:
        about = metadata.distribution("rheokit")
        if Path(str(about.locate_file("rheokit"))).resolve() != HOME.resolve():
            return ""
        return str(json.loads(about.read_text("direct_url.json") or "{}").get("vcs_info", {}).get("commit_id", ""))
    except (metadata.PackageNotFoundError, OSError, ValueError, AttributeError):
        return ""
