from __future__ import annotations

import datetime as dt
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import QuantityError, StoreError
from kinlight.studio.record import (
    Event,
    Made,
    Reading,
    append,
    events,
    frames_made,
    latest_readings,
    record_path,
)

AT = dt.datetime(2026, 5, 30, 10, 4, 5, tzinfo=dt.UTC)
names = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=30)
made = st.builds(Made, st.just(AT), names, st.integers(1, 500))
readings = st.builds(Reading, st.just(AT), names, st.sampled_from(["f/8", "f/8 + 4/10", "f/5.6"]))


@given(st.lists(st.one_of(made, readings), max_size=8))
def test_what_was_appended_is_read_back_in_order(happened: list[Event]) -> None:
    """Whatever the names hold: quotes, line ends, other scripts."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "s.record.jsonl"
        for event in happened:
            append(path, event)
        assert events(path) == (tuple(happened), ())


def test_a_record_that_does_not_exist_is_empty(tmp_path: Path) -> None:
    """No file is not a fault."""
    assert events(record_path(tmp_path / "family.toml")) == ((), ())


def test_the_record_lies_beside_the_sitting(tmp_path: Path) -> None:
    """It has the sitting's name."""
    assert record_path(tmp_path / "family.toml") == tmp_path / "family.record.jsonl"


def test_a_torn_last_line_is_said_and_the_next_event_is_whole(tmp_path: Path) -> None:
    """After a power cut in the middle of a line nothing before or after it is lost."""
    path = tmp_path / "s.record.jsonl"
    append(path, Made(AT, "everyone", 3))
    with path.open("ab") as file:
        file.write(b'{"kind": "made", "at": "2026-05-')
    append(path, Made(AT, "the twins", 4))
    found, faults = events(path)
    assert found == (Made(AT, "everyone", 3), Made(AT, "the twins", 4))
    assert [f.sentence() for f in faults] == ["line 2: cannot be read and is passed over"]


@pytest.mark.parametrize(
    "line",
    ["[]", "3", '{"kind": "sale"}', '{"kind": "made", "at": "noon"}', "{}", "[" * 5000, "\x00"],
)
def test_foreign_lines_are_passed_over(tmp_path: Path, line: str) -> None:
    """Anything that is not an event gives a fault, never an exception."""
    path = tmp_path / "s.record.jsonl"
    path.write_text(line + "\n", "utf-8")
    found, faults = events(path)
    assert found == ()
    assert len(faults) == 1


def test_a_reading_that_can_mean_two_things_is_not_kept(tmp_path: Path) -> None:
    """A bare 8.4 is asked about before anything is written."""
    path = tmp_path / "s.record.jsonl"
    with pytest.raises(QuantityError, match="two ways"):
        append(path, Reading(AT, "chin", "8.4"))
    assert not path.exists()


def test_a_folder_in_its_place_gives_a_sentence(tmp_path: Path) -> None:
    """Neither reading nor writing ends in a traceback."""
    path = tmp_path / "s.record.jsonl"
    path.mkdir()
    with pytest.raises(StoreError, match="cannot be read"):
        events(path)
    with pytest.raises(StoreError, match="cannot be written"):
        append(path, Made(AT, "everyone", 1))


def test_frames_add_up_and_the_last_reading_counts() -> None:
    """Two goes at one picture are one count; a second reading replaces the first."""
    later = AT + dt.timedelta(minutes=5)
    happened: tuple[Event, ...] = (
        Made(AT, "everyone", 12),
        Reading(AT, "chin", "f/8"),
        Made(later, "everyone", 5),
        Reading(later, "chin", "f/5.6 + 9/10"),
    )
    assert frames_made(happened) == {"everyone": 17}
    assert latest_readings(happened)["chin"].shown == "f/5.6 + 9/10"


def test_two_writers_lose_nothing(tmp_path: Path) -> None:
    """Two processes that append at once leave every line whole."""
    path = tmp_path / "s.record.jsonl"
    code = (
        "import datetime as dt, sys; from pathlib import Path;"
        "from kinlight.studio.record import Made, append;"
        "[append(Path(sys.argv[1]), Made(dt.datetime.now(dt.UTC), sys.argv[2], 1))"
        " for _ in range(40)]"
    )
    run = [sys.executable, "-c", code, os.fspath(path)]
    writers = [subprocess.Popen([*run, name]) for name in ("one", "two")]
    assert [w.wait() for w in writers] == [0, 0]
    found, faults = events(path)
    assert faults == ()
    assert frames_made(found) == {"one": 40, "two": 40}
