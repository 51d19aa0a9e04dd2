# Sourced by notebooks/start.sh and tests/run.sh, from the top of the clone: makes and fills .venv.
# Needs Python 3.11 or newer and, only where something is missing, Debian's apt-get.

unset VIRTUAL_ENV # of another environment that may be active; this one is .venv

say() { printf '%s\n' "$*"; }

stop() {
    printf 'rheokit: %s\n' "$*" >&2
    exit 1
}

# install_debian PACKAGE...: as root, or through sudo.
install_debian() {
    command -v apt-get >/dev/null || stop "please install $* and run this again (there is no apt-get here to do it)"
    if [ "$(id -u)" -eq 0 ]; then
        as_root=
    else
        command -v sudo >/dev/null || stop "please run as root: apt-get install $* (there is no sudo here), then run this again"
        as_root=sudo
    fi
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get update </dev/null # a source that fails need not matter
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends "$@" </dev/null ||
        stop "apt-get could not install $*; its own message is above"
}

find_python() {
    for python in python3 python3.14 python3.13 python3.12 python3.11; do
        "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null && return
    done
    stop "Python 3.11 or newer is needed and was not found; on Debian 12 or newer: apt-get install python3"
}

# prepare_environment EXTRA: .venv holds rheokit from this clone with the named extra of pyproject.toml.
# Does nothing if it did so before, here, for this pyproject.toml.
prepare_environment() {
    installed=.venv/installed-$1
    if .venv/bin/python -m pip --version >/dev/null 2>&1; then
        if { pwd && cat pyproject.toml; } | cmp -s - "$installed"; then
            say "1. Python packages: already in .venv."
            return
        fi
    else
        find_python
        if ! "$python" -c 'import ensurepip, venv' 2>/dev/null; then
            say "1. Installing Debian's $python-venv (Python here cannot make an environment without it)."
            install_debian "$python-venv"
        fi
        say "1. Making a Python environment in .venv."
        "$python" -m venv --clear .venv || stop "could not make .venv; the message above says why"
    fi
    say "   Installing rheokit's packages into .venv (a few hundred MB the first time; some minutes on a slow line)."
    .venv/bin/python -m pip install --disable-pip-version-check --editable ".[$1]" ||
        stop "pip could not install the packages; its own message is above. Run this again to go on from there"
    { pwd && cat pyproject.toml; } >"$installed"
}
