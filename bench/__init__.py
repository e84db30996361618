"""Timings of what must stay fast; each module here has a `main()` that prints its own lines."""
