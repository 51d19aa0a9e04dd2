"""A bench folder to fill in: every dimension and column named, with its meaning, an example and nothing assumed."""

import textwrap
import tomllib
from collections import Counter
from pathlib import Path

from ..bench import KINDS
from ..errors import DataError
from ..nomenclature import example, measure
from ..things import nearest
from .faults import listed, shown
from .folder import MOST_TESTS
from .forms import form_of
from .headers import is_pressure, title_of, words_of

SPECIMEN = """\
# One bench: what was tested, with what, and the files of readings. Fill in what stands between empty quotes; a line that
# begins with # is a comment: take the # away where you know the number. Numbers stand in quotes with their unit, and with
# their standard uncertainty where it is known: "26.7 mm", "26.70 ± 0.05 mm", "2.00 mm ± 1 %".

[specimen]
paste = ""
batch = ""
# date = 2026-03-02
{density}
# air_content = "3 %"        # volume share of trapped air
# temperature = "21 °C"      # at the test
# age = "12 h"               # time since mixing
# water_content = "51 %"     # then say on which basis:
# water_basis = "wet"        # "wet": water over total mass; "dry": water over dry mass
note = ""
"""

LABEL = '# label = "first"   # your name for this test, where several are of one kind; and batch = "B" where it is not that of the specimen'


def new_folder_files(kinds):
    """Return the files of a folder to fill in for kinds of test, bytes by name; a kind may be named several times.

    Instead of kinds a table with a column of them will do.
    """
    kinds = kinds["kind"] if hasattr(kinds, "columns") else kinds
    kinds = [kinds] if isinstance(kinds, (str, type)) else list(kinds)
    names = [getattr(kind, "kind", kind) for kind in kinds]
    if len(names) > MOST_TESTS:
        told = f"{len(names)} kinds were named; {MOST_TESTS} tests at most in one folder"
        raise DataError(f"{told}: make several folders")
    unknown = [f"{shown(name)}{nearest(str(name), KINDS)}" for name in names if name not in KINDS]
    if unknown or not names:
        told = f"no such kind of test: {listed(unknown) or 'none was named'}"
        raise DataError(f"{told}; the kinds are {listed(map(repr, KINDS))}")
    forms = [form_of(KINDS[name]) for name in names]
    lends = any("density" in form.dimensions or "density" in form.given() for form in forms)
    measured = any("density" in form.kind.gives for form in forms)  # and lent by the reader to who needs it
    own = not measured and any("density" in form.dimensions for form in forms)
    density = 'density = ""' if own else '# density = "1110 kg/m3"'
    use = '   # of the paste with its air, such as "1110 kg/m3"' if lends else "   # of the paste with its air"
    parts, files, seen = [SPECIMEN.format(density=density + use)], {}, Counter()
    for name, form in zip(names, forms, strict=True):
        seen[name] += 1
        number = f"-{seen[name]}" if names.count(name) > 1 else ""
        stem, apparatus = name.replace(" ", "-") + number, _apparatus_of(form, forms)
        if seen[name] == 1 and apparatus == name.replace(" ", "-"):
            parts.append(_apparatus_text(form, apparatus, forms))
        parts.append(_test_text(form, stem, apparatus))
        files[f"{stem}.csv"] = table_text(form).encode()
    files["bench.toml"] = "\n".join(parts).encode()
    return files


def still_blank(folder):
    """Return the files of a folder that was made to be filled in, bytes by name, while nothing in it is; else none."""
    folder = Path(folder)
    try:
        tests = tomllib.loads((folder / "bench.toml").read_text("utf-8"))["test"]
        made = new_folder_files([test["kind"] for test in tests])
        return made if all((folder / name).read_bytes() == raw for name, raw in made.items()) else {}
    except (OSError, ValueError, LookupError, TypeError):  # another bench, or none; a `DataError` is a `ValueError`
        return {}


def _apparatus_of(form, forms):
    """Return the name of the apparatus of a form: its own, or that of a run to which it lends what it measures."""
    lent = {*form.kind.gives} if form.kind.of_apparatus else set()
    host = next((other for other in forms if lent & other.dimensions.keys()), form)
    return host.kind.kind.replace(" ", "-")


