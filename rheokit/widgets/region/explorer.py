"""The printable region: choose two axes, move everything else, and ask any point what stops it."""

import warnings
from dataclasses import replace
from functools import cache

import ipywidgets as W
import numpy as np

from ... import charts
from ...errors import DataError, RheokitWarning
from ...limits import Case
from ...machine.drives import ScrewDrive
from ...origins import UNSAID
from ...part.printing import LONG, RING, STRAIGHT
from ...planning import LIKELY, chance, what_if, widest_margin, window
from ...regions import AXES, bands, joined, movable, region_map
from ...units import kPa
from ..page.frame import Page
from ..page.freshness import Answer, Unheard, no_newer
from ..page.hearing import hear
from ..page.machine_rows import machine_rows
from ..page.number_field import NumberField, SlidingNumber
from ..page.page_words import page_words
from ..page.parts import (
    WIDE,
    Later,
    Message,
    PageProbe,
    column,
    paragraph,
    section,
    side_by_side,
)
from ..page.rests_on import paste_rows, rests_on, unknown_words
from .picture import RegionPicture
from .words import CALIBRATE, answer, limit_table, not_judged_words, what_if_words

SLIDERS = (
    "bore",
    "taper",
    "print_speed",
    "layer_height",
    "wall_width",
    "part_height",
    "stiffness",
    "water_content",
    "air_content",
)
BEGIN = ("bore", "print_speed", "layer_height")  # to map where what was asked for cannot be moved
FOLLOWS = {"layer_height": "layer height follows the bore", "wall_width": "walls are one line wide"}
STIFFNESS = "yield stress as tested, K and E along [Pa]"
FORCE = "greatest force of the drive [N]"
RATING = "printed rating of the barrel [kPa], 0: none"
LOG_STEP = 0.01  # of a decade
PROBABLE, BEST = "probability (joint draws)", "room with best values"
QUICK = (32, 100)  # points along an axis and draws, while a slider moves
FINE = (64, 1000)
BAND = 4  # rows of the fine map computed at once
REST = 0.3  # s without a move before the fine map is begun
BETTER = 0.1  # standard deviation of ln of what is measured well


