"""What an interval holds of batches, in words, each said here once: which batch it is of, and what of others it leaves out."""

INCLUDED, LEFT_OUT = (
    "of the median batch, how badly the {} batches read tell it included",
    "how far the next batch lies off it",
)
READ_ALONE = "of the batch that was read"
HOLDS_NEXT = "of the next batch, how far it lies off those read included"
OF_THEORY = "the error of the nozzle's theory"


def held_of_batches(count: int, besides: str = "") -> str:
    """Return what an interval of a fit of so many batches holds of them: that of the median one, or of the only one, and what is left out."""
    batch = INCLUDED.format(count) if count > 1 else READ_ALONE
    return f"{batch}, {' and '.join(filter(None, [LEFT_OUT, besides]))} left out"


def fit_alone(count: int) -> str:
    """Return what limits of a force or a pressure are that a fit of so many batches gives by itself."""
    return f"limits of the fit alone: {held_of_batches(count, OF_THEORY)}"
