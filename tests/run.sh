#!/bin/sh
# Runs every test, those in a real browser too, installing what they need:   sh tests/run.sh
# Anything after it goes to pytest:                                          sh tests/run.sh -k cone
CDPATH= cd -- "$(dirname -- "$0")/.." || exit 1
. notebooks/environment.sh

prepare_environment tests

if command -v chromium >/dev/null; then
    say "2. Browser for the tests: $(command -v chromium)."
else
    say "2. Installing Debian's chromium for the tests that need a browser."
    install_debian chromium fonts-dejavu-core
fi

say "3. Running the tests."
exec .venv/bin/python -m pytest -m "" "$@" # -m "": no marker is left out
