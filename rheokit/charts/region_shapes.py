"""What a region map looks like before it is drawn: a raster, lines and zones.

All places are shares of the picture, 0 to 1 from left and from below. A hard limit is cut out before anything is
interpolated, so that nothing is averaged across it.
"""

import base64
import struct
import zlib
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from contourpy import contour_generator

from ..planning import LIKELY
from ..regions import AXES
from ..regions.maps import RegionMap
from ..sampling import TAILS

FINE = 160  # points across and up, of lines and zones
SHADES = 250  # of the raster; what follows are its hatches
HATCH, STOPPED, BLANK = 251, 252, 253
EVERYTHING_HOLDS = ""
ADDRESS = "data:image/png;base64,"


@dataclass(frozen=True, eq=False)
class Shapes:
    """A `RegionMap` on a grid.

    Parameters
    ----------
    found : RegionMap
    grid : (int, int)
        Points up and across.
    """

    found: RegionMap
    grid: tuple = (FINE, FINE)

    @cached_property
    def places(self):
        """Shares of the picture at which the map has values, along both axes."""
        return [shares_of(name, values, values) for name, values in self.found.axes.items()]

    def fine(self, field, valid=None):
        """Return a field of the map at the middles of the fields of the grid; not valid points take no part."""
        field = np.broadcast_to(field, self.found.shape).astype(float)
        weight = np.ones(field.shape) if valid is None else valid.astype(float)
        across, up = ((np.arange(count) + 0.5) / count for count in self.grid[::-1])
        blended = _bilinear(self.places, np.where(weight > 0, field, 0.0) * weight, across, up)
        if valid is None:
            return blended
        share = _bilinear(self.places, weight, across, up)
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(share > 1e-9, blended / share, np.nan)

    @property
    def probable(self):
        """True where the map has probabilities, not best values alone."""
        return self.found.probability is not None

    @cached_property
    def hard(self):
        """By hard limit, a field that is negative where it stops the print [-]."""
        names = [limit.name for limit in self.found.limits if limit.hard]
        if self.probable:
            return {name: self.found.holds[name] - TAILS[1] for name in names}
        return {name: self.found.margins[name] for name in names}

    @cached_property
    def allowed(self):
        """Points of the map at which no hard limit stops the print."""
        held = [np.broadcast_to(field >= 0, self.found.shape) for field in self.hard.values()]
        return np.all([np.ones(self.found.shape, bool), *held], axis=0)

    def _below(self, fields):
        return np.any([np.zeros(self.grid, bool), *(self.fine(field) < 0 for field in fields)], axis=0)

    @cached_property
    def _soft_margin(self):
        names = [limit.name for limit in self.found.limits if not limit.advice and not limit.hard]
        stack = [np.broadcast_to(self.found.margins[name], self.found.shape) for name in names]
        return np.min(stack, axis=0) if stack else np.full(self.found.shape, np.inf)

    @cached_property
    def fine_stopped(self):
        """Where a hard limit stops the print."""
        return self._below(self.hard.values())

    @cached_property
    def fine_shade(self):
        """What is shown light to dark, probability or margin [-], NaN where it is stopped."""
        field = self.found.probability if self.probable else self._soft_margin
        return np.where(self.fine_stopped, np.nan, self.fine(field, self.allowed))

    @cached_property
    def extrapolated(self):
        """Where the prediction asks for what was not read."""
        advice = [self.found.margins[limit.name] for limit in self.found.limits if limit.advice]
        return self._below(advice) & ~self.fine_stopped

    @cached_property
    def zones(self):
        """By what stops the print first, its part of the grid; where all holds, or is likely to, under an empty name."""
        with np.errstate(invalid="ignore"):
            inside = self.fine_shade >= (LIKELY if self.probable else 0.0)
        out = {name: self.fine(field) < 0 for name, field in self.hard.items()}
        if self._scores:
            stack = np.nan_to_num(np.stack(list(self._scores.values())), nan=-np.inf)
            first = stack.argmax(axis=0)
            ever = stack.max(axis=0) > 0 if self.probable else np.ones(first.shape, bool)
            for place, name in enumerate(self._scores):
                out[name] = (first == place) & ~self.fine_stopped & ~inside & ever
        out[EVERYTHING_HOLDS] = inside
        return {name: zone for name, zone in out.items() if zone.any()}

    @cached_property
    def _scores(self):
        found = self.found
        names = [limit.name for limit in found.limits if not limit.advice and not limit.hard]
        source = found.stops_first if self.probable else {name: -found.margins[name] for name in names}
        some = [name for name in names if not self.probable or np.any(source[name] > 0)]
        return {name: self.fine(source[name], self.allowed) for name in some}

    def contours(self, level):
        """Return the lines along which what is shown has a level, a list of (k, 2) arrays."""
        return _lines(self.fine_shade, level)

    def borders(self):
        """Return the lines between zones of limits that are no hard ones."""
        names, out = [name for name in self.zones if name in self._scores], []
        if len(names) < 2:
            return out
        outside = self.zones.get(EVERYTHING_HOLDS, np.zeros(self.grid, bool)) | self.fine_stopped
        for name in names[:-1]:
            others = np.max([self._scores[other] for other in names if other != name], axis=0)
            out += _lines(np.where(outside, np.nan, self._scores[name] - others), 0.0)
        return [line for line in out if len(line) > 6]  # shorter ones are noise of the draws

    def outlines(self):
        """Return the lines around what hard limits stop."""
        return [line for field in self.hard.values() for line in _lines(self.fine(field), 0.0)]


