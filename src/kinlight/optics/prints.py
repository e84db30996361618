"""Sizes sold: how a frame is cut to fill them, and how fine the print is."""

from __future__ import annotations

from kinlight.optics.checks import require_positive
from kinlight.quantities.lengths import METRES_PER_INCH

Size = tuple[float, float]


def ways_to_hang(size_m: Size) -> list[Size]:
    """Return a print's width and height both ways round; once if it is square."""
    width, height = size_m
    return [size_m] if width == height else [size_m, (height, width)]


def kept_of_frame(*, frame: Size, print_m: Size) -> float:
    """Return the share of a frame's area kept by a print that it is cropped to fill [-].

    Parameters
    ----------
    frame : long and short side of the frame, in any unit, either way round.
    print_m : the print, either way round [m].
    """
    require_positive(frame_side=min(frame), print_side_m=min(print_m))
    shapes = (max(frame) / min(frame), max(print_m) / min(print_m))
    return min(shapes) / max(shapes)


def ppi_to_fill(*, pixels: tuple[int, int], print_m: Size) -> float:
    """Return the pixels per inch of a whole frame cropped to fill a print [1/in].

    Both may be given either way round; long side goes with long side.
    """
    require_positive(pixels=min(pixels), print_side_m=min(print_m))
    long_in, short_in = max(print_m) / METRES_PER_INCH, min(print_m) / METRES_PER_INCH
    return min(max(pixels) / long_in, min(pixels) / short_in)
