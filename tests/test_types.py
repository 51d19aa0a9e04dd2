"""Public signatures carry hints, a type checker holds the code to them, and a user's code reads as it should."""

import ast
import inspect
import subprocess
import sys
import typing
from collections.abc import Mapping
from functools import cache, cached_property
from pathlib import Path
from types import FunctionType, MethodType, ModuleType

import pandas
import pytest

import rheokit

ROOT = Path(rheokit.__file__).parent


def ours(one):
    """Say whether a class or function is rheokit's, and no private one."""
    return str(getattr(one, "__module__", "")).startswith("rheokit") and not one.__name__.startswith("_")


@cache
def names_for_hints(module):
    """Return what the hints of a module may name: its own names, and those that only a type checker imports."""
    module = sys.modules[module]
    names = dict(vars(module)) | {"pandas": pandas}  # which a `Table` is of
    for block in ast.parse(inspect.getsource(module)).body:
        if isinstance(block, ast.If) and ast.unparse(block.test) == "TYPE_CHECKING":
            there = {"__name__": module.__name__, "__package__": module.__spec__.parent}
            exec(compile(ast.Module(block.body, []), module.__name__, "exec"), there)
            names |= there
    return names


def members(cls):
    """Yield (name, function) of every public method, property and constructor of a class that rheokit wrote."""
    for owner in cls.__mro__:
        if not str(owner.__module__).startswith("rheokit"):
            continue
        for name, made in vars(owner).items():
            if name.startswith("_") and name != "__init__":
                continue
            for function in _functions(made):
                if function.__module__ in sys.modules and function.__code__.co_filename.startswith(str(ROOT)):
                    yield f"{owner.__module__}.{function.__qualname__}", function


def _functions(made):
    """Return the functions that a member of a class is made of."""
    if isinstance(made, property):
        return [one for one in (made.fget, made.fset) if isinstance(one, FunctionType)]
    if isinstance(made, cached_property):
        return [made.func]
    if isinstance(made, staticmethod | classmethod):
        return [made.__func__]
    return [made] if isinstance(made, FunctionType) else []


def unhinted(function, is_method=False):
    """Return what lacks a hint in a signature: names of parameters, and `return`."""
    function = inspect.unwrap(function)
    names = list(inspect.signature(function).parameters)[is_method:]
    lacks = [name for name in names if name not in function.__annotations__]
    return lacks + ["return"] * ("return" not in function.__annotations__)


def classes_in(hint):
    """Return the classes of rheokit that a hint names."""
    inner = [one for arg in typing.get_args(hint) for one in (arg if isinstance(arg, list) else [arg])]
    found = {hint} if isinstance(hint, type) and ours(hint) else set()
    return found.union(*map(classes_in, inner))


def reached():
    """Return {name: what lacks a hint} of all that a user reaches: from `rk` on, by modules, members and hints."""
    todo, seen, lacking = [getattr(rheokit, name) for name in rheokit.__all__], set(), {}

    def hear(name, made, is_method):
        if made not in seen:
            seen.add(made)
            if faults := unhinted(made, is_method):
                lacking[name] = faults
            hints = typing.get_type_hints(made, names_for_hints(inspect.unwrap(made).__module__))
            todo.extend(classes_in(hints.get("return")))

    while todo:
        one = todo.pop()
        if isinstance(one, ModuleType):
            listed = getattr(one, "__all__", None)
            public = {name: made for name, made in vars(one).items() if not name.startswith("_")}
            todo += [
                made
                for name, made in public.items()
                if inspect.isroutine(made) or isinstance(made, type)
                if ours(made) and (name in listed if listed else made.__module__.startswith(one.__name__))
            ]
        elif isinstance(one, Mapping):
            todo += one.values()
        elif isinstance(one, FunctionType | MethodType):
            hear(f"{one.__module__}.{one.__qualname__}", one, False)
        elif not isinstance(one, type):
            todo.append(type(one))
        elif one not in seen and ours(one):
            seen.add(one)
            for name, made in members(one):
                static = isinstance(inspect.getattr_static(one, made.__name__, None), staticmethod)
                hear(name, made, not static)
    return lacking


@pytest.mark.slow
def test_what_a_user_reaches_has_hints_that_name_what_there_is():
    assert reached() == {}


def test_what_has_no_hint_is_found():
    def plain(a: int, b, *c) -> int: ...

    def silent(a: int): ...

    assert (unhinted(plain), unhinted(silent)) == (["b", "c"], ["return"])


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
