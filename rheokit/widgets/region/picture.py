"""The picture of a region, redrawn many times while a slider moves, and clicked to pick a point."""

from ... import charts
from ..page.elements import details, paragraph
from ..page.freshness import Answer
from ..page.hearing import hear
from ..page.pictures import Picture

QUICK_CELLS = 12  # fields that answer to the pointer while a slider moves


class RegionPicture(Picture):
    """A region map that keeps its frame while only its contents change: checking a whole new chart takes too long.

    `picked` is called with the x and y of a click, in the units of the axes; `subtitle` stands below its title.
    """

    def __init__(self, picked):
        super().__init__("Printable region", 500)
        self._picked, self.subtitle = picked, []
        self._frame = self.contents = None
        self.words = Answer()
        self.children = [self.reason, self._place, self.keep_line]  # the words stand elsewhere, after the answer

    def show(self, found, point, page, width, quick=False):
        """Show a map with its point; `quick` with fewer fields that answer to the pointer."""
        look = {"subtitle": self.subtitle, "page": page, "width": width}
        contents = charts.region_contents(found, point, **look, **({"cells": QUICK_CELLS} if quick else {}))
        ends = {name: (float(values[0]), float(values[-1])) for name, values in found.axes.items()}
        drawn = found.probability is None, bool(found.unjudged), [limit.name for limit in found.limits]
        frame = list(ends.items()), page, width, *drawn
        if frame != self._frame or not self._place.children:
            self.put(charts.printable_region(found, point, **look, cells=2))
            hear(self._place.children[0].selections, self._click, charts.PICK)
            self._frame = frame
        shown = self._place.children[0]
        title = {**shown.spec["title"], "subtitle": contents.subtitle}
        shown.spec = {**shown.spec, "datasets": contents.datasets, "title": title, "description": contents.words}
        self.contents = contents
        self.words.value = details("In words", paragraph(contents.words))
        self.renew()

    def _click(self):
        picked = getattr(self._place.children[0].selections, charts.PICK).value
        if picked:
            self._picked(picked[0]["x"], picked[0]["y"])
