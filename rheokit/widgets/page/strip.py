"""The strip that stays in view on top of a page: the answer, how far to trust it, and what binds first.

A page puts one `Strip()` before all that it answers for, and writes into it as into any `Answer`: `strip.answer.say("38 N")`,
`strip.trust.say("2 checks failed", DOUBTFUL)`, `strip.binds.say("the drive, at 1.4 times this force")`; a move of a control greys it.
"""

from collections.abc import Sequence

import ipywidgets as W

from .accessible import name
from .elements import escape
from .freshness import Answer

SOUND, DOUBTFUL, STOPPED = "sound", "doubtful", "stopped"
MARKS = {SOUND: "", DOUBTFUL: "▲", STOPPED: "■"}
"""What stands before the words of a grade, which is never told by colour alone."""
COMPUTING, NOTHING_YET = "computing ...", "nothing to say yet"
NOT_COMPUTED = "not computed"
ON_THE_PAGE = "the message on the page says why"
ANSWER, TRUST, BINDS = "Answer", "How far to trust it", "What binds first"
ROOM = 140  # letters that a part holds
MOST = 2  # names of several that are said

# Its height is fixed, but where it is as narrow as a telephone, so that nothing below moves with its words: four lines of them in
# a part, three of the answer. Those that do not fit all the same scroll in their part, which the keyboard then reaches (`accessible`).
STRIP_STYLE = """<style>
/* what would scroll on its own holds it fast */
:is(.jp-OutputArea-output, .jp-OutputArea-child, .jp-Cell-outputArea):has(.rheokit-strip),
.rheokit-page:has(.rheokit-strip), .rheokit-page .widget-box:has(.rheokit-strip) { overflow: visible; }
.rheokit-page { --strip: 104px; }
.rheokit-page.projector, .rheokit-page.projector .rheokit-page { --strip: 192px; }
.rheokit-page .rheokit-strip {
  position: sticky; top: 0; z-index: 5; flex: 0 0 auto; display: grid; grid-template: 100% / 7fr 4fr 4fr; gap: 0 6px;
  height: var(--strip); box-sizing: border-box; padding: 0; overflow: hidden;
  background: var(--jp-layout-color0, #ffffff); border-bottom: 2px solid var(--jp-border-color1, #9e9e9e);
}
.rheokit-page .rheokit-strip > .widget-html {
  position: relative; width: auto; height: auto; min-height: 0; margin: 0; padding: 0 4px 0 8px; overflow-y: auto; display: block;
  border-left: 5px solid var(--jp-border-color1, #9e9e9e);
}
.rheokit-page .rheokit-strip :is(.widget-html-content, p, [role=status]) { line-height: 1.25; margin: 0; min-height: 0; }
.rheokit-page .rheokit-strip .called { font-size: calc(var(--text) - 2px); color: var(--jp-ui-font-color2, #555555); }
.rheokit-page .rheokit-strip > .of-answer p:not(.called) { font-size: calc(var(--large) - 1px); font-weight: 600; }
.rheokit-page.projector .rheokit-strip .called { font-size: var(--text); }
.rheokit-page .rheokit-strip > :has(.doubtful) { border-left: 5px dashed var(--jp-warn-color0, #b26a00); }
.rheokit-page .rheokit-strip > :has(.stopped) { border-left: 8px double var(--jp-error-color1, #d32f2f); }
/* beside the title, which flows around it */
.rheokit-page .rheokit-strip > .widget-html.old::before,
:is(.rheokit-page.unheard, .rheokit-page.overtaken, .rheokit-page.jupyter-widgets-disconnected) .rheokit-strip > .widget-html.answer:has(> :not(:empty))::before {
  position: static; float: right; width: auto; height: auto; padding: 0 4px; margin-left: 6px; font-size: calc(var(--text) - 2px); line-height: 1.1;
}
.rheokit-page .rheokit-strip > .widget-html.old:not(.of-answer)::before,
:is(.rheokit-page.unheard, .rheokit-page.overtaken, .rheokit-page.jupyter-widgets-disconnected)
  .rheokit-strip > .widget-html.answer:not(.of-answer):has(> :not(:empty))::before { content: "old" !important; }
.rheokit-page:has(.rheokit-strip) :is(h2, h3, input, select, textarea, button, summary) { scroll-margin-top: calc(1.9 * var(--strip)); }
@container (max-width: 900px) {
  .rheokit-page .rheokit-strip { grid-template: minmax(0, max-content) minmax(0, 1fr) / 1fr 1fr; height: calc(1.9 * var(--strip)); }
  .rheokit-page .rheokit-strip > .of-answer { grid-column: 1 / 3; }
}
@container (max-width: 500px) {  /* one below the other, as high as their words: a fixed height would cut them */
  .rheokit-page .rheokit-strip { grid-template: repeat(3, auto) / 1fr; height: auto; min-height: calc(1.9 * var(--strip)); align-content: start; }
  .rheokit-page .rheokit-strip > .of-answer { grid-column: auto; }
  .rheokit-page:has(.rheokit-strip) :is(h2, h3, input, select, textarea, button, summary) { scroll-margin-top: calc(2.7 * var(--strip)); }
}
</style>"""


