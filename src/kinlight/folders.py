"""Where this user's files are kept, by the customs of each system."""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path


def cache_folder() -> Path:
    """Return the folder of this user for what can be made again, without making it."""
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = str(Path.home() / "Library" / "Caches")
    else:
        base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return Path(base) / "kinlight"


def claimed(marker: Path, *, for_s: float) -> bool:
    """Return whether a piece of work is ours to begin, and mark that it has begun.

    It is somebody else's while the marker is younger than `for_s`, and nobody's where the marker
    cannot be written. One dated in the future, by a clock that was wrong, counts as old once it is
    farther ahead than that.
    """
    try:
        marker.parent.mkdir(parents=True, exist_ok=True)
        return _made(marker) or _renewed(marker, for_s)
    except OSError:
        return False


def _made(marker: Path) -> bool:
    """Return whether a marker was not there; of several who ask at once, one makes it."""
    try:
        marker.open("x").close()
    except FileExistsError:
        return False
    return True


def _renewed(marker: Path, for_s: float) -> bool:
    """Return whether a marker is too old to count, and renew it; of several, one does.

    That is who claims the successor, named by the old marker's date, and finds that old marker
    still there: whoever comes late to an old one finds another in its place.
    """
    dated = marker.stat().st_mtime_ns
    if abs(time.time() - dated / 1e9) < for_s:
        return False
    successor = marker.with_name(f"{marker.name}-{dated}")
    if not claimed(successor, for_s=for_s):
        return False
    if marker.stat().st_mtime_ns != dated:
        successor.unlink()
        return False
    successor.replace(marker)
    return True
