"""The command that opens the notebooks: what JupyterLab is told, what is copied where, and what is refused."""

import ast
import json
import os
import re
import shutil
import socket
import subprocess
import sys
import sysconfig
import time
import tomllib
import urllib.request
import venv
from contextlib import suppress
from pathlib import Path, PurePosixPath, PureWindowsPath

import pytest
from jupyter_client import BlockingKernelClient
from traitlets import Unicode
from traitlets.config.loader import KVArgParseConfigLoader

import rheokit as rk
from rheokit import command
from rheokit.command import open as opening
from rheokit.command import travelling
from rheokit.command.typed import quoted
from rheokit.workbook import places, shelf

ROOT = Path(rk.__file__).parents[1]


@pytest.fixture
def clone(monkeypatch, tmp_path):
    """Return the top of a clone of this test alone, with the notebooks of this one."""
    top = tmp_path / "clone"
    shutil.copytree(ROOT / "notebooks", top / "notebooks", ignore=shutil.ignore_patterns("pictures"))
    (top / "data").mkdir()
    monkeypatch.setattr(places, "PACKAGE", top / "rheokit")
    return top


@pytest.fixture
def started(monkeypatch, tmp_path, clone):
    """Return what JupyterLab would have been started with, each time, by name; clone and state folder are those of this test."""
    calls = []
    for name in ("RHEOKIT_PASTES", "JUPYTER_CONFIG_PATH"):
        monkeypatch.setenv(name, "x")  # so that it is put back
        monkeypatch.delenv(name)
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    monkeypatch.setattr(
        opening,
        "_started",
        lambda arguments: calls.append({"arguments": arguments, "environment": dict(os.environ)}) or 0,
    )
    return calls


@pytest.fixture
def installed(monkeypatch, tmp_path):
    """Return the folder of notebooks that came in a package: two, outside any clone."""
    travels = tmp_path / "site-packages" / "rheokit" / "travels"
    (travels / "notebooks").mkdir(parents=True)
    for name in ("1-first.ipynb", "2-second.ipynb"):
        (travels / "notebooks" / name).write_bytes(notebook(name))
    monkeypatch.setattr(places, "travels", lambda: travels)
    return travels / "notebooks"


def notebook(code, **more):
    """Return the bytes of a notebook of one cell."""
    cell = {"cell_type": "code", "source": [code], "outputs": [], "execution_count": None, "metadata": {}} | more
    return json.dumps({"cells": [cell], "metadata": {}, "nbformat": 4, "nbformat_minor": 5}).encode()


# --- what JupyterLab is told --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("root", "layouts"),
    [
        (PureWindowsPath("C:\\Users\\Zoë Brûlé\\my pastes"), PureWindowsPath("C:\\Users\\Zoë Brûlé\\AppData\\layouts")),
        (PurePosixPath("/home/zoë/my pastes"), PurePosixPath("/home/zoë/.local/state/layouts")),
    ],
)
def test_jupyterlab_is_told_places_of_any_system(root, layouts):
    told = opening.lab_arguments(root, "notebooks/1-first.ipynb", layouts, as_root=False, further=["--port", "8899"])
    assert told == [
        f"--ServerApp.root_dir={root}",
        "--LabApp.default_url=/lab/tree/notebooks/1-first.ipynb",
        f"--LabApp.workspaces_dir={layouts}",
        "--port",
        "8899",
    ]
    assert "--allow-root" in opening.lab_arguments(root, "notebooks/1-first.ipynb", layouts, as_root=True)


def test_jupyterlab_reads_a_place_as_it_was_told():
    """Its own reader of arguments leaves backslashes, spaces and equals signs alone."""
    root = PureWindowsPath("C:\\new\\Zoë's a=b\\pastes")
    told = opening.lab_arguments(root, "notebooks/1-first.ipynb", root, as_root=False)
    read = KVArgParseConfigLoader(argv=told).load_config()
    assert Unicode().from_string(str(read.ServerApp.root_dir)) == str(root)
    assert Unicode().from_string(str(read.LabApp.default_url)) == "/lab/tree/notebooks/1-first.ipynb"


