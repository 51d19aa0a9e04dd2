"""What is asked of a region: two axes, sliders for everything else, the machine, and a point of the map."""

from dataclasses import replace

import ipywidgets as W
import numpy as np

from ...errors import DataError
from ...machine.drives import ScrewDrive
from ...part.printing import LONG, RING, STRAIGHT
from ...regions import AXES, movable
from ...units import kPa
from ..page.elements import show
from ..page.fields import choice
from ..page.hearing import hear
from ..page.number_field import NumberField, SlidingNumber
from . import words

SLIDERS = (
    *("bore", "taper", "print_speed", "layer_height", "wall_width", "part_height"),
    *("stiffness", "water_content", "air_content"),
)
BEGIN = ("bore", "print_speed", "layer_height")  # to map where what was asked for cannot be moved
LOG_STEP = 0.01  # of a decade


class RegionControls:
    """The controls of a case, and what they hold; `across` and `up` are names of ``AXES`` to begin with.

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

    def __init__(self, case, across, up, changed, new_point):
        self.case, self._changed, self._new_point = case, changed, new_point
        self.known = known = movable(case)
        across = across if across in known else next(key for key in BEGIN if key != up)
        up = up or "water_content"
        up = up if up in known else next(key for key in BEGIN if key != across)
        options = [(f"{axis.label} [{axis.unit}]", key) for key, axis in known.items()]
        job, extruder = case.job, case.extruder
        self.across, self.up = (
            choice(side, options, self._turn, key) for side, key in (("across", across), ("up", up))
        )
        self.kind = choice("show", [words.PROBABLE, words.BEST], changed)
        shapes = [STRAIGHT, LONG, *([RING] if job.ring_radius else [])]
        self.shape = choice("shape of the wall", shapes, changed, job.shape)
        self.sliders = {key: self._slider(key, known[key], changed) for key in SLIDERS if key in known}
        free = {"layer_height": job.layer_height is None, "wall_width": job.wall_width is None}
        self.follows = {
            key: W.Checkbox(value=True, description=text, indent=False, layout=W.Layout(width="auto"))
            for key, text in words.FOLLOWS.items()
            if key in self.sliders and free[key]
        }
        rating, drive = float((extruder.pressure_rating or 0.0) / kPa), extruder.drive
        self.rating = NumberField(words.RATING, rating, 1.0, 1e5, changed, or_0=True, above=True)
        self.force = None
        if isinstance(drive, ScrewDrive):
            self.force = NumberField(words.FORCE, float(drive.force), 1.0, 1e4, changed, above=True)
        self.point = {side: NumberField(side, 1.0, 0.0, 1.0, above=True) for side in ("across", "up")}
        self._placed, self._points = {}, {}  # what was put into them; what was typed or picked, by axis
        for box in self.follows.values():
            hear(box, changed)
            hear(box, self._show_sliders)
        self._place_point()
        for field in self.point.values():
            field.heard(self._move_point)
        self._show_sliders()

    def _slider(self, key, axis, changed):
        title = words.STIFFNESS if key == "stiffness" else f"{axis.label} [{axis.unit}]"
        low, high = self.ends(key)
        step = LOG_STEP if axis.logarithmic else 10.0 ** np.floor(np.log10((high - low) / 50))
        return SlidingNumber(title, self.given(key), low, high, step, changed, logarithmic=axis.logarithmic)

    @property
    def moved_most(self):
        """The sliders, each below the box that says that it follows."""
        both = ((self.follows.get(key), slider) for key, slider in self.sliders.items())
        return [control for pair in both for control in pair if control is not None]

    @property
    def machine(self):
        """The shape of the wall and what is typed of the machine."""
        return [self.shape, *([self.force] if self.force else []), self.rating]

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
        """Return what was given of an axis, in the unit of its edge."""
        return float(AXES[key].at_edge(AXES[key].get(self.case)))

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
            if key not in self.axes and not self._follows(key) and (key in self.follows or self._moved(key)):
                out[key] = AXES[key].in_si(slider.value)
        return out

    def where(self):
        """Return the picked point, by name in SI."""
        return {key: AXES[key].in_si(field.value) for key, field in zip(self.axes, self.point.values(), strict=True)}

    def described(self, extruder, job):
        """Return an extruder and a job with what the fields say of them."""
        if len(set(self.axes)) < 2:
            raise DataError(f"Both axes are {AXES[self.across.value].label}; choose two different ones.")
        changed = replace(extruder, pressure_rating=self.rating.value * kPa or None)
        if self.force:
            drive = extruder.drive
            changed = replace(changed, drive=replace(drive, torque=drive.torque * self.force.value / drive.force))
        return changed, replace(job, shape=self.shape.value)

    def set_here(self, extruder, job):
        """Return names of what the point, the sliders and the fields hold otherwise than it was given."""
        held = self.held() | self.where()
        here = {key for key, value in held.items() if not np.isclose(AXES[key].at_edge(value), self.given(key))}
        here |= {"force"} if self.force and not np.isclose(self.force.value, extruder.drive.force) else set()
        here |= {"rating"} if not np.isclose(self.rating.value * kPa, extruder.pressure_rating or 0.0) else set()
        return here | ({"shape"} if self.shape.value != job.shape else set())

    # --- axes and the point on them -----------------------------------------------------------------------------

    def _turn(self):
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
            field.value = float(np.clip(float(f"{value:.4g}"), *field.bounds[:2]))
        self._placing = False
        self._new_point()

    def _move_point(self):
        if not self._placing:
            self._new_point()
