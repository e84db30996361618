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
    cannot be written.
    """
    try:
        marker.parent.mkdir(parents=True, exist_ok=True)
        if marker.exists() and time.time() - marker.stat().st_mtime < for_s:
            return False
        marker.touch()
    except OSError:
        return False
    return True
