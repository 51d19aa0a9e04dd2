"""What was typed for a number and is none: what it seems to be, and how to write it."""

import re

THOUSANDS = re.compile(r"[<>≤≥ +-]*[1-9][0-9]{0,2}([.,][0-9]{3})+")
"""A number whose points or commas can part thousands as well as decimals."""
_COMMA = re.compile(r"(?<![0-9.,])[0-9]+,[0-9]+(?![0-9.,])")
_PLAIN = r"[0-9]+(?:[.,][0-9]+)?"
_DASH = "[-–—−]"
_RANGE = re.compile(
    rf"\(?\s*[+-]?{_PLAIN}\s*(?:{_DASH}|to\b|…|\.\.\.)\s*{_PLAIN}"
    rf"|[+-]?{_PLAIN}\s*[A-Za-zµμ°%/]+(?:\s{_DASH}\s|\s?to\s|\s?…|[-–—](?=[0-9]+[.,][0-9]))\s*{_PLAIN}"
)
_MINUS = re.compile(r"(?:^|[±(\s]|[0-9][eE])[−–—]\s*\.?[0-9]")
_GROUPED = re.compile(
    r"(?<![0-9.,])[0-9]{1,3}([\s,.'\u2019_])[0-9]{3}(?:\1[0-9]{3})*(?:(?!\1)[.,][0-9]+)?(?![0-9.,'\u2019_])"
)
_RAISED = re.compile(r"(?<=[0-9])[·⋅](?=[0-9])")
_BROKEN = re.compile(
    r"[+-]?[0-9]+(?![0-9])(?:\.[0-9]+(?![0-9])|(?!\.[0-9]))"
    r"(?:\s*(?:\.\s*[.0-9]|[,'\u2019_*^·⋅]|(?!1 ?/)[0-9]|\([0-9])|(?<=0)[xXbBoO][0-9])"
)
_TENS = re.compile(r"(?<=[0-9])(?:\s*[×x*·⋅]\s*|\s+)10(?:\^([-−]?[0-9]{1,2})|([⁻⁺]?[⁰¹²³⁴⁵⁶⁷⁸⁹]{1,2}))(?=\s|$)")
_LOWERED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺−", "0123456789-+-")


def with_tens(text):
    """Return a text with powers of ten as a number holds them: ``3·10⁻¹⁰ m²/s`` as ``3e-10 m²/s``."""
    return _TENS.sub(lambda found: f"e{(found[1] or found[2]).translate(_LOWERED)}", text)


def is_range(text):
    """Say whether a text gives a first and a last number, such as ``1.75-1.80 mm``."""
    return bool(_RANGE.match(text.strip()))


def has_typographic_minus(text):
    """Say whether a dash or a typographic minus stands for the hyphen of a negative number."""
    return not is_range(text) and bool(_MINUS.search(text.strip()))


def with_points(text):
    """Return a text with decimal points for its decimal commas; as it is where a comma may part thousands, or a point stands too."""
    numbers = _COMMA.findall(text)
    if re.search(r"[0-9]\.|\.[0-9]", text) or any(THOUSANDS.fullmatch(number) for number in numbers):
        return text
    return _COMMA.sub(lambda found: found[0].replace(",", "."), text)


def ungrouped(text):
    """Return a text with its thousands and raised points as they are read, or nothing where there are none.

    One comma or one point alone may be that of decimals, so it is left.
    """
    plain = _RAISED.sub(".", _GROUPED.sub(_together, text.strip()))
    return plain if plain != text.strip() else ""


def is_broken(text):
    """Say whether a text begins with a number that goes on as no unit does, such as ``1..75 mm`` or ``0x1 mm``."""
    return bool(_BROKEN.match(text.strip()))


def _together(found):
    mark, whole = found[1], found[0]
    if mark in ".," and whole.count(mark) == 1 and not re.search(r"[.,]", whole.replace(mark, "")):
        return whole
    return whole.replace(mark, "").replace(",", ".")
