"""A plan on paper: the set sheet as PDF."""
