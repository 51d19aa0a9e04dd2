"""bench.toml to its tables, and a value as it stands there: what would cost the parser minutes or gigabytes is told by its line before it starts."""

import json
import re
import tomllib
from decimal import Decimal

from ..errors import DataError
from .faults import shown
from .stated import LONGEST_NUMBER
from .tables import text_of

LARGEST_TOML = 500_000  # most bytes of bench.toml
MOST_PARTS = 8  # most parts of a dotted key; apparatus.NAME has two
MOST_KEYS = 20_000  # most keys and values; 200 tests of thirty keys have a third of them
NO_BREAKS = "\x85\u2028\u2029"  # which end no line in TOML, as they do elsewhere: letters like others (TOML 1.0.0, "Comment" and "String")
DEEPEST = 8  # most brackets inside one another; the segments of a nozzle have two

_ASIDE = re.compile(
    r'"""(?:[^\\]|\\.)*?(?:"""|\Z)|\'\'\'.*?(?:\'\'\'|\Z)|"(?:[^"\\\n]|\\[^\n])*"?|\'[^\'\n]*\'?|#[^\n]*', re.DOTALL
)  # texts and comments, also those that are not closed: the parser tells
_DOTTED = re.compile(rf'(?<![\w"-])(?:[\w"-]+[ \t]*\.[ \t]*){{{MOST_PARTS}}}')
_NUMBER = re.compile(r"(?<![\w.+-])[+-]?[0-9][\w.+-]*")


def toml_text(raw):
    """Return the text of a TOML file; `DataError` where it is none."""
    return text_of(raw, "open it in a text editor and save it with the encoding UTF-8", NO_BREAKS)


def toml_document(raw):
    """Return bench.toml as dicts and lists, numbers with a point as `Decimal`.

    `DataError` if it is no TOML, or larger, longer or deeper than any bench needs; with the line.
    """
    text = toml_text(raw).replace("\r\n", "\n")
    _check_size(_ASIDE.sub(lambda aside: '""' + "\n" * aside[0].count("\n"), text))
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        told = shown(str(error), 200)[1:-1]
        remedy = "texts and numbers with units stand in quotes, tables in [ ]"
        raise DataError(f"it is not valid TOML: {told}; {remedy}") from error


def as_toml(value):
    """Return a text, a list of numbers or a table of these as bench.toml holds it, whatever characters are in it."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {as_toml(one)}" for key, one in value.items()) + "}"
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _check_size(bare):
    """Refuse what is too long, too many or too deep, in a text without its strings and comments."""
    if wide := _DOTTED.search(bare):
        told = f"{shown(wide[0], 20)} has more than {MOST_PARTS} parts between points "
        raise DataError(f"it is not valid TOML: the key {told}({_at(bare, wide)})")
    for number in _NUMBER.finditer(bare):
        if len(number[0]) > LONGEST_NUMBER or re.search(r"[eE][+-]?[0-9_]{4}", number[0]):
            told = f"the number {shown(number[0], 20)} is too long, too large or too small; round or correct it"
            raise DataError(f"{told} ({_at(bare, number)})")
    depth = 0
    for bracket in re.finditer(r"[\[\]{}]", bare):
        depth += 1 if bracket[0] in "[{" else -1
        if depth > DEEPEST:
            told = f"brackets are nested too deeply, more than {DEEPEST}"
            raise DataError(f"it is not valid TOML: {told} ({_at(bare, bracket)})")
    if bare.count("=") + bare.count(",") + bare.count("[") > MOST_KEYS:
        raise DataError(f"it holds more than {MOST_KEYS} keys and values; split the bench into several folders")


def _at(text, found):
    return f"line {text.count(chr(10), 0, found.start()) + 1}"
