"""A map in bands, so that a page can draw and answer between them."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from .maps import RegionMap


def bands(axes: Mapping[str, np.ndarray], rows: int) -> list[dict[str, np.ndarray]]:
    """Return the axes of a map cut into bands of so many values of the second axis."""
    (x_name, x), (y_name, y) = axes.items()
    return [{x_name: x, y_name: y[start : start + rows]} for start in range(0, len(y), rows)]


def joined(maps: Sequence[RegionMap]) -> RegionMap:
    """Return one `RegionMap` of maps that were computed band by band, with equal draws: it is the map computed whole."""
    first = maps[0]
    x_name, y_name = first.axes

    def stacked(field):
        parts = [getattr(found, field) for found in maps]
        if parts[0] is None:
            return None
        if isinstance(parts[0], dict):
            return {
                name: np.concatenate(
                    [np.broadcast_to(part[name], found.shape) for part, found in zip(parts, maps, strict=True)]
                )
                for name in parts[0]
            }
        return np.concatenate(parts)

    return replace(
        first,
        axes={x_name: first.axes[x_name], y_name: np.concatenate([found.axes[y_name] for found in maps])},
        notes=tuple(dict.fromkeys(note for found in maps for note in found.notes)),
        **{field: stacked(field) for field in ("margins", "probability", "holds", "stops_first")},
    )
