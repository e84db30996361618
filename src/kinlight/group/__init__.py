"""The people as a group: combinations, arrangement, running order, and frames needed."""
