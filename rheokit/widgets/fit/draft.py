"""What stands in the form of a test and is in no test yet: remembered by the folder of its paste, so that a restart takes none of it away."""

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
        self._name, self._quiet = folder and f"{TYPED}: {folder}", False

    @property
    def waits(self):
        """Whether readings were typed that are in no test."""
        return bool(self._held.get("tables") or self._held.get("paste"))

    @property
    def _held(self):
        held = shelf.remembered(self._name) if self._name else None
        return held if isinstance(held, dict) else {}

    def keep(self, form):
        """Remember what stands in a form, but for what was taken of it."""
        if self._name is None or self._quiet:
            return
        texts, choices = form.fields.texts.items(), form.fields.choices.items()
        tables = {kind: table.typed for kind, table in form.tables.items()}
        now = {
            "kind": form.kind.value,
            "texts": [[*place, field.value] for place, field in texts if field.value and not form.is_taken(field)],
            "choices": [[*place, choice.value] for place, choice in choices],
            "tables": {
                kind: typed for kind, typed in tables.items() if typed["cells"] and typed != form.taken.get(kind)
            },
            "paste": form.paste.value,
        }
        if form.corrects and now["tables"]:
            now["corrects"] = form.corrects
        shelf.remember(self._name, now if now["texts"] or now["tables"] or now["paste"] else None)

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
                    if choice := form.fields.choices.get(tuple(place)):
                        with suppress(traitlets.TraitError):  # no choice of this one
                            choice.value = value
                for *place, text in held["texts"]:
                    if field := form.fields.texts.get(tuple(place)):
                        field.value = text
            form.paste.value = str(held["paste"])
            called, place = held["corrects"]
            form.corrects = [str(called), int(place)]
        self._quiet = False
