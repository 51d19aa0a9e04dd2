"""What stands on top of every page of a workbook: which paste, how it is shown, and what another window did."""

PASTE = "paste"
NONE_OPEN = "(none is open)"
NEW = "New paste"
DEMO = "demo, invented"
AS_IT_CAME = "As it came"
OWN_COPY = "An invented demo: changes go to a copy of your own."
PROJECTOR = "Projector mode"
PICTURE = "picture shown"
THEIRS, MINE = "Take the other window's", "Keep mine"
OVERTAKEN = (
    "This plan was changed in another window or editor since it was read here. What you changed here is not saved yet. Take the other "
    "window's, and what you changed here since is given up; or keep mine, which is then written over theirs where both changed the "
    "same, and leaves the rest of theirs."
)
OLDER = (
    "This paste was changed in another window or editor since it was read here: what stands below is older. Take the other window's "
    "to see it as it is now."
)


def not_opened(folder, why, stays=""):
    """Return in words that a paste could not be opened, and which one stays below, if any."""
    below = f"{stays} stays below" if stays else "nothing is open. Correct it and choose it again, or choose another"
    return f"{folder} was not opened; {below}. {why}"


def made(folder):
    """Return in words that a paste was made and is open, and where to go on."""
    return f"{folder} is made and open, and nothing of it is known yet. Its readings come first, in notebook 1."


def another(folder, before):
    """Return in words that a page begins with the paste that was chosen last anywhere, which is not the one that it showed before."""
    return f"{folder} was chosen last, in another notebook. This one showed {before} before; choose it above to go on with it."


def gone(folder):
    """Return in words that the paste that was open last is not there any more."""
    return (
        f"{folder}, which was open last, is not there any more: it was renamed, moved or taken away. Choose your paste."
    )


def faults(said):
    """Return in words what in a plan cannot be."""
    return "\n".join(
        ["What cannot be in the plan is not computed with; correct it in its field, or in the file:", *said]
    )


def not_saved(why):
    """Return in words that a change is not on the disk."""
    return f"Not saved: {why.rstrip('. ')}. The next change tries again."