def raster(shapes, low, high, colours, ink, blank):
    """Return the map as the data address of a PNG picture.

    Parameters
    ----------
    shapes : Shapes
        Of as many points as pixels.
    low, high : float
        What the ends of the colours stand for.
    colours : (str, str)
        From least to most, as #rrggbb.
    ink, blank : str
        Of hatches, and of what is stopped.
    """
    picture = np.clip((np.nan_to_num(shapes.fine_shade, nan=low) - low) / (high - low), 0, 1) * (SHADES - 1)
    picture = np.round(picture).astype(np.uint8)
    up, across = np.indices(shapes.grid)
    picture[shapes.extrapolated & ((up + across) % 14 < 1)] = HATCH
    picture[shapes.fine_stopped] = BLANK
    picture[shapes.fine_stopped & (up % 9 < 1)] = STOPPED
    return _address(_png(picture[::-1], _palette(colours, ink, blank)))


def recoloured(picture, colours, ink, blank):
    """Return the picture of a `raster` in other colours; parameters as there."""
    data = base64.b64decode(picture.removeprefix(ADDRESS))
    start = data.index(b"PLTE") - 4
    end = start + 12 + int.from_bytes(data[start : start + 4], "big")
    return _address(data[:start] + _chunk(b"PLTE", _palette(colours, ink, blank).tobytes()) + data[end:])


def _palette(colours, ink, blank):
    ends = np.array([_rgb(colour) for colour in colours], float)
    palette = np.zeros((256, 3), np.uint8)
    palette[:SHADES] = np.round(ends[0] + np.linspace(0, 1, SHADES)[:, None] * (ends[1] - ends[0]))
    palette[[HATCH, STOPPED, BLANK]] = [_rgb(ink), _rgb(ink), _rgb(blank)]
    return palette


def _address(png):
    return ADDRESS + base64.b64encode(png).decode()


def is_log(name, values):
    """Return whether an axis of a map is logarithmic."""
    return AXES[name].logarithmic and values[0] > 0


def shares_of(name, values, at):
    """Return where numbers stand along an axis of these values, as shares of the picture."""
    low, high, at = (np.log(v) if is_log(name, values) else v for v in (values[0], values[-1], at))
    return (at - low) / (high - low)


def _bilinear(places, field, across, up):
    """Return a field of (up, across) points between them."""
    x = np.interp(across, places[0], np.arange(len(places[0])))
    y = np.interp(up, places[1], np.arange(len(places[1])))
    left, low = (np.minimum(at.astype(int), max(len(p) - 2, 0)) for at, p in zip((x, y), places, strict=True))
    right, high = np.minimum(left + 1, len(places[0]) - 1), np.minimum(low + 1, len(places[1]) - 1)
    dx, dy = x - left, (y - low)[:, None]
    below = field[low][:, left] * (1 - dx) + field[low][:, right] * dx
    above = field[high][:, left] * (1 - dx) + field[high][:, right] * dx
    return below * (1 - dy) + above * dy


def _lines(field, level):
    """Return the lines of a level of a fine field, as shares of the picture; NaN cuts them."""
    if not np.nanmin(field, initial=np.inf) < level < np.nanmax(field, initial=-np.inf):
        return []
    middles = [(np.arange(count) + 0.5) / count for count in field.shape]
    generator = contour_generator(x=middles[1], y=middles[0], z=np.ma.masked_invalid(field))
    return [_to_the_edge(line) for line in generator.lines(level)]


def _to_the_edge(line):
    """Return a line whose points at the outermost middles of pixels are drawn out to the edge; long ones thinned."""
    half, line = 0.5 / FINE, np.array(line if len(line) <= 40 else np.vstack([line[:-1:3], line[-1:]]))
    line[line <= half * 1.01] = 0.0
    line[line >= 1 - half * 1.01] = 1.0
    return line


def _rgb(colour):
    return [int(colour[k : k + 2], 16) for k in (1, 3, 5)]


def _png(picture, palette):
    """Return an 8-bit picture with a palette as the bytes of a PNG file."""
    rows, columns = picture.shape
    lines = np.zeros((rows, columns + 1), np.uint8)
    lines[:, 1:] = picture
    head = struct.pack(">IIBBBBB", columns, rows, 8, 3, 0, 0, 0)
    body = (
        _chunk(b"IHDR", head) + _chunk(b"PLTE", palette.tobytes()) + _chunk(b"IDAT", zlib.compress(lines.tobytes(), 1))
    )
    return b"\x89PNG\r\n\x1a\n" + body + _chunk(b"IEND", b"")


def _chunk(kind, data):
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
