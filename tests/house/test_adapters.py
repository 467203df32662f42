"""An adapter of the outside cases renames and converts; it computes nothing itself."""

from __future__ import annotations

import ast
import math

from tests.house.reading import ROOT, listed

ADAPTERS = ROOT / "tests" / "outside" / "adapters"
ARITHMETIC = (ast.Add, ast.Sub, ast.Mult, ast.Div, ast.Pow, ast.FloorDiv, ast.Mod)


def is_scale(node: ast.AST) -> bool:
    """A power of ten: per cent to fractions, g to kg."""
    value = node.value if isinstance(node, ast.Constant) else None
    return type(value) in (int, float) and value > 0 and math.log10(value).is_integer()


def is_text_or_list(node: ast.AST) -> bool:
    return isinstance(node, ast.JoinedStr | ast.List | ast.Tuple) or (
        isinstance(node, ast.Constant) and isinstance(node.value, str)
    )


def test_adapters_compute_nothing():
    findings = []
    for path in sorted(ADAPTERS.glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.BinOp) and isinstance(node.op, ARITHMETIC):
                sides = (node.left, node.right)
                scales = isinstance(node.op, ast.Mult | ast.Div) and any(map(is_scale, sides))
                if not scales and not any(map(is_text_or_list, sides)):
                    findings.append(
                        f"{path.relative_to(ROOT)}:{node.lineno}: computes {ast.unparse(node)}"
                    )
    assert not findings, listed(findings)
