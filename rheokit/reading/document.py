"""A bench.toml as blocks of text, one for each table: one is changed, taken out or added, every other byte stays as it was typed.

A block is a header, its statements and the comments that belong to them. Comments above a header belong to it, unless a blank
line parts them from the statements before, to which they then do not belong either: such lines are kept when a block goes.
"""

import re
import tomllib
from dataclasses import dataclass, field, replace

import tomlkit

_TOKEN = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}'
    + r"|'''.*?'{3,5}"
    + r'|"(?:\\.|[^"\\\n])*"|'
    + r"'[^'\n]*'"
    + r"|\#[^\n]*|[\[\]{}\n]|[^\"'\#\[\]{}\n]+|.",
    re.DOTALL,
)


@dataclass(eq=False)
class Block:
    """One table: lines of its own above it, its text with its header, and its path, such as ``("apparatus", "syringe")``."""

    lead: str
    text: str
    path: tuple

    def table(self):
        """Return what it holds, as tomlkit reads it, and its document: change the one and write the other."""
        document = item = tomlkit.parse(self.text.replace("\r\n", "\n"))
        for key in self.path:
            item = item[key]
        return (item[0] if self.path == ("test",) else item), document

    def edited(self, change):
        """Return the block after ``change(table)``."""
        table, document = self.table()
        change(table)
        text = tomlkit.dumps(document)
        return replace(self, text=text.replace("\n", "\r\n") if "\r\n" in self.text else text)


@dataclass
class Document:
    """What stands before the first block, the blocks, and the lines after the last; `data` is what it said."""

    head: str = ""
    blocks: list = field(default_factory=list)
    tail: str = ""
    data: dict = field(default_factory=dict)

    def __str__(self):
        return self.head + "".join(block.lead + block.text for block in self.blocks) + self.tail

    def of(self, *path):
        """Return the blocks of a path."""
        return [block for block in self.blocks if block.path == path]

    def remove(self, block):
        """Take a block out, leave lines above it that a blank line parts from it, and return those that are its own."""
        place = next(k for k, one in enumerate(self.blocks) if one is block)
        del self.blocks[place]
        lines = re.findall(r"[^\n]*\n|[^\n]+", block.lead)
        blank = max((k for k, line in enumerate(lines) if not line.strip()), default=0)
        kept = "".join(lines[:blank])
        if kept.strip() and place < len(self.blocks):
            self.blocks[place].lead = kept + self.blocks[place].lead
        elif kept.strip():
            self.tail = kept + self.tail
        return block.lead[len(kept) :]

    def leave(self, block, whose):
        """Take a block out; comments of its own stay where it stood, below a line that says whose they were."""
        place = next(k for k, one in enumerate(self.blocks) if one is block)
        comments = comments_in(self.remove(block) + block.text)
        if not comments:
            return
        lines = "".join(f"{line}\n" for line in ("", f"# Of the {whose} that stood here:", *comments))
        if place < len(self.blocks):
            after = self.blocks[place]
            after.lead = lines + ("" if after.lead.startswith(("\n", "\r\n")) else "\n") + after.lead
        else:
            self.tail = lines + self.tail

    def append(self, block):
        """Put a block at the end, after an empty line."""
        last = self.tail or (self.blocks[-1].text if self.blocks else self.head)
        lead = "" if not last else "\n" if last.endswith("\n") else "\n\n"
        if self.tail.strip():
            lead, self.tail = self.tail + lead, ""
        self.blocks.append(replace(block, lead=lead + block.lead.lstrip("\r\n")))


def comments_in(text):
    """Return the comments of a text, a line each, with what stands before one in its line."""
    found = []
    for token in _TOKEN.finditer(text):
        if token[0].startswith("#"):
            before = text[text.rfind("\n", 0, token.start()) + 1 : token.start()].strip()
            found.append(f"# {before}  {token[0]}".rstrip() if before else token[0].rstrip())
    return found


