"""Names of several words, as they are typed where a space parts arguments."""

from collections.abc import Callable, Iterable


def hyphened(names: Iterable[str]) -> Callable[[str], str]:
    """Return what makes of ``loaded-plate`` the name "loaded plate", and leaves alone what is none of the names."""
    known = {name.replace(" ", "-"): name for name in names}
    return lambda typed: known.get(typed, typed)
