"""What stands below the title of a picture: caveats first, what was fitted, and what of it is invented."""

import textwrap
from collections.abc import Sequence

from ..fitting import FitResult
from ..fitting.text import median_batch
from ..origins import INVENTED, invented_of, word_of
from ..paste.material import Material

LETTER = 8.3  # px, mean width of a bold letter below a title
NOT_CHECKED = "Not checked yet: the checks are being computed"
SAID_INVENTED, FOR_DEMONSTRATION = "INVENTED ", ", for demonstration"
INVENTED_READINGS = "INVENTED readings, for demonstration"


class Caveat(str):
    """A line below a title that says not to trust the picture: it stands first, bold, in the colour of a warning."""


def below_title(lines, width):
    """Return what stands below a title of a picture of a width [px]: caveats first, nothing twice, long lines broken."""
    lines = sorted(as_one(lines), key=lambda line: not isinstance(line, Caveat))
    return [type(line)(piece) for line in lines for piece in textwrap.wrap(line, max(int(width / LETTER), 20))]


def as_one(lines: Sequence[str]) -> list[str]:
    """Return lines, nothing twice, those that say what is invented for demonstration as one, in the place of the first."""
    lines = list(dict.fromkeys(lines))
    invented = [line for line in lines if line.startswith(SAID_INVENTED) and line.endswith(FOR_DEMONSTRATION)]
    if len(invented) < 2:
        return lines
    what = [line.removeprefix(SAID_INVENTED).removesuffix(FOR_DEMONSTRATION) for line in invented]
    one = f"{SAID_INVENTED}{', '.join(what)}{FOR_DEMONSTRATION}"
    return [one if line == invented[0] else line for line in lines if line not in invented[1:]]


def subtitle_of(fit: FitResult, checked: bool = True, next_batch: bool = False) -> list[str]:
    """Return what was fitted, in a line or two; failed checks stand first, and invented readings are called so.

    `checked` False leaves the checks out, which take a second or more, and says so; `next_batch` is for what is drawn of next batches.
    """
    pastes = sorted({bench.specimen.paste for bench in fit.benches if bench.specimen.paste})
    lines = [NOT_CHECKED] if not checked else [Caveat(fit.stamp)] if fit.stamp else []
    whose = (
        [*pastes, "next batches"] if next_batch else pastes
    )  # in one line: a map, its title and its slider stand in one view
    lines += [", ".join(whose)] if whose else []
    if any(bench.specimen.invented for bench in fit.benches):
        lines.append(INVENTED_READINGS)
    return [*lines, *filter(None, ["" if next_batch else median_batch(fit)])]


def invented_machine(machine: str, job: str, made: str = "part") -> list[str]:
    """Return the line that says which of machine and job are invented, each by its own origin; none where neither is.

    `machine` and `job` say where the numbers of each come from (see `rheokit.origins`), `made` is the word for what is made.
    """
    which = invented_of(machine, job, made)
    return [f"{SAID_INVENTED}{which}{FOR_DEMONSTRATION}"] if which else []


def invented_lines(material: Material, machine: str, job: str, made: str = "part") -> list[str]:
    """Return what to say below a picture of invented numbers beside a law that is not invented, and of an invented machine or job."""
    origins = material.table.origin
    names = [name.replace("_", " ") for name in origins.index if word_of(origins[name]) == INVENTED]
    law = word_of(material.origin("law")) == INVENTED
    lines = [f"INVENTED: {', '.join(names)}"] if names and not law else []
    return [*lines, *invented_machine(machine, job, made)]
