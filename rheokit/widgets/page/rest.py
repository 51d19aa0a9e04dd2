"""What is done once pages have come to rest: some seconds after the last result was written, in small steps, given up at the next."""

import asyncio
from collections.abc import Callable, Generator
from typing import Protocol
from weakref import WeakSet

REST = 3.0  # s without a new result, until a page has come to rest
BREATH = 0.05  # s between two steps, in which the page answers


class Storing(Protocol):
    """What is asked."""

    def store(self) -> Generator[Callable[[], str], str, None]:
        """Return the steps: what is to be done, and is sent back when it is."""


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
        self._go_on(self._steps())

    def _steps(self):
        for one in list(self._waits):
            yield from one.store()

    def _go_on(self, steps, done=None):
        """Do the next step in another thread, so that the page answers meanwhile; then the one after it, unless it was stirred."""
        mine = self._next
        try:
            work = steps.send(done)
        except StopIteration:
            return
        doing = asyncio.get_running_loop().run_in_executor(None, work)

        def then(did):
            if self._next is mine and not did.cancelled():
                self._after(BREATH, lambda: self._go_on(steps, did.result()))

        doing.add_done_callback(then)


rest = Rest()
