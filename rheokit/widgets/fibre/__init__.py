"""Heated gels and fibres: how fast to wind, over which gap, through which bath, and what stops it."""
