from __future__ import annotations

import doctest
import importlib

import pytest


@pytest.mark.parametrize("module", ["polygon", "exposure"])
def test_examples_in_docstrings_are_true(module):
    """They are run as written."""
    outcome = doctest.testmod(importlib.import_module(f"kinlight.light.{module}"))
    assert outcome.attempted > 0
    assert outcome.failed == 0
