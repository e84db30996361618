"""How every test runs.

Property tests have no deadline, since machines differ in speed. Compiled code is kept apart from
the user's own and compiled before the first test, once on a machine: no test waits for it, starts
another process for it, or runs with another engine than the test before.
"""

from __future__ import annotations

import importlib.util
import os
from pathlib import Path

import pytest
from hypothesis import settings

settings.register_profile("kinlight", deadline=None)
settings.load_profile("kinlight")

os.environ["XDG_CACHE_HOME"] = str(Path(__file__).resolve().parents[1] / ".pytest_cache")


@pytest.hookimpl(tryfirst=True)
def pytest_sessionstart(session: pytest.Session) -> None:
    """Compile the light engine if that was not done before; workers find it done."""
    if importlib.util.find_spec("numba") is None or hasattr(session.config, "workerinput"):
        return
    from kinlight.light.compiled import is_ready
    from kinlight.light.engine import prepare

    if not is_ready():
        prepare()
