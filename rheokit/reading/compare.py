"""Whether two records hold the same, field by field, wherever they came from."""

from dataclasses import fields, is_dataclass

import numpy as np


def differences(one, other):
    """Return the names of the fields of their own in which two records or specimens differ; all of them where their types do."""
    names = [f.name for f in fields(one) if f.name not in ("origin", "of_specimen")]
    if type(one) is not type(other):
        return names
    return [name for name in names if not same(getattr(one, name), getattr(other, name))]


def same(one, other):
    """Say whether two values are the same: equal numbers, arrays, and objects of equal fields."""
    if is_dataclass(one) and is_dataclass(other):
        return type(one) is type(other) and not differences(one, other)
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(same, one, other))
    if one is None or other is None:
        return one is other
    if isinstance(one, str) or isinstance(other, str):
        return one == other
    return np.shape(one) == np.shape(other) and bool(np.all(np.equal(one, other)))
