"""Checking a settled sitting: everything about its plan, computed without any search."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from kinlight.errors import RangeError, SittingError
from kinlight.group.abilities import abilities_of_all
from kinlight.group.order_evaluate import Evaluation
from kinlight.group.order_left_out import left_out
from kinlight.plan.all_faces import all_faces
from kinlight.plan.blanks import blanks
from kinlight.plan.cautions import cautions, unreckoned
from kinlight.plan.checks import EASY_CHANCE, EASY_MIN, Check
from kinlight.plan.fit_plan import fit_plan
from kinlight.plan.focusing import ideal_leeway_m, leeway_m, seen_of
from kinlight.plan.lit import (
    backdrop_stops,
    light_plans,
    rhythm_s,
    shares_of_full,
    working_f_number,
)
from kinlight.plan.metering import meter_plans
from kinlight.plan.model import FocusPlan, PicturePlan, PictureTime, Plan
from kinlight.plan.picture import Set, focus_point_m, plan_picture, time_of
from kinlight.plan.running import evaluated, order_plan, programme_of, stated_items
from kinlight.plan.settle.powers import asked_powers
from kinlight.plan.sheets_said import sheets_said
from kinlight.plan.spots import spots_of
from kinlight.plan.steady import stand_plans
from kinlight.plan.words import first_five, proposed_lines, tapes, verdict
from kinlight.sitting.assumed import assumptions
from kinlight.sitting.document import Sitting
from kinlight.sitting.origins import is_proposed
from kinlight.sitting.pictures import Picture
from kinlight.stage.people import bodies_of, face_height_m, figures_of
from kinlight.stage.scene import stage, stage_meter, transfer
from kinlight.stage.view import settled

WILLING_LEAST = 0.5
"""Chance that all children are still willing below which a must does not hold; others are tight."""
WILLING_SAFE = 0.2
"""How far above that it must be to count as more than tight."""


def check(sitting: Sitting) -> Plan:
    """Return the plan of a settled sitting.

    Pure and deterministic: the same document gives the same plan. It reads nothing but the
    document and the data files of the package.

    Raises
    ------
    SittingError
        If something is still blank that `settle` would fill in, or a picture cannot be computed.
    """
    if faults := blanks(sitting):
        raise SittingError(faults)
    try:
        return _checked(sitting)
    except RangeError as error:
        raise SittingError(error.faults) from None


def _checked(sitting: Sitting) -> Plan:
    kept = the_set(sitting)
    times = picture_times(kept)
    programme = programme_of(sitting, kept.can, kept.bodies, times)
    found = evaluated(sitting, programme)
    made = set(sitting.order)
    pictures = tuple(
        plan_picture(kept, p, made=p.key in made, order_checks=_order_checks(kept, p, times, found))
        for p in sitting.pictures
    )
    missing = [(p.key, "not in the running order") for p in sitting.pictures if p.key not in made]
    if is_proposed(sitting, "order"):
        items = stated_items(sitting, programme)
        missing = [(x.item, x.sentence) for x in left_out(programme, items)]
    order = order_plan(
        sitting, programme, found, times, {p.name: p.focus_m for p in pictures}, left_out=missing
    )
    places = tapes(sitting)
    figures = {name: scene.figures for name, scene in kept.scenes.items()}
    seen = seen_of(sitting, figures)
    now = leeway_m(seen, kept.focus_point_m, f_number=kept.f_number)
    ideal = ideal_leeway_m(seen, f_number=kept.f_number)
    focus = FocusPlan(
        person=settled(sitting.camera.focus_on, "camera, focus_on"),
        picture=settled(sitting.camera.focus_in, "camera, focus_in"),
        leeway_m=now,
        cost_m=max(ideal - now, 0.0),
    )
    backdrop = backdrop_stops(sitting, kept.at_mark, kept.shares)
    stands = stand_plans(sitting, [p.scene for p in pictures])
    return Plan(
        sitting=sitting,
        verdict=verdict(pictures, order.problems),
        first_five=first_five(
            sitting, pictures, kept.lights, places, order, focus, backdrop_stops=backdrop
        ),
        assumed=tuple(a.text for a in assumptions(sitting)),
        proposed=proposed_lines(sitting),
        tapes=places,
        spots=spots_of(sitting, figures, focus_on_m=kept.focus_point_m),
        pictures=pictures,
        lights=kept.lights,
        mark_height_m=_mark_height_m(kept),
        meter=meter_plans(sitting, kept.at_mark, kept.shares, kept.lamps),
        fit=fit_plan(sitting, height_m=_mark_height_m(kept)),
        all_faces=all_faces({p.name: p.faces for p in made_of(pictures)}),
        order=order,
        focus=focus,
        backdrop_stops=backdrop,
        stands=stands,
        sheets=sheets_said(sitting.reflectors),
        cautions=cautions(sitting, kept.can, stands),
        unreckoned=unreckoned(),
    )


def the_set(sitting: Sitting) -> Set:
    """Return what stays the same for every picture of a settled sitting."""
    bodies, can = bodies_of(sitting), abilities_of_all(sitting)
    figures = {p.key: figures_of(p, bodies) for p in sitting.pictures}
    empty = stage_meter(sitting, height_m=face_height_m(figures.values()))
    scenes = {p.key: stage(sitting, p, figures[p.key]) for p in sitting.pictures}
    at_mark = transfer(empty)
    asked = asked_powers(sitting, at_mark, [transfer(scene) for scene in scenes.values()])
    return Set(
        sitting=sitting,
        bodies=bodies,
        can=can,
        f_number=working_f_number(sitting),
        shares=shares_of_full(sitting),
        rhythm_s=rhythm_s(sitting),
        focus_point_m=focus_point_m(sitting, figures),
        at_mark=at_mark,
        scenes=scenes,
        lamps=empty.lamps,
        lights=light_plans(sitting, empty.lamps, at_mark, asked=asked),
    )


def made_of(pictures: Sequence[PicturePlan]) -> Sequence[PicturePlan]:
    """Return the pictures to be made; if none is, all."""
    return [p for p in pictures if p.made] or pictures


def _mark_height_m(kept: Set) -> float:
    (row,) = kept.at_mark.rows("mark")
    return float(kept.at_mark.receivers[row].point_m[2])


def picture_times(kept: Set) -> dict[str, PictureTime]:
    """Return how long every picture takes."""
    return {p.key: time_of(kept, p, transfer(kept.scenes[p.key])) for p in kept.sitting.pictures}


def _order_checks(
    kept: Set, picture: Picture, times: Mapping[str, PictureTime], found: Evaluation
) -> tuple[Check, ...]:
    """Return the checks of a picture's place in the running order, and of who holds whom."""
    checks = [_holding_check(kept, picture, times[picture.key])]
    step = next((s for s in found.steps if s.item.id == picture.key), None)
    if step is not None:
        wrong = [v.sentence for v in found.violations if v.item == picture.key]
        checks.append(_patience_check(picture, step.chance, wrong[0] if wrong else ""))
    return tuple(c for c in checks if c is not None)


def _patience_check(picture: Picture, chance: float, wrong: str) -> Check:
    """Return whether the children are likely still willing; only a must has to be."""
    least = WILLING_LEAST if picture.must else 0.0
    likely = WILLING_LEAST + WILLING_SAFE - least
    leeway = -1.0 if wrong else chance - least
    said = wrong or f"the children are still willing with a chance of {chance:.0%}"
    return Check("Timed", "patience", leeway, "-", likely, f"{chance:.0%}", said, EASY_CHANCE)


def _holding_check(kept: Set, picture: Picture, time: PictureTime) -> Check | None:
    holders = [s.held_by for s in picture.places if s.held_by is not None]
    if not holders:
        return None
    weakest = min(holders, key=lambda h: kept.can[h].holds_child_min)
    longest = kept.can[weakest].holds_child_min
    minutes = time.shooting_s / 60
    said = f"{weakest} can hold a child for {longest:g} min and is asked for {minutes:.1f}"
    spare = longest - minutes
    return Check("Timed", "holding", spare, "min", 0.0, f"{abs(spare):.1f} min", said, EASY_MIN)
