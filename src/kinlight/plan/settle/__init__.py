"""Filling in what a sitting leaves blank, each value marked as proposed."""
