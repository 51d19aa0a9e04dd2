"""How every chart looks: pages, colours and shapes that tell tests apart, axis titles, sizes; and how it is shown live."""

import math
import textwrap
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

import altair as alt

from ..errors import DataError
from ..nomenclature import QUANTITIES
from .labels import break_titles
from .sooner import without_network
from .subtitles import Caveat, below_title

TEXT = 15  # px of axis and legend text: legible from the back of a room
LARGE, LARGE_TEXT = (
    ", large",
    22,
)  # what the name of a page ends in that a projector throws on a wall, and its text [px]
NAME_LETTER = 7.3  # px, of a name in a legend
HEAD_LETTER = 10.0  # px, of a title, in the widest of the usual letters
BESIDE_NAME = 70  # px beside the name of a symbol in a legend: the symbol and the edges
LEAST_HEIGHT, MOST_HEIGHT = 330, 480  # px of a plot: picture, answer and controls stand in one view
LINES_BESIDE = 23  # of text above and below a plot
SLENDER = 0.44  # height over width of one between
HOVER = ".3~r"  # of a number below the pointer: three digits, never a power of ten
STEPS = (1,), (1, 2, 5), (1, 1.5, 2, 3, 5, 7), (1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 7, 8, 9)  # of a decade, few to many
FEWEST_TICKS = 4
_PARTS = "split(format(datum.value, '~e'), 'e')"  # mantissa and power of ten
_RAISED = "split('⁰,¹,²,³,⁴,⁵,⁶,⁷,⁸,⁹', ',')"
_POWER = f"abs(toNumber({_PARTS}[1]))"
_POWER_RAISED = " + ".join(
    [f"({_POWER} < {ten} ? '' : {_RAISED}[floor({_POWER} / {ten}) % 10])" for ten in (100, 10)]
    + [f"{_RAISED}[{_POWER} % 10]"]
)  # digit by digit
PLAIN = (
    "datum.value && (abs(datum.value) > 1.001e5 || abs(datum.value) < 0.999e-3)"
    f" ? ({_PARTS}[0] == '1' ? '' : {_PARTS}[0] + ' · ') + '10' + (abs(datum.value) < 1 ? '⁻' : '')"
    f" + {_POWER_RAISED}"
    " : format(datum.value, '~r')"
)
"""How a number beside an axis is written: 20 and never 2e+1; a power of ten beyond 100000 and below 0.001 alone."""

ASIDE = {
    "offsetX": 28,
    "offsetY": 28,
}  # px from the pointer to what is said of the point below it, which stays in sight
NARROW = 520  # px of width below which labels stand below each other


class Page(NamedTuple):
    """Colours for one page: background, text and law line, grid, band, what warns, and one colour a test.

    The colours of tests differ in lightness by 5 steps of CIE L* at least, so they differ in greyscale and for colour-blind
    eyes too; each stands out from the background 3 to 1 at least.
    """

    background: str
    ink: str
    grid: str
    band: str
    warning: str
    colours: tuple


PAGES = {
    "light": Page("#ffffff", "#1a1a1a", "#e3e3e3", "#8c8c8c", "#b00020",
                  ("#0b3b82", "#c2410a", "#0b6042", "#bb57ab", "#bb860f", "#40151b")),
    "dark": Page("#111111", "#f0f0f0", "#3a3a3a", "#8c8c8c", "#ff8a80",
                 ("#478bf0", "#fab79b", "#16c284", "#f2dcee", "#fff6df", "#1f7fae")),
}  # fmt: skip
SHAPES = ("circle", "square", "triangle-up", "diamond", "triangle-down", "cross", "triangle-right")


