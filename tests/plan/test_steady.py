"""What a stand needs against what is stated, the room over a light, and whom it hangs over."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_cases import IDA, NORA, light, planned

from kinlight.light.world import sheet
from kinlight.plan.export import plan_json
from kinlight.plan.model import Plan
from kinlight.plan.stands import bag_plan, counterweight_plan, headroom
from kinlight.plan.steady import OVERHEAD_MARGIN_M, StandPlan, people_under
from kinlight.sitting.strobes import LightStand

BOOM = {"radius": 0.5, "mass": 5, "head": 3, "boom": 1.2, "short_arm": 0.6}
STANDS = st.builds(
    LightStand,
    legs=st.integers(3, 5),
    radius_m=st.floats(0.2, 1.5),
    mass_kg=st.floats(1, 20),
    head_kg=st.floats(0.5, 10),
    boom_m=st.floats(0.3, 3),
    boom_tube_kg=st.floats(0, 5),
    short_arm_m=st.floats(0.3, 2),
    counterweight_kg=st.floats(0, 20),
    bag_kg=st.floats(0, 20),
    leg_under=st.booleans(),
)


def _stand(**fields: Any) -> LightStand:
    return LightStand.model_validate(fields)


def _only(plan: Plan, name: str = "key") -> StandPlan:
    (found,) = (s for s in plan.stands if s.light == name)
    return found


def _boomed(**fields: Any) -> Plan:
    """Return the plan of two people with a hair light on a boom, away from them."""
    hair = light("hair light", "hair", 1.6, 1.2, 2.2, modifier={"width": 0.3}, stand=BOOM | fields)
    return planned(NORA, IDA, lights=[light("key", "key", -1.4, -1.4, 2.0), hair])


@pytest.mark.parametrize(("bag_kg", "push_n", "digits"), [(0, 8.6, 0.05), (10, 20.8, 0.05)])
def test_the_push_that_tips_a_stand_is_that_of_the_statics(
    bag_kg: float, push_n: float, digits: float
) -> None:
    """7 kg on three legs of .5 m fall to 8.6 N at 2 m, with a bag of 10 kg to 20.8.

    Computed check values of the project, to the digits printed.
    """
    found = bag_plan(_stand(radius=0.5, mass=5, head=2, bag=bag_kg), None, 2.0)
    assert found.tip_distance_m == pytest.approx(0.25, abs=1e-12)
    assert found.tips_at_n == pytest.approx(push_n, abs=digits)
    assert not found.falls


def test_a_boom_needs_what_balances_it_and_misses_what_is_not_there() -> None:
    """3 kg at 1.2 m need 6.0 kg at .6 m: check value by moment balance. 2 kg hang there."""
    found = counterweight_plan(_stand(**BOOM, counterweight=2))
    assert found is not None
    assert found.counterweight_kg == pytest.approx(6.0, abs=1e-12)
    assert found.missing_counterweight_kg == pytest.approx(4.0, abs=1e-12)


def test_the_tube_of_a_boom_weighs_in_its_middle() -> None:
    """2 kg from .6 m behind to 1.2 m before the column: .3 m out, 1 kg more at .6 m, by hand."""
    found = counterweight_plan(_stand(**BOOM, boom_tube=2))
    assert found is not None
    assert found.counterweight_kg == pytest.approx(7.0, abs=1e-12)


def test_what_is_nearly_balanced_misses_nothing() -> None:
    """Less than what prints as a tenth of a kilogram is no finding."""
    found = counterweight_plan(_stand(**BOOM, counterweight=5.96))
    assert found is not None
    assert found.missing_counterweight_kg == 0
    assert counterweight_plan(_stand(boom=1)) is None
    assert counterweight_plan(_stand()) is None


def test_the_sand_is_that_of_the_balanced_boom() -> None:
    """By hand, in kilograms of g: feet line at .25 m, 20 N at 2.5 m are 50 N m, the factor 1.5.

    Legs any way, boom square to the line: the head tips with 3 x .95 = 2.85, stand and
    counterweight hold 1.25 + 5.1 = 6.35. Sand: (1.5 x (2.85 + 50/9.80665) - 6.35) / .25 = 22.29;
    without the push (4.275 - 6.35) / .25 is below none. One leg under the load: the worst is the
    line behind, where the counterweight tips with 2.1 and 1.25 + 4.35 hold: 20.79.
    """
    found = bag_plan(_stand(**BOOM, bag=5), counterweight_plan(_stand(**BOOM)), 2.5)
    assert found.any_way_bag_kg == pytest.approx(22.29, abs=0.005)
    assert found.leg_under_bag_kg == pytest.approx(20.79, abs=0.005)
    assert found.hanging_bag_kg == 0
    assert found.missing_bag_kg == pytest.approx(17.29, abs=0.005)
    under = bag_plan(_stand(**BOOM, bag=5, leg_under=True), counterweight_plan(_stand(**BOOM)), 2.5)
    assert under.missing_bag_kg == pytest.approx(15.79, abs=0.005)


def test_a_boom_without_anything_to_hold_it_falls_by_itself() -> None:
    """3 kg at 1.2 m pull with 2.85 kg m over a line at .25 m; the stand holds with 1.25, by hand.

    With the counterweight on, 1.25 + 5.1 hold.
    """
    assert bag_plan(_stand(**BOOM), None, 2.0).falls
    assert bag_plan(_stand(**BOOM), None, 2.0).tips_at_n == 0
    assert not bag_plan(_stand(**BOOM, counterweight=6), None, 2.0).falls
    # a bag of 7 kg more: 1.75 and 1.25 hold against 2.85
    assert not bag_plan(_stand(**BOOM, bag=7), None, 2.0).falls
    assert bag_plan(_stand(**BOOM, bag=6), None, 2.0).falls


def test_what_a_bag_is_good_for_is_said_before_what_it_would_take() -> None:
    """A usual bag of 7 kg where none is stated; by hand, on a line at .25 m, the lamp at 2 m.

    A 3 kg stand with a 3.5 kg head: 6.5 x .25 / 2 = .8125 kg bare, (6.5 + 7) x .25 / 2 = 1.6875 kg
    with the bag. Where the bag does not hold a boom without a short arm, that is said: 3 x .95 =
    2.85 against (5 + 7) x .25 = 3 and 1.25 + 1.5 with the 6 kg stated.
    """
    found = bag_plan(_stand(mass=3, head=3.5), None, 2.0)
    assert found.laid_bag_kg == 7
    assert found.laid_tips_at_n == pytest.approx(1.6875 * 9.80665)
    assert found.tips_at_n == pytest.approx(0.8125 * 9.80665)
    hair = light("hair", "hair", 1.6, 1.2, 2.0, stand={"mass": 3, "head": 3.5})
    said = _only(planned(NORA, lights=[hair]), "hair").findings[0]
    assert said.startswith("hair: with a usual bag, 7 kg on its foot, a pull of 1.6 kg at the ")
    armless = {"radius": 0.5, "mass": 5, "head": 3, "boom": 1.2}
    hair |= {"stand": armless}
    falls, lacks = _only(planned(NORA, lights=[hair]), "hair").findings[:2]
    assert "falls over by itself" in falls
    assert "with a usual bag, 7 kg on its foot, the least pull at the lamp tips it" in lacks
    hair |= {"stand": armless | {"bag": 6}}
    falls, lacks = _only(planned(NORA, lights=[hair]), "hair").findings[:2]
    assert "falls over by itself" in falls
    assert "with the bags stated, 6 kg on its foot, it still falls by itself;" in lacks


@settings(max_examples=60)
@given(stand=STANDS, height_m=st.floats(0.5, 3.5))
def test_a_stand_that_gets_what_it_misses_holds_the_push(
    stand: LightStand, height_m: float
) -> None:
    """Nothing is missing then, it does not fall, and takes more than the push to tip."""
    balance = counterweight_plan(stand)
    assert balance is not None
    found = bag_plan(stand, balance, height_m)
    mended = stand.with_stated(
        counterweight_kg=stand.counterweight_kg + balance.missing_counterweight_kg,
        bag_kg=stand.bag_kg + found.missing_bag_kg,
    )
    again = bag_plan(mended, counterweight_plan(mended), height_m)
    assert again.missing_bag_kg == pytest.approx(0, abs=1e-6)
    assert not again.falls
    assert again.tips_at_n >= again.push_n * (1 - 1e-9)
    assert again.leg_under_bag_kg <= again.any_way_bag_kg + 1e-9


def _front(x: float, y: float, z: float, direction: Any, width: float, height: float) -> Any:
    return sheet("key", (x, y, z), direction, width_m=width, height_m=height)


def test_the_top_of_a_tilted_front_and_what_is_behind_it() -> None:
    """Reckoned from tilt, height of the front and depth of the body.

    Tipped 60 degrees down at 2.4 m, .9 m high: 2.4 + .45 x .5 = 2.625 m; a body .6 m deep
    reaches 2.4 + .6 x sin 60 = 2.9196 m. Under 3 m less .05 there are .55 / sin 60 = .6351 m
    behind it. By hand.
    """
    down = (math.cos(math.radians(60)), 0.0, -math.sin(math.radians(60)))
    box = _front(0, 0, 2.4, down, 0.3, 0.9)
    flat = headroom([box], depth_m=0, ceiling_m=3.0)
    assert flat.top_m == pytest.approx(2.625)
    assert flat.clearance_m == pytest.approx(0.375)
    assert flat.room_behind_m == pytest.approx(0.6351, abs=5e-5)
    deep = headroom([box], depth_m=0.6, ceiling_m=3.0)
    assert deep.top_m == pytest.approx(2.9196, abs=5e-5)


def test_the_least_room_of_all_pictures_counts() -> None:
    """A front turned level is higher than one that looks down; level, nothing is behind it."""
    level = _front(0, 0, 2.4, (0, -1, 0), 0.3, 0.9)
    down = _front(0, 0, 2.4, (0, 0, -1), 0.3, 0.9)
    found = headroom([down, level, down], depth_m=0, ceiling_m=3.0)
    assert found.top_m == pytest.approx(2.85)
    assert found.room_behind_m == math.inf


@pytest.mark.parametrize(
    ("direction", "half_m"),
    # straight down its height lies along y; tipped 30 degrees down half of it is seen from above
    [((0, 0, -1), (0.2, 0.5)), ((0, -math.sqrt(3) / 2, -0.5), (0.2, 0.25))],
)
def test_who_is_near_the_outline_of_a_front_is_under_it(
    demo_plan: Plan, direction: Any, half_m: tuple[float, float]
) -> None:
    """A front .4 m wide and 1 m high; the margin is counted from its edge, also at a corner."""
    figure = demo_plan.pictures[0].scene.figures[0]
    crown = figure.face.crown_m
    for away, edge in (((1.0, 0.0), half_m[0]), ((0.0, 1.0), half_m[1])):
        for beyond, is_under in ((-0.01, True), (0.01, False)):
            x, y = crown[:2] + np.array(away) * (edge + OVERHEAD_MARGIN_M + beyond)
            box = _front(x, y, crown[2] + 0.6, direction, 0.4, 1.0)
            assert (people_under(box, [figure]) == (figure.person,)) is is_under
    corner = OVERHEAD_MARGIN_M / math.sqrt(2) + 0.01
    x, y = crown[:2] + np.array(half_m) + corner
    assert people_under(_front(x, y, crown[2] + 0.6, direction, 0.4, 1.0), [figure]) == ()


def test_a_light_lower_than_the_eyes_is_not_over_anybody(demo_plan: Plan) -> None:
    """However near it stands."""
    figure = demo_plan.pictures[0].scene.figures[0]
    x, y, z = figure.face.eyes_m().mean(axis=0)
    assert people_under(_front(x, y, z - 0.01, (0, -1, 0), 0.4, 0.4), [figure]) == ()
    assert people_under(_front(x, y, z + 0.01, (0, -1, 0), 0.4, 0.4), [figure]) != ()


def test_a_stand_that_falls_is_the_first_caution() -> None:
    """Before the findings of lights that are named earlier, and each says what is stated."""
    plan = _boomed(bag=2)
    assert _only(plan, "hair light").falls
    assert plan.cautions[0] == (
        "hair light: as stated its stand falls over by itself, with nobody touching it; do not "
        "raise the head before its foot is loaded and its boom balanced."
    )
    # with 2 kg on the foot: (6.35 + .5 - 2.85) / 2.2 m = 1.82 kg tip it, the boom balanced;
    # 20 N at 2.2 m: (1.5 x (2.85 + 44/9.80665) - 6.35) / .25 = 18.62 kg; over a leg
    # (1.5 x (2.1 + 44/9.80665) - 5.6) / .25 = 17.12 kg, by hand
    assert plan.cautions[1] == (
        "hair light: with the bags stated, 2 kg on its foot, a pull of 1.8 kg at the lamp tips it "
        "once its boom is balanced; it takes 19 kg of sand, or 18 kg with one leg under the load, "
        "to hold 1.5 times a pull of 2 kg."
    )
    assert plan.cautions[2] == (
        "hair light: hang 6.0 kg on the short arm of its boom, 60 cm from the column, while "
        "someone holds the boom; stated: none."
    )


def test_a_stand_with_all_it_needs_is_no_caution() -> None:
    """The usual cautions are left."""
    plan = _boomed(bag=19, counterweight=6)
    found = _only(plan, "hair light")
    assert found.findings == ()
    assert plan.cautions[0].startswith("Sandbag every stand")
    # (1.25 + 4.75 + 5.1 - 2.85) kg m over 2.2 m: 3.75 kg, by hand
    assert found.says.startswith(
        "as stated a pull of 3.7 kg at 2.20 m tips it; 6.0 kg at 60 cm balance its boom; its top is"
    )


def test_what_is_reckoned_of_stands_leaves_the_last_word_to_makers() -> None:
    """Said once a stand is stated, and only then."""
    stated = [c for c in _boomed().cautions if "makers' limits of stand" in c]
    assert len(stated) == 1
    for word in ("rigid", "hold it", "children"):
        assert word in stated[0]
    bare = planned(NORA, IDA, lights=[light("key", "key", -1.4, -1.4, 2.0)])
    assert not any("makers' limits of stand" in c for c in bare.cautions)


def test_a_light_without_a_stand_still_has_its_room() -> None:
    """Nothing is said of sand then."""
    found = _only(planned(NORA, lights=[light("key", "key", -1.4, -1.4, 2.0)]))
    assert found.bags is None
    assert found.counterweight is None
    assert found.findings == ()
    assert found.says.startswith("its stand is not stated; its top is at 2.")


def test_a_deep_modifier_under_the_ceiling_is_told_to_come_down() -> None:
    """Straight down at 2.5 m and .5 m deep it touches a ceiling of 3 m; 5 cm are to be left."""
    hair = light("hair", "hair", 0, 0, 2.5, modifier={"width": 0.4, "depth": 0.5})
    plan = planned(NORA, lights=[light("key", "key", -1.4, -1.4, 2.0), hair])
    assert _only(plan, "hair").findings == (
        "hair: its top is at 3.00 m, touching the ceiling; lower it by 5 cm or more.",
    )


def test_where_no_depth_is_stated_the_room_behind_is_said() -> None:
    """Straight down at 2.6 m: 3 - .05 - 2.6 = .35 m, less than most heads need."""
    hair = light("hair", "hair", 0, 0, 2.6, modifier={"width": 0.4})
    plan = planned(NORA, lights=[light("key", "key", -1.4, -1.4, 2.0), hair])
    assert _only(plan, "hair").findings == (
        "hair: pointing down as it does, there are 35 cm behind its front before the ceiling; see "
        "that its head fits, or state the depth of its modifier.",
    )


def test_people_under_a_light_are_named_with_it() -> None:
    """Those under it in any picture, once; from five on they are counted."""
    hair = light("hair", "hair", 0, 0.1, 2.3, modifier={"width": 0.4})
    plan = planned(NORA, IDA, lights=[light("key", "key", -1.4, -1.4, 2.0), hair])
    assert _only(plan, "hair").over == ("Nora", "Ida")
    (said,) = [text for text in plan.cautions if "over people's heads" in text]
    assert said.startswith("hair hangs over people's heads (Nora, Ida): tie a safety line to it")


def test_lengths_of_stands_are_in_feet_where_these_are_wanted() -> None:
    """60 cm are 24 in."""
    hair = light("hair light", "hair", 1.6, 1.2, 2.2, modifier={"width": 0.3}, stand=BOOM)
    plan = planned(NORA, lights=[hair], preferences={"units": "feet"})
    assert any("short arm of its boom, 2 ft from the column" in text for text in plan.cautions)


def test_stands_are_in_the_json() -> None:
    """With their numbers, null where nothing is stated or where there is no end."""
    found = json.loads(plan_json(_boomed(bag=2)))
    key, hair = found["stands"]
    assert key["bags"] is None
    assert hair["bags"]["falls"] is True
    assert hair["counterweight"]["missing_counterweight_kg"] == pytest.approx(6.0)
    assert hair["findings"][0] == found["cautions"][0]
