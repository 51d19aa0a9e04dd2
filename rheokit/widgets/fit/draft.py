"""What stands in the form of a test and is no test yet: remembered by the folder of its paste, so that a restart takes none of it away."""

from contextlib import suppress

import traitlets

from ...bench import KINDS
from ...workbook import shelf

TYPED = "typed and not added"


class Draft:
    """What was typed into an `EntryForm` of a paste and not added to its readings.

    Parameters
    ----------
    folder : Path or None
        Of the paste; None where nothing is remembered.
    """

    def __init__(self, folder):
        self._folder, self._quiet = folder and str(folder), False

    @property
    def waits(self):
        """Whether readings were typed that are in no test."""
        return bool(self._held.get("tables"))

    @property
    def _held(self):
        held = shelf.remembered(TYPED, {}).get(self._folder) if self._folder else None
        return held if isinstance(held, dict) else {}

    def keep(self, form):
        """Remember what stands in a form, but for what was taken of it."""
        if self._folder is None or self._quiet:
            return
        tables = {kind: table.typed for kind, table in form.tables.items()}
        now = {
            "kind": form.kind.value,
            "texts": [
                [*place, field.value] for place, field in form.texts.items() if field.value and not form.is_taken(field)
            ],
            "choices": [[*place, choice.value] for place, choice in form.choices.items()],
            "tables": {
                kind: typed for kind, typed in tables.items() if typed["cells"] and typed != form.taken.get(kind)
            },
        }
        others = {folder: one for folder, one in shelf.remembered(TYPED, {}).items() if folder != self._folder}
        shelf.remember(TYPED, others | ({self._folder: now} if now["texts"] or now["tables"] else {}))

    def put_back(self, form):
        """Let stand in a form what is remembered; what it has no place for is passed over."""
        held = self._held
        self._quiet = True
        with suppress(KeyError, TypeError, ValueError, AttributeError):  # another rheokit, or another hand, wrote it
            for kind in [*held["tables"], held["kind"]]:
                if kind not in KINDS:
                    continue
                form.kind.value = kind
                if typed := held["tables"].get(kind):
                    form.table.put_back(typed)
                for *place, value in held["choices"]:
                    if choice := form.choices.get(tuple(place)):
                        with suppress(traitlets.TraitError):  # no choice of this one
                            choice.value = value
                for *place, text in held["texts"]:
                    if field := form.texts.get(tuple(place)):
                        field.value = text
        self._quiet = False
