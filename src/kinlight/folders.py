"""Where this user's files are kept, by the customs of each system."""

from __future__ import annotations

import os
import sys
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
