"""What is done once pages have come to rest: some seconds after the last result was written, in small steps, given up at the next."""

import asyncio
from collections.abc import Iterator
from typing import Protocol
from weakref import WeakSet

REST = 3.0  # s without a new result, until a page has come to rest
BREATH = 0.05  # s between two steps, in which the page answers


class Storing(Protocol):
    """What is asked."""

    def store(self) -> Iterator[None]:
        """Return the steps."""


class Rest:
    """Asks all that wait for rest to `store`: each returns steps, which are taken one at a time."""

    def __init__(self) -> None:
        self._waits: WeakSet[Storing] = WeakSet()
        self._next: asyncio.TimerHandle | None = None

    def wait(self, one: Storing) -> None:
        """Ask one at every rest from now on, as long as it lives."""
        self._waits.add(one)
        self.stir()

    def stir(self) -> None:
        """Wait anew: something was written, or marked as old."""
        if self._waits:
            self._after(REST, self._begin)

    def _after(self, seconds, act):
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:  # a plain script, which never rests
            return
        if self._next is not None:
            self._next.cancel()
        self._next = loop.call_later(seconds, act)

    def _begin(self):
        self._go_on(step for one in list(self._waits) for step in one.store())

    def _go_on(self, steps):
        for _ in steps:
            self._after(BREATH, lambda: self._go_on(steps))
            return
        self._next = None


rest = Rest()
