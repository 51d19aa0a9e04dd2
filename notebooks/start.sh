#!/bin/sh
# Opens JupyterLab on the first notebook:   sh notebooks/start.sh
# Anything after it goes to JupyterLab:     sh notebooks/start.sh --no-browser --port 8899
CDPATH= cd -- "$(dirname -- "$0")/.." || exit 1
. notebooks/environment.sh

notebook=notebooks/1-fit-bench-data.ipynb
prepare_environment notebooks

say "2. Starting JupyterLab on $notebook."
say "   If no browser opens by itself, open the address with 127.0.0.1 shown below. Ctrl+C here stops it."
[ "$(id -u)" -eq 0 ] && set -- --allow-root "$@" # JupyterLab refuses root otherwise
# JupyterLab's defaults for this workbook: no question about news, no request for news or updates.
export JUPYTER_CONFIG_PATH="$PWD/notebooks/settings${JUPYTER_CONFIG_PATH:+:$JUPYTER_CONFIG_PATH}"
exec .venv/bin/python -m jupyterlab \
    --ServerApp.root_dir="$PWD" --LabApp.default_url="/lab/tree/$notebook" "$@"