def few(names: Sequence[str]) -> str:
    """Return the first of some names, and how many more there are."""
    names = list(dict.fromkeys(names))
    more = f" and {len(names) - MOST} more" if len(names) > MOST else ""
    return f"{', '.join(names[:MOST])}{more}"


def with_room(words: str, more: str) -> str:
    """Return words, and more of them where a part has room; else they are said below alone."""
    said = f"{words} {more}".strip()
    return said if len(said) <= ROOM else words


def begun(words: str) -> str:
    """Return as many of the first sentences as a part has room for, one at least; the others are said below alone."""
    sentences = words.removesuffix(".").split(". ")
    lengths = (". ".join(sentences[:count]) for count in range(len(sentences), 0, -1))
    return next((said for one in lengths if len(said := f"{one}.") <= ROOM), f"{sentences[0]}.")


class Part(Answer):
    """A part of a strip: its title, and words with their grade."""

    def __init__(self, title: str) -> None:
        self.title, self._said = title, ""
        super().__init__()

    def say(self, words: str, grade: str = SOUND) -> None:
        """Say words of a grade, one of `MARKS`, in place of those before; they are new."""
        mark = f"{MARKS[grade]} " if MARKS[grade] else ""
        said = f"<div role='status' class='{grade}'><p>{mark}{escape(words)}</p></div>"
        self.value = f"<p class='called'>{escape(self.title)}</p>{said}"
        self._said = words

    def fail(self) -> None:
        """Say that what was computed first came to nothing; what stood before the error is marked, as any answer."""
        if self._said == COMPUTING:
            self.refuse(ON_THE_PAGE)
        super().fail()

    def refuse(self, why: str) -> None:
        """Say why what was computed first came to nothing; what stood before stays."""
        if self._said == COMPUTING:
            self.say(f"{NOT_COMPUTED}: {why}", DOUBTFUL)


class Strip(W.Box):
    """A strip of fixed height that stays in view while the page is scrolled.

    Attributes
    ----------
    answer, trust, binds : Part
        The answer; whether checks failed, it is extrapolated or invented; what stops it first, and how near that is.
    """

    def __init__(self) -> None:
        self.answer, self.trust, self.binds = (Part(title) for title in (ANSWER, TRUST, BINDS))
        for part in (self.answer, self.trust, self.binds):
            part.say(COMPUTING)
        super().__init__([self.answer.add_class("of-answer"), self.trust, self.binds])
        self.add_class("rheokit-strip")
        name(self, "The answer in short")

    def say(self, words: str, grade: str = SOUND) -> None:
        """Say what keeps it from an answer, such as a number that is not known, and nothing else."""
        self.answer.say(words, grade)
        for part in (self.trust, self.binds):
            part.say(NOTHING_YET)
