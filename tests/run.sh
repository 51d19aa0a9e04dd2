#!/bin/sh
# Runs every test, those in a real browser too, installing what they need:   sh tests/run.sh
# Anything after it goes to pytest:                                          sh tests/run.sh -k cone
CDPATH= cd -- "$(dirname -- "$0")/.." || exit 1
. notebooks/environment.sh
unset PYTHONDONTWRITEBYTECODE # what is compiled once serves every kernel and every process that the tests start

prepare_environment tests

if command -v chromium >/dev/null; then
    say "2. Browser for the tests: $(command -v chromium)."
else
    say "2. Installing Debian's chromium for the tests that need a browser."
    install_debian chromium fonts-dejavu-core
fi

case " $* " in *" -m "*) # whoever chooses by marker knows what is run beside what
    say "3. Running the tests."
    exec .venv/bin/python -m pytest "$@"
    ;;
esac

say "3. Running the tests that measure how soon a page answers: alone, so that nothing else is measured."
.venv/bin/python -m pytest -m timed "$@"
timed=$?

say "4. Running all others, side by side: one file a core, those in the browser first, then the longest."
.venv/bin/python -m pytest -m "not timed" --numprocesses auto --dist loadfile --no-loadscope-reorder "$@"
others=$?

# 5: what follows on the command line chose no test of this half
[ $timed -eq 5 ] && exit $others
[ $others -eq 5 ] && exit $timed
[ $timed -ne 0 ] && say "Step 3 failed; its messages are above those of step 4." && exit $timed
exit $others
