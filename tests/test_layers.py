"""Imports run one way: a room imports only from lower floors, and heavy libraries only where they belong."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

import rheokit

ROOT = Path(rheokit.__file__).parent
FLOORS = [
    {"errors", "found", "frames", "hints"},
    {"framed", "nomenclature", "release"},
    {"brief", "units", "roots", "checking", "sampling", "origins", "things", "progress", "terminal"},
    {"inputs", "scoring"},
    {"laws"},
    {"flow", "part"},
    {"machine", "paste", "fibre"},
    {"bench"},
    {"reading", "fitting", "corrections"},
    {"limits"},
    {"regions"},
    {"planning"},
    {"workbook"},
    {"charts"},
    {"appendix"},
    {"widgets"},
    {"command"},
    {"__main__", "__init__"},
]
FLOOR = {name: number for number, names in enumerate(FLOORS) for name in names}
MODULES = sorted(ROOT.rglob("*.py"))
ONLY_IN = {
    "lmfit": ("fitting", "laws"),
    "altair": ("charts",),
    "ipywidgets": ("widgets",),
    "tomlkit": ("reading", "workbook"),
    "typst": ("appendix",),
    "jinja2": ("appendix",),
    "pypdf": ("appendix",),
    "fontTools": ("appendix",),
}


def room(path):
    """Return the room a file belongs to: its folder under rheokit, or its own name."""
    first = path.relative_to(ROOT).parts[0]
    return first.removesuffix(".py")


def imports(path):
    """Return (top-level room or library, whether it is ours, whether it is at module level) of every import."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    at_top = set(map(id, tree.body))
    depth = len(path.relative_to(ROOT).parts)
    for_hints = [n for n in tree.body if isinstance(n, ast.If) and ast.unparse(n.test) == "TYPE_CHECKING"]
    named_only = {id(inner) for block in for_hints for inner in ast.walk(block)}
    for node in ast.walk(tree):
        if id(node) in named_only:
            continue  # a hint may name what stands higher: nothing of it is loaded
        if isinstance(node, ast.ImportFrom) and node.level:
            if node.level < depth:
                continue  # within the room
            names = [node.module.split(".")[0]] if node.module else [alias.name for alias in node.names]
            for name in names:
                yield name, True, id(node) in at_top
        elif isinstance(node, ast.ImportFrom):
            yield node.module.split(".")[0], False, id(node) in at_top
        elif isinstance(node, ast.Import):
            for alias in node.names:
                yield alias.name.split(".")[0], False, id(node) in at_top


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_a_room_imports_only_from_lower_floors(path):
    for name, ours, _ in imports(path):
        if ours and name != "__version__" and room(path) not in ("__init__", "__main__"):
            assert FLOOR[name] < FLOOR[room(path)], f"{path.relative_to(ROOT)} imports {name}"


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_libraries_stay_where_they_belong(path):
    for name, ours, at_top in imports(path):
        if not ours and name in ONLY_IN:
            assert room(path) in ONLY_IN[name], f"{path.relative_to(ROOT)} imports {name}"
            assert not (name == "lmfit" and at_top), f"{path.relative_to(ROOT)} loads lmfit with the package"


def explorers(path):
    """Return the folders of explorers that a module of one imports from: its own, and `page`, stand for none."""
    folder = path.relative_to(ROOT).parts[1]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.level == 2:
            names = [node.module] if node.module else [alias.name for alias in node.names]
            yield from {name.split(".")[0] for name in names} - {folder, "page"}