def document_of(text):
    """Return the `Document` of a valid TOML text, or None where its tables do not stand under headers of their own."""
    data, places = _loaded(text), places_of(text)
    starts = [start for start, _ in places] + [len(text)]
    found = Document(text[: starts[0]], data=data)
    if _loaded(found.head):
        return None
    lead = ""
    for (start, end), stop in zip(places, starts[1:], strict=True):
        path, last = _path(text[start:end]), found.blocks[-1] if found.blocks else None
        end = _end(text, end, stop)
        if last and path[: len(last.path)] == last.path and len(path) > len(last.path) and last.path != ("apparatus",):
            last.text += lead + text[start:end]  # a table inside the table before, such as a segment of its nozzle
        else:
            found.blocks.append(Block(lead, text[start:end], path))
        lead = text[end:stop]
    found.tail = lead
    return found if _is_plain(found) else None


def _is_plain(document):
    data, paths = document.data, [block.path for block in document.blocks]
    wanted = [("specimen",)] * ("specimen" in data)
    wanted += [("apparatus", name) for name in data.get("apparatus", {})]
    wanted += [("test",)] * len(data.get("test", []))
    bare = any(_loaded(block.text)["apparatus"] for block in document.of("apparatus"))
    return not bare and sorted(path for path in paths if path != ("apparatus",)) == sorted(wanted)


def _loaded(text):
    return tomllib.loads(text.replace("\r\n", "\n"))


def plain_document(data, head=""):
    """Return the `Document` that says what a dict says, each table under its header."""
    found = Document(head, data=data)
    for name in ("specimen", *(k for k in data if k not in ("specimen", "apparatus", "test"))):
        if name in data:
            found.append(block_of((name,), data[name]))
    for name, table in data.get("apparatus", {}).items():
        found.append(block_of(("apparatus", name), table))
    for entry in data.get("test", []):
        found.append(block_of(("test",), entry))
    return found


def block_of(path, table):
    """Return the block of a path that holds what a dict holds."""
    held = [table] if path == ("test",) else table
    for key in reversed(path):
        held = {key: held}
    return Block("", tomlkit.dumps(held), path)


def put(table, key, value):
    """Put a text, or a list of tables, into a table of tomlkit: only what differs, in its place and in one line."""
    old = table.get(key)
    if not isinstance(value, list):
        if old != value:
            table[key] = value
    elif isinstance(old, list) and [one.keys() for one in old] == [one.keys() for one in value]:
        for one, other in zip(old, value, strict=True):
            for name, text in other.items():
                put(one, name, text)
    else:
        table[key] = tomlkit.array()
        for one in value:
            line = tomlkit.inline_table()
            line.update(one)
            table[key].append(line)


def places_of(text):
    """Return where the headers of tables begin, each with the end of the last line of its statements."""
    found, depth, fresh = [], 0, True
    for token in _TOKEN.finditer(text):
        piece = token[0]
        if piece == "[" and fresh and depth == 0:
            found.append([text.rfind("\n", 0, token.start()) + 1, 0])
        if piece == "\n":
            if found and not fresh and depth == 0:
                found[-1][1] = token.end()
            fresh = depth == 0
        elif piece.strip() and not piece.startswith("#"):
            depth += (piece in "[{") - (piece in "]}")
            fresh = False
    if found and not fresh:
        found[-1][1] = len(text)
    return found


def _end(text, end, stop):
    """Return where a block ends: lines right below its statements belong to it, if an empty line parts them from the next."""
    blank = re.search(r"^[ \t]*\r?\n", text[end:stop], re.MULTILINE)
    return end + blank.start() if blank else end if stop < len(text) else stop


def _path(block):
    """Return the path that a header names."""
    named, path = tomllib.loads(block.split("\n", 1)[0].rstrip("\r")), ()
    while named:
        ((key, named),) = named.items()
        path += (key,)
        named = named[0] if isinstance(named, list) else named
    return path
