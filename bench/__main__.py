"""Run every benchmark of this folder: `python -m bench`, or some: `python -m bench light stage`."""

from __future__ import annotations

import importlib
import pkgutil
import sys

import bench


def main(wanted: list[str]) -> int:
    """Run the named benchmarks, or all of them; return the exit code."""
    found = sorted(m.name for m in pkgutil.iter_modules(bench.__path__) if m.name != "__main__")
    unknown = sorted(set(wanted) - set(found))
    if unknown or not found:
        what = f"no benchmark is called {', '.join(unknown)}" if unknown else "no benchmark yet"
        print(f"{what}; there are: {', '.join(found) or 'none'}", file=sys.stderr)
        return 2
    for name in wanted or found:
        print(f"== {name}", flush=True)
        importlib.import_module(f"bench.{name}").main()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
