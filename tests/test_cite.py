"""Version and commit: in agreement wherever they stand, named in every output, and "not known" where they are not."""

import json
import os
import re
import subprocess
import sys
import tomllib
from importlib import metadata
from pathlib import Path

import pytest
import yaml

import rheokit as rk
from rheokit import release
from rheokit.errors import DataError

ROOT = Path(rk.__file__).parent
REQUIRED = {"cff-version", "message", "title", "authors"}
"""What the schema of the Citation File Format 1.2.0 requires (github.com/citation-file-format, schema.json; from memory)."""
KNOWN = REQUIRED | {
    "type",
    "version",
    "license",
    "abstract",
    "commit",
    "date-released",
    "doi",
    "keywords",
    "repository-code",
    "url",
}


@pytest.fixture(autouse=True)
def asked_anew():
    release.commit.cache_clear()
    yield
    release.commit.cache_clear()


@pytest.fixture
def clone(tmp_path, monkeypatch):
    """Return a repository of rheokit with one commit, whose package is taken for the one at work."""
    home = tmp_path / "rheokit"
    home.mkdir()
    for name in ("LICENSE", "CITATION.cff"):
        (home / name).write_bytes((ROOT / name).read_bytes())
    (tmp_path / "pyproject.toml").write_text('name = "rheokit"\n')
    git(tmp_path, "init", "-q", "-b", "main")
    git(tmp_path, "add", ".")
    git(tmp_path, "commit", "-qm", "all")
    monkeypatch.setattr(release, "HOME", home)
    return tmp_path


def git(where, *asked):
    who = ["-c", "user.name=a", "-c", "user.email=a@b.c", "-c", "commit.gpgsign=false"]
    return subprocess.run(
        ["git", *who, "-C", str(where), *asked], check=True, capture_output=True, text=True
    ).stdout.strip()


def test_one_version():
    pyproject = tomllib.loads((ROOT.parent / "pyproject.toml").read_text("utf-8"))["project"]
    cff = yaml.safe_load((ROOT / "CITATION.cff").read_text("utf-8"))
    assert pyproject["version"] == rk.__version__ == str(cff["version"])
    assert cff["license"] == pyproject["license"] and cff["abstract"] == pyproject["description"]
    assert re.search(rf"^## {re.escape(rk.__version__)}$", (ROOT / "CHANGELOG.md").read_text("utf-8"), re.M)


@pytest.mark.parametrize("text", [rk.cite("cff"), (ROOT / "CITATION.cff").read_text("utf-8")])
def test_citation_file_is_one(text):
    cff = yaml.safe_load(text)
    assert cff.keys() >= REQUIRED and cff.keys() <= KNOWN
    assert cff["cff-version"] == "1.2.0" and cff["type"] == "software"
    assert cff["authors"] == [{"name": "the rheokit authors"}]
    assert "doi" not in cff  # there is none


def test_authors_and_year_are_those_of_the_licence():
    assert "Copyright (c) 2026, the rheokit authors" in (ROOT / "LICENSE").read_text("utf-8")
    assert rk.cite().startswith(
        f"The rheokit authors (2026): rheokit, version {rk.__version__}. Software, BSD 3-Clause licence, "
    )
    assert "author  = {{the rheokit authors}}," in rk.cite("bibtex") and "year    = {2026}," in rk.cite("bibtex")
    assert "doi" not in (rk.cite() + rk.cite("bibtex")).lower()


def test_an_unknown_form_is_refused():
    with pytest.raises(
        DataError, match=re.escape("cite: form = 'ris' is not known; give one of 'text', 'bibtex', 'cff'.")
    ):
        rk.cite("ris")


def test_commit_of_a_clone(clone):
    whole = git(clone, "rev-parse", "HEAD")
    assert release.commit() == (whole, "")
    assert release.version_line() == f"rheokit {rk.__version__}, commit {whole[:12]}"
    assert all(whole in rk.cite(form) for form in release.FORMS)
    assert yaml.safe_load(rk.cite("cff"))["commit"] == whole


