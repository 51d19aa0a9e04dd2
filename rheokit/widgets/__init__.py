"""Explorers for the notebooks: ipywidgets around the charts, one explorer a file."""

from .exercise.explorer import Exercise
from .fit.explorer import FitExplorer
from .nozzle.explorer import NozzleExplorer
from .recipe.explorer import RecipeExplorer
from .region.explorer import RegionExplorer

__all__ = ["Exercise", "FitExplorer", "NozzleExplorer", "RecipeExplorer", "RegionExplorer"]
