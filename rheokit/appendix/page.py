"""The appendix as one page of HTML: a file by itself, which asks for nothing and runs nothing."""

import base64
from collections import Counter
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from ..nomenclature import capital
from ..release import version_line
from .columns import LONGEST
from .document import Document, Shown, Table
from .letters import pieces, visible

HERE = Path(__file__).parent


def html(document: Document) -> str:
    """Return a document as the text of one page, which holds its pictures and its style.

    Its policy lets a browser fetch nothing and run nothing. What is text in the document is text on the page.
    """
    counts: Counter[str] = Counter()

    def next_id(kind: str) -> str:
        counts[kind] += 1
        return f"{kind}-{counts[kind]}"

    style = (HERE / "page.css").read_text("utf-8")
    digest = base64.b64encode(sha256(style.encode()).digest()).decode()
    return _template().render(
        document=document, style=style, style_hash=digest, version=version_line(), next_id=next_id
    )


@cache
def _template() -> Any:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(HERE, encoding="utf-8"),
        autoescape=True,
        undefined=StrictUndefined,
        keep_trailing_newline=True,
    )
    environment.filters |= {
        "visible": lambda text: visible(str(text)),
        "cut": cut,
        "kind": lambda block: type(block).__name__,
        "all_numbers": all_numbers,
        "as_data": as_data,
        "capital": lambda id: capital(id.replace("-", " ")),
    }
    return environment.get_template("page.html")


def cut(text: str) -> Any:
    """Return a text of a cell, in which a line may end within long words."""
    from markupsafe import Markup

    return Markup("<wbr>").join(pieces(visible(text), LONGEST))


def all_numbers(table: Table, place: int) -> bool:
    """Say whether a column holds numbers, and nothing else but what stands for none."""
    cells = [row[place] for row in table.rows]
    return any(isinstance(one, Shown) for one in cells) and all(
        isinstance(one, Shown) or one in ("", "-") for one in cells
    )


def as_data(svg: str) -> str:
    """Return a picture as an address that holds it."""
    return "data:image/svg+xml;base64," + base64.b64encode(visible(svg).encode()).decode()
