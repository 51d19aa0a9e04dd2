"""Small files that would eat a machine, and a run that reads each: prints seconds, the most memory so far in MB, and the answer.

Started as a program of its own, so that its memory is that of reading alone.
"""

import io
import sys
import time
import zipfile
from pathlib import Path

HEAD = "shear rate [1/s], shear stress [Pa]\n"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
TEST = '[[test]]\nkind = "flow curve"\nfile = "{}"\n'
ROWS = (
    '<row r="1"><c t="inlineStr"><is><t>shear rate [1/s]</t></is></c><c t="inlineStr"><is><t>shear stress [Pa]</t></is></c></row>'
    '<row r="2"><c><v>1</v></c><c><v>20</v></c></row>'
)


def packed(sheet="", styles="", texts="", more=(), sheets=1, compression=zipfile.ZIP_DEFLATED):
    """Return the bytes of a workbook whose parts hold these pieces of XML."""
    related = [(f"s{k}", "worksheet", f"worksheets/sheet{k}.xml") for k in range(sheets)]
    related += [("y", "styles", "styles.xml"), ("t", "sharedStrings", "sharedStrings.xml")]
    parts = {
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}"><sheets>'
        + "".join(f'<sheet name="s{k}" sheetId="{k + 1}" r:id="s{k}"/>' for k in range(sheets))
        + "</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": "<Relationships>"
        + "".join(f'<Relationship Id="{i}" Type="{OFFICE}/{kind}" Target="{target}"/>' for i, kind, target in related)
        + "</Relationships>",
        "xl/styles.xml": f'<styleSheet xmlns="{MAIN}">{styles}</styleSheet>',
        "xl/sharedStrings.xml": f'<sst xmlns="{MAIN}">{texts}</sst>',
    }
    parts |= {
        f"xl/worksheets/sheet{k}.xml": f'<worksheet xmlns="{MAIN}"><sheetData>{sheet or ROWS}</sheetData></worksheet>'
        for k in range(sheets)
    }
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w", compression) as archive:
        for name, text in [*parts.items(), *more]:
            archive.writestr(name, text)
    return raw.getvalue()


def lying(raw):
    """Return a workbook whose directory says that its parts are of 100 bytes."""
    places, at = [], raw.find(b"PK\x01\x02")
    while at >= 0:
        places.append(at + 24)
        at = raw.find(b"PK\x01\x02", at + 4)
    changed = bytearray(raw)
    for place in places:
        changed[place : place + 4] = (100).to_bytes(4, "little")
    return bytes(changed)


TENFOLD = [f"&{chr(97 + k)};" * 10 for k in range(9)]
BILLION = '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">'
BILLION += "".join(f'<!ENTITY {chr(98 + k)} "{ten}">' for k, ten in enumerate(TENFOLD)) + "]>"

