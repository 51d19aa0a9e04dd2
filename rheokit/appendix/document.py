"""What the appendix says, as plain blocks: sections of paragraphs, cautions, equations, listings, tables and figures.

Text is text: a block holds no markup, and whoever renders it escapes it. Each table and figure has a name, of which its file is made, and a caption that
stands alone.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple


class Shown(NamedTuple):
    """A number in a table: the value that a file holds to twelve digits, and how a person reads it."""

    value: float
    text: str

    def __str__(self) -> str:
        return self.text


Cell = str | Shown


@dataclass(frozen=True)
class Paragraph:
    """A few sentences."""

    text: str


@dataclass(frozen=True)
class Points:
    """Short statements, one below the other."""

    texts: tuple[str, ...]


@dataclass(frozen=True)
class Caution:
    """What can hurt, or what must not be believed, beside what it is about."""

    text: str


@dataclass(frozen=True)
class Equation:
    """A formula on one line, in the symbols of the project, with the words that say it aloud and where it is from."""

    text: str
    spoken: str
    source: str = ""


@dataclass(frozen=True)
class Listing:
    """Lines that stand as they are, such as a command or a script."""

    text: str
    caption: str


@dataclass(frozen=True)
class Table:
    """Rows below headings; the first column names its row where `row_names`.

    `note` says below the table what its numbers do not say themselves.
    """

    name: str
    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    note: str = ""
    row_names: bool = True

    def __post_init__(self):
        for row in self.rows:
            if len(row) != len(self.columns):
                raise ValueError(
                    f"table {self.name}: a row of {len(row)} cells below {len(self.columns)} headings: {row}"
                )


@dataclass(frozen=True)
class Figure:
    """A picture as the text of one SVG, with a caption and the words that tell it to who does not see it."""

    name: str
    caption: str
    svg: str
    words: str


Block = Paragraph | Points | Caution | Equation | Listing | Table | Figure


@dataclass(frozen=True)
class Section:
    """A heading with what stands below it; sections within come last."""

    title: str
    blocks: tuple[Block, ...] = ()
    sections: tuple["Section", ...] = ()


@dataclass(frozen=True)
class Attached:
    """A file that travels in the document."""

    name: str
    content: bytes
    media_type: str
    description: str


@dataclass(frozen=True)
class Document:
    """The whole: title, what stands below it, sections, and files that travel with it."""

    title: str
    subtitle: tuple[str, ...]
    date: str  # ISO 8601, UTC
    sections: tuple[Section, ...]
    attached: tuple[Attached, ...] = field(default=(), repr=False)
    lead: int = 0  # sections that stand before the contents

    def blocks(self) -> Iterator[Block]:
        """Return every block, in reading order."""
        yield from _blocks(self.sections)

    @property
    def tables(self) -> tuple[Table, ...]:
        """Return the tables, in reading order."""
        return tuple(one for one in self.blocks() if isinstance(one, Table))

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Return the figures, in reading order."""
        return tuple(one for one in self.blocks() if isinstance(one, Figure))


def _blocks(sections):
    for one in sections:
        yield from one.blocks
        yield from _blocks(one.sections)
