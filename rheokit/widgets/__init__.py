"""Explorers for the notebooks: ipywidgets around the charts, one explorer a file."""

from .exercise import Exercise
from .fit_explorer import FitExplorer
from .nozzle_explorer import NozzleExplorer
from .recipe_explorer import RecipeExplorer
from .region_explorer import RegionExplorer

__all__ = ["Exercise", "FitExplorer", "NozzleExplorer", "RecipeExplorer", "RegionExplorer"]
