"""A plan that no folder holds: what a page is typed into that was given objects in place of a workbook."""

from .plan import Plan


class Draft(Plan):
    """What is planned with a paste, as the text of a `plan.toml`; nothing of it outlives the page."""

    def __init__(self, text: str = "") -> None:
        self._begun = text
        super().__init__("of this page alone")

    def reread(self) -> None:
        """Take what it began with."""
        self._had = None
        self._take(self._begun.encode())

    def save(self, over: bool = False) -> None:
        """Keep nothing: there is no folder."""
