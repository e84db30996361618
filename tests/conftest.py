"""How every test runs: property tests have no deadline, since machines differ in speed."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("kinlight", deadline=None)
settings.load_profile("kinlight")
