"""Exercises: a question, a number, and what is said of it."""
