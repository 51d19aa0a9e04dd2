"""``python -m rheokit``: the command, where it is not on the path."""

from .command import start

if __name__ == "__main__":
    start()
