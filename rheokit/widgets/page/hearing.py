"""Controls are heard in one thread: the one that made the page and computes for it.

Since version 4.4 JupyterLab sends what controls say over a subshell, to a thread of its own beside the one that runs cells
and the steps which they began. Two at once would take each other's results for new, leave the mark of an old answer on a
new one for good, and undo each other's filters of warnings. So what a control calls waits until the thread of the page is
free, as it always did; until then the page itself marks what it shows as old.
"""

import asyncio
import threading


def at_home(act):
    """Return `act`, to be called from any thread: it runs in this one, at once where this one asks."""
    home = threading.get_ident()
    try:
        loop = asyncio.get_running_loop()
    except RuntimeError:  # a plain script: there is no other thread
        return act

    def called():
        if threading.get_ident() == home:
            act()
        else:
            loop.call_soon_threadsafe(act)

    return called


def hear(control, act, *traits):
    """Call `act`, without arguments, after every change of the traits of a control: its value, if none is named."""
    act = at_home(act)
    control.observe(lambda _: act(), list(traits or ["value"]))


def hear_press(button, act):
    """Call `act`, without arguments, whenever a button is pressed."""
    act = at_home(act)
    button.on_click(lambda _: act())
