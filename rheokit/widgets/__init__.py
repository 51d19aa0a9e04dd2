"""Explorers for the notebooks: ipywidgets around the charts, one explorer a file."""

from .fit_explorer import FitExplorer

__all__ = ["FitExplorer"]
