"""Explorers for the notebooks: ipywidgets around the charts, one explorer a file."""

from .exercise import Exercise
from .fit_explorer import FitExplorer
from .nozzle_explorer import NozzleExplorer
from .region_explorer import RegionExplorer
from .recipe_explorer import RecipeExplorer

__all__ = ["Exercise", "FitExplorer", "NozzleExplorer", "RegionExplorer", "RecipeExplorer"]
