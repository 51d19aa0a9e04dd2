"""Every notebook is stored clean, is short, runs from top to bottom, and ends by checking what it says."""

import ast
from pathlib import Path

import nbformat
import pytest

FOLDER = Path(__file__).parents[2] / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))
each_notebook = pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)


def code_cells(notebook):
    return [cell for cell in notebook.cells if cell.cell_type == "code"]


def test_there_are_notebooks():
    assert NOTEBOOKS, f"no notebook in {FOLDER}"


@each_notebook
def test_is_stored_without_outputs(path):
    notebook = nbformat.read(path, as_version=4)
    run = [
        number
        for number, cell in enumerate(notebook.cells)
        if cell.cell_type == "code" and (cell.outputs or cell.execution_count is not None)
    ]
    clear = f"jupyter nbconvert --clear-output --inplace notebooks/{path.name}"
    assert not run, f"cells {run} hold outputs; clear them: {clear}"
    assert "widgets" not in notebook.metadata, f"widget states are stored; clear them: {clear}"


@each_notebook
def test_counts_on_nothing_beside_it(path):
    """From a wheel it is copied to where a person's pastes are, without the demonstration folders."""
    assert not [cell.source for cell in code_cells(nbformat.read(path, as_version=4)) if "../" in cell.source]


@each_notebook
def test_code_is_folded(path):
    cells = code_cells(nbformat.read(path, as_version=4))
    assert not [cell.source for cell in cells if not cell.metadata.get("jupyter", {}).get("source_hidden")]


@each_notebook
def test_is_short(path):
    assert len(nbformat.read(path, as_version=4).cells) < 25


@each_notebook
def test_last_code_cell_asserts(path):
    last = code_cells(nbformat.read(path, as_version=4))[-1].source
    assert any(isinstance(node, ast.Assert) for node in ast.walk(ast.parse(last))), last


@each_notebook
def test_is_run_from_top_to_bottom_in_a_browser(path):
    """There every cell is run to the last and none may raise; to run it without a browser too would tell nothing more."""
    tests = "".join(
        test.read_text(encoding="utf-8") for test in (FOLDER.parent / "tests" / "browser").glob("test_*.py")
    )
    assert f'notebooks.show("{path.name}"' in tests
