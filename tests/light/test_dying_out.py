"""Light that does not die out, or is not followed until it does, is no number."""

from __future__ import annotations

import pytest

from kinlight.errors import RangeError
from kinlight.light import bounce
from kinlight.light.emitter import rectangle
from kinlight.light.transport import leaving_at, surroundings
from kinlight.light.world import Room, World


@pytest.mark.parametrize("reflectance", [1.0, 1 - 1e-7])
@pytest.mark.parametrize("size_m", [(4, 5, 2.6), (3, 3, 3), (7, 4, 2.4)])
def test_a_room_in_which_light_does_not_die_out_is_refused(reflectance, size_m):
    """All of it perfectly white and nothing in it that takes light up, or as good as nothing."""
    lamp = rectangle((0.8, 0.9, 1.2), (0.3, 0.5, 0.2), width_m=0.3, height_m=0.3)
    around = surroundings(World(room=Room((0, 0, 0), size_m, (reflectance,) * 6)))
    with pytest.raises(RangeError) as caught:
        leaving_at(around, [lamp])
    assert str(caught.value) == (
        "the light between these surfaces does not die out; "
        "give the walls, the floor or the ceiling a lower reflectance"
    )


def test_light_not_followed_to_its_end_is_no_number(monkeypatch):
    """Where the solution is not reached in the steps there are, that is said."""
    monkeypatch.setattr(bounce, "_WAYS", 2)
    monkeypatch.setattr(bounce, "_TIMES", 2)
    around = surroundings(World(room=Room((0, 0, 0), (4, 3, 2.5), (0.9, 0.2, 0.8, 0.1, 0.3, 0.7))))
    lamp = rectangle((0.8, 0.9, 1.2), (0.3, 0.5, 0.2), width_m=0.3, height_m=0.3)
    with pytest.raises(RangeError, match="does not die out"):
        leaving_at(around, [lamp])