def test_the_notebooks_of_a_clone_are_worked_on_as_copies(started, clone, tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("JUPYTER_CONFIG_PATH", "/own")
    monkeypatch.setattr(os, "geteuid", lambda: 0, raising=False)
    assert command.main(["open", str(tmp_path), "--", "--port", "8899"]) == 0
    (call,) = started
    first = "my-notebooks/1-fit-bench-data.ipynb"
    assert call["arguments"] == opening.lab_arguments(clone, first, opening.layouts(clone), True, ["--port", "8899"])
    assert call["environment"]["RHEOKIT_PASTES"] == str(tmp_path)
    assert call["environment"]["JUPYTER_CONFIG_PATH"] == os.pathsep.join(
        [str(clone / "notebooks" / "settings"), "/own"]
    )
    came = sorted(clone.glob("notebooks/*.ipynb"))
    assert [(clone / "my-notebooks" / one.name).read_bytes() for one in came] == [one.read_bytes() for one in came]
    assert not (tmp_path / "notebooks").exists()
    assert f"{clone / first}, with the pastes in {tmp_path}." in capsys.readouterr().out
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    assert command.main(["open", str(tmp_path)]) == 0
    assert "--allow-root" not in started[1]["arguments"]


def test_what_is_saved_in_a_notebook_changes_nothing_that_git_follows(started, clone):
    (clone / ".gitignore").write_bytes((ROOT / ".gitignore").read_bytes())
    git = ["git", "-C", str(clone), "-c", "user.name=n", "-c", "user.email=e"]
    for words in (["init", "-q"], ["add", "-A"], ["commit", "-q", "-m", "came"]):
        subprocess.run([*git, *words], check=True)
    assert command.main(["open"]) == 0
    root, opened = (started[0]["arguments"][k].partition("=")[2] for k in (0, 1))
    path = Path(root) / opened.removeprefix("/lab/tree/")
    path.write_bytes(notebook("saved", outputs=[{"name": "stdout", "output_type": "stream", "text": ["64 N"]}]))
    assert subprocess.run([*git, "status", "--porcelain"], capture_output=True, text=True, check=True).stdout == ""
    assert command.main(["open"]) == 0
    assert b"64 N" in path.read_bytes(), "what was saved stays"


def test_without_a_folder_the_usual_place_is_taken(started, clone, monkeypatch, tmp_path):
    assert command.main(["open"]) == 0
    monkeypatch.setenv("RHEOKIT_PASTES", str(tmp_path))
    assert command.main(["open"]) == 0
    assert [one["environment"]["RHEOKIT_PASTES"] for one in started] == [str(clone / "data"), str(tmp_path)]


@pytest.mark.parametrize("held", ["bench.toml", "plan.toml"])
def test_the_folder_of_a_paste_is_the_last_one_then(started, tmp_path, monkeypatch, held):
    monkeypatch.chdir(tmp_path)
    paste = tmp_path / "my pastes" / "Müll 1"
    paste.mkdir(parents=True)
    (paste / held).touch()
    assert command.main(["open", os.path.join("my pastes", "Müll 1")]) == 0
    assert command.main(["open", "my pastes"]) == 0
    assert [one["environment"]["RHEOKIT_PASTES"] for one in started] == [str(paste.parent)] * 2
    assert shelf.last() == paste.resolve()


@pytest.mark.parametrize(
    ("folder", "words"),
    [
        (
            "no where",
            "'no where': there is no such folder; make one to fill in with: rheokit new \"no where\"",
        ),
        (__file__, f"it is a file; name the folder that it lies in: rheokit open {os.path.dirname(__file__)}\n"),
        ("", "'' names no folder; name the one that holds your pastes, or write . for this one."),
        ("a\0b", "has a name with a NUL character"),
    ],
)
def test_a_folder_that_is_none_is_refused(started, capsys, folder, words):
    assert command.main(["open", folder]) == 2
    assert words in capsys.readouterr().err
    assert started == []


def test_a_place_is_told_without_dots_and_a_near_name_is_offered(started, tmp_path, monkeypatch, capsys):
    paste, beside = tmp_path / "solo paste", tmp_path / "beside"
    for folder in (paste, beside):
        folder.mkdir()
    (paste / "plan.toml").touch()
    monkeypatch.chdir(beside)
    for typed in ("../solo paste", "../solo paste/", "../solo paste/../solo paste/."):
        assert command.main(["open", typed]) == 0
        assert started[-1]["environment"]["RHEOKIT_PASTES"] == str(tmp_path) and shelf.last() == paste
        assert f"with the pastes in {tmp_path}.\n" in capsys.readouterr().out
    assert command.main(["open", "../solo"]) == 2
    near = "'../solo': there is no such folder; did you mean 'solo paste'? Or make one to fill in with: rheokit new ../solo\n"
    assert capsys.readouterr().err == near
    assert command.main(["fit", "../solo paste"]) == 2
    assert (
        'holds a plan and no readings yet; type them into notebook 1: rheokit open "../solo paste"\n'
        in capsys.readouterr().err
    )
    assert command.main(["fit", "."]) == 2
    assert (
        capsys.readouterr().err
        == "'.' holds no bench.toml; name the folder of a paste, or make one to fill in with: rheokit new FOLDER\n"
    )


@pytest.mark.parametrize("subcommand", ["fit", "open", "new"])
def test_the_quote_that_windows_makes_of_a_backslash_is_none_of_the_name(subcommand, monkeypatch):
    told = {}
    monkeypatch.setattr(command.SUBCOMMANDS[subcommand], "run", lambda one: told.update(folder=one.folder) or 0)
    for system, folder in (("win32", "C:\\my pastes\\clay"), ("linux", 'C:\\my pastes\\clay"')):
        monkeypatch.setattr(sys, "platform", system)
        assert command.main([subcommand, 'C:\\my pastes\\clay"']) == 0
        assert told["folder"] == folder


@pytest.mark.parametrize(
    ("folder", "typed"),
    [
        ("a-b/c.d", "a-b/c.d"),
        ("C:\\pastes\\ä", "C:\\pastes\\ä"),
        ("my (1)", '"my (1)"'),
        ("a & b", '"a & b"'),
        ("it's", '"it\'s"'),
        ("$a b", "'$a b'"),
        ("", '""'),
    ],
)
def test_a_folder_is_told_as_it_is_typed(folder, typed):
    assert quoted(folder) == typed


def test_where_jupyterlab_is_not_installed_the_line_that_installs_it_is_told(started, clone, capsys, monkeypatch):
    found = opening.importlib.util.find_spec
    monkeypatch.setattr(
        opening.importlib.util, "find_spec", lambda name: None if name in ("jupyterlab", "altair") else found(name)
    )
    assert command.main(["open"]) == 2
    err = capsys.readouterr().err
    assert "The notebooks need altair, jupyterlab, not installed here." in err
    assert f'"{sys.executable}" -m pip install -e "{clone}[notebooks]"' in err
    assert started == []


def test_what_the_notebooks_need_is_what_their_extra_installs():
    extra = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["optional-dependencies"][
        "notebooks"
    ]
    names = {re.match(r"[\w-]+", one).group().removesuffix("-python").replace("-", "_") for one in extra}
    assert names == {one.lower() for one in opening.NEEDED}


@pytest.mark.parametrize(("left", "code"), [(None, 0), (0, 0), (1, 5), ("no port is free", 5)])
def test_how_jupyterlab_ended_is_told_apart(monkeypatch, left, code):
    def ended(module, **_):
        assert (module, sys.argv) == ("jupyterlab", ["jupyter-lab", "--port=1"])
        raise SystemExit(left)

    monkeypatch.setattr(sys, "argv", ["rheokit"])
    monkeypatch.setattr(opening.runpy, "run_module", ended)
    assert opening._started(["--port=1"]) == code


@pytest.mark.slow
def test_the_file_browser_is_put_away_until_it_is_wanted(monkeypatch, tmp_path):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    folder = opening.layouts(tmp_path)
    (layout,) = folder.iterdir()
    assert json.loads(layout.read_text())["data"]["layout-restorer:data"]["left"]["collapsed"]
    layout.write_text("as JupyterLab left it")
    assert opening.layouts(tmp_path) == folder
    assert layout.read_text() == "as JupyterLab left it"
    assert opening.layouts(tmp_path / "other") != folder


@pytest.mark.parametrize(
    ("system", "variables", "place"),
    [
        ("win32", {"LOCALAPPDATA": "local"}, Path("local", "rheokit")),
        ("darwin", {}, Path.home() / "Library" / "Application Support" / "rheokit"),
        ("linux", {}, Path.home() / ".local" / "state" / "rheokit"),
        ("linux", {"XDG_STATE_HOME": "kept"}, Path("kept", "rheokit")),
        ("linux", {"RHEOKIT_STATE": "told", "XDG_STATE_HOME": "kept"}, Path("told")),
    ],
)
def test_what_is_remembered_stands_where_the_system_wants_it(monkeypatch, system, variables, place):
    for name in ("RHEOKIT_STATE", "LOCALAPPDATA", "XDG_STATE_HOME"):
        monkeypatch.delenv(name, raising=False)
    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys, "platform", system)
    assert places.state() == place


