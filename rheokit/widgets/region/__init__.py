"""The printable region: a map of two things varied, its windows, its answer in words."""
