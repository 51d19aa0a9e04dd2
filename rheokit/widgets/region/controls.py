"""What is asked of a region: two axes, sliders for everything else, the machine, and a point of the map."""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

import ipywidgets as W
import numpy as np

from ...charts import POINT_DIGITS
from ...machine.drives import ScrewDrive
from ...nomenclature import capital
from ...part.printing import LONG, RING, STRAIGHT
from ...regions import AXES, movable
from ...units import kPa
from ...workbook.of_region import MOVED, POINT, axes_of
from ..page.accessible import JUDGED
from ..page.elements import Message, show
from ..page.fields import choice
from ..page.hearing import hear
from ..page.number_field import NumberField, SlidingNumber
from ..page.typed_numbers import Refused, with_its_unit
from . import words

OF_PLAN = ("bore", "taper", "print_speed", "layer_height", "wall_width", "part_height")
SLIDERS = (*OF_PLAN, *MOVED)
NOTHING: Mapping[str, str] = MappingProxyType({})
LOG_STEP = 0.01  # of a decade


class Pair(W.VBox):
    """The two axes, and below them why they cannot be."""

    words = "Both axes"

    def __init__(self, across, up):
        self._two, self.note = (across, up), Message()
        super().__init__([across, up, self.note])
        self.add_class(JUDGED)

    @property
    def wrong(self):
        """Why they cannot be; nothing where they can."""
        across, up = (one.value for one in self._two)
        return f"both axes are {AXES[up].label}; choose two different ones." if across == up else ""

    def judge(self):
        """Say what is wrong."""
        self.note.complain(capital(self.wrong))


