"""Stands and booms as stated: what contradicts itself, and what is assumed of them."""

from __future__ import annotations

from typing import Any

import pytest
from sittings import IDA, KEY, sentences, with_key

from kinlight.sitting.assumed import assumptions
from kinlight.sitting.document import Sitting
from kinlight.sitting.files import parse
from kinlight.sitting.strobes import LightStand


def _stand(**fields: Any) -> list[str]:
    return with_key(stand=fields)


@pytest.mark.parametrize(
    "stand",
    [
        {},
        {"mass": 5, "head": 3, "radius": "50 cm", "legs": 4, "bag": 10, "leg_under": True},
        {"boom": 1.2},
        {"boom": 1.2, "short_arm": 0.6},  # asks how much to hang there
        {"boom": 1.2, "boom_tube": 1.5, "short_arm": 0.6, "counterweight": 6},
    ],
)
def test_a_stand_that_can_be_is_accepted(stand: dict[str, Any]) -> None:
    """With a boom or without, balanced or still to be balanced."""
    assert _stand(**stand) == []


@pytest.mark.parametrize(
    ("found", "sentence"),
    [
        (
            _stand(boom=1.2, counterweight=6),
            "light 'key', stand: has a counterweight and no arm to hang it on; give short_arm, "
            "from the column to the counterweight",
        ),
        (
            _stand(short_arm=0.6),
            "light 'key', stand: has parts of a boom and no boom; give boom, from the column to "
            "below the head",
        ),
        (
            _stand(boom_tube=2),
            "light 'key', stand: has parts of a boom and no boom; give boom, from the column to "
            "below the head",
        ),
        (
            # the key is 2 m before the mark, 4.1 m before the back wall of a room 5 m wide: its
            # farthest corner is the root of 2.5^2 + 4.1^2 = 4.80 m away
            _stand(boom=4, short_arm=1),
            "light 'key', stand: its boom reaches 5.00 m from below the head to its other end; the "
            "farthest corner of the room is 4.80 m away; mend boom and short_arm, or the room's "
            "size",
        ),
    ],
)
def test_a_boom_that_cannot_be_is_refused(found: list[str], sentence: str) -> None:
    """In one sentence that names the light."""
    assert found == [sentence]


def test_a_boom_that_just_fits_into_a_corner_is_let_be() -> None:
    """4.80 m from the farthest corner: 4.8 m of boom fit."""
    assert _stand(boom=4, short_arm=0.8) == []
    assert len(_stand(boom=4, short_arm=0.81)) == 1


def test_what_is_not_stated_of_a_stand_is_assumed() -> None:
    """Its reach and the weights, in the studio's units; of no stand, nothing."""
    sitting = parse({"people": [IDA], "lights": [KEY | {"stand": {"head": 2}}]})
    said = [a.text for a in assumptions(sitting)]
    assert "feet of the stands of key: 50 cm from the column" in said
    assert "stands of key: 3 kg each" in said
    assert not any("heads with modifiers" in text for text in said)
    bare = [a.text for a in assumptions(parse({"people": [IDA], "lights": [KEY]}))]
    assert not any("stands of" in text for text in bare)


def test_no_two_fields_of_a_stand_have_one_word() -> None:
    """In the document the unit is left off: `boom` must not be a length and a mass."""
    words = [field.alias for field in LightStand.model_fields.values()]
    assert len(set(words)) == len(words)


def test_sentences_are_of_the_right_document() -> None:
    """A sitting without lights has no stands to be wrong."""
    assert sentences(lights=[]) == []
    assert isinstance(parse({"people": [IDA], "lights": []}), Sitting)