# --- what is copied where -----------------------------------------------------------------------------------------------


def test_notebooks_of_an_installed_package_are_copied_to_the_pastes(started, installed, tmp_path, capsys):
    pastes = tmp_path / "my pastes"
    pastes.mkdir()
    assert command.main(["open", str(pastes)]) == 0
    out = capsys.readouterr().out
    assert out.startswith(f"Copied to {pastes / 'notebooks'}: 1-first.ipynb, 2-second.ipynb.\n")
    told = opening.lab_arguments(pastes, "notebooks/1-first.ipynb", opening.layouts(pastes), os.geteuid() == 0)
    assert started[0]["arguments"] == told
    assert {path.name for path in (pastes / "notebooks").iterdir()} == {
        "1-first.ipynb",
        "2-second.ipynb",
        travelling.NOTED,
    }
    assert command.main(["open", str(pastes)]) == 0
    assert "Copied" not in capsys.readouterr().out
    for folder in (installed, pastes / "notebooks"):
        (folder / "1-first.ipynb").write_bytes(notebook(f"changed in {folder}"))
    assert command.main(["open", str(pastes)]) == 0
    assert (
        "Changed by you, so they stay, though others came (rename yours to get those as well): 1-first.ipynb.\n"
        in capsys.readouterr().out
    )


