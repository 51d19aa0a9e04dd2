"""How words become a sentence: with a capital letter, and a full stop."""


def capital(words: str) -> str:
    """Return words that begin with a capital letter."""
    return words[:1].upper() + words[1:]


def sentence(words: str) -> str:
    """Return words as a sentence; none where there are none."""
    return f"{capital(words)}." if words else ""
