"""What code says of its arguments, in the words of a page: without names and hints that only a caller of it could use."""

import re
import warnings
from contextlib import contextmanager

from ...errors import DataError, RheokitWarning
from ...nomenclature import QUANTITIES, capital, sentence, written
from ...workbook import ASKED
from .strip import few

_SPEAKER = re.compile(r"^(?:[A-Z][a-zA-Z]*|[a-z]+(?:_[a-z]+)+|evaporation|fit|rise|window)(?:\.[a-z_]+)*: ", re.M)
_HINT = re.compile(
    r" \((?:did you mean|is it u already)(?:[^()]|\([^()]*\))*\)| Lengths are in metres; did you mean [^?]*\?"
    r"|, or make one to fill in with new_bench"
)
_ALSO = ("stress_now", "stress_wanted", "dry_mass", "water_change", "line_width_to_bore", "layer_height_to_bore")
_NAME = re.compile(
    rf"(?P<place>\[(?:{'|'.join(ASKED)})[a-z_.]*\]+(?:, row [0-9]+)?,? [a-z_]+\b)|\b(?:{'|'.join(one for one in (*QUANTITIES, *_ALSO) if '_' in one)})\b"
)
"""A name; the key of a table of the plan is none, but what is to be typed into a file."""
_OF_BENCH = re.compile(r"\bbench\.toml\b|\[+(?:test|specimen|apparatus)\b")
"""A line that speaks of the file of the readings: its keys are looked for there."""
_CALLED = {"break_loose_friction": "break-loose friction"}
"""What fields of a page call otherwise."""
TAPER_LENGTH, TAPER = ("nozzle", "taper_length"), "length or half angle of the taper"
COLD = 150.0  # K, below which no paste is: such a number is a difference of two temperatures
_LARGE = re.compile(r"(?<!\w)'[^'\n]*'(?!\w)|(?<![\w.])([-+]?[0-9.]+(?:e[-+]?[0-9]+)?) (m|m/s|m³/s|K)(?![\w/³²·(])")


_VALUE = re.compile(r"= [-+0-9.e]+")


def page_words(said):
    """Return a message of the library as a page says it."""
    words = _HINT.sub("", _SPEAKER.sub("", said))
    words = "\n".join(line if _OF_BENCH.search(line) else _NAME.sub(_in_words, line) for line in words.split("\n"))
    words = _LARGE.sub(_in_customary_unit, words)
    return capital(words) if _SPEAKER.match(said) and words else words


def once(lines):
    """Return lines without those that say what one before said, with another value."""
    said = {}
    for line in lines:
        said.setdefault(_VALUE.sub("=", line), line)
    return list(said.values())


def _in_words(found):
    """Return a name as a page calls it; a place in a plan as it stands there."""
    return found["place"] or _CALLED.get(found[0], found[0].replace("_", " "))


def _in_customary_unit(found):
    """Return a length, speed, flow or temperature as a page writes it; what is quoted stays as it was typed, a few kelvins as a difference."""
    if not found[1]:
        return found[0]
    value, unit = float(found[1]), found[2]
    return found[0] if unit == "K" and value < COLD else written(value, unit, 4)


def not_known(entries, in_strip=False):
    """Return in short which entries of a plan are not known, and needed, such as those of `NotKnownYet`; in a strip only the first."""
    called = _called(entries)
    return f"not known: needs {few(called) if in_strip else ', '.join(called)}"


def not_known_in_strip(entries):
    """Return `not_known` as a sentence that a strip has room for."""
    return sentence(not_known(entries, in_strip=True))


def _called(entries):
    return [label.partition(" [")[0] for label in labels_of(entries)]


def labels_of(entries):
    """Return the words of entries of a plan as on the pages; a taper may be given by either of two."""
    known = ((place, ASKED[place[0]][place[1]].label) for place in entries if place[1] in ASKED.get(place[0], {}))
    return [TAPER if place == TAPER_LENGTH else label for place, label in known]


def in_words(error):
    """Return what a student is told of an error."""
    if isinstance(error, DataError):
        return page_words(str(error))
    if isinstance(error, OSError):
        return f"{error.strerror or type(error).__name__}: {error.filename or ''}. Check the path and its permissions."
    return (
        f"The computation failed ({type(error).__name__}); nobody can say of these numbers why. Change what was changed last. "
        "What is shown is from before."
    )


@contextmanager
def silent():
    """Let nothing inside warn: what is doubtful of it is said elsewhere."""
    with warnings.catch_warnings(action="ignore", category=RheokitWarning):
        yield


@contextmanager
def doubts():
    """Collect what is doubtful of what is computed inside: a list of sentences, complete at the end."""
    said = []
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always", RheokitWarning)
        yield said
    said += dict.fromkeys(page_words(str(w.message)) for w in caught if issubclass(w.category, RheokitWarning))
