"""Numbers with a unit end in it: `distance_m`, `energy_j`, `exposure_lxs`."""

from __future__ import annotations

import ast
import re

import pytest
from house_tree import Name, functions, module, modules, public_names
from house_units import MISSPELT, UNITS, is_numeric, split_unit, unit_faults


def _names(text: str) -> list[Name]:
    return list(public_names(module("src/kinlight/optics/x.py", text)))


def test_every_public_number_says_its_unit() -> None:
    """Arguments of public functions and fields of public classes, over the whole package."""
    found = [name for source in modules() for name in public_names(source)]
    numbers = [name for name in found if is_numeric(name.annotation)]
    assert len(numbers) > 100, "the search finds too little to mean anything"
    faults = [fault for name in numbers for fault in unit_faults(name)]
    assert not faults, "\n".join(faults)


def test_no_public_function_is_named_after_a_misspelt_unit() -> None:
    """A function that returns a distance is `..._m`, not `..._meters`."""
    bad = [
        f"{source.path}, {function.name}"
        for source in modules()
        for function in functions(source.tree)
        if "_" in function.name.strip("_")
        and not function.name.startswith(("_", "parse_"))
        and function.returns is not None
        and re.search(r"\b(float|Array)\b", ast.unparse(function.returns))
        and function.name.rpartition("_")[2] in MISSPELT
        and function.name != "guide_number_ft"  # printed on older strobes: a number of its own
    ]
    assert not bad, "\n".join(bad)


@pytest.mark.parametrize(
    "argument",
    [
        "distance: float",
        "aim_height: float | None",
        "focal_length: float",
        "exposure: ArrayLike",
        "reach_meters: float",
        "recycle_sec: float",
        "recycle_ms: float",
        "turn_degrees: Array",
        "width_cm: float",
        "near: Annotated[Metres, Field(ge=0)]",
        "near_mm: Metres | None",
        "lasts_s: Minutes",
    ],
)
def test_a_number_without_a_right_unit_is_noticed(argument: str) -> None:
    """In a function, a method, a keyword and a field alike."""
    name = argument.partition(":")[0]
    sources = [
        f"def f({argument}): ...",
        f"def f(*, {argument}): ...",
        f"class A:\n    def f(self, {argument}): ...",
        f"class A:\n    {argument}",
    ]
    for text in sources:
        assert [n.name for n in _names(text)] == [name]
        assert len(unit_faults(_names(text)[0])) == 1


@pytest.mark.parametrize(
    "argument",
    [
        "distance_m: float",
        "speed_m_s: float",
        "f_number: float",
        "metres: float",
        "lasts_min: Minutes",
    ],
)
def test_a_number_with_a_right_unit_is_let_pass(argument: str) -> None:
    """So are numbers without a unit, and a number that is called by its unit alone."""
    assert unit_faults(_names(f"def f({argument}): ...")[0]) == []


def test_private_names_are_their_authors_business() -> None:
    """Only what others call must say its unit."""
    assert _names("def _f(height: float): ...") == []
    assert _names("class _A:\n    height: float") == []
    assert _names("class A:\n    _height: float") == []


@pytest.mark.parametrize(
    ("name", "stem", "suffix"),
    [
        ("speed_m_s", "speed", "m_s"),
        ("efficacy_lms_per_j", "efficacy", "lms_per_j"),
        ("rate_per_min", "rate", "per_min"),
        ("aim_height_m", "aim_height", "m"),
        ("f_number", "f_number", ""),
        ("metres", "metres", ""),
    ],
)
def test_the_longest_unit_at_the_end_counts(name: str, stem: str, suffix: str) -> None:
    """Metres per second are not seconds."""
    assert split_unit(name) == (stem, suffix)


def test_no_spelling_is_both_right_and_wrong() -> None:
    """The two lists have nothing in common."""
    assert MISSPELT.isdisjoint(UNITS)
