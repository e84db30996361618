"""From a sitting to a plan: filling in what is blank, and checking that the set holds."""
