"""How the kernel is compiled and where it is kept; importing this needs numba."""

from __future__ import annotations

import numba

from kinlight.light.compiled import kernel_folder

numba.config.CACHE_DIR = str(kernel_folder())  # type: ignore[attr-defined]

fast = numba.njit(cache=True, nogil=True, error_model="numpy")
inline = numba.njit(cache=True, nogil=True, error_model="numpy", inline="always")
summing = numba.njit(cache=True, nogil=True, error_model="numpy", fastmath={"reassoc"})
