"""One thing at a time, though JupyterLab lets a page speak to a thread of its own.

Since version 4.4 it sends what controls say over a subshell: what a moved slider calls runs beside the cell that made the
page and the steps which that began. Two of them at once would take each other's results for new, or mark new ones as old
for good. So whatever a page calls, and every step of what is computed, waits for its turn.
"""

import threading
from functools import wraps

_TURN = threading.RLock()  # again by the same thread: a change that changes another control


def in_turn(function):
    """Return the function so that no other one `in_turn` runs meanwhile."""

    @wraps(function)
    def waited(*args, **kwargs):
        with _TURN:
            return function(*args, **kwargs)

    return waited


def hear(control, act, *traits):
    """Call `act`, without arguments and in turn, after every change of the traits of a control: its value, if none is named."""
    control.observe(in_turn(lambda _: act()), list(traits or ["value"]))


def hear_press(button, act):
    """Call `act`, without arguments and in turn, whenever a button is pressed."""
    button.on_click(in_turn(lambda _: act()))
