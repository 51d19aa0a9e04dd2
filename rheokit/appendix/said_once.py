"""Cautions of machines that stand in full where they are first needed: further on, what is meant and where it stands in full."""

import re
from dataclasses import replace

from ..machine.cautions import CAUTIONS
from ..nomenclature import and_
from .document import Block, Caution, Section

NAMES = {
    "barrel": "pressure in a barrel",
    "stored gas": "compressed gas",
    "pinch": "the pusher of a motor",
    "stall": "a stalled screw",
    "tip": "tips",
    "weights": "weights on a plunger",
    "hot gel": "hot gels",
    "bath": "baths",
    "hand": "pushing by hand",
}
"""What a caution is about, by hazard, in words that follow "cautions of"."""


SENTENCE = re.compile(r"(?<=\.) (?=[A-Z])")
RULES = "Your laboratory's own rules decide."


def said_once(sections: tuple[Section, ...]) -> tuple[Section, ...]:
    """Return sections in which the caution of each hazard is said in full once, in the first that has it."""
    said: dict[str, str] = {}
    return tuple(_section(one, said) for one in sections)


def _section(section: Section, said: dict[str, str]) -> Section:
    """Return a section without what was said before it, and with one caution that says where that stands."""
    here: dict[str, str] = {}
    blocks: list[Block] = []
    left: dict[str, list[str]] = {}
    for block in section.blocks:
        if isinstance(block, Caution):
            text = _without(block.text, section.title, said, here, left)
            if not text:
                continue
            block = Caution(each_once(text))
        blocks.append(block)
    if left:
        told = "; ".join(f"of {and_(names)} under “{title}”" for title, names in left.items())
        blocks.append(Caution(f"The cautions {told} hold here too."))
    within = tuple(_section(one, said) for one in section.sections)
    return replace(section, blocks=tuple(blocks), sections=within)


def each_once(text: str) -> str:
    """Return a text of which no sentence stands twice; that on whose rules decide stands where it is last."""
    said: dict[str, None] = {}
    for sentence in SENTENCE.split(text):
        if sentence == RULES:
            said.pop(sentence, None)
        said.setdefault(sentence)
    return " ".join(said)


def _without(text, title, said, here, left):
    """Return a text without the cautions that were said before, which are noted; what is said now is noted too."""
    for hazard, words in CAUTIONS.items():
        if words not in text:
            continue
        if hazard in here:
            text = text.replace(words, "")
        elif hazard in said:
            names = left.setdefault(said[hazard], [])
            if NAMES[hazard] not in names:
                names.append(NAMES[hazard])
            text = text.replace(words, "")
        else:
            said[hazard] = here[hazard] = title
    head, rules, tail = text.rpartition(RULES)
    if rules:  # once in a box
        text = f"{head.replace(f'{RULES} ', '')}{rules}{tail}"
    return " ".join(text.split(" ")).replace("  ", " ").strip()
