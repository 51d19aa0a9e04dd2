"""Explorers for the notebooks: ipywidgets around the charts, one explorer a file."""
