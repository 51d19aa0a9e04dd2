"""Bench folders: what a student types, read into a `Bench` and written back as it was.

One folder is one bench: a file ``bench.toml`` that says what was tested with what, and one CSV or XLSX file of readings a
test. ``new_bench(folder, kinds)`` makes one to fill in. In short::

    # bench.toml
    [specimen]
    paste = "olive-stone paste"
    batch = "A"
    date = 2026-03-02
    density = "1110 ± 5 kg/m3"
    temperature = "21 °C"
    age = "12 h"
    water_content = "51.1 %"
    water_basis = "wet"              # or "dry"; must stand where water_content stands
    invented = true                  # for demonstration data that nobody measured

    [apparatus.syringe]
    barrel_diameter = "26.70 ± 0.05 mm"
    fill_length = "60 mm"
    plunger_friction = "8 ± 1 N"

    [[test]]
    kind = "syringe force"
    file = "force-20-mm.csv"
    apparatus = "syringe"
    bore = "2.00 mm ± 1 %"
    length = "20 mm"
    read = "force"                   # which column was read; the other was set
    uncertainty = ["0.5 N", "3 %"]   # or one of them; left out: estimated from the scatter

and ``force-20-mm.csv``::

    # read when steady
    plunger speed [mm/s], force [N]
    0.005, 43.7
    0.01,  46.5

**Numbers in bench.toml** stand in quotes with their unit, and with their standard uncertainty where it is known:
``"26.7 mm"``, ``"26.70 ± 0.05 mm"`` (or ``+-``), ``"2.00 mm ± 1 %"``. Only numbers without unit may stand bare:
``barrel_drag = 1``. A comma is that of decimals, ``"26,70 ± 0,05 mm"``, unless it can part thousands: ``"1,234 mm"`` is refused.
Units are names with one-digit powers: ``mm``, ``mm3/s``, ``mL/min``, ``N/mm2``, ``1/s``, ``s-1``, ``°C``, ``%``; ``in``, ``ft``,
``oz``, ``lb``, ``kgf``, ``lbf``, ``psi``, ``°F`` as well. Spoons, cups and pints are refused: they are not one volume everywhere.

**[specimen]** may hold paste, batch, date, density, air_content, temperature, age, water_content with water_basis,
invented, note. Its density serves every test that needs one; where it states none, that of the cup density tests does, and its
uncertainty goes into the model error of what was computed with it.

**[apparatus.NAME]** holds dimensions, under the names of the record's fields: a slump mould has height, diameter (or
top_diameter, bottom_diameter), a plate volume, force (or load_mass, with the plate) and wall_friction, and so on. Tests of
one apparatus share what is uncertain about it. A dimension may stand in its [[test]] instead, and counts there for that test
alone: so several nozzles go with one barrel. ``"none"`` in a [[test]] takes an optional dimension of the apparatus away.
A nozzle is ``bore`` and ``length`` of a straight land, or its segments in flow order::

    nozzle = [
      {inlet_diameter = "4 mm", outlet_diameter = "1.6 mm", length = "20 mm"},
      {diameter = "1.6 mm", length = "8 mm"},
    ]

A needle may be named by its gauge, ``bore = "18G"`` or ``diameter = "18G"``: the nominal bore of a regular wall with its tolerance,
which a note says. A taper of which one end is known is ``{taper = "luer", outlet_diameter = "3.9 mm", length = "8 mm"}``, or
``taper = "6 %"`` of diameter over length. A ``plunger_friction`` that is not stated is that of the empty barrel tests of the same
apparatus, with its spread; one that is stated stays, and a note says by how much they differ. ``carrier_mass`` is that of an empty
bottle, for a column ``added mass``.

The barrel in front is ``barrel_diameter``, in a pressure run too (left out there: no step from a barrel). Diameters are asked
for, never radii, save the ``radius`` of a spread or squeezed paste; the other of the two is refused with what to write.

**[[test]]** holds kind (a key of ``rk.KINDS``) and file, and may hold apparatus, batch, label (the name that tells it from others of its kind, else their batch
or file does), note; dimensions; temperature,
water_content (dry basis) and age, where they are not those of the specimen, for all its rows;
``uncertainty`` of the readings (below); ``error = "absolute"`` where its size is unknown but equal for all; ``model_error`` (standard
deviation of the ln of the stress, for the test's own theory) with ``model_error_reason``; choices of its kind (read,
end_correction, slip).
Tests of properties (cup density, lean height, drying shrinkage with its axis, oven moisture, sieve, empty barrel; of what sets on
cooling inverted tube with its direction, setting time, drop mass, wound thread) stand among the others: a fit of a flow law passes over
them, and ``bench.properties()`` says what they give of the paste.

``uncertainty`` is one text or several, which all count: an amount in the unit read, ``"0.5 N"``; a share of the reading, ``"3 %"``; of
a reading that is computed, the amount of what it is computed from, ``["0.3 g", "0.2 s"]`` for a flow by caught mass and time; and what
a reading is rounded to, ``"to 1 g"`` or ``"to 1 mm"``: anywhere within half of that either way, a standard uncertainty of 1/√12 of it.
Rounding says nothing of how readings scatter: where it stands alone, ``error`` is "beside rounding", and the scatter is estimated too.
Every value far from any bench is refused; ``unusual = ["bore"]`` beside it says that it is really so.

**Columns** have words and unit in the header: ``shear rate [1/s]``, in any order and case. A run takes ``flow rate``, or
``plunger speed``, or ``caught mass`` with ``catch time``; a syringe takes ``force``, ``load mass``, ``added mass`` (with
``carrier_mass``), or the ``gauge pressure`` behind its plunger; through a bare needle (``needle_outer_diameter``, ``room_temperature``) ``rest`` as
well, the time without flow before a row. Pressures are ``gauge pressure [kPa]`` or ``absolute pressure [kPa]`` (less 101.325 kPa, or the test's
``ambient_pressure``), never just pressure. Any test may have time (since this row's speed or pressure was set), stroke,
temperature, water content (dry basis), age, run order and run ``[-]``, uncertainty and ``relative uncertainty [%]``. In the column that was read ``<2`` means at
most, ``>50`` at least.

**CSV**: UTF-8; columns parted by commas, semicolons or tabs; decimal points, or decimal commas where semicolons or tabs part
the columns; ``#`` begins a line of comment. Where a file can be read two ways it is refused, and ``separator = "comma"``
("semicolon", "tab") and ``decimal = "point"`` ("comma") in its [[test]] decide. **XLSX**: first row headers, one sheet or
``sheet = "NAME"``; a cell that is shown in per cent is read as shown (4 % of a cell that holds 0.04); rows that are hidden are
read, and a note says so.

**An instrument's export** is read as it is, UTF-8, UTF-16 or Windows-1252 (or an older encoding, if the names below
stand in it), with whatever stands above its headers, by naming once in its [[test]] which column is which, in the
words of its headers::

    [[test]]
    kind = "flow curve"
    file = "export.txt"
    columns = {shear_rate = "Scherrate", shear_stress = "Schubspannung"}

A name is any that a header may have, with an underscore for each blank; a pressure is ``gauge_pressure`` or
``absolute_pressure``. Capitals and blanks do not count, nor does the unit in a header, unless two columns differ by it
alone. The unit is taken from the header (``[Pa]``, ``(Pa)``, ``in Pa``, ``, Pa``, ``/ Pa``), from a row of units
below, or from the name itself: ``shear_rate = "D [1/s]"``. All other columns are passed over, whatever they hold. Where the
headers come again, each block is read by its own header, and is a run where one of them has three readings or more; else all are one
table, whose runs are recognised from what was set. A table below with other headers is passed over. Decimal commas and signs between
thousands are found where the file leaves no doubt; else ``decimal`` and ``thousands = "comma"`` ("point", "space", "apostrophe")
decide. A row with digits under a name is a reading, or it is refused, or a note says why it was passed over. XLSX likewise.
``rk.reading.proposal("export.txt")`` shows what it understands of a file, and proposes the [[test]].

**Fewer rows and columns**, of a plain table too: ``rows = "12-45, 50"``, numbered as in the file; ``runs = [1, 3]``
and ``branch = "up"`` ("down") of the runs that the column run tells, or settings that restart or turn (see
``rheokit.bench.runs``); ``ignore = ["Status"]`` passes over columns of a plain table. Several [[test]]s may read
different rows of one file.

Reading changes nothing on disk and evaluates nothing. All faults of all files are raised as one `ReadingError`, each with
file, row, column, value and what to do. What the folder leaves open and the reader fills in stands in ``bench.origin.notes``:
the usual model error of each kind, 1 % for a bore that has no tolerance, 1 N for a plunger friction, a plate's wall friction of 0.9 ± 0.1.
"""

