"""From a reading on the day to lights that are known, on the command line."""

from __future__ import annotations

from pathlib import Path

import pytest
from running import TWO, run, written

from kinlight.cli.planning import planned
from kinlight.quantities.stops import meter_text
from kinlight.sitting.files import load

LIGHTS = """
[[lights]]
id = "key"
role = "key"
energy = 400
place = { distance = 2.0, side = "left", angle = 45, height = 2.1 }

[[lights]]
id = "fill"
role = "fill"
energy = 400
place = { distance = 3.0, side = "right", angle = 30, height = 1.8 }
"""
COMMENT = "# ours, by hand\n"


@pytest.fixture(autouse=True)
def _nobodys_usual_set(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


def kept_readings(source: Path, stops: float) -> None:
    """Keep readings of key and fill so many stops over what is expected, each alone."""
    for light in planned(source, None).lights:
        shown = meter_text(light.reading_f_number * 2 ** (stops / 2))
        assert run("record", source, "reading", light.light, shown).exit_code == 0


def test_readings_go_all_the_way_to_a_light_that_is_known(tmp_path: Path) -> None:
    """Kept, copied, fitted: the powers are proposed a stop lower and nothing is an estimate."""
    source = written(tmp_path, COMMENT + TWO + LIGHTS)
    learned, done = tmp_path / "learned.toml", tmp_path / "metered.toml"
    before = planned(source, None)
    kept_readings(source, 1.0)
    assert run("record", source, "learned", "-o", learned).stdout.endswith("(2 readings copied)\n")
    copied = {p.id: p for p in load(learned).meter_points}
    assert set(copied) == {"key", "fill"}
    assert copied["key"].set_to == {"key": before.lights[0].setting}
    shown = run("plan", learned).stdout
    assert "What the readings say" in shown
    assert "key gives 1.0 stop more than the plan reckons with, known to 0." in " ".join(
        shown.split()
    )
    fitted = run("record", learned, "fit", "-o", done)
    assert fitted.exit_code == 0, fitted.stderr
    assert "key: gives 1.0 stop more than its figures say, metered " in fitted.stdout
    assert fitted.stdout.endswith(f"Written: {done}\n")
    after = planned(done, None)
    for old, new in zip(before.lights, after.lights, strict=True):
        assert old.known == "estimate"
        assert new.known.startswith("metered ")
        assert new.set_stops - old.set_stops == pytest.approx(1, abs=0.21)
    assert source.read_text("utf-8") == COMMENT + TWO + LIGHTS


def test_a_reading_that_does_not_fit_is_named_and_nothing_written(tmp_path: Path) -> None:
    """Exit 2 and a sentence; with one light read four times, once two stops too high."""
    source = written(tmp_path, TWO + LIGHTS)
    (key, _fill) = planned(source, None).lights
    right, wrong = (meter_text(key.reading_f_number * 2 ** (s / 2)) for s in (0, 2))
    point = '[[meter_points]]\nid = "{}"\nplace = {{ x = 0, y = 0, z = {} }}\nfacing = "key"\n'
    point += 'receptor = "flat"\nlights = ["key"]\nreading = "{}"\n'
    height = planned(source, None).mark_height_m
    points = [point.format(f"p{i}", height, right) for i in range(3)]
    points.append(point.format("the odd one", height, wrong))
    read = written(tmp_path, TWO + LIGHTS + "".join(points), "read.toml")
    done = run("record", read, "fit", "-o", tmp_path / "metered.toml")
    assert done.exit_code == 2
    assert "(the odd one) is 2.0 stops over what the others say" in done.stderr
    assert "nothing is kept until that reading is mended or taken out" in done.stderr
    assert not (tmp_path / "metered.toml").exists()
    assert "(the odd one) is 2.0 stops over" in " ".join(run("plan", read).stdout.split())


def test_the_usual_set_keeps_what_was_found(tmp_path: Path) -> None:
    """Its lights are copied into the sitting, and a copy of it serves the next one."""
    usual = written(tmp_path, LIGHTS + "[room]\nwidth = 6\n", "studio.toml")
    source = written(tmp_path, TWO)
    learned, done = tmp_path / "learned.toml", tmp_path / "metered.toml"
    (key, _fill) = planned(source, usual).lights
    shown = meter_text(key.reading_f_number * 2**0.5)
    assert run("record", "--usual", usual, source, "reading", "key", shown).exit_code == 0
    assert run("record", "--usual", usual, source, "learned", "-o", learned).exit_code == 0
    kept = tmp_path / "studio-metered.toml"
    words = ("record", "--usual", usual, learned, "fit", "-o", done, "--usual-copy", kept)
    fitted = run(*words)
    assert fitted.exit_code == 0, fitted.stderr
    assert "fill: no reading of it; nothing of it is changed" in fitted.stdout
    own = load(done)
    assert own.lights[0].fitted is not None
    assert own.room.states("width_m") is False
    assert "lights" not in own.origins
    following = load(written(tmp_path, TWO, "next.toml"), kept)
    assert following.lights[0].fitted == own.lights[0].fitted
    assert following.lights[1].fitted is None
    assert following.origins["lights"] == "usual set"
    assert planned(tmp_path / "next.toml", kept).lights[0].known.startswith("metered ")


def test_lights_of_no_usual_set_cannot_be_kept_in_one(tmp_path: Path) -> None:
    """It is said before anything is written."""
    source = written(tmp_path, TWO + LIGHTS)
    learned = tmp_path / "learned.toml"
    kept_readings(source, 0.5)
    run("record", source, "learned", "-o", learned)
    outputs = "-o", tmp_path / "a.toml", "--usual-copy", tmp_path / "b.toml"
    done = run("record", learned, "fit", *outputs)
    assert done.exit_code == 2
    assert done.stderr.startswith("the lights are not those of a usual set; copy the line fitted")
    assert not (tmp_path / "a.toml").exists()
    assert not (tmp_path / "b.toml").exists()


def test_without_a_reading_it_is_said_what_to_do(tmp_path: Path) -> None:
    """And the sitting itself is never written over."""
    source = written(tmp_path, TWO + LIGHTS)
    done = run("record", source, "fit", "-o", tmp_path / "metered.toml")
    assert done.exit_code == 2
    assert done.stderr.startswith("the sitting states no meter reading; give meter points")
    over = run("record", source, "fit", "-o", source)
    assert over.exit_code == 2
    assert "would be written over" in over.stderr


def test_what_the_dials_steps_cost_and_what_a_wish_stops_at_is_said(tmp_path: Path) -> None:
    """A fill that cannot be turned down far enough: by how much, and what would help."""
    weak = LIGHTS.replace('id = "fill"\n', 'id = "fill"\ndial = { lowest = "1/2" }\n')
    text = run("plan", written(tmp_path, TWO + weak), "--tables").stdout
    words = " ".join(text.split())
    assert "Set to the steps of the dials, against what is wished: key 0." in words
    assert "light 'fill': is " in words
    assert "too strong at its lowest power (1/2)" in words
