"""How long each picture takes: frames for one good one, the strobes' rhythm, the change-over."""

from __future__ import annotations

from collections.abc import Mapping

from kinlight.group.abilities import Abilities
from kinlight.group.frames_needed import frames_needed
from kinlight.group.order import picture_duration_s
from kinlight.plan.model import PictureTime
from kinlight.sitting.document import Sitting
from kinlight.sitting.pictures import Picture


def picture_time(
    sitting: Sitting,
    picture: Picture,
    can: Mapping[str, Abilities],
    *,
    rhythm_s: float,
    flash_s: float,
) -> PictureTime:
    """Return how long a picture takes.

    Parameters
    ----------
    rhythm_s : the fastest the strobes can follow [s].
    flash_s : the time in which a blink is caught, the flash's t0.1 where flash dominates [s].
    """
    wishes = sitting.wishes
    needed = frames_needed([can[p].age_years for p in picture.people], exposure_s=flash_s)
    frames = picture.frames or max(needed.planned, wishes.frames_least)
    wanted_s = picture.seconds_between_frames_s or wishes.seconds_between_frames_s
    return PictureTime(
        frames=frames,
        needed=needed,
        between_frames_s=max(rhythm_s, wanted_s),
        shooting_s=picture_duration_s(
            frames, rhythm_s=wanted_s, recycle_s=rhythm_s, change_over_s=0.0
        ),
        change_over_s=wishes.change_over_s + wishes.change_over_per_person_s * len(picture.people),
    )
