"""Tables that show text as it was typed: a notebook would set what stands between two dollar signs as a formula."""

import html
import textwrap

import pandas as pd


class Frame(pd.DataFrame):
    """A DataFrame whose texts are text in a notebook: "cost $5 and $6$" is what somebody named a test."""

    @property
    def _constructor(self):
        return Frame

    def _repr_html_(self):
        with pd.option_context("display.html.use_mathjax", False):
            return super()._repr_html_()


class Told(Frame):
    """A table of sentences, to be read row by row and whole; what is said of all of it stands in ``attrs["said"]``."""

    @property
    def _constructor(self):
        return Told

    @property
    def _said(self):
        return self.attrs.get("said", ())

    def __repr__(self):
        lines = [line for one in self._said for line in textwrap.wrap(one, 100)]
        for place, row in self.iterrows():
            lines += ["", f"{place}."]
            told = (f"{name}: {text}" for name, text in row.items())
            lines += [
                line
                for one in told
                for line in textwrap.wrap(one, 100, initial_indent="   ", subsequent_indent="      ")
            ]
        return "\n".join(lines)

    def _repr_html_(self):
        said = "".join(f"<p>{html.escape(one)}</p>" for one in self._said)
        with pd.option_context("display.max_colwidth", None):
            shown = super()._repr_html_() if len(self) else ""
        return f"<div class='mathjax_ignore'>{said}{shown}</div>"
