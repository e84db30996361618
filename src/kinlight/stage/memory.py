"""What was reckoned before and is kept: by a hash of exactly what went into it.

Nothing is kept anywhere else, so that the same question always gets the same answer.
"""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from dataclasses import fields, is_dataclass
from typing import Any, Generic, TypeVar, cast

import numpy as np

T = TypeVar("T")


class Memory(Generic[T]):
    """The last few results of one kind."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[Hashable, T] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return the result kept under a key, or make and keep it; the longest unused one goes."""
        return self.each([key], lambda _: [make()])[0]

    def each(self, keys: Sequence[Hashable], make: Callable[[list[int]], Sequence[T]]) -> list[T]:
        """Return the results kept under keys; those missing are made at once, told by number."""
        with self._lock:
            found = [self._kept.get(key) for key in keys]
            for key in keys:
                if key in self._kept:
                    self._kept.move_to_end(key)
        missing = [k for k, one in enumerate(found) if one is None]
        if missing:
            made = make(missing)
            with self._lock:
                for k, one in zip(missing, made, strict=True):
                    found[k] = self._kept[keys[k]] = one
                while len(self._kept) > self._most:
                    self._kept.popitem(last=False)
        return cast(list[T], found)

    def clear(self) -> None:
        """Forget everything."""
        with self._lock:
            self._kept.clear()


def digest(*values: Any) -> bytes:
    """Return a hash of numbers, texts, arrays, and dataclasses and tuples of these."""
    told = hashlib.blake2b(digest_size=16)
    _tell(told, values)
    return told.digest()


def _tell(told: Any, value: Any) -> None:
    if isinstance(value, np.ndarray):
        told.update(f"a{value.shape}{value.dtype}".encode())
        told.update(np.ascontiguousarray(value).tobytes())
    elif isinstance(value, tuple | list):
        told.update(f"t{len(value)}".encode())
        for inner in value:
            _tell(told, inner)
    elif is_dataclass(value):
        told.update(type(value).__name__.encode())
        for field in fields(value):
            _tell(told, getattr(value, field.name))
    elif isinstance(value, str | int | float | bool | None):
        told.update(repr(value).encode())
        told.update(b"|")
    else:
        raise TypeError(f"{type(value).__name__} cannot be told apart by its contents")
