"""Plan a family portrait sitting and prove in numbers that the set holds."""

__version__ = "0.1.0"
