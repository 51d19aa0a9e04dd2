"""An event loop whose time passes only while nothing is at work: what is due comes in the same order on a busy machine, and at once."""

import asyncio
import selectors
from collections.abc import Coroutine


class _Selector(selectors.DefaultSelector):
    """Where nothing has come and no thread is at work, its time is that of the next thing due."""

    now, at_work = 0.0, 0

    def select(self, timeout=None):
        if timeout is None or (timeout and self.at_work):
            return super().select()
        ready = super().select(0)
        if not ready:
            self.now += timeout
        return ready


class _Loop(asyncio.SelectorEventLoop):
    def __init__(self):
        self._clock = _Selector()
        super().__init__(self._clock)

    def time(self):
        return self._clock.now

    def run_in_executor(self, executor, work, *given):
        def done(_):
            self._clock.at_work -= 1

        self._clock.at_work += 1
        working = super().run_in_executor(executor, work, *given)
        working.add_done_callback(done)
        return working


def run(coroutine: Coroutine) -> None:
    """Run what waits for things to come due, to its end."""
    with asyncio.Runner(loop_factory=_Loop) as runner:
        runner.run(coroutine)
