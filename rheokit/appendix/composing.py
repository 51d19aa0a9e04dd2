"""The appendix of a workbook, composed of its sections: what it says, whatever it will be written as."""

from __future__ import annotations

import warnings
from dataclasses import replace

from ..errors import DataError, RheokitWarning
from ..nomenclature.written import decimal_mark
from ..progress import part_of
from .cells import stopped
from .document import Caution, Document, Figure, Paragraph, Section, Table
from .said_once import said_once
from .sections import modules
from .sections.validity import TITLE as VALIDITY
from .study import Study
from .what_came_out import misses

COMMA = (
    "Numbers have a decimal comma. What is quoted keeps its point: numbers as typed, files and what the reader of the folder says of them, versions, "
    "sources with their worked examples, and the script."
)
PREDICTED = "Predictions: "
FOR_THE_REASON, ALSO = "Not known, for the reason given under", "Not predicted either, for the same reason:"
INVENTED = "INVENTED readings, for demonstration: nobody measured this."


def appendix_of(study: Study, date: str) -> Document:
    """Return the appendix of a workbook that is studied, in which a section that cannot be made says why in its place.

    Parameters
    ----------
    study : Study
        Of a workbook; the name of its folder stands in the text; its place does not.
    date : str
        Of the making, ISO 8601 in UTC; nothing else differs between two runs on the same folder.
    """
    made: list[Section] = []
    told: dict[str, str] = {}
    study.date = date
    with warnings.catch_warnings(action="ignore", category=RheokitWarning):  # each has its row among the checks
        all_of_them = modules()
        for place, module in enumerate(all_of_them, 1):
            with part_of(f"appendix, {place} of {len(all_of_them)}, {module.TITLE[0].lower()}{module.TITLE[1:]}"):
                if (one := _section(module, study, told)) is not None:
                    made.append(one)
        subtitle = _subtitle(study)
    return Document(f"{study.paste}: appendix of its measurements", subtitle, date, said_once(_merged(made)), lead=1)


def _section(module, study, told):
    """Return a section, or in its place why it cannot be made; the same reason is told once."""
    try:
        return _warned(module.section(study), study)
    except DataError as error:
        why = study.plain(str(error)).strip().removesuffix(".")
        if why in told:
            return Section(module.TITLE, (Caution(f"{FOR_THE_REASON} “{told[why]}”."),))
        told[why] = module.TITLE
        return Section(module.TITLE, (Caution(f"Not known: {stopped(why)}"),))


def _warned(section, study):
    """Return a section of predictions that begins with what says not to use the fit, and with what came out otherwise."""
    if section is None or not (section.title.startswith(PREDICTED) or section.title == VALIDITY) or not _tells(section):
        return section
    stamp = study.fit.stamp if study.knows("fit") else ""
    told = any(isinstance(one, Caution) and stamp in one.text for one in section.blocks)
    warned = (() if told or not stamp else (Caution(stamp),)) + misses(study, section.title)
    return replace(section, blocks=(*warned, *section.blocks))


def _tells(section):
    """Return whether a section has any number, in a table or a figure."""
    return any(isinstance(one, Table | Figure) for one in section.blocks) or any(map(_tells, section.sections))


def _merged(made):
    """Return sections in which predictions that nobody planned, or that lack what one above lacks, are named there in one line."""
    kept: list[Section] = []
    for one in made:
        text = one.blocks[0].text if len(one.blocks) == 1 and isinstance(one.blocks[0], Caution) else ""
        above = next((k for k, other in enumerate(kept) if text == f"{FOR_THE_REASON} “{other.title}”."), None)
        if above is None or not one.title.startswith(PREDICTED):
            kept.append(one)
            continue
        *others, last = kept[above].blocks
        if isinstance(last, Paragraph) and last.text.startswith(ALSO):
            last = Paragraph(f"{last.text.removesuffix('.')}; {one.title.removeprefix(PREDICTED)}.")
        else:
            others, last = [*others, last], Paragraph(f"{ALSO} {one.title.removeprefix(PREDICTED)}.")
        kept[above] = replace(kept[above], blocks=(*others, last))
    return tuple(kept)


def _subtitle(study):
    """Return the lines below the title: of which folder, whether anything is invented, and whether the numbers may be used."""
    from .. import __version__

    lines = [f"Workbook {study.book.name}, made with rheokit {__version__}."]
    if decimal_mark() == ",":
        lines.append(COMMA)
    if study.invented:
        lines.append(INVENTED)
    if study.knows("fit"):
        lines.append(study.fit.stamp or study.fit.verdict.replace(" checks passed", " checks of the fit passed", 1))
    else:
        lines.append(f"No law is fitted, and what rests on one is not known. {stopped(study.lacking('fit'))}")
    return tuple(lines)