class RegionControls:
    """The controls of a case, and what they hold; `across` and `up` are names of ``AXES`` to begin with.

    Without `machine` the shape of the wall, the rating and the force are asked for elsewhere; `kept` are texts as `chosen`
    returns them, `follows` says which boxes there are, and whether they are ticked, and `hints` what is said below a slider
    while it is empty, by axis: without one it must not be.

    `changed` and `new_point` are called without arguments after every change of a control, and of the fields of the point.

    Attributes
    ----------
    sliders : dict of str to SlidingNumber
        By names of axes; those of the two that are mapped, and of what follows something else, are not shown.
    follows : dict of str to Checkbox
        Whether layer height and wall width follow the bore and the line.
    force : NumberField or None
        Of a screw.
    point : dict of str to NumberField
        "across" and "up".
    """

    def __init__(self, case, across, up, changed, new_point, machine=True, kept=NOTHING, follows=None, hints=NOTHING):
        self.case, self._changed, self._new_point, self._hints = case, changed, new_point, hints
        self.known = known = movable(case)
        across, up = axes_of(case, across, up)
        options = [(f"{axis.label} [{axis.unit}]", key) for key, axis in known.items()]
        job = case.job
        self.across, self.up = (
            choice(side, options, self._turn, key) for side, key in (("across", across), ("up", up))
        )
        self.both = Pair(self.across, self.up)
        kinds = [words.PROBABLE, words.BEST]
        self.kind = choice("show", kinds, changed, kept["show"] if kept.get("show") in kinds else None)
        self.sliders = {key: self._slider(key, known[key], changed) for key in SLIDERS if key in known}
        if follows is None:
            follows = {key: True for key in words.FOLLOWS if getattr(job, key) is None}
        self.follows = {
            key: W.Checkbox(value=ticked, description=words.FOLLOWS[key], indent=False, layout=W.Layout(width="auto"))
            for key, ticked in follows.items()
            if key in self.sliders
        }
        self.shape = self.rating = self.force = None
        if machine:
            self._machine(case, changed)
        self.point = {side: NumberField(side, 1.0, 0.0, 1.0, above=True) for side in ("across", "up")}
        for key in MOVED:
            if key in self.sliders and kept.get(key):
                self.sliders[key].text.value = kept[key]
        points = {key: kept.get(f"{POINT}{key}") for key in known}
        self._points = {
            key: (text, self._slid(key)) for key, text in points.items() if text
        }  # typed or picked, by axis
        self._placed = {}  # what was put into them
        for box in self.follows.values():
            hear(box, changed)
            hear(box, self._show_sliders)
        self._place_point()
        for field in self.point.values():
            field.heard(self._move_point)
        self._show_sliders()

    def _machine(self, case, changed):
        """Ask for the shape of the wall, the rating of the barrel and the force of a screw."""
        job, drive = case.job, case.extruder.drive
        shapes = [STRAIGHT, LONG, *([RING] if job.ring_radius else [])]
        self.shape = choice("shape of the wall", shapes, changed, job.shape)
        rating = float((case.extruder.pressure_rating or 0.0) / kPa)
        self.rating = NumberField(words.RATING, rating, 1.0, 1e5, changed, or_0=True, above=True)
        if isinstance(drive, ScrewDrive):
            self.force = NumberField(words.FORCE, float(drive.force), 1.0, 1e4, changed, above=True)

    def _slider(self, key, axis, changed):
        title = f"{axis.label} [{axis.unit}]"
        low, high = self.ends(key)
        step = LOG_STEP if axis.logarithmic else 10.0 ** np.floor(np.log10((high - low) / 50))
        more = {"logarithmic": axis.logarithmic, "hint": self._hints.get(key, "")}
        return SlidingNumber(title, self.given(key), low, high, step, changed, **more)

    @property
    def moved_most(self):
        """The sliders, each below the box that says that it follows."""
        both = ((self.follows.get(key), slider) for key, slider in self.sliders.items())
        return [control for pair in both for control in pair if control is not None]

    @property
    def machine(self):
        """The shape of the wall and what is typed of the machine."""
        return [one for one in (self.shape, self.force, self.rating) if one is not None]

    def _show_sliders(self):
        """Show the sliders of what is neither an axis nor follows something else."""
        for key, slider in self.sliders.items():
            show(slider, key not in self.axes and not self._follows(key))
            if key in self.follows:
                show(self.follows[key], key not in self.axes)

    def _follows(self, key):
        return key in self.follows and self.follows[key].value

    # --- what they hold -----------------------------------------------------------------------------------------

    @property
    def axes(self):
        """Names of the two axes."""
        return self.across.value, self.up.value

    def given(self, key):
        """Return what was given of an axis, in the unit of its edge; None where that is not known any more."""
        own = AXES[key].get(self.case)
        return None if own is None else float(AXES[key].at_edge(own))

    def ends(self, key):
        """Return both ends of an axis, in the unit of its edge."""
        return tuple(float(AXES[key].at_edge(end)) for end in AXES[key].span(self.case))

    def spread(self, key, count):
        """Return so many values of an axis from end to end, in SI."""
        space = np.geomspace if AXES[key].logarithmic else np.linspace
        return space(*AXES[key].span(self.case), count)

    def _moved(self, key):
        """Return whether another number than what was given was set or typed."""
        return not self.sliders[key].stands_at(self.given(key))

    def held(self):
        """Return what the sliders hold, by name in SI; what was tested before what moves it."""
        out = {}
        for key, slider in self.sliders.items():
            if key in self.axes or self._follows(key) or (slider.hint and not slider.holds):
                continue
            if key in self.follows or self._moved(key):
                out[key] = AXES[key].in_si(slider.value)
        return out

    def chosen(self):
        """Return as texts what is chosen of the map, by name; nothing for what stands as it was given."""
        moved = {key: self.sliders[key].holds if self._moved(key) else "" for key in MOVED if key in self.sliders}
        typed = {key: field.text.value.strip() for key, field in zip(self.axes, self.point.values(), strict=True)}
        points = {key: text for key, (text, slid) in self._points.items() if slid == self._slid(key)} | typed
        for key, field in zip(self.axes, self.point.values(), strict=True):
            if field.stands_at(self.given(key)):
                points[key] = ""
        of_map = {"across": self.across.value, "up": self.up.value, "show": self.kind.value}
        return of_map | moved | {f"{POINT}{key}": text for key, text in points.items()}

    def text(self, key):
        """Return what the slider of an axis says, with its unit; nothing where it follows, None where it is refused."""
        slider = self.sliders[key]
        if self._follows(key):
            return ""
        return None if slider.refused else with_its_unit(slider.holds, slider.unit)

    def where(self):
        """Return the picked point, by name in SI."""
        return {key: AXES[key].in_si(field.value) for key, field in zip(self.axes, self.point.values(), strict=True)}

    def described(self, extruder, job):
        """Return an extruder and a job with what the fields say of them."""
        if len(set(self.axes)) < 2:
            raise Refused(Pair.words, self.both.wrong)
        if not self.machine:
            return extruder, job
        changed = replace(extruder, pressure_rating=self.rating.value * kPa or None)
        if self.force:
            drive = extruder.drive
            changed = replace(changed, drive=replace(drive, torque=drive.torque * self.force.value / drive.force))
        return changed, replace(job, shape=self.shape.value)

    def set_here(self, extruder, job):
        """Return names of what the point, the sliders and the fields hold otherwise than it was given."""
        held = self.held() | self.where()
        here = {key for key, value in held.items() if not np.isclose(AXES[key].at_edge(value), self.given(key))}
        if not self.machine:
            return here
        here |= {"force"} if self.force and not np.isclose(self.force.value, extruder.drive.force) else set()
        here |= {"rating"} if not np.isclose(self.rating.value * kPa, extruder.pressure_rating or 0.0) else set()
        return here | ({"shape"} if self.shape.value != job.shape else set())

    # --- axes and the point on them -----------------------------------------------------------------------------

    def _turn(self):
        self.both.judge()
        self._place_point()
        self._show_sliders()
        self._changed()

    def _place_point(self):
        """Put the fields of the point to the two axes, at what was typed or picked there, the sliders hold or the job has."""
        for side, (key, text) in self._placed.items():
            if (typed := self.point[side].text.value) != text:
                self._points[key] = typed, self._slid(key)
        self._placing = True
        for key, (side, field) in zip(self.axes, self.point.items(), strict=True):
            axis, slider = AXES[key], self.sliders.get(key)
            moved = slider and self._moved(key) and not slider.refused
            field.digits = POINT_DIGITS
            field.describe(f"{axis.label} [{axis.unit}]", self.given(key), *self.ends(key), called="point, ")
            typed, slid = self._points.get(key, ("", None))
            if slid == self._slid(key):
                field.text.value = typed
            else:
                field.value = slider.value if moved else self.given(key)
            self._placed[side] = key, field.text.value
        self._placing = False

    def _slid(self, key):
        """Return what the slider of an axis holds, if it has one."""
        return self.sliders[key].text.value if key in self.sliders else ""

    def pick(self, x, y):
        """Put the point where it was clicked, in the units of the edges."""
        self._placing = True
        for field, value in zip(self.point.values(), (x, y), strict=True):
            field.value = float(np.clip(float(f"{value:.{POINT_DIGITS}g}"), *field.bounds[:2]))
        self._placing = False
        self._new_point()

    def _move_point(self):
        if not self._placing:
            self._new_point()
