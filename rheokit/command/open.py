"""``rheokit open [FOLDER]``: JupyterLab on the notebooks, with the workbook folders of one place to choose from."""

import argparse
import hashlib
import importlib.util
import os
import runpy
import sys
from collections.abc import Sequence
from pathlib import Path, PurePath

from .. import terminal
from ..errors import DataError
from ..reading.files import folders_in
from ..things import nearest
from ..workbook import places, shelf
from .codes import PASSED, STOPPED
from .layout import without_file_browser
from .travelling import bring
from .typed import checked_folder, quoted, without_quote

DOES = "start JupyterLab on the notebooks; what follows -- goes to JupyterLab"
EXAMPLE = "rheokit open my-paste"
NEEDED = (
    "altair", "anywidget", "contourpy", "fontTools", "ipywidgets", "jinja2", "jupyterlab", "openpyxl", "pypdf", "typst", "vl_convert",
)  # fmt: skip
"""The modules that the extra "notebooks" of pyproject.toml installs."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Tell a parser what the notebooks are opened with."""
    parser.usage = "rheokit open [-h] [folder] [-- ...]"
    parser.add_argument(
        "folder",
        nargs="?",
        type=without_quote,
        help="the folder of one paste, which is then chosen in the notebooks, or the one in which those of all pastes stand "
        "(default: data/ of a clone, else where you are)",
    )


def run(told: argparse.Namespace) -> int:
    """Start JupyterLab in this process, and stay until it is stopped."""
    travels = places.travels()
    _demand(travels)
    home = _home(told.folder)
    own = places.own_notebooks(home)
    root = own.parent
    _tell_of(bring(travels / "notebooks", own), own)
    first = min((travels / "notebooks").glob("*.ipynb")).name
    terminal.write(
        f"Starting JupyterLab on {own / first}, with the pastes in {home}.\n"
        "If no browser opens by itself, open the address with 127.0.0.1 shown below. Ctrl+C here stops it.\n",
        sys.stdout,
    )
    os.environ["RHEOKIT_PASTES"] = str(home)
    settings = [str(travels / "notebooks" / "settings"), os.environ.get("JUPYTER_CONFIG_PATH")]
    os.environ["JUPYTER_CONFIG_PATH"] = os.pathsep.join(filter(None, settings))
    as_root = getattr(os, "geteuid", lambda: 1)() == 0  # Windows has no such user
    return _started(lab_arguments(root, f"{own.name}/{first}", layouts(root), as_root, told.further))


def _tell_of(brought, place):
    for words, names in (
        (f"Copied to {place}", brought.copied),
        ("Changed by you, so they stay, though others came (rename yours to get those as well)", brought.kept),
    ):
        if names:
            terminal.write(f"{words}: {', '.join(names)}.\n", sys.stdout)


def lab_arguments(
    root: PurePath, notebook: str, layouts: PurePath, as_root: bool, further: Sequence[str] = ()
) -> list[str]:
    """Return what JupyterLab is told, on whatever system the paths are of."""
    return [
        f"--ServerApp.root_dir={root}",
        f"--LabApp.default_url=/lab/tree/{notebook}",
        f"--LabApp.workspaces_dir={layouts}",
        *(["--allow-root"] if as_root else []),  # which it refuses otherwise
        *further,
    ]


def layouts(root: Path) -> Path:
    """Return the folder in which JupyterLab keeps what was open where; in a new one the file browser is put away."""
    folder = places.state() / "layouts" / f"{root.name}-{hashlib.sha256(str(root).encode()).hexdigest()[:8]}"
    if not folder.exists():
        without_file_browser(folder)
    return folder


def _demand(travels):
    """Refuse to start where a package of the notebooks is lacking, with the line that installs it."""
    lacking = [name for name in NEEDED if importlib.util.find_spec(name) is None]
    if lacking:
        what = f'-e "{travels}[notebooks]"' if places.is_clone() else '"rheokit[notebooks]"'
        raise DataError(
            f"The notebooks need {', '.join(lacking)}, not installed here. Install what they need with:\n"
            f'  "{sys.executable}" -m pip install {what}'
        )


def _home(folder):
    """Return the folder in which the folders of pastes stand; the paste that was named is remembered as the last one."""
    if folder is None:
        return places.home().absolute()
    named = Path(checked_folder(folder, "your pastes")).absolute()
    if ".." in named.parts:  # which nobody wants to read in a place
        named = named.resolve()
    if named.is_file():
        raise DataError(
            f"{folder!r}: it is a file; name the folder that it lies in: rheokit open {quoted(Path(folder).parent)}"
        )
    if not named.is_dir():
        near = nearest(named.name, folders_in(named.parent))
        make = f"make one to fill in with: rheokit new {quoted(folder)}"
        raise DataError(f"{folder!r}: there is no such folder{f'{near} Or ' if near else '; '}{make}")
    if not shelf.holds_a_paste(named):
        return named
    shelf.remember(shelf.LAST, str(named.resolve()))
    return named.parent


def _started(arguments):
    """Run JupyterLab here, as ``python -m jupyterlab`` does, so that Ctrl+C and every signal are its own; return the exit code."""
    sys.argv = ["jupyter-lab", *arguments]
    try:
        runpy.run_module("jupyterlab", run_name="__main__", alter_sys=True)
    except SystemExit as end:
        return STOPPED if end.code else PASSED
    return PASSED
