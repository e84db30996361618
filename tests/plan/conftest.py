"""The demo, settled and checked once for all tests: it takes some seconds."""

from __future__ import annotations

import tomllib

import pytest

from kinlight.plan.check import check
from kinlight.plan.model import Plan
from kinlight.plan.settle.settle import settle
from kinlight.sitting.document import Sitting
from kinlight.sitting.files import parse
from kinlight.sitting.starter import demo_text


@pytest.fixture(scope="session")
def demo() -> Sitting:
    """Return the demo as it is stated."""
    return parse(tomllib.loads(demo_text()))


@pytest.fixture(scope="session")
def demo_settled(demo: Sitting) -> Sitting:
    """Return the demo settled."""
    return settle(demo)


@pytest.fixture(scope="session")
def demo_plan(demo_settled: Sitting) -> Plan:
    """Return the demo's plan."""
    return check(demo_settled)
