"""What the sheets of every reflector, panel and flag do with light, one sentence for each."""

from __future__ import annotations

from collections.abc import Sequence

from kinlight.light.layers import Compared, Layer, cloth, stack, stack_compared
from kinlight.sitting.gear import Reflector

INCIDENCE_DEG = 45.0
ASIDE_DEG = 45.0
"""The light meets the sheet at this angle, and a place square before it is this far from the
mirror's direction: our choice, a usual place for a panel."""
_LEAST_STOPS = 0.05
_BLACK = 0.1
"""What sends back less is there to take light away."""


def sheets_said(reflectors: Sequence[Reflector]) -> tuple[str, ...]:
    """Return for every reflector what its sheets do together; a stack is compared with silver.

    Notes
    -----
    The comparison is that of `stack_compared` for light that meets the sheet at 45 degrees: in the
    direction in which a mirror would send it, and square before the sheet, 45 degrees beside that.
    """
    return tuple(f"{r.id}: {_said(r.sheets)}" for r in reflectors)


def _said(materials: Sequence[str]) -> str:
    layers = [cloth(m) for m in materials]
    whole = stack(materials)
    hidden = _hidden(layers)
    shown = materials[: len(materials) - hidden]
    parts = [_shares(whole)]
    if len(shown) > 1 and "silver" in shown[1:]:
        found = stack_compared(layers, incidence_deg=INCIDENCE_DEG, aside_deg=ASIDE_DEG)
        parts.append(_against_silver(found[shown.index("silver", 1)]))
    elif hidden:
        parts.append(f"what is behind its {shown[-1]} sheet does nothing")
    name = " over ".join(shown)
    return f"{name} {'; '.join(parts)}"


def _hidden(layers: Sequence[Layer]) -> int:
    """Return how many sheets at the back get no light from the front."""
    opaque = [i for i, layer in enumerate(layers) if layer.transmittance == 0]
    return len(layers) - 1 - opaque[0] if opaque else 0


def _shares(whole: Layer) -> str:
    """Return what a sheet or stack sends back and how, and what it passes."""
    back, gloss = whole.front.reflectance, whole.front.gloss
    how = f", {gloss:.0%} of that as a blurred mirror" if gloss else ", evenly to all sides"
    if back < _BLACK and not whole.transmittance:
        return f"takes light away and sends back {back:.2f} of it"
    said = f"sends back {back:.2f} of the light{how}"
    if whole.transmittance:
        said += f", lets {whole.transmittance:.2f} through, scattered"
    return said


def _against_silver(found: Compared) -> str:
    """Return how a stack looks against its silver alone, in the mirror's direction and beside."""
    mirror, aside = _than(found.mirror_stops), _than(found.aside_stops)
    return f"against silver alone {mirror} in the mirror's direction and {aside} square before it"


def _than(difference_stops: float) -> str:
    if abs(difference_stops) < _LEAST_STOPS:
        return "as bright"
    word = "brighter" if difference_stops > 0 else "dimmer"
    return f"{abs(difference_stops):.1f} stop {word}"
