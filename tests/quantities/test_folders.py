"""Who begins a piece of work that several programs could begin at once."""

from __future__ import annotations

import multiprocessing
import os
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import pytest

from kinlight.folders import claimed

FOR_S = 300.0
TRIALS = 200
DAY_S = 86_400.0
together = None


def _meet(barrier):
    """Note, in a process, the barrier where it waits for the others."""
    global together
    together = barrier


def _claims(folder):
    """Claim one marker after another, each at the same moment as the other process."""
    found = []
    for marker in _markers(folder):
        together.wait()
        found.append(claimed(marker, for_s=FOR_S))
    return found


def _markers(folder):
    return [Path(folder) / str(k) / "begun" for k in range(TRIALS)]


def _dated(marker, ahead_s):
    """Make a marker dated so far ahead of now."""
    marker.parent.mkdir(parents=True, exist_ok=True)
    marker.touch()
    then = time.time() + ahead_s
    os.utime(marker, (then, then))
    return marker


@pytest.mark.parametrize("ahead_s", [None, -FOR_S - 1, DAY_S], ids=["none", "old", "future"])
def test_of_two_processes_one_begins(tmp_path, ahead_s):
    """Both ask at once, 200 times over: where no marker is, and where one no longer counts."""
    if ahead_s is not None:
        for marker in _markers(tmp_path):
            _dated(marker, ahead_s)
    context = multiprocessing.get_context("spawn")
    barrier = context.Barrier(2)
    with ProcessPoolExecutor(2, mp_context=context, initializer=_meet, initargs=(barrier,)) as two:
        one, other = two.map(_claims, [str(tmp_path)] * 2)
    assert [a + b for a, b in zip(one, other, strict=True)] == [1] * TRIALS
    for marker in _markers(tmp_path):
        assert list(marker.parent.iterdir()) == [marker]
        assert not claimed(marker, for_s=FOR_S)


@pytest.mark.parametrize(
    ("ahead_s", "ours"),
    [(-FOR_S + 20, False), (-FOR_S - 20, True), (FOR_S - 20, False), (FOR_S + 20, True)],
)
def test_a_marker_counts_for_a_while(tmp_path, ahead_s, ours):
    """Also one by a clock a little ahead; by one far ahead nobody would ever begin again."""
    marker = _dated(tmp_path / "begun", ahead_s)
    assert claimed(marker, for_s=FOR_S) == ours
    assert not claimed(marker, for_s=FOR_S)


@pytest.mark.parametrize(("age_s", "ours"), [(20, False), (FOR_S + 20, True)])
def test_who_stopped_while_renewing_is_succeeded_too(tmp_path, age_s, ours):
    """Its own claim to renew the old marker counts for as long."""
    marker = _dated(tmp_path / "begun", -DAY_S)
    _dated(tmp_path / f"begun-{marker.stat().st_mtime_ns}", -age_s)
    assert claimed(marker, for_s=FOR_S) == ours
    assert not claimed(marker, for_s=FOR_S)


def test_who_comes_late_to_an_old_marker_does_not_take_the_new_one(tmp_path, monkeypatch):
    """Somebody renews it between the look at its date and the claim to renew it."""
    marker = _dated(tmp_path / "begun", -DAY_S)
    real, others = Path.open, []

    def meanwhile(path, mode="r", **how):
        if path != marker and not others:
            others.append(path)
            assert claimed(marker, for_s=FOR_S)
        return real(path, mode, **how)

    monkeypatch.setattr(Path, "open", meanwhile)
    assert not claimed(marker, for_s=FOR_S)
    assert others
    assert list(tmp_path.iterdir()) == [marker]


def test_where_nothing_can_be_kept_nothing_is_claimed(tmp_path):
    """A file stands where the folder would be."""
    (tmp_path / "file").touch()
    assert not claimed(tmp_path / "file" / "begun", for_s=FOR_S)
