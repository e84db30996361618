"""Stops, f-numbers as engraved and as they are, and hand-meter notation."""

from __future__ import annotations

import math
import re

from kinlight.errors import Fault, QuantityError, RangeError
from kinlight.quantities.lengths import as_float

# Engraved on lenses and meters: common practice; the exact values are powers of sqrt(2).
_ENGRAVED = {
    0: (1, 1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22, 32, 45, 64, 90),
    2: (1.1, 1.6, 2.2, 3.2, 4.5, 6.3, 9, 13, 18, 25, 36, 51, 72),
    3: (1.2, 1.7, 2.4, 3.3, 4.8, 6.7, 9.5, 13.5, 19, 27, 38, 54, 76),
    4: (1.2, 1.8, 2.5, 3.5, 5, 7.1, 10, 14, 20, 29, 40, 57, 80),
}
_EXACT: dict[float, float] = {}
for _sixths in (3, 4, 2, 0):  # where two series share an engraving (1.2), thirds go before halves
    for _stop, _value in enumerate(_ENGRAVED[_sixths]):
        _EXACT[float(_value)] = 2.0 ** ((_stop + _sixths / 6) / 2)
_FULL_STOPS = _ENGRAVED[0]
_READING = re.compile(
    r"(?P<f>f\s*/?\s*)?(?P<shown>\d+(?:[.,]\d+)?)\s*(?:\+\s*(?P<tenths>\d)\s*/\s*10)?",
    re.IGNORECASE,
)


def stops(ratio: float) -> float:
    """Return the stops of a ratio of light, log2(ratio) [-].

    Raises
    ------
    RangeError
        If the ratio is not above zero: no light is no number of stops below some.
    """
    if not ratio > 0:
        raise RangeError(
            Fault("is not a ratio of light", given=f"{ratio:g}", allowed="a number above 0")
        )
    return math.log2(ratio)


def exact_f_number(engraved: float) -> float:
    """Return the f-number an engraving stands for (f/5.6 is 5.657); others as they are [-].

    Using the engraved value in a formula errs by 0.03 to 0.08 stop.
    """
    return _EXACT.get(float(engraved), float(engraved))


def f_number_text(f_number: float) -> str:
    """Return an f-number as engraved where one is within a twentieth of a stop, else plainly."""
    nearest = min(_EXACT, key=lambda e: abs(2 * math.log2(_EXACT[e] / f_number)))
    if abs(2 * math.log2(_EXACT[nearest] / f_number)) < 0.05:
        return f"f/{nearest:g}"
    return f"f/{f_number:.1f}" if f_number < 10 else f"f/{f_number:.0f}"


def parse_f_number(value: object) -> float:
    """Read an aperture as engraved, "f/7.1", "7.1" or 7.1; return the engraved number [-]."""
    match = _READING.fullmatch(_written(value))
    f_number = float(match["shown"].replace(",", ".")) if match else 0.0
    if not match or match["tenths"] or f_number == 0:
        raise QuantityError(
            Fault("is not an f-number", allowed="an aperture such as f/8 or 7.1", given=repr(value))
        )
    return f_number


def _written(value: object) -> str:
    """Return a number or text as it would be written; empty for anything else."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"{as_float(value):g}"
    return value.strip() if isinstance(value, str) else ""


def parse_meter_reading(value: object) -> float:
    """Read a hand meter's display, "f/8 + 4/10", and return the exact f-number [-].

    A bare 8.4 may mean eight and four tenths of a stop, or the f-number 8.4, and so may a bare
    4.5; they are asked about, never guessed. 1.4 and 2.8 are full stops and read as such.

    Raises
    ------
    QuantityError
        If it is no reading, or could mean two things.
    """
    match = _READING.fullmatch(_written(value))
    if not match:
        raise QuantityError(
            Fault(
                "is not a meter reading",
                allowed='a reading such as "f/8 + 4/10"',
                given=repr(value),
            )
        )
    text, tenths = match["shown"].replace(",", "."), match["tenths"]
    shown = float(text)
    if shown in _FULL_STOPS:
        return _EXACT[shown] * 2 ** (int(tenths or 0) / 20)
    question = "" if tenths else _question(text, str(value))
    if shown in _EXACT and not tenths and (match["f"] or not question):
        return _EXACT[shown]
    if question:
        raise QuantityError(Fault(question))
    raise QuantityError(
        Fault(
            "is not on a meter's scale",
            given=repr(value),
            allowed='a full stop and tenths, such as "f/8 + 4/10" or "f/5.6"',
        )
    )


def _question(shown: str, given: str) -> str:
    """Return what to ask about a number that may be a full stop and tenths; empty if it cannot."""
    whole, _, tenth = shown.partition(".")
    if len(tenth) != 1 or float(whole) not in _FULL_STOPS:
        return ""
    exact = _EXACT[float(whole)] * 2 ** (int(tenth) / 20)
    plainly = f"f/{shown}" if float(shown) in _EXACT else meter_text(float(shown))
    return (
        f"{given} can be read two ways: did the meter show f/{whole} and {tenth} tenths "
        f'(then write "f/{whole} + {tenth}/10", which is f/{exact:.1f}), '
        f'or the f-number {shown} (then write "{plainly}")?'
    )


def meter_text(f_number: float) -> str:
    """Return an exact f-number as a hand meter shows it: the full stop below, and tenths.

    No light at all (0) is under the scale, light without limit (inf) over it.
    """
    if f_number == 0 or math.isinf(f_number):
        return "over f/90" if f_number else "under f/1"
    tenths = round(20 * math.log2(f_number))
    stop, tenths = divmod(tenths, 10)
    if not 0 <= stop < len(_FULL_STOPS):
        return "under f/1" if stop < 0 else "over f/90"
    return f"f/{_FULL_STOPS[stop]:g}" + (f" + {tenths}/10" if tenths else "")


def stops_text(value: float) -> str:
    """Return a difference in stops, in tenths: "+0.3 stop", "-1.5 stops", "even"."""
    tenth = round(value, 1)
    if tenth == 0:
        return "even"
    return f"{tenth:+.1f} stop" + ("" if abs(tenth) <= 1 else "s")
