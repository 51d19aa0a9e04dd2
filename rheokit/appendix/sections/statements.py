"""What the authors have to state themselves: competing interests, reviews, licence and place of the data."""

from ...workbook.plan import NAME
from ..authors import STATEMENTS, TABLE, points
from ..document import Paragraph, Section
from ..study import Study

TITLE = "Statements of the authors"


def section(study: Study) -> Section:
    """Return what the plan says of each, and what is to be filled in."""
    said = f"These are no numbers, and no program can know them. They are taken from [{TABLE}] of {NAME}, as they stand there."
    return Section(TITLE, (Paragraph(said), points(study, STATEMENTS)))