def test_changes_of_its_own_are_said(clone):
    (clone / "rheokit" / "new.py").write_text("")
    assert release.version_line().endswith(" (with changes of its own)")
    assert yaml.safe_load(rk.cite("cff"))["commit"] == git(clone, "rev-parse", "HEAD")
    assert rk.cite("cff").rstrip().endswith("# with changes of its own")


def test_changes_elsewhere_are_none_of_the_package(clone):
    (clone / "my-paste.txt").write_text("")
    assert release.commit().remark == ""


def test_without_git_the_commit_is_read_and_changes_are_not_known(clone, monkeypatch):
    whole = git(clone, "rev-parse", "HEAD")
    monkeypatch.setenv("PATH", os.fspath(clone))
    assert release.commit() == (whole, "whether it was changed since is not known")


@pytest.mark.parametrize("how", ["packed", "detached", "another working tree"])
def test_commit_is_read_however_git_keeps_it(clone, monkeypatch, tmp_path_factory, how):
    whole = git(clone, "rev-parse", "HEAD")
    if how == "packed":
        git(clone, "pack-refs", "--all")
    elif how == "detached":
        git(clone, "checkout", "-q", "--detach")
    else:
        other = tmp_path_factory.mktemp("other") / "tree"
        git(clone, "worktree", "add", "-q", "-b", "second", str(other))
        monkeypatch.setattr(release, "HOME", other / "rheokit")
    monkeypatch.setenv("PATH", os.fspath(clone))
    assert release.commit().name == whole


def test_another_repository_that_holds_a_copy_is_not_ours(clone):
    (clone / "pyproject.toml").write_text('name = "thesis"\n')
    assert release.version_line() == f"rheokit {rk.__version__}, commit not known"


def test_a_package_without_a_repository_says_so(tmp_path, monkeypatch):
    home = tmp_path / "rheokit"
    home.mkdir()
    for name in ("LICENSE", "CITATION.cff"):
        (home / name).write_bytes((ROOT / name).read_bytes())
    monkeypatch.setattr(release, "HOME", home)
    assert rk.cite().endswith(", commit not known.") and "commit not known" in rk.cite("bibtex")
    assert "commit" not in yaml.safe_load(rk.cite("cff"))


def test_commit_that_pip_noted(tmp_path, monkeypatch):
    class About:
        def locate_file(self, name):
            return tmp_path / name

        def read_text(self, name):
            assert name == "direct_url.json"  # PEP 610
            return json.dumps({"url": "x", "vcs_info": {"vcs": "git", "commit_id": "c" * 40}})

    monkeypatch.setattr(release, "HOME", tmp_path / "rheokit")
    monkeypatch.setattr(metadata, "distribution", lambda name: About())
    assert release.commit() == ("c" * 40, "")
    monkeypatch.setattr(release, "HOME", tmp_path / "elsewhere" / "rheokit")
    release.commit.cache_clear()
    assert release.commit().name == ""  # another rheokit is installed than the one at work


def test_importing_asks_no_git():
    code = "import rheokit, sys; print('rheokit.release' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT.parent)
    assert done.stdout.strip() == "False"


@pytest.mark.slow
def test_the_command_names_version_and_commit(capsys):
    from rheokit.command import main

    with pytest.raises(SystemExit) as end:
        main(["--version"])
    assert end.value.code == 0 and capsys.readouterr().out == f"{release.version_line()}\n"
    main(["fit", str(ROOT.parent / "data" / "kitchen")])
    assert f"  computed by {release.version_line()}\n" in capsys.readouterr().out


def test_a_script_names_what_wrote_it(tmp_path):
    folder = rk.new_workbook(tmp_path / "paste")
    assert f"# Written by {release.version_line()}; " in rk.Workbook.open(folder).script()
