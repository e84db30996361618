"""Sheets laid one on another: what a scrim before a reflector sends back and lets through.

A stack is named from the front backward, as in a sitting. It acts as one sheet, whatever comes out:
a scrim that loses little can even send back more than the bare reflector behind it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array
from kinlight.light.gloss import coat_brdf, mean_lobe_albedo
from kinlight.light.tables import SHEET_MATERIALS, sheet_figures
from kinlight.light.world import BLACK, Coat

_ROUNDING = 1e-9
_NORMAL = (0.0, 0.0, 1.0)


@dataclass(frozen=True)
class Layer:
    """What a sheet, or a stack of sheets, does with light; the parts a `Sheet` is made with.

    Attributes
    ----------
    front, back : how each side sends light back.
    transmittance : share of the light it passes on, scattered, the same from either side [-].
    """

    front: Coat = BLACK
    back: Coat = BLACK
    transmittance: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a sheet that no cloth can be.

        Raises
        ------
        RangeError
            If a share is outside 0 to 1, or a side sends back and passes on more than it gets.
        """
        for coat in (self.front, self.back):
            for share in (coat.reflectance, coat.gloss, self.transmittance):
                if not 0 <= share <= 1 + _ROUNDING:
                    raise RangeError(
                        Fault("cannot be a share of light", "", "0 to 1", f"{share:g}")
                    )
            if coat.reflectance + self.transmittance > 1 + _ROUNDING:
                raise RangeError(
                    Fault(
                        "of a sheet are more light than falls on it",
                        allowed="up to 1 for both together",
                        given=f"reflectance {coat.reflectance:g} and transmittance "
                        f"{self.transmittance:g}",
                    )
                )


@dataclass(frozen=True)
class Compared:
    """A stack beside one of its sheets alone, as the eye sees the light of one small lamp.

    Attributes
    ----------
    alone : the sheet it is compared with.
    mirror_stops : how much brighter the stack is where a mirror would show the lamp [stop];
        infinite if the sheet alone sends nothing that way, nan if neither does.
    aside_stops : the same from a place to the side of it [stop].
    """

    alone: Layer
    mirror_stops: float
    aside_stops: float


def cloth(material: str) -> Layer:
    """Return a sheet of a material of sheets.toml, both sides alike.

    Raises
    ------
    RangeError
        If the material is not in the table.
    """
    figures = sheet_figures(material)
    coat = Coat(figures.reflectance.value, figures.gloss.value, figures.roughness.value)
    return Layer(coat, coat, figures.transmittance.value)


def stack(materials: Iterable[str]) -> Layer:
    """Return the stack of sheets named from the front backward, as one sheet.

    Raises
    ------
    RangeError
        If there is none, or a material is not in the table.
    """
    return layered([cloth(material) for material in materials])


def layered(layers: Sequence[Layer]) -> Layer:
    """Return the one sheet that acts as sheets laid on each other, from the front backward.

    Raises
    ------
    RangeError
        If there is none.
    """
    if not layers:
        remedy = f"name at least one of {', '.join(SHEET_MATERIALS)}"
        raise RangeError(Fault("a reflector has no sheet", remedy=remedy))
    return reduce(added, layers)


def added(front: Layer, back: Layer) -> Layer:
    """Return the one sheet that acts as a sheet laid before another.

    Notes
    -----
    All reflections back and forth summed [kubelka1954], with 1 the front sheet, 2 the back one and
    a dash for a reflectance met from behind::

        R12  = R1  + T1^2 R2  / (1 - R1' R2)
        R12' = R2' + T2^2 R1' / (1 - R1' R2)
        T12  = T1 T2 / (1 - R1' R2)

    Between the sheets R counts as `sent_back`: a rough lobe loses some light in itself.
    Valid for light scattered evenly between the sheets and for sheets wide against the gap between
    them. What has passed a sheet is scattered: only what the outermost sheet itself mirrors stays a
    lobe.
    """
    r1, r1_behind, t1 = front.front.reflectance, sent_back(front.back), front.transmittance
    r2, r2_behind, t2 = sent_back(back.front), back.back.reflectance, back.transmittance
    kept = 1 - r1_behind * r2
    again = 1 / kept if kept > 0 else 0.0  # two perfect mirrors face to face: nothing gets there
    return Layer(
        _coat_over(front.front, r1 + t1**2 * r2 * again),
        _coat_over(back.back, r2_behind + t2**2 * r1_behind * again),
        t1 * t2 * again,
    )


def sent_back(coat: Coat) -> float:
    """Return what a coat really sends back of even light: a rough lobe loses some in itself [-]."""
    kept = mean_lobe_albedo(roughness=coat.roughness) if coat.gloss else 1.0
    return coat.reflectance * (1 - coat.gloss * (1 - kept))


def _coat_over(outer: Coat, reflectance: float) -> Coat:
    """Return the coat of a stack, its lobe that of the outer sheet, the rest matt."""
    gloss = outer.gloss * (outer.reflectance / reflectance) if reflectance > 0 else 0.0
    return Coat(reflectance, gloss, outer.roughness)


def stack_compared(
    layers: Sequence[Layer], *, incidence_deg: float, aside_deg: float = 45.0
) -> tuple[Compared, ...]:
    """Return how bright a stack looks against each of its sheets alone, before black.

    Parameters
    ----------
    layers : the sheets from the front backward.
    incidence_deg : of the light against the sheet's normal, 0 to below 90 [deg].
    aside_deg : how far the place to the side is from the mirror's direction, in the plane of the
        lamp and the normal and turned from the mirror's direction toward the lamp; 0 to below 90
        [deg].

    Raises
    ------
    RangeError
        If there is no sheet or an angle is outside its bounds.

    Notes
    -----
    The ratio of two coats' `coat_brdf`. For a lamp so small or so far that its light comes from one
    direction; a large front near by blurs the lobe, and the difference in the mirror's direction is
    less.
    """
    for angle_deg, what in ((incidence_deg, "light meets a sheet"), (aside_deg, "a sheet is seen")):
        if not 0 <= angle_deg < 90:
            problem = f"cannot be the angle at which {what}"
            raise RangeError(Fault(problem, "", "0 to below 90 deg", f"{angle_deg:g} deg"))
    eyes = np.stack([_direction(-incidence_deg), _direction(aside_deg - incidence_deg)])
    light = _direction(incidence_deg)
    whole = _brightness(layered(layers), light, eyes)
    return tuple(
        Compared(layer, *(_stops(w, a) for w, a in zip(whole, alone, strict=True)))
        for layer, alone in ((layer, _brightness(layer, light, eyes)) for layer in layers)
    )


def _direction(angle_deg: float) -> Array:
    """Return the direction so far from the normal on the lamp's side."""
    angle = np.radians(angle_deg)
    return np.array([np.sin(angle), 0.0, np.cos(angle)])


def _brightness(layer: Layer, light: Array, eyes: Array) -> list[float]:
    """Return the luminance of its front seen from each eye, for an illuminance of one."""
    return [float(f) for f in coat_brdf(layer.front, _NORMAL, light, eyes)]


def _stops(bright: float, than: float) -> float:
    """Return how many stops one is brighter than another, either of which may be black."""
    if bright > 0 and than > 0:
        return math.log2(bright / than)
    return math.nan if bright == than else math.copysign(math.inf, bright - than)
