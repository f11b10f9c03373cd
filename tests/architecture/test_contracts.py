"""The rooms keep to their places: import contracts, sizes of modules and functions."""

from __future__ import annotations

import ast
import contextlib
import io
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MODULES = sorted((ROOT / "standwatch").rglob("*.py"))
LONGEST_MODULE = 330
"""About 300 lines."""
LONGEST_FUNCTION = 58
"""About 50 lines."""


def test_the_import_contracts_hold(monkeypatch: pytest.MonkeyPatch) -> None:
    from importlinter.cli import EXIT_STATUS_SUCCESS, lint_imports  # noqa: PLC0415

    monkeypatch.chdir(ROOT)
    told = io.StringIO()
    with contextlib.redirect_stdout(told):
        status = lint_imports(config_filename="pyproject.toml", no_cache=True)
    assert status == EXIT_STATUS_SUCCESS, told.getvalue()


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_module_is_as_long_as_a_reader_holds(path: Path) -> None:
    lines = len(path.read_text(encoding="utf-8").splitlines())
    assert lines <= LONGEST_MODULE, f"{path.relative_to(ROOT)} has {lines} lines; split it by meaning"


def _functions(path: Path) -> Iterator[tuple[str, int]]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            assert node.end_lineno is not None
            yield f"{node.name}, line {node.lineno}", node.end_lineno - node.lineno + 1


def test_functions_are_as_long_as_a_reader_holds() -> None:
    long = [
        f"{path.relative_to(ROOT)}: {name}: {lines} lines"
        for path in MODULES
        for name, lines in _functions(path)
        if lines > LONGEST_FUNCTION
    ]
    assert not long, "split by meaning:\n" + "\n".join(long)


def test_no_module_keeps_state_or_touches_the_world_at_import() -> None:
    """At module level stand imports, definitions, names and docstrings; no `global`, no open, no environment."""
    wrong = []
    for path in MODULES:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        wrong += [f"{path.name}: global" for node in ast.walk(tree) if isinstance(node, ast.Global)]
        allowed = (
            ast.Import,
            ast.ImportFrom,
            ast.FunctionDef,
            ast.AsyncFunctionDef,
            ast.ClassDef,
            ast.Assign,
            ast.AnnAssign,
        )
        for node in tree.body:
            docstring = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
            if not (isinstance(node, allowed) or docstring or _guarded(node)):
                wrong.append(f"{path.relative_to(ROOT)}:{node.lineno}: {type(node).__name__}")
    assert not wrong, "\n".join(wrong)


def _guarded(node: ast.stmt) -> bool:
    """`if TYPE_CHECKING:`, `if __name__ == "__main__":` and the like."""
    return isinstance(node, ast.If)