WORKBOOKS = {
    "a workbook of one sheet": lambda: packed(),
    "nested elements": lambda: packed("<a>" * 3_000_000),
    "a row of ten million cells": lambda: packed('<row r="1">' + "<c/>" * 2_400_000 + "</row>"),
    "a row of filled cells": lambda: packed('<row r="1">' + "<c><v>1</v></c>" * 700_000 + "</row>"),
    "shared texts": lambda: packed(texts="<si><t>a</t></si>" * 600_000),
    "one shared text": lambda: packed(texts=f"<si><t>{'a' * 9_000_000}</t></si>"),
    "styles": lambda: packed(styles="<cellXfs>" + '<xf numFmtId="14"/>' * 520_000 + "</cellXfs>"),
    "attributes": lambda: packed("<row " + " ".join(f'a{k}=""' for k in range(400_000)) + "/>"),
    "a long attribute": lambda: packed('<row a="' + "a" * 9_000_000 + '"/>'),
    "entities": lambda: packed(more=[("_rels/.rels", f"{BILLION}<Relationships>&j;</Relationships>")]),
    "many parts": lambda: packed(more=[(f"a{k}", "") for k in range(5000)]),
    "a lying directory": lambda: lying(packed("<a>" * 3_000_000)),
    "a cell of many texts": lambda: packed(
        ROWS
        + f'<row r="3"><c t="inlineStr"><is>{"<t>" + "9" * 43 + "</t>"}</is></c></row>'.replace(
            "<is>", "<is>" + ("<t>" + "9" * 43 + "</t>") * 200_000
        )
    ),
    "cells of many texts": lambda: packed(
        ROWS + "<row>" + ('<c t="inlineStr"><is>' + "<t>999999999</t>" * 4000 + "</is></c>") * 100 + "</row>"
    ),
    "another compression": lambda: packed(compression=zipfile.ZIP_LZMA),
}
TEXTS = {
    "one line": lambda: "1," * 450_000,
    "many columns": lambda: ", ".join(["force [N]"] * 60_000) + "\n" + "1, " * 60_000,
    "empty lines": lambda: HEAD + "\n" * 900_000,
    "rows of nothing": lambda: HEAD + ",\n" * 100_000 + "1, 2\n",
    "rows that are none": lambda: HEAD + "a,b\n" * 99_000,
    "bounds": lambda: HEAD + "1,<2\n" * 99_000,
}
SEGMENTS = ", ".join(['{diameter = "2 mm", length = "2 mm"}'] * 4000)
TOMLS = {
    "dotted keys": lambda: "a." * 20_000 + "a = 1",
    "dotted keys in rows": lambda: "\n".join(f"a{k}.b.c.d.e.f.g = 1" for k in range(19_000)),
    "a dotted table": lambda: f"[{'a . ' * 20_000}a]",
    "quoted dotted keys": lambda: "'a'." * 20_000 + "a = 1",
    "brackets": lambda: "a = " + "[" * 400_000,
    "open quotation marks": lambda: '"\\' * 200_000,
    "unknown keys": lambda: TEST.format("t.csv") + "\n".join(f"kind{k} = 1" for k in range(19_000)),
    "unusual names": lambda: TEST.format("t.csv") + "unusual = [" + '"a", ' * 19_000 + "]",
    "uncertainties": lambda: TEST.format("t.csv") + "uncertainty = [" + '"1 N", ' * 19_000 + "]",
    "segments": lambda: TEST.format("t.csv").replace("flow curve", "pressure run") + f'read = "pressure"\nnozzle = [{SEGMENTS}]',
    "tests": lambda: "[[test]]\n" * 19_000,
    "a long key": lambda: f"{'a' * 400_000} = 1",
    "a long kind": lambda: TEST.format("b" * 400).replace("flow curve", "a" * 400_000),
}  # fmt: skip


def peak():
    """Return the most memory [MB] that this process has held; `ru_maxrss` begins with that of the process which started it."""
    with open("/proc/self/status", encoding="ascii") as status:
        return next(int(line.split()[1]) for line in status if line.startswith("VmHWM:")) / 1024


def run(folder):
    """Read every file in turn, and print what came of it."""
    import rheokit as rk

    for kind, files in (("workbook", WORKBOOKS), ("text", TEXTS), ("toml", TOMLS)):
        for name, made in files.items():
            content = made()
            raw = content if isinstance(content, bytes) else content.encode()
            del content
            assert len(raw) < 1_000_000, (name, len(raw))
            table = "t.xlsx" if kind == "workbook" else "t.csv"
            (folder / "bench.toml").write_bytes(raw if kind == "toml" else TEST.format(table).encode())
            (folder / table).write_bytes((HEAD + "1, 20\n").encode() if kind == "toml" else raw)
            del raw
            start = time.process_time()
            try:
                told = f"{len(rk.read_bench(folder).tests[0].readings)} readings"
            except rk.ReadingError as error:
                told = error.faults[0]
            seconds, most = time.process_time() - start, peak()
            print(f"{seconds:.2f}\t{most:.0f}\t{kind}: {name}\t{told}", flush=True)


if __name__ == "__main__":
    run(Path(sys.argv[1]))
