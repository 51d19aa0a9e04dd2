"""What JupyterLab shows beside a notebook, before it has noted how its user likes it."""

import importlib
import json
from pathlib import Path

PUT_AWAY = {"collapsed": True, "visible": True, "widgets": []}


def without_file_browser(folder: Path, name: str = "default") -> None:
    """Write a workspace in which the file browser is put away, for JupyterLab to begin with, into its folder of workspaces."""
    begun = {"data": {"layout-restorer:data": {"left": PUT_AWAY}}, "metadata": {"id": name}}
    manager = importlib.import_module("jupyterlab_server.workspaces_handler").WorkspacesManager(str(folder))
    manager.save(name, json.dumps(begun))
