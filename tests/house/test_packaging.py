"""What is shipped is whole, says one version, and names no machine."""

from __future__ import annotations

import ast
import glob
import importlib.metadata
import re
import shutil
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
from house_tree import ROOT, SOURCE, modules

import kinlight

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
# In pieces, so that this file does not contain them. Hosts of registries, then folders of machines.
HOSTS = ["pypi" + ".org", "python" + "hosted.org", "npm" + "js.", "github" + "usercontent."]
FOLDERS = ["/ro" + "ot/", "/ho" + "me/", "/Us" + "ers/", "/wo" + "rk/", "/op" + "t/", "/t" + "mp/"]
MACHINE = re.compile(
    "|".join([*map(re.escape, HOSTS), *(rf"(?<![\w.]){f}" for f in FOLDERS), "file:" + "//"])
)


def _tracked() -> list[Path]:
    """Return the files under version control, or of an unpacked archive all but what is made."""
    listed = subprocess.run(
        ["git", "-c", "safe.directory=*", "ls-files", "-z"], cwd=ROOT, capture_output=True
    )
    if listed.returncode == 0 and listed.stdout:
        return [ROOT / n for n in listed.stdout.decode().split("\0") if n and (ROOT / n).is_file()]
    made = {"out", "build", "dist", "__pycache__"}
    found = [p for p in ROOT.rglob("*") if p.is_file()]
    return [
        p
        for p in found
        if not any(
            part in made or part.endswith(".egg-info") or (part[0] == "." and part != ".ci")
            for part in p.relative_to(ROOT).parts
        )
    ]


def _data_files() -> set[str]:
    found = (p for p in SOURCE.rglob("*") if p.is_file() and "__pycache__" not in p.parts)
    return {p.relative_to(SOURCE).as_posix() for p in found if p.suffix != ".py"}


def test_the_patterns_of_package_data_name_every_data_file() -> None:
    """Tables, templates and py.typed; no file is left out, and no pattern names nothing."""
    patterns = PROJECT["tool"]["setuptools"]["package-data"]["kinlight"]
    named = {
        pattern: {Path(n).as_posix() for n in glob.glob(pattern, root_dir=SOURCE, recursive=True)}
        for pattern in patterns
    }
    assert "py.typed" in named["py.typed"]
    assert _data_files() - set().union(*named.values()) == set()
    assert [pattern for pattern, files in named.items() if not files] == []


def test_a_wheel_holds_every_module_and_data_file(tmp_path: Path) -> None:
    """Built as it would be for someone else, from the sources alone."""
    copy = tmp_path / "kinlight"
    made = shutil.ignore_patterns("__pycache__", "*.egg-info")
    shutil.copytree(ROOT / "src", copy / "src", ignore=made)
    for name in ("pyproject.toml", "README.md", "LICENSE", "NOTICE"):
        shutil.copy(ROOT / name, copy)
    build = "import setuptools.build_meta as b; b.build_wheel('.')"
    built = subprocess.run(
        [sys.executable, "-c", build], cwd=copy, capture_output=True, text=True, check=False
    )
    assert built.returncode == 0, built.stderr
    with zipfile.ZipFile(next(copy.glob("*.whl"))) as wheel:
        held = set(wheel.namelist())
    wanted = {f"kinlight/{name}" for name in _data_files()}
    wanted |= {Path(source.path).relative_to("src").as_posix() for source in modules()}
    assert wanted - held == set()
    assert {Path(name).name for name in held} >= {"LICENSE", "NOTICE", "entry_points.txt"}


def test_there_is_one_version() -> None:
    """In the project file, in the package, and as installed."""
    assert PROJECT["project"]["version"] == kinlight.__version__
    assert importlib.metadata.version("kinlight") == kinlight.__version__


def test_every_package_imported_is_declared() -> None:
    """Beside the standard library, only what the project says it depends on."""
    project = PROJECT["project"]
    extras = [d for extra in project["optional-dependencies"].values() for d in extra]
    declared = {
        re.split(r"[<>=!~ \[;]", d)[0].replace("-", "_")
        for d in [*project["dependencies"], *extras]
    }
    imported = set()
    for source in modules():
        for node in ast.walk(source.tree):
            if isinstance(node, ast.Import):
                imported |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and not node.level:
                imported.add(str(node.module).partition(".")[0])
    assert imported - declared - sys.stdlib_module_names - {"kinlight"} == set()


def test_the_lock_pins_everything_with_hashes() -> None:
    """Every requirement is one release with its hashes; no option, address or folder is in it."""
    for name in ("run", "test", "lock"):
        text = (ROOT / "requirements" / f"{name}.txt").read_text(encoding="utf-8")
        joined = text.replace("\\\n", " ").splitlines()
        lines = [line for line in joined if line.strip() and not line.lstrip().startswith("#")]
        assert lines
        for line in lines:
            assert re.match(r"[a-z0-9-]+==[\w.]+ .*--hash=sha256:[0-9a-f]{64}", line), line


def _locked(name: str) -> set[str]:
    text = (ROOT / "requirements" / f"{name}.txt").read_text(encoding="utf-8")
    return set(re.findall(r"^[a-z0-9-]+==\S+(?: ; [^\\]*)?", text, re.MULTILINE))


def test_tests_run_on_the_releases_that_are_used() -> None:
    """Whatever is locked for running is locked the same for testing, and all is locked."""
    run, test = _locked("run"), _locked("test")
    assert run <= test
    projects = {line.partition("==")[0] for line in test}
    groups = PROJECT["dependency-groups"]
    asked = [*PROJECT["project"]["dependencies"], *groups["test"], *groups["build"]]
    assert {re.split(r"[<>=]", d)[0] for d in asked} <= projects


def test_no_file_names_a_registry_or_a_machine() -> None:
    """Neither the host of a package registry nor a folder of someone's computer."""
    found = []
    for path in _tracked():
        text = path.read_bytes().decode("utf-8", errors="ignore")
        for number, line in enumerate(text.splitlines(), start=1):
            if match := MACHINE.search(line):
                found.append(f"{path.relative_to(ROOT).as_posix()}:{number}: {match[0]}")
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    "line",
    [f"see https://{HOSTS[0]}/project/x", f"cd {FOLDERS[1]}ann/x", f"from {'file:' + '//'}x"],
)
def test_a_machines_name_is_noticed(line: str) -> None:
    """In an address and in a path alike."""
    assert MACHINE.search(line)


@pytest.mark.parametrize("line", ["docs/home/page.md", "#!/usr/bin/env bash", "https://a.org/b"])
def test_other_paths_are_let_pass(line: str) -> None:
    """A folder of the repository, the shell, a page."""
    assert not MACHINE.search(line)