def test_what_was_changed_stays_and_what_was_not_is_renewed(installed, tmp_path):
    there = tmp_path / "notebooks"
    assert travelling.bring(installed, there).copied == ("1-first.ipynb", "2-second.ipynb")
    changed = notebook("my own words")
    (there / "1-first.ipynb").write_bytes(changed)
    assert travelling.bring(installed, there) == travelling.Brought((), ())  # nothing else has come: nothing to tell
    for name in ("1-first.ipynb", "2-second.ipynb"):
        (installed / name).write_bytes(notebook("of the next version"))
    assert travelling.bring(installed, there) == travelling.Brought(("2-second.ipynb",), ("1-first.ipynb",))
    assert (there / "1-first.ipynb").read_bytes() == changed
    assert (there / "2-second.ipynb").read_bytes() == notebook("of the next version")
    (there / "1-first.ipynb").unlink()
    assert travelling.bring(installed, there).copied == ("1-first.ipynb",)


def test_results_are_a_change_and_what_jupyterlab_notes_is_none(installed, tmp_path):
    there = tmp_path / "notebooks"
    travelling.bring(installed, there)
    text = {"name": "stdout", "output_type": "stream", "text": ["64 N"]}
    (there / "1-first.ipynb").write_bytes(notebook("1-first.ipynb", outputs=[text]))
    (there / "2-second.ipynb").write_bytes(notebook("2-second.ipynb", execution_count=3, metadata={"trusted": True}))
    for name in ("1-first.ipynb", "2-second.ipynb"):
        (installed / name).write_bytes(notebook("of the next version"))
    assert travelling.bring(installed, there) == travelling.Brought(("2-second.ipynb",), ("1-first.ipynb",))


