"""What computes an appendix: rheokit by version and commit, the libraries that its numbers and pictures come from, Python and the system."""

import platform
from importlib import metadata

from ..release import commit

LIBRARIES = ("numpy", "scipy", "pandas", "lmfit", "altair", "vl-convert-python", "typst", "jinja2", "openpyxl")
NOT_INSTALLED = "not installed"


def versions() -> dict[str, str]:
    """Return what is at work, by name, each with its version; "not installed" for a library that is not there."""
    from .. import __version__

    return {
        "rheokit": __version__,
        "commit": commit().whole,
        **{name: _version(name) for name in LIBRARIES},
        "Python": f"{platform.python_implementation()} {platform.python_version()}",
        "system": f"{platform.system()} {platform.machine()}",
    }


def _version(name):
    try:
        return metadata.version(name)
    except metadata.PackageNotFoundError:
        return NOT_INSTALLED
