"""Tables that show text as it was typed: a notebook would set what stands between two dollar signs as a formula."""

import pandas as pd


class Frame(pd.DataFrame):
    """A DataFrame whose texts are text in a notebook: "cost $5 and $6$" is what somebody named a test."""

    @property
    def _constructor(self):
        return Frame

    def _repr_html_(self):
        with pd.option_context("display.html.use_mathjax", False):
            return super()._repr_html_()
