"""How the kernel is compiled and where it is kept; importing this needs numba."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numba

from kinlight.light.compiled import kernel_folder


def _kept(**how: Any) -> Callable[[Callable[..., Any]], Any]:
    """Return a decorator that compiles a function and keeps it in the kernel's folder.

    numba has one setting for where to keep things, for the whole process, and reads it when a
    function is decorated. It is ours for that moment only: other users of numba keep theirs.
    """

    def compiled(function: Callable[..., Any]) -> Any:
        before = numba.config.CACHE_DIR  # type: ignore[attr-defined]
        numba.config.CACHE_DIR = str(kernel_folder())  # type: ignore[attr-defined]
        try:
            return numba.njit(cache=True, nogil=True, error_model="numpy", **how)(function)
        finally:
            numba.config.CACHE_DIR = before  # type: ignore[attr-defined]

    return compiled


fast = _kept()
inline = _kept(inline="always")
summing = _kept(fastmath={"reassoc"})
