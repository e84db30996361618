"""The longest focal length that still frames everyone for every size."""

from __future__ import annotations

from collections.abc import Sequence

from numpy.typing import ArrayLike

from kinlight.errors import Fault, RangeError
from kinlight.optics.crops import NO_MARGINS, Margins, Rect, bounds, smallest_size
from kinlight.optics.framing import CameraView
from kinlight.optics.prints import Size, ways_to_hang


def longest_focal_mm(
    view: CameraView,
    points_m: ArrayLike,
    *,
    sizes_m: Sequence[Size],
    margins: Margins = NO_MARGINS,
) -> float:
    """Return the longest focal length that frames points for every size, from this spot [mm].

    The camera stays where it is and stays focused on the same plane; each print may hang either
    way. The lens's own range is not looked at.

    Parameters
    ----------
    points_m : what must be in the picture, shape (n, 3) [m].
    sizes_m : prints wanted, (width, height) each [m].
    margins : air around what is needed, as shares of the crop.

    Notes
    -----
    The picture grows in proportion to d = f (1 + m/P), so the largest d follows in closed form
    from each side's room, and f = d s / (s + d/P), with s from the entrance pupil to the focus.
    """
    if not sizes_m:
        raise RangeError(Fault("no print size is given to frame for"))
    slopes = bounds(view.slopes(points_m))
    if not slopes.width_mm + slopes.height_mm > 0:
        raise RangeError(Fault("a single point does not say how large the picture must be"))
    d = min(
        max(
            _largest_scale(slopes, way[0] / way[1], frame_mm=view.frame_mm, margins=margins)
            for way in ways_to_hang(size)
        )
        for size in sizes_m
    )
    s = view.pupil_to_focus_m * 1000
    return d * s / (s + d / view.pupil_ratio)


def _largest_scale(slopes: Rect, aspect: float, *, frame_mm: Size, margins: Margins) -> float:
    """Return the largest principal distance at which the crop lies within the frame [mm]."""
    width, height = smallest_size(slopes, aspect=aspect, margins=margins)
    reach = (  # how far the crop must reach from the middle of the frame, at a scale of one
        (width, frame_mm[0]),
        (height, frame_mm[1]),
        (margins.left * width - slopes.left_mm, frame_mm[0] / 2),
        (margins.right * width + slopes.right_mm, frame_mm[0] / 2),
        (margins.bottom * height - slopes.bottom_mm, frame_mm[1] / 2),
        (margins.top * height + slopes.top_mm, frame_mm[1] / 2),
    )
    return min(side / length for length, side in reach if length > 0)
