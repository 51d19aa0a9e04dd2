"""What a page sends is never dropped on its way out of the kernel.

A kernel publishes, and a publisher drops what its queue cannot hold: a thousand messages, by ZeroMQ's default (its guide:
"high-water mark"). A page is made of more, in one burst. Where the server is slower than the kernel, as on a busy machine,
some were lost: a widget ("model not found"), or the words that a cell has ended (it ran for ever). So the queue of a kernel that
makes a page has no such mark.
"""

import sys

ANY_NUMBER = 0


def drop_nothing() -> None:
    """Let the kernel's queue hold any number of messages; where there is no kernel, do nothing."""
    if "ipykernel" not in sys.modules:
        return
    import zmq  # what a kernel sends through
    from ipykernel.kernelbase import Kernel

    sender = getattr(Kernel.instance(), "iopub_thread", None) if Kernel.initialized() else None
    if sender is not None:  # a socket is touched by its own thread alone
        sender.schedule(lambda: sender.socket.setsockopt(zmq.SNDHWM, ANY_NUMBER))