from __future__ import annotations

import itertools
import os
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from ..bench import Bench, BenchTest
from ..errors import ReadingError
from ..hints import Table
from ..inputs import trusted
from .faults import shown
from .files import Disk, Memory, standing
from .folder import read_files
from .origin import NOWHERE
from .proposed import Proposal, ProposedColumn, RunFound
from .proposing import proposal
from .refusals import place_of
from .saving import save
from .template import new_folder_files, still_blank
from .toml import as_toml

__all__ = ["Proposal", "ProposedColumn", "RunFound", "joined", "new_bench", "proposal", "read_bench", "write_bench"]

PATIENCE = 2.0  # seconds for which a folder is read anew where somebody saves into it meanwhile
TRIES = 10  # how often it is read at least: on a busy machine each takes long, and one saver after the other may come between
PAUSE = 0.03  # seconds between one reading and the next
MOMENT = 0.005  # seconds after which a file that was just saved is looked at again


@trusted()
def read_bench(folder: str | Path) -> Bench:
    """Return the bench that a folder holds.

    Parameters
    ----------
    folder : str or path
        With a bench.toml; nothing in it is changed.

    Returns
    -------
    bench : Bench
        In SI. ``bench.origin.notes`` says what was filled in.

    Raises
    ------
    ReadingError
        With one line for every fault of every file.
    """
    until = time.monotonic() + PATIENCE
    for tried in itertools.count(1):
        disk, refused = Disk(folder), None
        try:
            bench = read_files(disk)
        except ReadingError as error:
            refused = error
        if disk.is_fresh():  # perhaps half of a file that is still written
            time.sleep(MOMENT)
        if disk.is_steady():
            break
        if tried >= TRIES and time.monotonic() > until:
            raise ReadingError(
                [f"{shown(folder, 200)}: its files change while they are read; wait until that is over and read again"]
            )
        time.sleep(PAUSE)
    if refused:
        raise refused
    return bench


