"""Public signatures carry hints, a type checker holds the code to them, and a user's code reads as it should."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import rheokit

ROOT = Path(rheokit.__file__).parent
NOT_YET = {"bench", "charts", "fitting", "widgets"}
MODULES = [p for p in sorted(ROOT.rglob("*.py")) if p.relative_to(ROOT).parts[0].removesuffix(".py") not in NOT_YET]


def public_functions(body, owner=""):
    """Return (name, node, whether a method) of every public function, method and constructor."""
    for node in body:
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield from public_functions(node.body, f"{node.name}.")
        elif isinstance(node, ast.FunctionDef) and (not node.name.startswith("_") or node.name == "__init__"):
            static = any(isinstance(d, ast.Name) and d.id == "staticmethod" for d in node.decorator_list)
            yield f"{owner}{node.name}", node, bool(owner) and not static


def unhinted(source):
    """Return what lacks a hint in the source of a module: `function` for its return, `function(parameter)`."""
    tree, found = ast.parse(source), []
    overloaded = {
        name
        for name, node, _ in public_functions(tree.body)
        if any(isinstance(d, ast.Name) and d.id == "overload" for d in node.decorator_list)
    }
    for name, node, is_method in public_functions(tree.body):
        if name in overloaded and not node.decorator_list:
            continue  # its overloads say it
        given = node.args
        names = [*given.posonlyargs, *given.args][is_method:] + given.kwonlyargs
        names += [one for one in (given.vararg, given.kwarg) if one]
        found += [f"{name}({one.arg})" for one in names if one.annotation is None]
        found += [name] if node.returns is None else []
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_public_signatures_have_hints(path):
    assert unhinted(path.read_text(encoding="utf-8")) == []


def test_what_has_no_hint_is_found():
    assert unhinted("def f(a: int, b) -> int: ...\ndef _g(a): ...\nclass C:\n    def h(self, *a): ...") == [
        "f(b)", "C.h(a)", "C.h",
    ]  # fmt: skip


def test_type_checkers_see_the_names_that_are_loaded_later():
    tree = ast.parse((ROOT / "__init__.py").read_text(encoding="utf-8"))
    block = next(n for n in tree.body if isinstance(n, ast.If) and ast.unparse(n.test) == "TYPE_CHECKING")
    seen = {
        alias.name: (node.module, f"{node.module}.{alias.name}", alias.name)
        for node in block.body
        for alias in node.names
    }
    assert seen.keys() == rheokit._LATER.keys()
    assert all(place in seen[name] for name, place in rheokit._LATER.items())
    assert set(rheokit._LATER) <= set(rheokit.__all__)


@pytest.mark.slow
def test_the_checker_finds_nothing_in_rheokit_and_what_is_wrong_in_a_users_code(tmp_path):
    """One run for both: every line of the user's code is right but those that say which error is theirs."""
    user = Path(__file__).with_name("typed_use.py")
    out = subprocess.run(
        [sys.executable, "-m", "mypy", "--cache-dir", str(tmp_path), "--no-error-summary", "-p", "rheokit", "-m", "typed_use"],
        capture_output=True, text=True, cwd=ROOT.parent, env={"MYPYPATH": str(user.parent), "PATH": ""}, check=False,
    )  # fmt: skip
    wrong = {
        f"tests/typed_use.py:{number}: {line.rpartition('  # wrong: ')[2]}"
        for number, line in enumerate(user.read_text(encoding="utf-8").splitlines(), 1)
        if "  # wrong: " in line
    }
    said = {
        f"{where}: {words.rpartition('[')[2].rstrip(']')}"
        for where, _, words in (line.partition(": error: ") for line in out.stdout.splitlines() if ": error: " in line)
    }
    assert said == wrong and wrong, out.stdout + out.stderr
