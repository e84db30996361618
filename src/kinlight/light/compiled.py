"""Where the compiled kernel is kept between runs, and whether it is there."""

from __future__ import annotations

import functools
import hashlib
import platform
import sys
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path

from kinlight.folders import cache_folder, claimed

# What is compiled, and what decides for which kinds of arrays.
_SOURCES = (
    "engine.py",
    "jit.py",
    "kernel.py",
    "kernel_fronts.py",
    "kernel_hits.py",
    "kernel_shapes.py",
    "kernel_sums.py",
    "packed.py",
)


LONGEST_S = 300.0
"""Compiling that is not done after this long is taken to have been stopped."""


@functools.cache
def kernel_folder() -> Path:
    """Return the folder of the kernel as compiled from this source, here, with this numba."""
    told = hashlib.sha256()
    for name in _SOURCES:
        told.update((files("kinlight.light") / name).read_bytes())
    told.update(f"{sys.version} {version('numba')} {platform.machine()} {_processor()}".encode())
    return cache_folder() / f"kernel-{told.hexdigest()[:16]}"


def is_ready() -> bool:
    """Return whether the kernel was compiled before and is still there."""
    return (kernel_folder() / "ready").exists()


def claim() -> bool:
    """Return whether it is this program's turn to have the kernel compiled.

    It is not while another one's may still be at it, nor where nothing can be kept.
    """
    return claimed(kernel_folder() / "begun", for_s=LONGEST_S)


def mark_ready() -> None:
    """Note that every function of the kernel is compiled and kept."""
    kernel_folder().mkdir(parents=True, exist_ok=True)
    (kernel_folder() / "ready").touch()


def _processor() -> str:
    """Return what kind of processor this is: compiled code is for one kind."""
    try:
        with open("/proc/cpuinfo", encoding="utf-8") as text:
            return next((line for line in text if line.startswith("model name")), "")
    except OSError:
        return platform.processor()
