"""What every job is: what is made, how fast, and how warm."""

from typing import TYPE_CHECKING, Any, ClassVar

from ..errors import DataError
from ..hints import Numbers

PRINT, FIBRE = "print", "fibre"
KINDS = {PRINT: "prints layers", FIBRE: "draws a fibre"}


class Job:
    """A job for an extruder: a part that is printed in layers, or a fibre that is drawn and wound.

    Attributes
    ----------
    kind : {"print", "fibre"}
        Which limits it is asked.
    """

    kind: ClassVar[str] = ""
    if TYPE_CHECKING:
        barrel_temperature: Numbers | None
        nozzle_temperature: Numbers | None

        def flow_rate(self, bore: Numbers) -> Numbers:
            """Return the flow that it asks for [m3/s]."""

        def __getattr__(self, name: str) -> Any:
            """Each limit asks what its own kind of job has."""


def heated(where: str, job: Job) -> None:
    """Refuse a job whose nozzle has a temperature and whose barrel has none."""
    if job.nozzle_temperature is not None and job.barrel_temperature is None:
        raise DataError(
            f"{where}: nozzle_temperature needs barrel_temperature: how warm the paste leaves a nozzle hangs on how warm it "
            "comes; give the temperature of the room for a barrel that is not heated."
        )
