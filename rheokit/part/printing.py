"""What is to be printed, and how: speed, line, layer, part, and how far the hands and the machine miss them."""

from dataclasses import dataclass

from ..brief import brief
from ..errors import DataError
from ..hints import Numbers
from ..inputs import guarded, positive, settled
from .job import PRINT, Job, heated
from .shape import line_section

ABOVE_ZERO = (
    "print_speed",
    "layer_height",
    "layer_height_to_bore",
    "line_width",
    "line_width_to_bore",
    "part_height",
    "wall_width",
    "ring_radius",
    "path_length",
    "span",
    "longest_lag",
    "barrel_temperature",
    "nozzle_temperature",
)
STRAIGHT, LONG, RING = "straight wall", "long wall", "ring"


@dataclass(frozen=True, kw_only=True, eq=False)
class PrintJob(Job):
    """One part and the way it is printed.

    Layer height and line width are given in metres or, so that they follow a nozzle that is exchanged, as shares of the
    bore: one of the two each.

    Parameters
    ----------
    print_speed : float or array-like
        Of the nozzle over the part. [m/s]
    layer_height, layer_height_to_bore : float or array-like
        [m] or [-]
    line_width, line_width_to_bore : float or array-like
        [m] or [-]
    part_height : float or array-like, optional
        [m]
    wall_width : float or array-like, optional
        Thickness of its walls; one line wide where it is not given. [m]
    shape : {"straight wall", "long wall", "ring"}
        A strip standing free, a wall so long that its ends do not help, or a closed ring.
    ring_radius : float, optional
        [m]
    path_length : float, optional
        Length of one layer's path: with the speed it gives the time of a layer. [m]
    span : float, optional
        Longest bridge between two supports. [m]
    drying_flux : float, optional
        Water lost from the surface during printing, see `rheokit.part.drying`. [kg/(m2 s)]
    longest_lag : float, optional
        Longest wait between the start of the drive and the flow that the job allows. [s]
    barrel_temperature, nozzle_temperature : float, optional
        Of the paste in the barrel, and of the wall of a heated nozzle along its whole length: the law is then taken at the
        temperature at which the paste leaves. None: the law as it is, and the paste as warm as in the barrel. [K]
    layer_height_error : float
        Standard deviation of the gap under the nozzle. [m]
    speed_error, bore_error : float
        Relative standard deviations of speed and bore. [-]
    temperature_error : float
        Standard deviation of the temperature at which the paste leaves a heated barrel or nozzle. [K]
    """

    kind = PRINT

    print_speed: Numbers
    layer_height: Numbers | None = None
    layer_height_to_bore: Numbers | None = None
    line_width: Numbers | None = None
    line_width_to_bore: Numbers | None = None
    part_height: Numbers | None = None
    wall_width: Numbers | None = None
    shape: str = STRAIGHT
    ring_radius: Numbers | None = None
    path_length: Numbers | None = None
    span: Numbers | None = None
    drying_flux: Numbers | None = None
    longest_lag: Numbers | None = None
    barrel_temperature: Numbers | None = None
    nozzle_temperature: Numbers | None = None
    layer_height_error: Numbers = 0.1e-3
    speed_error: Numbers = 0.02
    bore_error: Numbers = 0.01
    temperature_error: Numbers = 1.0

    __repr__ = brief

    def __post_init__(self):
        if self.shape not in (STRAIGHT, LONG, RING):
            raise DataError(f"PrintJob: shape = {self.shape!r}; give {STRAIGHT!r}, {LONG!r} or {RING!r}.")
        if self.shape == RING and self.ring_radius is None:
            raise DataError("PrintJob: a ring needs its ring_radius [m].")
        for name in ("layer_height", "line_width"):
            one, other = getattr(self, name), getattr(self, f"{name}_to_bore")
            if (one is None) == (other is None):
                raise DataError(f"PrintJob: give either {name} [m] or {name}_to_bore [-], and not both.")
        heated("PrintJob", self)
        with settled(self):
            given = {name: value for name in ABOVE_ZERO if (value := getattr(self, name)) is not None}
            positive("PrintJob", **given)

    @guarded
    def height(self, bore: Numbers) -> Numbers:
        """Return the layer height [m] under a nozzle of a bore [m]."""
        return self.layer_height if self.layer_height is not None else self.layer_height_to_bore * bore

    @guarded
    def width(self, bore: Numbers) -> Numbers:
        """Return the line width [m] under a nozzle of a bore [m]."""
        return self.line_width if self.line_width is not None else self.line_width_to_bore * bore

    @guarded
    def flow_rate(self, bore: Numbers) -> Numbers:
        """Return the flow [m3/s] that fills the line at the speed of the nozzle."""
        return line_section(self.width(bore), self.height(bore)) * self.print_speed
