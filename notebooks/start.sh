#!/bin/sh
# Opens JupyterLab on the first notebook:   sh notebooks/start.sh
# Anything after it goes to JupyterLab:     sh notebooks/start.sh --no-browser --port 8899
cd "$(dirname "$0")/.." || exit 1
. notebooks/environment.sh

notebook=notebooks/1-fit-bench-data.ipynb
prepare_environment notebooks

say "2. Starting JupyterLab on $notebook."
say "   If no browser opens by itself, open the address with 127.0.0.1 shown below. Ctrl+C here stops it."
[ "$(id -u)" -eq 0 ] && set -- --allow-root "$@" # JupyterLab refuses root otherwise
# No news pop-up and no look for updates: nothing is asked of the network.
exec .venv/bin/python -m jupyterlab \
    --ServerApp.root_dir="$PWD" \
    --LabApp.default_url="/lab/tree/$notebook" \
    --LabApp.news_url=None \
    --LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate \
    "$@"
