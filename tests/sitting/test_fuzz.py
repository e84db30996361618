"""Whatever a file holds, the answer is a sitting or sentences, never anything else."""

from __future__ import annotations

import copy
import datetime as dt
import tomllib
from typing import Any

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from sittings import documents

from kinlight.errors import Fault, SittingError
from kinlight.sitting import files
from kinlight.sitting.assumed import assumptions
from kinlight.sitting.document import Sitting
from kinlight.sitting.starter import demo_text, starter_text

_KEYS = st.sampled_from(
    [*Sitting.model_fields, "id", "name", "age", "place", "x", "distance", "aim", "modifier"]
)
_LEAVES = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.sampled_from([10**400, -(10**400), 2**63, -1, 0])
    | st.floats()
    | st.text(max_size=8)
    | st.text(st.characters(categories=("Cs", "Cc", "Cf", "Zl")), max_size=3)
    | st.sampled_from(["", " ", "1/0", "1/0 m", "0x1 cm", "f/0", "8.4", "1e999", "9" * 5000, "Ida"])
    | st.sampled_from(["5 ft 1/0 in", "1/4 -1/0", "full", "1/0", "²", "٣ m", "25:00", "-0"])
    | st.datetimes()
    | st.dates()
    | st.times()
)
_TREES = st.recursive(
    _LEAVES,
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(_KEYS | st.text(max_size=5), inner, max_size=4)
    ),
    max_leaves=12,
)
_VALID = [tomllib.loads(starter_text()), tomllib.loads(demo_text())]


def _paths(tree: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Return the path of everything in a document but the whole of it."""
    steps: list[Any] = []
    if isinstance(tree, dict):
        steps = list(tree)
    elif isinstance(tree, list | tuple):
        steps = list(range(len(tree)))
    inner = [p for step in steps for p in _paths(tree[step], (*path, step))]
    return inner if not path else [path, *inner]


def _answer(document: dict[str, Any]) -> None:
    """Parse a document; what is said about it must be fit to be printed on a line each."""
    faults: tuple[Fault, ...] = ()
    try:
        sitting = files.parse(document)
    except SittingError as error:
        faults = error.faults
    for sentence in (fault.sentence() for fault in faults):
        assert not any(c in sentence for c in "\n\r\0\x1b")
        assert sentence.encode()
        assert len(sentence) < 4000
    if faults:
        return
    again = files.parse(tomllib.loads(files.toml_text(sitting)))
    assert again.people == sitting.people
    assert assumptions(sitting)


@given(st.dictionaries(_KEYS | st.text(max_size=5), _TREES, max_size=6))
@settings(max_examples=300, suppress_health_check=[HealthCheck.too_slow])
@example({"people": [{"name": "Ida", "age": 4}], "lights": [{"id": "a"}], "origins": "abc"})
@example({"people": [{"name": "Ida", "age": 4}], "start": dt.datetime(2026, 1, 1)})
def test_random_documents_are_answered(document: dict[str, Any]) -> None:
    """Tables and lists of anything, with keys that are ours and that are not."""
    _answer(document)


@given(st.data())
@settings(max_examples=400, suppress_health_check=[HealthCheck.too_slow])
def test_valid_documents_with_a_few_values_changed_are_answered(data: st.DataObject) -> None:
    """Whatever stands wherever: another type, too much, too little, or nothing."""
    document: dict[str, Any] = copy.deepcopy(
        data.draw(st.sampled_from(_VALID) | documents(), label="document")
    )
    for _ in range(data.draw(st.integers(1, 3))):
        *path, last = data.draw(st.sampled_from(_paths(document)))
        parent: Any = document
        for step in path:
            parent = parent[step]
        if data.draw(st.booleans()):
            parent[last] = data.draw(_LEAVES | _TREES)
        elif isinstance(parent, dict):
            del parent[last]
            parent[data.draw(st.text(max_size=4))] = data.draw(_LEAVES)
        if not document:
            return
    _answer(document)


def test_every_value_of_a_document_may_be_of_a_wrong_type() -> None:
    """Each in its turn, each wrong in several ways."""
    for path in _paths(_VALID[1]):
        for wrong in (None, True, "odd", "", -1, 10**30, float("nan"), [], [[]], {}, {"odd": 1}):
            document = copy.deepcopy(_VALID[1])
            parent: Any = document
            for step in path[:-1]:
                parent = parent[step]
            parent[path[-1]] = wrong
            _answer(document)
