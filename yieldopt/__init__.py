"""yieldopt: from measured rough boards and a list of finished parts to marked, cut and milled blanks."""

__version__ = "0.1.0"
