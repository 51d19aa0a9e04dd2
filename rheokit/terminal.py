"""Text for a terminal, a pipe or a file that may not take it: other alphabets, no reader, no room; and lines of progress."""

import codecs
import contextlib
import os
import sys
import threading
import unicodedata
from typing import Self, TextIO

EQUIVALENTS = {
    "±": "+-", "·": "*", "×": "x", "°": "deg ", "∞": "inf", "√": "sqrt", "≤": "<=", "≥": ">=", "→": "->", "–": "-", "−": "-",
    "—": "-", "µ": "u", "\u0307": "_dot", "\u202f": " ", "\u00a0": " ", "“": '"', "”": '"', "\u2018": "'", "\u2019": "'", "…": "...",
    "≈": "~", "∫": "int ", "\u2032": "'", "ż": "z_dot", "⅓": "(1/3)",
}  # fmt: skip
PLAIN = "rheokit.plain"


def plain(character: str) -> str:
    """Return in ASCII what a character means: "tau", "^2", "+-"; its number where it has no such name."""
    if character in EQUIVALENTS:
        return EQUIVALENTS[character]
    words = unicodedata.name(character, "").split()
    if words[:1] == ["GREEK"] and words[2:3] == ["LETTER"]:
        return words[-1].lower() if words[1] == "SMALL" else words[-1].capitalize()
    if words[:1] in (["SUPERSCRIPT"], ["SUBSCRIPT"]):
        return ("^" if words[0] == "SUPERSCRIPT" else "_") + unicodedata.normalize("NFKD", character)
    return character.encode("ascii", "backslashreplace").decode("ascii")


def _in_plain_letters(error):
    said = "".join(map(plain, error.object[error.start : error.end]))
    return said.encode("ascii", "backslashreplace").decode("ascii"), error.end


codecs.register_error(PLAIN, _in_plain_letters)


class Unwritten(OSError):
    """Text that a terminal, a pipe or a file did not take."""


def write(text: str, stream: TextIO | None) -> None:
    """Write text in the alphabet of a stream, and flush it.

    Raises
    ------
    Unwritten
        If it cannot be written: nobody reads the pipe, the disk is full, the stream is closed. The stream then leads nowhere,
        so that nothing is tried again when the program ends.
    """
    if stream is None:
        raise Unwritten("it is closed")
    encoding = stream.encoding or "utf-8"
    try:
        stream.write(text.encode(encoding, PLAIN).decode(encoding))
        stream.flush()
    except ValueError as closed:
        raise Unwritten("it is closed") from closed
    except OSError as fault:
        _lead_nowhere(stream)
        raise Unwritten(fault.strerror or str(fault)) from fault


def complain(text: str) -> None:
    """Write a line on standard error; where that cannot be written nobody is left to tell."""
    with contextlib.suppress(Unwritten):
        write(f"{text}\n", sys.stderr)


def _lead_nowhere(stream):
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
    except (OSError, ValueError):  # no file stands behind it
        pass


def spell_out() -> None:
    """Let ``print`` write in plain letters what the output of a program has no letters for, as on an old terminal or into a file of its alphabet."""
    with contextlib.suppress(AttributeError):  # an output that takes all there is, such as that of a notebook
        sys.stdout.reconfigure(errors=PLAIN)  # type: ignore[union-attr]


class Progress:
    """Say on standard error which step is at work, once a second at most and each step once: nothing of what is quick.

    Parameters
    ----------
    every : float
        Time between two lines, and before the first. [s]
    """

    def __init__(self, every: float = 1.0) -> None:
        self.every, self.now, self.said = every, "", ""
        self._over = threading.Event()
        self._watch = threading.Thread(target=self._look, daemon=True)

    def __call__(self, words: str) -> None:
        """Note the step that begins."""
        self.now = words

    def _look(self):
        while not self._over.wait(self.every):
            if self.now != self.said:
                self.said = self.now
                complain(f"{self.said.removesuffix(': ')} ...")

    def __enter__(self) -> Self:
        self._watch.start()
        return self

    def __exit__(self, *raised: object) -> None:
        self._over.set()
        self._watch.join()
