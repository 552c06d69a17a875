"""Brinebook keeps the books of a home reef's water. See README.md for the job it does."""

__version__ = "0.1.0"