@dataclass(frozen=True)
class Sheet:
    """What a picture is drawn on: the colours of its page, its width with the axes [px], and how large its text is [px]."""

    page: Page
    width: int
    text: int = TEXT

    @property
    def room(self):
        """Width in px of the usual text, by which words are broken and laid out."""
        return self.width * TEXT / self.text

    @property
    def height(self):
        """Height of the plot [px]."""
        return height_of(self.width, self.text)

    def lower(self, height):
        """Return a height of a plot [px], less what large text takes beside it."""
        return height - LINES_BESIDE * (self.text - TEXT)

    @property
    def narrow(self):
        """True where labels have no room beside each other."""
        return self.room < NARROW

    def marks(self, frame, names, legend=True, **encodings):
        """Return the marks of a frame with columns test and solid: a colour and a shape a test, open where not solid."""
        shown = [name for name in names if name in set(frame.test)]
        places = [names.index(name) for name in shown]
        colours = alt.Scale(domain=shown, range=[self.page.colours[k % len(self.page.colours)] for k in places])
        shapes = alt.Scale(domain=shown, range=[SHAPES[k % len(SHAPES)] for k in places])
        key = self.legend(130, shown) if legend else None
        by_test = {
            "color": alt.Color("test:N", scale=colours, legend=key, sort=shown),
            "shape": alt.Shape("test:N", scale=shapes, legend=key, sort=shown),
        }
        layers = []
        for solid in (True, False):
            rows = frame[frame.solid == solid]
            if len(rows):
                points = alt.Chart(rows).mark_point(size=90, strokeWidth=2, opacity=1, filled=solid)
                layers.append(points.encode(**by_test, **encodings))
        return layers

    def texts(self, data, field, x, y, colour=None, halo=MappingProxyType({"strokeWidth": 5}), **look):
        """Return the layers of words, below them a halo of the colour of the page: so they are read above lines."""
        ground = {"color": self.page.background, "stroke": self.page.background, **halo}
        marks = data.mark_text(**ground, **look), data.mark_text(color=colour or self.page.ink, **look)
        return [mark.encode(x, y, text=f"{field}:N") for mark in marks]

    def legend(self, symbol_size, names):
        """Return a legend of names below the picture, in one column where two have no room, with symbols of an area [px2]."""
        longest = max((len(name) for name in names), default=0) * NAME_LETTER + BESIDE_NAME
        columns = 1 if 2 * longest > self.room else 2
        look = {"symbolSize": symbol_size, "symbolStrokeWidth": 2, "labelLimit": self.width - BESIDE_NAME}
        return alt.Legend(title=None, orient="bottom", columns=columns, **look)

    def finished(self, chart, title, subtitle, words, height=None):
        """Return a chart with its title, size, words and the look of its page."""
        page = self.page
        warns, subtitle = any(isinstance(line, Caveat) for line in subtitle), below_title(subtitle, self.room)
        text = {"labelColor": page.ink, "titleColor": page.ink, "labelFontSize": self.text, "titleFontSize": self.text}
        broken = textwrap.wrap(title, max(int(self.room / HEAD_LETTER), 20), break_on_hyphens=False)
        title = broken if len(broken) > 1 else title
        heading = alt.Title(title, subtitle=subtitle) if subtitle else alt.Title(title)
        size = alt.AutoSizeParams(type="fit-x", contains="padding")
        ground = {"background": page.background, "autosize": size}
        lines = {"gridColor": page.grid, "domainColor": page.ink, "tickColor": page.ink}
        colour, weight = (page.warning, "bold") if warns else (page.ink, "normal")
        below = {
            "subtitleColor": colour,
            "subtitleFontWeight": weight,
            "subtitleFontSize": self.text,
            "subtitlePadding": 4,
        }
        height = height or self.height
        break_titles(chart, self.room, height * TEXT / self.text)
        return (
            chart.properties(width=self.width, height=height, title=heading, description=words, **ground)
            .configure_view(stroke=page.grid)
            .configure_axis(**text, **lines, titleFontWeight="normal")
            .configure_legend(**text, labelLimit=0, gradientStrokeColor=page.ink, gradientStrokeWidth=1)
            .configure_title(anchor="start", color=page.ink, fontSize=self.text + 2, **below)
            .configure_text(color=page.ink, fontSize=self.text)
        )


def height_of(width, text=TEXT):
    """Return the height of the plot of a picture of a width [px]; large text takes of it what it takes beside it."""
    return round(min(max(SLENDER * width, LEAST_HEIGHT), MOST_HEIGHT)) - LINES_BESIDE * (text - TEXT)


def sheet_of(page, width):
    """Return the `Sheet` of the name of a page and a width [px]: every picture starts with it."""
    colours = without_size(page)
    if colours not in PAGES:
        raise DataError(f"page = {page!r}; it must be one of {', '.join(map(repr, PAGES))}.")
    return Sheet(PAGES[colours], width, TEXT if colours == page else LARGE_TEXT)


def without_size(page):
    """Return the name of a page without what it says of the size of its text."""
    return page.removesuffix(LARGE)


def shrunk(page, length):
    """Return a length of a page [px] in px of the usual text, by which words are laid out."""
    return length if without_size(page) == page else length * TEXT / LARGE_TEXT


def axis_title(name, unit=None, words=None):
    """Return an axis title: words, symbol and unit of a quantity of the nomenclature."""
    about = QUANTITIES[name]
    return f"{words or name.replace('_', ' ')} {about.symbol} [{unit or about.unit}]"


def axis(channel, field, title, ends, log=False, **look):
    """Return the channel of a field on an axis between two ends, logarithmic with round ticks where asked."""
    scale = {"type": "log"} if log else {}
    look = {"values": ticks(*ends), **look} if log else look
    return (
        channel(f"{field}:Q", title=title).scale(domain=list(ends), nice=False, **scale).axis(labelExpr=PLAIN, **look)
    )


def on_axis(channel, field):
    """Return the channel of another field on the axis of one."""
    other = channel.copy()
    other["shorthand"] = f"{field}:Q"
    return other


def ticks(low, high):
    """Return round ticks of a logarithmic axis: decades, with as many between as it takes to have a few."""
    decades = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    for steps in STEPS:
        found = [float(f"{step * 10.0**k:.6g}") for k in decades for step in steps]
        found = [tick for tick in found if low <= tick * (1 + 1e-9) and tick <= high * (1 + 1e-9)]
        if len(found) >= FEWEST_TICKS:
            break
    return found


def tip(field, title, form=HOVER):
    """Return a line of what is said below the pointer, of a number."""
    return alt.Tooltip(f"{field}:Q", title=title, format=form)


def names_of(tests):
    """Return a name for every test, each different."""
    seen, names = {}, []
    for test in tests:
        seen[test.name] = seen.get(test.name, 0) + 1
        names.append(test.name if seen[test.name] == 1 else f"{test.name} ({seen[test.name]})")
    return names


def live(chart: alt.TopLevelMixin) -> alt.JupyterChart:
    """Return a widget that shows a chart; set its `chart` to another one and the picture follows, without a network."""
    without_network()
    return alt.JupyterChart(chart, embed_options={"renderer": "canvas", "actions": False, "tooltip": ASIDE})
