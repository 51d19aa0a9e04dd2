"""Which step of a long computation is at work, for whoever wants to show it."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_HEARD: ContextVar[Callable[[str], None] | None] = ContextVar("who is told of each step", default=None)


def step(words: str) -> None:
    """Say, in a few words, which step begins; nothing happens where nobody listens."""
    hear = _HEARD.get()
    if hear is not None:
        hear(words)


@contextmanager
def told_to(hear: Callable[[str], None] | None) -> Iterator[None]:
    """Tell each step that begins inside to ``hear(words)``."""
    token = _HEARD.set(hear)
    try:
        yield
    finally:
        _HEARD.reset(token)


@contextmanager
def part_of(words: str) -> Iterator[None]:
    """Tell each step that begins inside as a part of another: "comparing laws, 2 of 5: limits 1 of 7"."""
    outer = _HEARD.get()
    with told_to(outer and (lambda inner: outer(f"{words}: {inner}"))):
        step("")
        yield