@trusted()
def write_bench(bench: Bench, folder: str | Path, *, over_blank: bool = False) -> Bench:
    """Write a bench as a folder, and return it as read back from there.

    A bench that was read and not changed is written byte for byte. Of a changed one, only what must change is typed anew, in
    its column and unit: cells, rows, comments and numbers beside it stay as they were typed. A changed workbook or export becomes a
    CSV file of what was read of it; an export of which rows were left out stays as it is, and ``rows`` in its [[test]] says which count.
    A number set for the specimen alone, such as its density, leaves the tests what they were computed with. What is
    written reads back as the same bench, or nothing is written: to the last digit, but for the rounding of a flow or force that
    its file gives by others (plunger speed, caught mass), and for model errors that nobody stated, which are assumed anew.

    All files are written in one step: a save that is cut off, whenever that is, was either not begun or is ended by the next
    one, and until then read as if it were. Of two that save at once, the second is refused.

    Parameters
    ----------
    bench : Bench
    folder : str or path
        A new or empty one, or the one that the bench was read from and that nobody changed since.
    over_blank : bool
        Whether a folder to fill in will do too, while nothing in it is; its empty tables go.

    Returns
    -------
    bench : Bench
        With the written files as its origin: go on with this one.

    Raises
    ------
    DataError
        If the folder holds something else, the disk refuses, or the bench cannot be written.
    """
    from .writer import bench_files  # tomlkit, which reading needs not

    origin, folder = bench.origin or NOWHERE, place_of(folder)
    files = bench_files(bench, standing([folder]))
    place = os.path.realpath(folder)
    blank = still_blank(folder) if over_blank else {}
    save(files, folder, origin.on_disk.get(place, blank or origin.files))
    for name in blank.keys() - files.keys():
        (folder / name).unlink(missing_ok=True)
    return read_files(Memory(files, str(folder), {**origin.on_disk, place: files}))


@trusted()
def joined(bench: Bench, more: Bench, instead_of: BenchTest | None = None, *, over: bool = True) -> Bench:
    """Return a bench with the tests of another one added, in place of one of its own or none, as a folder that held both would be read.

    What neither states is assumed of both together. The density of the other's specimen counts where the first neither states nor
    measures one; all else of the specimen is the first's. It can be written to where the first one was read. `DataError`
    if readings would count twice, or no folder can hold both. The table of the one that is replaced is written `over`, or stays
    beside the new one.
    """
    from .writer import bench_files

    specimen, kept = bench.specimen, [test for test in bench.tests if test is not instead_of]
    open_ = specimen.density is None and not any("density" in test.gives for test in kept)
    if open_ and more.specimen.density is not None:
        spread = {name: size for name, size in more.specimen.spreads.items() if name == "density"}
        specimen = replace(specimen, density=more.specimen.density, spreads={**specimen.spreads, **spread})
    origin = bench.origin or NOWHERE
    files = bench_files(Bench(specimen, [*kept, *more.tests], bench.origin), standing(origin.on_disk))
    if instead_of is not None and over:
        files = _under_its_name(files, origin.files, instead_of)
    return read_files(Memory(files, origin.folder, origin.on_disk))


def _under_its_name(files, before, replaced):
    """Return files with the one that is new under the name of that of a replaced test, so that a folder keeps no table without a test."""
    new, name = [file for file in files if file not in before], getattr(replaced.origin, "file", "")
    toml = files["bench.toml"]
    stated = f'file = "{new[0]}"'.encode() if len(new) == 1 else b"-"
    if not name.endswith(".csv") or name in files or toml.count(stated) != 1:
        return files
    toml = toml.replace(stated, f"file = {as_toml(name)}".encode())
    return {name if file == new[0] else file: raw for file, raw in files.items()} | {"bench.toml": toml}


def new_bench(folder: str | Path, kinds: str | Sequence[str] | Table) -> Path:
    """Make a folder to fill in: bench.toml with every dimension named, and a file of headers for each test.

    Parameters
    ----------
    folder : str or path
        New or empty.
    kinds : str, sequence of str, or DataFrame
        Kinds of test, keys of ``rk.KINDS``; one named twice has two files. Of a table, such as ``rk.first_tests(...)``, those in
        its column "kind".

    Returns
    -------
    folder : Path

    Raises
    ------
    DataError
        If a kind is not known, the folder is not empty, or the disk refuses.
    """
    save(new_folder_files(kinds), folder)
    return Path(folder)