@pytest.mark.parametrize("noted", [b"", b"{", b"[1]", b"\xff"])
def test_where_it_is_not_known_what_was_copied_nothing_is_written_over(installed, tmp_path, noted):
    there = tmp_path / "notebooks"
    travelling.bring(installed, there)
    (there / travelling.NOTED).write_bytes(noted)
    (there / "2-second.ipynb").write_bytes(b"no notebook")
    (installed / "1-first.ipynb").write_bytes(notebook("of the next version"))
    assert travelling.bring(installed, there) == travelling.Brought((), ("1-first.ipynb", "2-second.ipynb"))
    assert (there / "2-second.ipynb").read_bytes() == b"no notebook"


def test_a_place_that_takes_no_notebooks_is_told(started, installed, tmp_path, capsys):
    (tmp_path / "notebooks").write_text("a file")
    assert command.main(["open", str(tmp_path)]) == 2
    assert capsys.readouterr().err.startswith(
        f"'{tmp_path / 'notebooks'}': the notebooks cannot be copied there: File exists;"
    )
    assert started == []


def test_a_clone_that_takes_no_notebooks_is_told_so(started, clone, capsys):
    (clone / "my-notebooks").write_text("a file")
    assert command.main(["open"]) == 2
    assert capsys.readouterr().err == (
        f"'{clone / 'my-notebooks'}': the notebooks cannot be copied there: File exists; see to its permissions.\n"
    )
    assert started == []


# --- as processes -------------------------------------------------------------------------------------------------------


def test_the_script_for_a_clone_calls_the_command(tmp_path):
    """With an environment that is ready, whose Python says what it is asked."""
    (tmp_path / "notebooks").mkdir()
    for name in ("start.sh", "environment.sh"):
        shutil.copy(ROOT / "notebooks" / name, tmp_path / "notebooks")
    python = tmp_path / ".venv" / "bin" / "python"
    python.parent.mkdir(parents=True)
    python.write_text('#!/bin/sh\nprintf "%s|" "$@"\n')
    python.chmod(0o755)
    (tmp_path / "pyproject.toml").touch()
    (tmp_path / ".venv" / "installed-notebooks").write_text(f"{tmp_path}\n")
    start = ["sh", str(tmp_path / "notebooks" / "start.sh"), "--port", "8899", "--notebook-dir=a b"]
    done = subprocess.run(start, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "-m|rheokit|open|--|--port|8899|--notebook-dir=a b|"


@pytest.fixture(scope="module")
def from_wheel(tmp_path_factory):
    """Return the folder of an environment into which a wheel of this clone was installed; all else it has from this one."""
    place = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check"]
    subprocess.run([*pip, "wheel", "--no-deps", "--wheel-dir", place, ROOT], check=True, capture_output=True)
    (wheel,) = place.glob("*.whl")
    venv.create(place / "venv", symlinks=True)
    python = place / "venv" / "bin" / "python"
    subprocess.run([*pip, "--python", python, "install", "--no-deps", wheel], check=True, capture_output=True)
    packages = next((place / "venv" / "lib").glob("python*/site-packages"))
    (packages / "all-else.pth").write_text(sysconfig.get_path("purelib"))  # after its own
    (place / "venv" / "share").symlink_to(Path(sys.prefix) / "share")  # JupyterLab itself
    return place / "venv"


@pytest.fixture
def own_environment(tmp_path):
    """Return the environment of a person who has nothing of rheokit yet but the wheel."""
    own = {name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "RHEOKIT_PASTES")}
    for kind in ("CONFIG", "DATA", "RUNTIME"):
        own[f"JUPYTER_{kind}_DIR"] = str(tmp_path / "jupyter" / kind.lower())
    return own | {"RHEOKIT_STATE": str(tmp_path / "state"), "IPYTHONDIR": str(tmp_path / "ipython")}


