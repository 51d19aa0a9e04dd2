"""The strip that stays in view on top of a page: the answer, how far to trust it, and what binds first.

A page puts one `Strip()` before all that it answers for, and writes into it as into any `Answer`: `strip.answer.say("38 N")`,
`strip.trust.say("2 checks failed", DOUBTFUL)`, `strip.binds.say("the drive, at 1.4 times this force")`; a move of a control greys it.
"""

import ipywidgets as W

from .accessible import name
from .elements import escape
from .freshness import Answer

SOUND, DOUBTFUL, STOPPED = "sound", "doubtful", "stopped"
MARKS = {SOUND: "", DOUBTFUL: "▲", STOPPED: "■"}
"""What stands before the words of a grade, which is never told by colour alone."""
COMPUTING, NOTHING_YET = "computing ...", "nothing to say yet"
ANSWER, TRUST, BINDS = "Answer", "How far to trust it", "What binds first"

# Its height is fixed, so that nothing below moves with its words; those that do not fit scroll in their part.
STRIP_STYLE = """<style>
/* what would scroll on its own holds it fast */
:is(.jp-OutputArea-output, .jp-OutputArea-child, .jp-Cell-outputArea):has(.rheokit-strip),
.rheokit-page:has(.rheokit-strip), .rheokit-page .widget-box:has(.rheokit-strip) { overflow: visible; }
.rheokit-page { --strip: 104px; }
.rheokit-page.projector, .rheokit-page.projector .rheokit-page { --strip: 168px; }
.rheokit-page .rheokit-strip {
  position: sticky; top: 0; z-index: 5; flex: 0 0 auto; display: grid; grid-template: 100% / 6fr 4fr 4fr; gap: 0 8px;
  height: var(--strip); box-sizing: border-box; padding: 4px 0; overflow: hidden;
  background: var(--jp-layout-color0, #ffffff); border-bottom: 2px solid var(--jp-border-color1, #9e9e9e);
}
.rheokit-page .rheokit-strip > .widget-html {
  position: relative; width: auto; height: auto; min-height: 0; margin: 0; padding: 0 8px; overflow-y: auto; display: block;
  border-left: 5px solid var(--jp-border-color1, #9e9e9e);
}
.rheokit-page .rheokit-strip .widget-html-content { line-height: 1.3; }
.rheokit-page .rheokit-strip p { line-height: 1.3; margin: 0; }
.rheokit-page .rheokit-strip .called { font-size: calc(var(--text) - 2px); color: var(--jp-ui-font-color2, #555555); }
.rheokit-page .rheokit-strip > .of-answer p:not(.called) { font-size: var(--large); font-weight: 600; }
.rheokit-page .rheokit-strip > :has(.doubtful) { border-left: 5px dashed var(--jp-warn-color0, #b26a00); }
.rheokit-page .rheokit-strip > :has(.stopped) { border-left: 8px double var(--jp-error-color1, #d32f2f); }
.rheokit-page .rheokit-strip > .widget-html.old::before, .rheokit-page.unheard .rheokit-strip > .widget-html.answer:has(> :not(:empty))::before {
  position: absolute; top: 0; right: 4px; width: auto; padding: 0 4px; font-size: calc(var(--text) - 2px);
}
.rheokit-page:has(.rheokit-strip) :is(h3, input, select, textarea, button, summary) { scroll-margin-top: calc(1.7 * var(--strip)); }
@container (max-width: 900px) {
  .rheokit-page .rheokit-strip { grid-template: 52% 48% / 1fr 1fr; }
  .rheokit-page .rheokit-strip > .of-answer { grid-column: 1 / 3; }
  .rheokit-page .rheokit-strip { height: calc(1.7 * var(--strip)); }
}
</style>"""


class Part(Answer):
    """A part of a strip: its title, and words with their grade."""

    def __init__(self, title: str) -> None:
        self.title = title
        super().__init__()

    def say(self, words: str, grade: str = SOUND) -> None:
        """Say words of a grade, one of `MARKS`, in place of those before; they are new."""
        mark = f"{MARKS[grade]} " if MARKS[grade] else ""
        said = f"<div role='status' class='{grade}'><p>{mark}{escape(words)}</p></div>"
        self.value = f"<p class='called'>{escape(self.title)}</p>{said}"


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
