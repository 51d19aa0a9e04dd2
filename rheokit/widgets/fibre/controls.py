"""What is asked of a fibre: sliders of what is moved most, fields of the needle, the air, the bath and the drum."""

from dataclasses import replace

import ipywidgets as W
import numpy as np

from ...flow.nozzles import Cylinder, Nozzle
from ...regions import AXES
from ..page.elements import column, paragraph, show
from ..page.fields import choice
from ..page.hearing import hear
from ..page.number_field import NumberField, SlidingNumber
from . import words

SLIDERS = ("winding_speed", "throughput", "gap", "nozzle_temperature")
LOG_STEP, KELVIN_STEP = 0.01, 0.5  # of a decade, K
FASTEST = 1.0  # m/s, of a drum turned by a small motor; common practice, no source
WARM = 311.15  # K, of a nozzle that is heated only on the page


class FibreControls:
    """The controls, which begin with what a case and a drum [m] hold; `changed` is called after every change, without arguments.

    Attributes
    ----------
    sliders : dict of str to SlidingNumber
        By names of axes.
    fields : dict of str to NumberField
    heated, held : Dropdown
    """

    def __init__(self, case, drum_diameter, changed):
        self._given = {"drum_diameter": drum_diameter} | _held_by(case.extruder, case.job)
        self.sliders = {key: self._slider(key, case, changed) for key in SLIDERS}
        self.fields = {key: self._field(key, changed) for key in words.FIELDS if key in self._given}
        bare = case.job.nozzle_temperature is None
        self.heated = choice("needle", [words.HEATED, words.BARE], changed, words.BARE if bare else words.HEATED)
        self.held = choice(
            "the fibre dries", [words.HELD, words.LOOSE], changed, words.HELD if case.job.held else words.LOOSE
        )
        hear(self.heated, self._show_asked)
        self.fields["bath_length"].heard(self._show_asked)
        self._show_asked()

    def _slider(self, key, case, changed):
        axis = AXES[key]
        given, span = self._given[key], [*axis.span(case), *_further(key, case)]
        ends = [float(axis.at_edge(end)) for end in (min(span), max(span))]
        value = float(axis.at_edge(WARM if given is None else given))
        step = LOG_STEP if axis.logarithmic else KELVIN_STEP
        return SlidingNumber(f"{axis.label} [{axis.unit}]", value, *ends, step, changed, logarithmic=axis.logarithmic)

    def _field(self, key, changed):
        asked, given = words.FIELDS[key], self._given[key]
        begin = None if given is None else (float(given) - asked.zero) / asked.scale
        begin = asked.usual if begin is None and not asked.hint else begin
        ends = {"low": asked.low, "high": asked.high, "or_0": asked.or_0}
        return NumberField(asked.words, asked.usual, changed=changed, hint=asked.hint, above=True, begin=begin, **ends)

    def _show_asked(self):
        show(self.sliders["nozzle_temperature"], self.heated.value == words.HEATED)
        bath = self.fields["bath_length"]
        show(self.fields["bath_temperature"], bool(bath.refused) or bath.value > 0)

    @property
    def columns(self):
        """The fields, in groups."""
        also = {"heated": self.heated, "held": self.held}
        groups = []
        for title, keys in words.COLUMNS.items():
            controls = [
                self.fields[key] if key in self.fields else also[key]
                for key in keys
                if key in self.fields or key in also
            ]
            groups.append(column(W.HTML(f"<div class='caption'>{paragraph(title)}</div>"), *controls, share="0 0 auto"))
        return groups

    # --- what they hold -------------------------------------------------------------------------------------------

    def held_now(self):
        """Return what sliders, fields and choices hold, by name in SI; None where it is not known or not asked."""
        out = {key: float(AXES[key].in_si(slider.value)) for key, slider in self.sliders.items()}
        if self.heated.value == words.BARE:
            out["nozzle_temperature"] = None
        for key, field in self.fields.items():
            asked, empty = words.FIELDS[key], field.hint and not field.holds
            out[key] = None if empty else field.value * asked.scale + asked.zero
        return out | {"held": self.held.value == words.HELD}

    @property
    def drum_diameter(self):
        """Diameter of the drum [m]."""
        return self.held_now()["drum_diameter"]

    def described(self, extruder, job):
        """Return an extruder and a job with what the controls hold."""
        now = self.held_now()
        segments = extruder.nozzle.with_bore(now["bore"]).segments
        if "needle_length" in now:
            segments = (*segments[:-1], replace(segments[-1], length=now["needle_length"]))
        if not now["bath_length"]:
            now["bath_temperature"] = job.bath_temperature
        asked = {name: value for name, value in now.items() if hasattr(job, name)}
        return replace(extruder, nozzle=Nozzle(*segments)), replace(job, **asked)

    def set_here(self):
        """Return names of what the controls hold otherwise than it was given."""
        return {name for name, value in self.held_now().items() if not _same(value, self._given.get(name))}


def _further(key, case):
    """Return what a slider reaches beyond its axis: temperatures that were read, and speeds that may be advised."""
    if key == "nozzle_temperature":
        return case.temperature_range or ()
    return (FASTEST,) if key == "winding_speed" else ()


def _held_by(extruder, job):
    nozzle = extruder.nozzle
    own = {"bore": nozzle.bore}
    if isinstance(nozzle.segments[-1], Cylinder):
        own["needle_length"] = nozzle.segments[-1].length
    names = [*SLIDERS, *(name for name in words.FIELDS if hasattr(job, name)), "held"]
    return own | {name: getattr(job, name) for name in names}


def _same(value, given):
    return value is given or (value is not None and given is not None and bool(np.isclose(value, given)))
