"""One plain sentence for each thing that is wrong, and its parts as data."""

from __future__ import annotations

import pickle

import pytest

from kinlight.errors import (
    Fault,
    KinlightError,
    QuantityError,
    RangeError,
    SittingError,
    StoreError,
)

HIGH = Fault(
    "is above the ceiling (2.7 m)",
    where="light 'hair'",
    allowed="2.5 m or less",
    given="height 3.4 m",
    remedy="lower it to leave room for the head",
)


@pytest.mark.parametrize(
    ("fault", "sentence"),
    [
        (Fault("nobody is named"), "nobody is named"),
        (Fault("is not a length", given="'x'"), "'x' is not a length"),
        (Fault("is missing", where="person 'ada'"), "person 'ada': is missing"),
        (Fault("is too far", allowed="up to 5 m"), "is too far; allowed: up to 5 m"),
        (Fault("is too far", remedy="move it"), "is too far; move it"),
        (
            HIGH,
            "light 'hair': height 3.4 m is above the ceiling (2.7 m); allowed: 2.5 m or less; "
            "lower it to leave room for the head",
        ),
    ],
)
def test_a_fault_reads_as_one_sentence(fault: Fault, sentence: str) -> None:
    """Place, what was given, what is wrong, what is allowed, what to try."""
    assert fault.sentence() == sentence


def test_a_fault_can_be_said_of_another_place() -> None:
    """The reader of a value does not know where it stands; its caller does."""
    moved = HIGH.at("light 'key'")
    assert moved.where == "light 'key'"
    assert (moved.problem, moved.given) == (HIGH.problem, HIGH.given)
    assert HIGH.where == "light 'hair'"


def test_an_error_lists_every_fault() -> None:
    """One line each; the parts stay available."""
    error = SittingError([HIGH, Fault("nobody is named")])
    assert error.faults == (HIGH, Fault("nobody is named"))
    assert str(error) == f"{HIGH.sentence()}\nnobody is named"


@pytest.mark.parametrize("kind", [QuantityError, RangeError, SittingError, StoreError])
def test_every_error_can_be_caught_as_kinlights(kind: type[KinlightError]) -> None:
    """One kind to catch at the edge, with its faults."""
    with pytest.raises(KinlightError) as caught:
        raise kind(HIGH)
    assert caught.value.faults == (HIGH,)


def test_wrong_values_are_value_errors() -> None:
    """So that document validation takes them as such."""
    assert issubclass(QuantityError, ValueError)
    assert issubclass(RangeError, ValueError)


def test_an_error_from_another_process_keeps_its_faults() -> None:
    """Pickled and read back, it is the same error."""
    back = pickle.loads(pickle.dumps(RangeError([HIGH, HIGH.at("x")])))
    assert type(back) is RangeError
    assert back.faults == (HIGH, HIGH.at("x"))
    assert str(back) == str(RangeError([HIGH, HIGH.at("x")]))
