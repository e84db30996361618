"""`kinlight light` says how the lights are set, what faces get, and from where."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from running import TWO, run, written


@pytest.fixture(autouse=True)
def _plain(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("COLUMNS", "118")
    for name in ("NO_COLOR", "FORCE_COLOR"):
        monkeypatch.delenv(name, raising=False)


SITTING = TWO + "\n[room]\nlength = 8\n"


def test_one_sentence_answers_first(tmp_path: Path) -> None:
    """How near the faces are to the aperture, and how even."""
    lines = run("light", written(tmp_path, SITTING)).output.splitlines()
    assert lines[0] == "Tilda and her aunt"
    assert re.match(r"Every face is within \d\.\d stop of f/\S+; the widest spread is", lines[1])


def test_readings_faces_and_sources_follow(tmp_path: Path) -> None:
    """Shares of each face add up to all of its light."""
    result = run("light", written(tmp_path, SITTING))
    assert result.exit_code == 0
    said = result.output
    for part in ("Meter, in this order", "Faces", "Where each face's light comes from"):
        assert part in said
    sources = said.partition("Where each face's light comes from")[2].partition("Each bar is")[0]
    shares = [int(n) for n in re.findall(r"(\d+)%", sources)]
    faces = len(re.findall(r"[#=+:.-]{20,}\s+key", sources))
    assert faces >= 2
    assert sum(shares) == pytest.approx(100 * faces, abs=3 * faces)


def test_one_picture_only(tmp_path: Path) -> None:
    """Named, or refused with the names there are."""
    path = written(tmp_path, SITTING)
    assert run("light", path, "--picture", "both").exit_code == 0
    wrong = run("light", path, "--picture", "nobody")
    assert wrong.exit_code == 2
    assert "there is no picture 'nobody'" in wrong.output
    assert "both" in wrong.output


def test_a_narrow_terminal_gets_the_same_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As lines instead of tables; nothing is lost."""
    path = written(tmp_path, SITTING)
    wide = run("light", path).output
    monkeypatch.setenv("COLUMNS", "44")
    narrow = run("light", path).output
    assert max(map(len, narrow.splitlines())) <= 44
    assert set(re.findall(r"\w+ \d+%", wide)) <= set(
        re.findall(r"\w+ \d+%", " ".join(narrow.split()))
    )
