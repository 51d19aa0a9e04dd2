#!/bin/sh
# Opens JupyterLab on the first notebook:   sh notebooks/start.sh
# Anything after it goes to JupyterLab:     sh notebooks/start.sh --no-browser --port 8899
CDPATH= cd -- "$(dirname -- "$0")/.." || exit 1
. notebooks/environment.sh

prepare_environment notebooks

say "2. rheokit open: what .venv/bin/rheokit does on any system."
exec .venv/bin/python -m rheokit open -- "$@"
