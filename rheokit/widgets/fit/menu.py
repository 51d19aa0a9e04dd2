"""The list of benches: it names what is shown, and keeps what was typed so that one can go back to it."""

from pathlib import Path

import ipywidgets as W

from ..page.elements import FIELD, WIDE
from ..page.hearing import hear

NOTHING = ("(no bench is open)", "")


def benches_beside(folder):
    """Return the bench folders beside a folder, itself included: (name, path) pairs."""
    place = Path(folder).parent
    found = sorted(path.parent for path in place.glob("*/bench.toml")) if place.is_dir() else []
    return [(path.name, str(path)) for path in found]


class BenchMenu(W.Dropdown):
    """The folders beside one, those whose path was typed, and the benches with readings that were typed into the page.

    `chosen` is called with what was chosen: a path, or a name in `typed`. `alone` offers no folder but the one.

    Attributes
    ----------
    typed : dict
        `Bench` by name, of readings typed into the page.
    shown : str
        What it names: a path, a name in `typed`, or nothing.
    """

    def __init__(self, folder, chosen, alone=False):
        found = [(Path(folder).name, str(folder))] if alone else benches_beside(folder)
        self.typed, self._found, self.shown, self._naming = {}, found, "", False
        super().__init__(options=[NOTHING, *self._found], description="bench folder", style=WIDE)
        self.layout = W.Layout(**FIELD)
        hear(self, lambda: None if self._naming or self.value == self.shown else chosen(self.value))

    def name(self, shown):
        """Name what is shown from now on: a path, or a name in `typed`."""
        if shown not in self.typed:
            known = next((path for _, path in self._found if Path(path).resolve() == Path(shown).resolve()), None)
            if known is None:
                called = Path(shown).resolve().name
                taken = any(called == other for other, _ in self._found)
                self._found.append((str(shown) if taken else called, str(shown)))
            shown = known or str(shown)
        self.shown = shown
        self.keep()

    def keep(self):
        """Name again what is shown, whatever was chosen meanwhile and could not be opened."""
        self._naming = True
        self.options = [*self._found, *((words, words) for words in self.typed), *([] if self.shown else [NOTHING])]
        self.value = self.shown
        self._naming = False

    def hold(self, bench, new):
        """Keep a bench with typed readings, in place of that which they were added to, and name it."""
        before = self.shown
        if new or not before:
            count = sum(words.startswith("readings typed here") for words in self.typed)
            words = f"readings typed here{f' ({count + 1})' if count else ''}"
        else:
            words = before if before in self.typed else f"{self.label}, with readings typed here"
        self.typed[words] = bench
        self.name(words)
