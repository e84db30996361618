"""Quantities as photographers write them, and as the program keeps them (SI)."""