def _apparatus_text(form, name, forms):
    lines = [*_wrapped(form.kind.caution), f"[apparatus.{name}]"]
    lent = {of: other.kind.kind for other in forms if other.kind.of_apparatus for of in other.kind.gives}
    for dimension, item in form.dimensions.items():
        if dimension == "density":
            continue
        typed, others = example(item.quantity.unit, dimension), form.in_words(dimension)[1:]
        about = f"# {item.quantity.meaning}" + (f"; or {listed(others)}" if others else "")
        if dimension in lent:
            lines.append(f"# {dimension} = {typed}   {about}; the {lent[dimension]} test lends it")
        elif item.required:
            lines.append(f'{dimension} = ""   {about}, such as {typed}')
        else:
            lines.append(f"# {dimension} = {typed}   {about}")
    if form.nozzle:
        lines += [
            'bore = ""   # bore at the tip, measured; such as "2.00 ± 0.02 mm", or of a needle by its gauge: "18G"',
            'length = ""   # of the straight land, such as "20.0 mm"',
            "# or, instead of bore and length, the segments in flow order:",
            '# nozzle = [{inlet_diameter = "4 mm", outlet_diameter = "1.6 mm", length = "20 mm"}, {diameter = "1.6 mm", length = "8 mm"}]',
            "# several nozzles on one barrel: move bore and length into the [[test]] of each",
        ]
    return "\n".join(lines) + "\n"


def _wrapped(text):
    return [f"# {line}" for line in textwrap.wrap(text, 110)]


def _test_text(form, stem, apparatus):
    kind = form.kind
    lines = ["[[test]]", f'kind = "{kind.kind}"', f'file = "{stem}.csv"', f'apparatus = "{apparatus}"', LABEL]
    for name, choice in form.choices.items():
        if name == "read":
            readable = " or ".join(f'"{column}"' for column in form.required_columns())
            lines.append(f'read = ""   # which column was read, the other being set: {readable}')
        elif not (options := [f'"{option}"' for option in choice.metadata.get("options", ())]):
            lines.append(f"# {name} = {choice.default!r}".replace("'", '"'))
        elif given := choice.default and f'"{choice.default}"':
            lines.append(f"# {name} = {given}   # or {' or '.join(o for o in options if o != given)}")
        else:
            lines.append(f'{name} = ""   # {" or ".join(options)}, such as {options[0]}')
    si_unit = form.quantity(kind.reads).unit if isinstance(kind.reads, str) and kind.reads else "-"
    unit = measure(si_unit).typed[0]
    size, other = ("3 %", "") if unit == si_unit else (f"0.5 {unit}", f', "to 1 {unit}" where it is rounded, or "3 %"')
    if inputs := next((way.inputs for ways in form.ways.values() for way in ways if "caught_mass" in way.inputs), None):
        other = f', or of {" and ".join(map(words_of, inputs))} ["to 1 g", "0.2 s"]'
    lines.append(f'# uncertainty = "{size}"   # standard uncertainty of a reading{other}')
    return "\n".join(lines) + "\n"


def table_text(form):
    """Return the table of a form, with headers and nothing below them."""
    required = form.required_columns()
    titles = [column_title(name, form) for name in required]
    lines = [f"# {form.kind.kind}: one row a reading, steady values only"]
    for name in required:
        for way in form.ways.get(name, ()):
            inputs = " and ".join(f"'{column_title(n, form)}'" for n in way.inputs)
            needs = [n for n in way.given if n not in form.dimensions]
            more = f", with {listed(needs)} in bench.toml" if needs else ""
            lines.append(f"# instead of {words_of(name)}: {inputs}{more}")
    optional = ", ".join(f"'{column_title(name, form)}'" for name, item in form.columns.items() if not item.required)
    lines.append(f"# may be added: {optional}")
    lines.append("# <2 means at most 2, >50 at least 50, in the column that was read")
    lines += [line for artefact in form.kind.artefacts for line in _wrapped(artefact)]
    return "\n".join([*lines, ", ".join(titles)]) + "\n"


def column_title(name, form):
    """Return the heading of a column as a student would type it, with its customary unit."""
    return title_of(name, "kPa" if is_pressure(name) else measure(form.quantity(name).unit).typed[0])