@pytest.mark.slow
def test_the_wheel_holds_notebooks_and_readings_and_nothing_of_the_clone_alone(from_wheel):
    travels = next(from_wheel.glob("lib/python*/site-packages/rheokit/travels"))
    stored = {
        path.relative_to(ROOT).as_posix() for path in (*ROOT.glob("notebooks/*.ipynb"), *ROOT.glob("data/[!_]*/*.*"))
    }
    stored |= {path.relative_to(ROOT).as_posix() for path in ROOT.glob("notebooks/settings/**/*.*")}
    assert {path.relative_to(travels).as_posix() for path in travels.rglob("*") if path.is_file()} == stored
    assert all((travels.parent / name).is_file() for name in ("CITATION.cff", "CHANGELOG.md", "LICENSE"))
    for path in travels.glob("notebooks/*.ipynb"):
        cells = json.loads(path.read_bytes())["cells"]
        assert not any(cell.get("outputs") for cell in cells), path.name


@pytest.mark.slow
def test_the_wheel_fits_and_opens_notebooks_in_an_empty_folder(from_wheel, own_environment, tmp_path):
    place = tmp_path / "leerer Platz ß"
    place.mkdir()
    rheokit = str(from_wheel / "bin" / "rheokit")
    paste = next(from_wheel.glob("lib/python*/site-packages/rheokit/travels/data/gelatin-dope"))
    about = {"cwd": place, "env": own_environment, "text": True}
    fitted = subprocess.run([rheokit, "fit", paste, "--law", "Newtonian"], capture_output=True, **about)
    assert (fitted.returncode, "viscosity" in fitted.stdout) == (0, True), fitted.stderr
    told = subprocess.run([rheokit, "open", "--help"], capture_output=True, check=True, **about)
    assert "example: rheokit open" in told.stdout
    assert list(place.iterdir()) == []

    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        address = f"http://127.0.0.1:{free.getsockname()[1]}"
    server = [
        rheokit,
        "open",
        "--",
        "--no-browser",
        "--ip=127.0.0.1",
        f"--port={address.rpartition(':')[2]}",
        "--IdentityProvider.token=t",
    ]

    def asked(path, about=None):
        request = urllib.request.Request(f"{address}/{path}", about and json.dumps(about).encode())
        request.add_header("Authorization", "token t")
        with urllib.request.urlopen(request, timeout=30) as answer:
            return answer.read()

    with (tmp_path / "log").open("w") as log, subprocess.Popen(server, stdout=log, stderr=log, **about) as running:
        try:
            for _ in range(200):
                assert running.poll() is None, (tmp_path / "log").read_text()
                with suppress(OSError):
                    asked("api")
                    break
                time.sleep(0.2)
            assert b"jupyter-config-data" in asked("lab/tree/notebooks/1-fit-bench-data.ipynb")
            served = json.loads(asked("api/contents/notebooks/1-fit-bench-data.ipynb"))["content"]
            session = {
                "path": "notebooks/1-fit-bench-data.ipynb",
                "type": "notebook",
                "name": "",
                "kernel": {"name": "python3"},
            }
            kernel = json.loads(asked("api/sessions", session))["kernel"]["id"]
            known = Path(own_environment["JUPYTER_RUNTIME_DIR"]) / f"kernel-{kernel}.json"
            client = BlockingKernelClient(connection_file=str(known))
            client.load_connection_file()
            client.start_channels()
            first = next("".join(cell["source"]) for cell in served["cells"] if cell["cell_type"] == "code")
            of_kernel = {
                "in": "__import__('os').getcwd()",
                "from": "__import__('rheokit').__file__",
                "demos": "sorted(__import__('rheokit.workbook').workbook.demos())",
                "pastes": "__import__('os').environ['RHEOKIT_PASTES']",
            }
            client.wait_for_ready(timeout=60)
            ran = client.execute(first, user_expressions=of_kernel, reply=True, timeout=60)["content"]
            client.stop_channels()
        finally:
            running.terminate()
            running.wait(timeout=60)
    assert ran["status"] == "ok", ran
    found = {name: ast.literal_eval(one["data"]["text/plain"]) for name, one in ran["user_expressions"].items()}
    assert found["in"] == str(place / "notebooks")
    assert found["pastes"] == str(place)
    assert Path(found["from"]).is_relative_to(from_wheel)
    assert found["demos"] == sorted(path.parent.name for path in ROOT.glob("data/*/bench.toml"))
    assert running.returncode == 0
