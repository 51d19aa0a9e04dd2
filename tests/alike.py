"""Whether two benches hold the same, for every test of reading and writing."""

from rheokit.reading.compare import differences


def same_benches(one, other):
    """Say whether two benches hold the same specimen and the same tests in the same order."""
    alike = len(one.tests) == len(other.tests) and not differences(one.specimen, other.specimen)
    return alike and all(not differences(a, b) for a, b in zip(one.tests, other.tests, strict=True))