class RegionExplorer(Page):
    """Map two things, move the others, pick a point and read what stops it and what would help.

    Parameters
    ----------
    material : Material
    extruder : Extruder
    job : PrintJob
    across, up : str
        Names of ``AXES`` to begin with; None: the water content. Where it cannot be moved: the bore, or the print speed.
    subtitle : sequence of str
        Said below the title of the picture: which paste, and whether it is invented.
    fine, quick : (int, int)
        Points along an axis and draws of the map, and of the one drawn while a slider moves.
    machine : str
        Where the numbers of extruder and job come from (see `rheokit.origins`).

    Attributes
    ----------
    found : RegionMap or None
        The map that is shown.
    alone : RegionMap or None
        The point that is explained.
    """

    def __init__(
        self, material, extruder, job, across="bore", up=None, subtitle=(), fine=FINE, quick=QUICK, machine=UNSAID
    ):
        draws = material.law_draws
        self.material = material if draws is None else replace(material, law_draws=cache(draws))
        self.extruder, self.job = extruder, job
        self._fine, self._quick, self._machine = fine, quick, machine
        self.found = self.alone = None
        self._own = Case.of(material, extruder, job)
        self.message, self.status = Message(), Message()
        self.probe = PageProbe(layout=W.Layout(width="100%", height="0"))
        self._invented = charts.invented_lines(material, machine)
        self.picture = RegionPicture(self._pick, [*subtitle, *self._invented])
        self.answered, self.limits, self.unjudged, self.inverse, self.better, self.rests = (Answer() for _ in range(6))
        self._later = Later(self._complain, self)
        self._controls(across, up)
        super().__init__(self._sections(), max_width="1240px")
        hear(self.probe, self._new_page, "page", "width")
        self.refresh()

    def __repr__(self):
        return f"RegionExplorer over {self.across.value} and {self.up.value}"

    # --- what is on the page ------------------------------------------------------------------------------------

    def _controls(self, across, up):
        known = self._movable = movable(self._own)
        across = across if across in known else next(key for key in BEGIN if key != up)
        up = up or "water_content"
        up = up if up in known else next(key for key in BEGIN if key != across)
        options = [(f"{axis.label} [{axis.unit}]", key) for key, axis in known.items()]
        self.across, self.up = (W.Dropdown(options=options, value=value, style=WIDE) for value in (across, up))
        self.across.description, self.up.description = "across", "up"
        self.kind = W.Dropdown(options=[PROBABLE, BEST], description="show", style=WIDE)
        shapes = [STRAIGHT, LONG, *([RING] if self.job.ring_radius else [])]
        self.shape = W.Dropdown(options=shapes, value=self.job.shape, description="shape of the wall", style=WIDE)
        for control in (self.across, self.up, self.kind, self.shape):
            control.layout = W.Layout(width="100%", max_width="460px")
        self.sliders = {key: self._slider(key, known[key]) for key in SLIDERS if key in known}
        self.follows = {}
        for key, text in FOLLOWS.items():
            free = self.job.layer_height is None if key == "layer_height" else self.job.wall_width is None
            if key in self.sliders and free:
                self.follows[key] = W.Checkbox(
                    value=True, description=text, indent=False, layout=W.Layout(width="auto")
                )
        drive = self.extruder.drive
        rating = (self.extruder.pressure_rating or 0.0) / kPa
        self.rating = NumberField(RATING, float(rating), 1.0, 1e5, self.refresh, or_0=True, above=True)
        self.force = None
        if isinstance(drive, ScrewDrive):
            self.force = NumberField(FORCE, float(drive.force), 1.0, 1e4, self.refresh, above=True)
        self.point = {side: NumberField(side, 1.0, 0.0, 1.0) for side in ("across", "up")}
        self._placed, self._points = {}, {}  # what was put into them; what was typed or picked, by axis
        for control in (self.across, self.up):
            hear(control, self._new_axes)
        for control in (self.kind, self.shape, *self.follows.values()):
            hear(control, self.refresh)
        for box in self.follows.values():
            hear(box, self._show_sliders)
        self._place_point()
        for field in self.point.values():
            field.heard(self._new_point)

    def _slider(self, key, axis):
        words = STIFFNESS if key == "stiffness" else f"{axis.label} [{axis.unit}]"
        low, high = (float(end / axis.scale) for end in axis.span(self._own))
        step = LOG_STEP if axis.logarithmic else 10.0 ** np.floor(np.log10((high - low) / 50))
        log = axis.logarithmic
        return SlidingNumber(words, self._own_value(key), low, high, step, self.refresh, logarithmic=log)

    def _sections(self):
        rows = []
        for key, slider in self.sliders.items():
            rows += [self.follows[key]] if key in self.follows else []
            rows.append(slider)
        machine = [self.shape, *([self.force] if self.force else []), self.rating]
        where = W.HTML(paragraph("A point: click the picture, or type it here."))
        self._show_sliders()
        return [
            self.message,
            side_by_side(*(column(choice, share="1 1 200px") for choice in (self.across, self.up, self.kind))),
            side_by_side(
                column(self.probe, self.picture, share="3 1 500px"),
                column(*rows, *machine, share="1 1 280px"),
            ),
            side_by_side(column(where, *self.point.values(), share="1 1 320px"), column(self.answered, self.rests, self.status, share="2 1 400px")),
            self.picture.words,
            section("Limits at the point", self.limits, self.unjudged),
            section("What will do", self.inverse),
            section("What better measurements would change", self.better),
            W.HTML(paragraph(CALIBRATE)), Unheard(),
        ]  # fmt: skip

    def _show_sliders(self):
        """Show the sliders of what is neither an axis nor follows something else."""
        for key, slider in self.sliders.items():
            follows = key in self.follows and self.follows[key].value
            slider.layout.display = "none" if follows or key in self.axes else None
            if key in self.follows:
                self.follows[key].layout.display = "none" if key in self.axes else None

    # --- what is asked ------------------------------------------------------------------------------------------

    @property
    def axes(self):
        """Names of the two axes."""
        return self.across.value, self.up.value

    def held(self):
        """Return what the sliders hold, by name in SI; what was tested before what moves it."""
        out = {}
        for key, slider in self.sliders.items():
            given = key in self.follows and not self.follows[key].value
            follows = key in self.follows and self.follows[key].value
            if key not in self.axes and (given or (self._moved(key) and not follows)):
                out[key] = slider.value * AXES[key].scale
        return out

    def _own_value(self, key):
        """Return what was given, in the unit of the edge."""
        return float(AXES[key].get(self._own) / AXES[key].scale)

    def _moved(self, key):
        """Return whether another number than what was given was set or typed."""
        return not self.sliders[key].stands_at(self._own_value(key))

    def described(self):
        """Return the extruder and the job of the fields."""
        extruder = replace(self.extruder, pressure_rating=self.rating.value * kPa or None)
        if self.force:
            drive = extruder.drive
            extruder = replace(extruder, drive=replace(drive, torque=drive.torque * self.force.value / drive.force))
        return extruder, replace(self.job, shape=self.shape.value)

    def _spread(self, key, count):
        axis = AXES[key]
        space = np.geomspace if axis.logarithmic else np.linspace
        return space(*axis.span(self._own), count)

    def _asked(self):
        if len(set(self.axes)) < 2:
            raise DataError(f"Both axes are {AXES[self.across.value].label}; choose two different ones.")
        return (self.material, *self.described())

    def _map(self, axes, draws):
        draws = draws if self.kind.value == PROBABLE else 0
        return _silent(region_map, *self._asked(), None, axes, draws=draws, held=self.held())

    def where(self):
        """Return the picked point, by name in SI."""
        return {key: field.value * AXES[key].scale for key, field in zip(self.axes, self.point.values(), strict=True)}

    # --- what happens -------------------------------------------------------------------------------------------

    def refresh(self):
        """Draw a quick map at once, the fine one and all that is said of it after a rest."""
        self._parts = []
        count, _ = self._fine
        if len(set(self.axes)) < 2:
            self._later.start([self._asked])
            return
        cut = bands({key: self._spread(key, count) for key in self.axes}, BAND)
        steps = [self._draw_quick, self._explain, *(lambda axes=axes: self._add(axes) for axes in cut), self._draw_fine]
        self._later.start([*steps, *self._more()], REST)

    def _draw_quick(self):
        count, draws = self._quick
        self._show(self._map({key: self._spread(key, count) for key in self.axes}, draws), quick=True)
        self.status.say("Computing the fine map ...")

    def _add(self, axes):
        self._parts.append(self._map(axes, self._fine[1]))

    def _draw_fine(self):
        self._show(joined(self._parts))
        self.status.say("Computing what will do ...")

    def _new_page(self):
        """Draw what is shown for another theme or width: no number depends on them, and what is being computed goes on."""
        if self.found is not None and tuple(self.found.axes) == self.axes:
            with no_newer(self):
                self._draw(self._point)

    def _draw(self, point=None):
        self._point = self.where() if point is None else point
        self.picture.show(self.found, self._point, self.probe.page, self.probe.width, self._rough)

    def _show(self, found, quick=False):
        self.found, self._rough = found, quick
        self._draw()
        warned = found.case.caveats
        said = [note if note in warned else f"Somewhere on the map, {note}" for note in found.notes]
        self.message.complain("\n".join(map(page_words, said)))

    def _explain(self):
        self.alone = self._chance()
        self.answered.value = answer(self.alone, self.where()) + "".join(map(paragraph, self._invented))
        self.limits.value = limit_table(self.alone)
        self.rests.value = rests_on(self._resting(), unknown_words(self.material))
        self.unjudged.value = not_judged_words(self.alone)

    def _point_asked(self):
        extruder, job = self.described()
        return (self.material, extruder, job), {"draws": self._fine[1], "held": {**self.held(), **self.where()}}

    def _resting(self):
        """Return every number that the answer at the point rests on."""
        extruder, job = self.described()
        held = {**self.held(), **self.where()}
        here = {key for key, value in held.items() if not np.isclose(value / AXES[key].scale, self._own_value(key))}
        here |= {"force"} if self.force and not np.isclose(self.force.value, self.extruder.drive.force) else set()
        here |= {"rating"} if not np.isclose(self.rating.value * kPa, self.extruder.pressure_rating or 0.0) else set()
        here |= {"shape"} if job.shape != self.job.shape else set()
        case = self.alone.at(**{name: float(values[0]) for name, values in self.alone.axes.items()})
        rows = machine_rows(self.material, extruder, case, self._machine, here, self._fine[1])
        return [*rows, *paste_rows(self.material, None, case.paste, here)]

    def _chance(self):
        asked, more = self._point_asked()
        return _silent(chance, *asked, **more)

    def _more(self):
        """Return the steps of the inverse answers and of what better measurements would change."""
        lines = []

        def one(key):
            asked, more = self._point_asked()
            try:
                lines.append(_silent(window, *asked, key, probability=LIKELY, **more).words)
            except DataError as error:  # not known is an answer
                lines.append(page_words(str(error).removeprefix("window: ")))

        def widest():
            asked, _ = self._point_asked()
            ends = {key: AXES[key].span(self._own) for key in self.axes}
            lines.append(_silent(widest_margin, *asked, ends, held=self.held())["words"])
            self.inverse.value = "".join(map(paragraph, lines))
            self.status.say("Computing what better measurements would change ...")

        def better():
            asked, more = self._point_asked()
            found = _silent(what_if, *asked, spread=BETTER, **more)
            self.better.value = what_if_words(found, BETTER, self.alone.unjudged)
            self.status.say("")

        wanted = dict.fromkeys(["bore", "print_speed", "water_content", *self.axes])
        known = [key for key in wanted if key in self._movable]
        return [*(lambda key=key: one(key) for key in known), widest, better]

    def _new_axes(self):
        self._place_point()
        self._show_sliders()
        self.refresh()

    def _place_point(self):
        """Put the fields of the point to the two axes, at what was typed or picked there, the sliders hold or the job has."""
        for side, (key, text) in self._placed.items():
            if (typed := self.point[side].text.value) != text:
                self._points[key] = typed, self._slid(key)
        self._placing = True
        for key, (side, field) in zip(self.axes, self.point.items(), strict=True):
            axis, slider = AXES[key], self.sliders.get(key)
            moved = slider and self._moved(key) and not slider.refused
            value, (low, high) = self._own_value(key), (float(end / axis.scale) for end in axis.span(self._own))
            field.describe(f"{axis.label} [{axis.unit}]", value, low, high, called="point, ")
            typed, slid = self._points.get(key, ("", None))
            if slid == self._slid(key):
                field.text.value = typed
            else:
                field.value = slider.value if moved else value
            self._placed[side] = key, field.text.value
        self._placing = False

    def _slid(self, key):
        """Return what the slider of an axis holds, if it has one."""
        return self.sliders[key].text.value if key in self.sliders else ""

    def _pick(self, x, y):
        self._placing = True
        for field, value in zip(self.point.values(), (x, y), strict=True):
            field.value = float(np.clip(float(f"{value:.4g}"), *field.bounds[:2]))
        self._placing = False
        self._new_point()

    def _new_point(self):
        """Mark and explain another point of the map that is shown."""
        if self._placing or self.found is None:
            return
        if tuple(self.found.axes) != self.axes or len(self._parts) * BAND < self._fine[0]:
            self.refresh()
            return
        self.status.say("Computing what will do ...")
        self._later.start([lambda: self._show(self.found), self._explain, *self._more()])

    def _complain(self, words):
        if self.found is not None:
            words += "\nBelow stands the last map that worked."
        self.message.complain(words)
        self.status.say("")


def _silent(function, *asked, **more):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RheokitWarning)  # each is kept in the notes of the map
        return function(*asked, **more)
