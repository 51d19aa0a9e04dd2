"""What a page of a fibre says when it is asked: limits, what if, and where it can be drawn."""

from ... import charts
from ...limits import Case, sure
from ...planning.sweeps import spaced
from ...regions import AXES, region_map
from ..page import judged
from ..page.answered_folds import AnsweredFolds
from ..page.freshness import Answer
from ..page.page_words import silent
from ..page.pictures import Picture
from . import words

MAP_DRAWS = 200
SEED = 0


class FibreFolds(AnsweredFolds):
    """The folds of a page of a fibre.

    Attributes
    ----------
    limits, unjudged, what_if : Answer
    maps : list of Picture
    """

    def __init__(self, page):
        super().__init__(page, words.WORKING)
        self.limits, self.unjudged, self.what_if = (Answer() for _ in range(3))
        self.maps = [Picture(f"{words.MAPS}, {place} map", 560) for place in ("first", "second")]
        self.of_limits = self.fold(words.LIMITS_TITLE, lambda: [self._say_limits], self.limits, self.unjudged)
        self.of_what_if = self.fold(words.WHAT_IF_TITLE, lambda: [self._say_what_if], self.what_if)
        maps = [lambda place=place: self._show_map(place) for place in range(len(self.maps))]
        self.of_maps = self.fold(words.MAPS, lambda: maps, *self.maps)

    def _say_limits(self):
        with silent():  # kept in the notes of the map
            self.limits.value = judged.limit_table(self.page.alone)
        self.unjudged.value = judged.not_judged_words(self.page.alone)

    def _say_what_if(self):
        material, extruder, _ = self.page.described()
        winding = self.page.winding
        with silent():
            cases = [(said, self._sure(Case.of(material, extruder, job))) for said, job in words.variations(winding)]
            self.what_if.value = words.what_if_words(cases, words.paused_words(winding))

    def _sure(self, case):
        return sure(case, self.page.described()[0], self.page.fine[1], SEED)

    def _show_map(self, place):
        page = self.page
        bare = page.winding.job.nozzle_temperature is None
        warm = "air_temperature" if bare else "nozzle_temperature"
        names = ((warm, "winding_speed"), ("gap", "throughput"))[place]
        case, (count, draws) = page.winding.case, page.fine
        axes = {name: spaced(AXES[name], *AXES[name].span(case), count) for name in names}
        point = {name: float(AXES[name].get(case)) for name in names}
        with silent():  # each is kept in the notes of the map
            found = region_map(*page.described(), axes=axes, draws=min(MAP_DRAWS, draws), seed=SEED)
        self.maps[place].put(charts.printable_region(found, point, subtitle=page.subtitle, **page.paper))
