"""Units in names: which suffixes there are, how they are written, and which names carry one."""

from __future__ import annotations

import re

from house_tree import Name

# The end of a name -> the unit as the glossary writes it.
UNITS = {
    "m": "m",
    "mm": "mm",
    "nm": "nm",
    "m2": "m2",
    "m_s": "m/s",
    "px": "px",
    "ppi": "px/in",
    "s": "s",
    "min": "min",
    "years": "year",
    "per_min": "1/min",
    "deg": "deg",
    "arcmin": "arcmin",
    "stops": "stop",
    "percent": "%",
    "kg": "kg",
    "n": "N",
    "n_m": "N m",
    "j": "J",
    "w": "W",
    "lx": "lx",
    "lxs": "lx s",
    "lm": "lm",
    "lms": "lm s",
    "lms_per_j": "lm s/J",
    "cds": "cd s",
}
# Ends that are a unit spelled another way, or a unit the program does not keep.
MISSPELT = set(
    [
        *["meter", "meters", "metre", "metres", "cm", "um", "micron", "microns", "inch", "inches"],
        *["ft", "millimeters", "millimetres", "sec", "secs", "second", "seconds", "ms", "msec"],
        *["minute", "minutes", "mins", "hour", "hours", "yr", "yrs", "year", "degree", "degrees"],
        *["rad", "radians", "joule", "joules", "ws", "watt", "watts", "lux", "lumen", "lumens"],
        *["luxs", "luxsec", "kgs", "kilo", "kilos", "pct", "percentage", "pixel"],
    ]
)
# Words for physical quantities: a number so called is in some unit, and its name must say which.
PHYSICAL = set(
    [
        *["distance", "height", "width", "depth", "length", "breadth", "diameter", "radius"],
        *["stature", "thickness", "area", "wavelength", "pitch", "blur", "defocus", "focal"],
        *["angle", "bearing", "elevation", "azimuth", "duration", "time", "delay", "age", "speed"],
        *["energy", "exposure", "illuminance", "luminance", "flux", "mass"],
    ]
)
# The document's kinds of value, and the unit that a field of each kind is kept in.
KINDS = {"Metres": "m", "Millimetres": "mm", "Seconds": "s", "Minutes": "min", "Years": "years"}
_NUMERIC = re.compile(
    r"\b(float|Array|ArrayLike|NDArray|Number|FNumber|" + "|".join(KINDS) + r")\b"
)


def is_numeric(annotation: str) -> bool:
    """Return whether an annotation is of numbers that need not be whole."""
    return bool(_NUMERIC.search(annotation))


def split_unit(name: str) -> tuple[str, str]:
    """Return a name without its unit's suffix, and the suffix; the longest suffix counts."""
    words = name.split("_")
    for first in range(1, len(words)):
        suffix = "_".join(words[first:])
        if suffix in UNITS:
            return "_".join(words[:first]), suffix
    return name, ""


def singular(stem: str) -> str:
    """Return a stem with its last word in the singular."""
    return stem[:-1] if stem.endswith("s") and not stem.endswith(("ss", "us")) else stem


def unit_faults(found: Name) -> list[str]:
    """Return what is wrong with the name of a number."""
    stem, suffix = split_unit(found.name)
    last = stem.rpartition("_")[2]
    faults = []
    if not suffix and "_" in found.name and last in MISSPELT:
        faults.append(f"{found.where}: _{last} is not how a unit is spelled here")
    if not suffix and last in PHYSICAL:
        faults.append(f"{found.where}: {found.name} does not say its unit")
    for kind, wanted in KINDS.items():
        if re.search(rf"\b{kind}\b", found.annotation) and suffix != wanted:
            faults.append(f"{found.where}: a field of {kind} ends in _{wanted}")
    return faults
