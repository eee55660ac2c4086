"""Page modules stay short and hold no arithmetic: sums live where they can be tested without a screen."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import finishplan.screens

ROOM = Path(finishplan.screens.__file__).parent
MODULES = sorted(ROOM.rglob("*.py"))
WORDS = (ast.JoinedStr, ast.Constant)


def is_text(node: ast.expr) -> bool:
    """Whether an expression is text by its look: a string, an f-string, or such joined."""
    if isinstance(node, ast.BinOp):
        return isinstance(node.op, ast.Add) and (is_text(node.left) or is_text(node.right))
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))


def is_path(node: ast.expr) -> bool:
    """Whether an expression is a path joined to a name."""
    return isinstance(node, ast.BinOp) and isinstance(node.op, ast.Div) and is_text(node.right)


def sums(source: str) -> list[str]:
    """Every sum in a module: operators on numbers, and the functions that add, round or weigh."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.BinOp) and not is_text(node) and not is_path(node):
            if isinstance(node.op, ast.BitOr):
                continue
            found.append(f"line {node.lineno}: {ast.unparse(node)}")
        if isinstance(node, ast.AugAssign) and not is_text(node.value) and isinstance(node.value, ast.Constant):
            found.append(f"line {node.lineno}: {ast.unparse(node)}")
        if isinstance(node, ast.Call) and ast.unparse(node.func) in ("sum", "round", "min", "max", "abs", "divmod"):
            found.append(f"line {node.lineno}: {ast.unparse(node)}")
    return found


@pytest.mark.parametrize("module", MODULES, ids=[str(m.relative_to(ROOM)) for m in MODULES])
def test_module_is_short_and_does_no_sums(module: Path) -> None:
    source = module.read_text(encoding="utf-8")
    assert len(source.splitlines()) < 150
    assert sums(source) == []


@pytest.mark.parametrize("line", [
    "x = a + 1", "x = minutes / 60", "x += 1", "x = sum(y)", "x = round(y)", "x = -1 * y", "x = a % 2", "x = a - b",
])
def test_the_check_itself_finds_sums(line: str) -> None:
    assert sums(line) != []


@pytest.mark.parametrize("line", [
    'x = "a" + b', 'x = f"{a} b" + c', 'x = folder / "name"', "x: int | None = None", 'x += "more"',
])
def test_the_check_itself_lets_words_and_paths_through(line: str) -> None:
    assert sums(line) == []


def test_config_beside_the_app_keeps_it_local_and_quiet() -> None:
    import tomllib
    config = tomllib.loads((ROOM.parents[1] / ".streamlit" / "config.toml").read_text(encoding="utf-8"))
    assert config["server"]["address"] == "127.0.0.1"
    assert config["server"]["enableXsrfProtection"] is True
    assert set(config["server"]["allowedHosts"]) == {"127.0.0.1", "localhost"}
    assert config["server"]["maxUploadSize"] <= 10
    assert config["browser"]["gatherUsageStats"] is False
    assert config["runner"]["fastReruns"] is False
    assert config["client"] == {"toolbarMode": "minimal", "showErrorDetails": "none", "showErrorLinks": False}
    assert config["theme"]["baseFontSize"] == 20 and config["theme"]["baseRadius"] == "2px"


def test_grounds_and_inks_of_config_and_drawings_agree() -> None:
    import tomllib

    from finishplan.paper.theme import DARK, LIGHT
    config = tomllib.loads((ROOM.parents[1] / ".streamlit" / "config.toml").read_text(encoding="utf-8"))["theme"]
    for worn in (LIGHT, DARK):
        assert config[worn.name]["backgroundColor"] == worn.ground
        assert config[worn.name]["textColor"] == worn.ink
