"""Explorers for the notebooks: ipywidgets around the charts, one explorer a file."""

from .fit_explorer import FitExplorer
from .nozzle_explorer import NozzleExplorer
from .region_explorer import RegionExplorer

__all__ = ["FitExplorer", "NozzleExplorer", "RegionExplorer"]
