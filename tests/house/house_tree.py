"""What the house tests read: the modules of the package and the names in them."""

from __future__ import annotations

import ast
import functools
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "kinlight"
Function = ast.FunctionDef | ast.AsyncFunctionDef


@dataclass(frozen=True)
class Module:
    """One module: its path from the root of the repository, its text and its tree."""

    path: str
    text: str
    tree: ast.Module

    @property
    def parts(self) -> tuple[str, ...]:
        """Return its place below the package: ("optics", "lens")."""
        inside = Path(self.path).with_suffix("").parts
        return inside[inside.index("kinlight") + 1 :]


@dataclass(frozen=True)
class Name:
    """A public argument, or a field of a public class, with its annotation.

    The annotation is as written, followed by what the names of types in it stand for.
    """

    name: str
    annotation: str
    where: str


def module(path: str, text: str) -> Module:
    """Return a module read from text."""
    return Module(path, text, ast.parse(text))


def modules(folder: Path = SOURCE) -> list[Module]:
    """Return every module of a folder of the repository, in order."""
    found = sorted(p for p in folder.rglob("*.py") if "__pycache__" not in p.parts)
    return [module(p.relative_to(ROOT).as_posix(), p.read_text(encoding="utf-8")) for p in found]


def functions(tree: ast.AST) -> Iterator[Function]:
    """Yield every function and method, nested ones included."""
    for node in ast.walk(tree):
        if isinstance(node, Function):
            yield node


@functools.cache
def type_names() -> dict[str, str]:
    """Return the names the package gives to types, `Size = tuple[float, float]`, as written."""
    return {
        node.targets[0].id: ast.unparse(node.value)
        for source in modules()
        for node in source.tree.body
        if isinstance(node, ast.Assign)
        and isinstance(node.targets[0], ast.Name)
        and isinstance(node.value, ast.Subscript | ast.BinOp)
    }


def _written(annotation: ast.expr) -> str:
    text, known = ast.unparse(annotation), type_names()
    for _ in range(3):  # a name for a name for a name
        used = sorted(set(re.findall(r"\w+", text)) & known.keys())
        text = " ".join([text, *(known[name] for name in used if known[name] not in text)])
    return text


def public_names(source: Module) -> Iterator[Name]:
    """Yield public arguments and fields: of functions, of classes and of their methods."""
    if any(part.startswith("_") and not part.startswith("__") for part in source.parts):
        return
    yield from _names_in(source.tree.body, source.path)


def _names_in(body: list[ast.stmt], where: str) -> Iterator[Name]:
    for node in body:
        if isinstance(node, Function) and (node.name[0] != "_" or node.name == "__init__"):
            arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
            for argument in arguments:
                if argument.annotation is not None:
                    written = _written(argument.annotation)
                    yield Name(argument.arg, written, f"{where}, {node.name}({argument.arg})")
        elif isinstance(node, ast.ClassDef) and node.name[0] != "_":
            for field in node.body:
                if isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name):
                    name = field.target.id
                    if name[0] != "_":
                        written = _written(field.annotation)
                        yield Name(name, written, f"{where}, {node.name}.{name}")
            yield from _names_in([n for n in node.body if isinstance(n, Function)], where)