@pytest.mark.parametrize("path", sorted(ROOT.glob("widgets/*/*.py")), ids=lambda p: str(p.relative_to(ROOT)))
def test_an_explorer_imports_from_no_other(path):
    """What two of them need stands in `page`, which knows none of them."""
    assert list(explorers(path)) == []


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_modules_are_short(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 400, (
        "a room over 300 lines wants a door; 400 is the end"
    )


PARTS_OF_A_FIT = {  # what the modules of a fit may read of one: the part that stands before them
    "apparatus": "Estimates", "residuals": "Identified", "agreement": "Estimates", "contradictions": "Estimates",
    "artefacts": "Estimates", "handling": "Estimates", "needles": "Estimates", "checks": "Estimates", "predictions": "Estimates",
    "solution": "Solution", "identified": "Identified", "estimates": "Estimates", "result": "FitResult",
    "text": "FitResult", "lmfit_result": "FitResult",
}  # fmt: skip


def _asked_of(tree, name):
    """Return the attributes that a module reads of a variable."""
    return {
        node.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == name
    }


@pytest.mark.parametrize("module", PARTS_OF_A_FIT)
def test_the_parts_of_a_fit_look_one_way(module):
    """A result is composed of parts, each a class; what computes for one reads only what it or an earlier part has."""
    found = {cls.__name__: cls for cls in rheokit.FitResult.__mro__}
    known = {
        name
        for cls in found[PARTS_OF_A_FIT[module]].__mro__
        for name in {*vars(cls), *vars(cls).get("__annotations__", {})}
    }
    tree = ast.parse((ROOT / "fitting" / f"{module}.py").read_text(encoding="utf-8"))
    variable = (
        "self" if any(isinstance(n, ast.ClassDef) and n.name == PARTS_OF_A_FIT[module] for n in tree.body) else "result"
    )
    asked = _asked_of(tree, variable)
    assert asked, f"{module} reads nothing of a fit: take it out of this table"
    assert asked <= known, f"{module} reads {asked - known}, which stands on a later part"
    assert _asked_of(ast.parse((ROOT / "fitting" / "stamp.py").read_text(encoding="utf-8")), "result") == {
        "checks_with_rows"
    }


def test_developers_shows_every_room_on_its_floor():
    """The table of DEVELOPERS.md is the picture that a newcomer has of the rooms."""
    text = (ROOT.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = [line.split("|")[1:3] for line in text.splitlines() if re.match(r"\| \d+ \|", line)]
    shown = [set(re.findall(r"`(\w+)/?`", rooms)) for _, rooms in rows]
    assert shown == FLOORS[:-1]


@pytest.mark.slow
def test_import_loads_numpy_alone():
    heavy = {"altair", "lmfit", "ipywidgets", "scipy.optimize", "scipy", "pint", "pandas", "tomlkit", "openpyxl"}
    code = f"import sys, rheokit; print(sorted({heavy!r} & set(sys.modules)))"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT.parent)
    assert out.stdout.strip() == "[]"


def test_public_names():
    assert set(rheokit.__all__) >= {
        "Newtonian", "PowerLaw", "Bingham", "HerschelBulkley", "Casson", "HerschelBulkleyNewtonian", "ThreeComponent",
        "Sisko", "CarreauYasuda", "Cross", "RobertsonStiff", "FlowLaw", "parameter", "Cylinder", "Cone", "Nozzle",
        "Extruder", "FlowCurve", "VanePeak", "CylinderSlump", "FrustumSlump", "Spread", "LoadedPlate", "FallCone",
        "HangingSlug", "PressureRun", "ForceRun", "Bench", "Specimen", "read_bench", "write_bench", "new_bench", "fit",
        "compare", "Material", "Paste", "PrintJob", "region_map", "ScrewDrive", "AirDrive", "HandDrive",
    }  # fmt: skip
    for name in rheokit.__all__:
        assert getattr(rheokit, name) is not None, name


# --- no physics, no statistics in charts, widgets and appendix --------------------------------------------------------------------

ARRANGING = {
    "abs", "all", "any", "arange", "argmax", "argsort", "array", "asarray", "atleast_1d", "broadcast_to", "ceil", "clip",
    "concatenate", "count_nonzero", "diff", "empty", "errstate", "flatnonzero", "floor", "full", "geomspace", "indices", "inf",
    "isclose", "isfinite", "isinf", "isnan", "ix_", "linspace", "ma", "max", "maximum", "min", "minimum", "nan", "nan_to_num",
    "nanmax", "nanmin", "ndarray", "ndim", "ones", "pad", "round", "split", "stack", "transpose", "uint8", "unique",
    "unravel_index", "vstack", "where", "zeros",
}  # fmt: skip
"""What numpy and math may be asked above the rooms of physics: to arrange numbers, and to spread values along an axis."""
CONSTANTS = {1.96, 1.959964, 0.975, 0.025, 9.81, 9.80665, 998.0, 273.15, 2.718281828}
NUMERICAL = {"numpy", "math", "scipy"}
PHYSICS = {"laws", "flow", "part", "machine", "paste", "bench"}
ASKED = {
    "word_of",
    "dry_basis",
    "protocol_of",
    "told_alike",
    "turns",
    "when_blocked",
    "quantity_of",
    "beyond_bounds",
    "bounds_told",
    "window_told",
    "wet_basis",
    "rewetting_water",
    "room_fluxes",
    "runs_of",
    "setting_of",
    "weighed_fluxes",
    "stated_shrinkage",
    "readings_with_limits",
    "drying_course",
    "remaining_mass",
    "limits_of_property",
    "bounded",
    "taken_as_dynamic",
    "pressure_profile",
    "rise",
    "stored_energy",
    "taper_angle",
    "taper_length",
}
"""Functions of the rooms of physics that a page may ask; records and constants it may use all."""
STILL = {
    # places on paper: logarithmic axes, round ticks, steps of a slider
    "charts/drawing.py": {"log10"},
    "charts/flow_curves.py": {"sqrt"},
    "charts/force_speed.py": {"exp", "log", "**"},
    "charts/looks.py": {"log10"},
    "charts/nozzle_pressure.py": {"interp"},
    "charts/region_labels.py": {"hypot", "distance_transform_edt"},
    "charts/region_shapes.py": {"TAILS", "interp", "log"},
    "charts/region_rows.py": {"exp", "log", "**"},
    "charts/regions.py": {"log"},
    "charts/suspects.py": {"log"},
    "charts/water.py": {"log"},
    "widgets/page/number_field.py": {"log10"},
    "widgets/region/controls.py": {"log10"},
}
"""What stands in a module all the same; a name that is no longer needed goes from here."""


def _is_plain_power(node):
    """Return whether a power is one of ten, or that of a unit: 10.0**k, mm**3."""
    ten = isinstance(node.left, ast.Constant) and node.left.value == 10
    return ten or (isinstance(node.right, ast.Constant) and isinstance(node.right.value, int))


def computed(source):
    """Return the names in the source of a chart or a page by which it computes what a room below should answer."""
    found = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in ("np", "math"):
            found |= {node.attr} - ARRANGING
        elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Pow) and not _is_plain_power(node):
            found.add("**")
        elif isinstance(node, ast.ImportFrom) and not node.level and node.module.split(".")[0] in NUMERICAL:
            found |= {a.name for a in node.names} - {"ArrayLike"}
        elif isinstance(node, ast.Import):
            found |= {
                a.name
                for a in node.names
                if a.name.split(".")[0] in NUMERICAL and (a.asname or a.name) not in ("np", "math")
            }
        elif isinstance(node, ast.Attribute) and node.attr == "__dataclass_fields__":
            found.add(node.attr)
        elif isinstance(node, ast.Constant) and isinstance(node.value, float) and node.value in CONSTANTS:
            found.add(str(node.value))
        elif isinstance(node, ast.ImportFrom) and node.level > 1 and (node.module or "").split(".")[0] in PHYSICS:
            found |= {a.name for a in node.names if a.name.islower()} - ASKED
        elif isinstance(node, ast.ImportFrom) and node.level > 1 and node.module == "sampling":
            found |= {a.name for a in node.names} - {
                "limits_of",
                "limits_of_spread",
                "errors_of_limits",
                "error_of_share",
                "error_of_end",
            }
    return found


@pytest.mark.parametrize(
    "path", [p for p in MODULES if room(p) in ("charts", "widgets", "appendix")], ids=lambda p: str(p.relative_to(ROOT))
)
def test_charts_widgets_and_appendix_only_ask(path):
    assert computed(path.read_text(encoding="utf-8")) == STILL.get(path.relative_to(ROOT).as_posix(), set())


def test_computing_is_seen():
    assert computed("from ...part.shape import stiff_span\nx = np.exp(1.96 * spread)\n") == {
        "stiff_span",
        "exp",
        "1.96",
    }
    assert computed("from ...sampling import Normals\nf = Paste.__dataclass_fields__\n") == {
        "Normals",
        "__dataclass_fields__",
    }
    assert computed("stress = 350 + 210 * rate**0.4\n") == {"**"}
    assert computed("from math import exp\nimport numpy\nx = np.log1p(a) * np.sin(b)\n") == {
        "exp",
        "numpy",
        "log1p",
        "sin",
    }
    assert computed("at = np.geomspace(0.1, 100.0, 81)\nvolume = 3 * mm**3\nten = 10.0**k\n") == set()
    assert computed("from ...paste.recipe import Recipe, dry_basis\nhere = np.flatnonzero(rows)\n") == set()
