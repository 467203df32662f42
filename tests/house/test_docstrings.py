"""Public names say what they are; science says units and bases in brackets."""

from __future__ import annotations

import ast
import re

from tests.house.reading import SCIENCE, Module, is_equation, listed, modules, modules_of, name_of

NUMERIC = re.compile(r"\b(float|Decimal|Estimate|NDArray|ndarray|ArrayLike)\b")
# Numbers under names of their own: the name says what each is.
NAMED = re.compile(r"^['\"]?(Mapping|dict|Callable)\b")
BRACKETS = re.compile(r"\[[^\[\]]+\]")
EXEMPT = {"property", "cached_property", "overload"}


def public(module: Module):
    """Public functions and classes at the top, and public methods of public classes."""
    for node in module.tree.body:
        if not isinstance(node, ast.FunctionDef | ast.ClassDef) or node.name.startswith("_"):
            continue
        yield node, False
        if isinstance(node, ast.ClassDef):
            protocol = any(name_of(base) == "Protocol" for base in node.bases)
            yield from (
                (one, True)
                for one in node.body
                if isinstance(one, ast.FunctionDef)
                and not one.name.startswith("_")
                and not protocol
            )


def parameters_section(docstring: str) -> dict[str, str]:
    """Parameter name -> its description, from a numpydoc section."""
    _, found, rest = docstring.partition("Parameters\n----------\n")
    if not found:
        return {}
    out: dict[str, str] = {}
    names: list[str] = []
    for line in rest.splitlines():
        if line and set(line) <= {"-"}:  # the next section's underline
            for name in names:
                out.pop(name, None)
            break
        if line and not line[0].isspace():
            names = [name.strip() for name in line.partition(":")[0].split(",")]
            out.update(dict.fromkeys(names, line))
        else:
            out.update({name: out[name] + " " + line.strip() for name in names})
    return out


def numbers_of(function: ast.FunctionDef) -> list[str]:
    """Names of the parameters that carry a number with a unit."""
    arguments = function.args
    every = [*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs]
    return [
        one.arg
        for one in every
        if one.annotation is not None
        and (is_equation(function) or NUMERIC.search(ast.unparse(one.annotation)))
        and not NAMED.match(ast.unparse(one.annotation))
    ]


def test_every_public_name_has_a_docstring():
    findings = [
        module.at(node, f"{node.name} says nothing")
        for module in modules()
        for node, _ in public(module)
        if not ast.get_docstring(node)
        and not any(name_of(one) in EXEMPT - {"property"} for one in node.decorator_list)
    ]
    assert not findings, listed(findings)


def test_every_module_has_a_docstring():
    findings = [
        module.at(module.tree, "no docstring")
        for module in modules()
        if not ast.get_docstring(module.tree)
    ]
    assert not findings, listed(findings)


def test_science_gives_unit_and_basis_of_every_number():
    findings = []
    for module in modules_of(SCIENCE):
        for node, _ in public(module):
            if not isinstance(node, ast.FunctionDef):
                continue
            wanted = numbers_of(node)
            docstring = ast.get_docstring(node) or ""
            described = parameters_section(docstring)
            if described:
                bare = [one for one in wanted if not BRACKETS.search(described.get(one, ""))]
            else:  # a one-line docstring may carry its brackets in the sentence
                bare = wanted[len(BRACKETS.findall(docstring)) :]
            findings += [module.at(node, f"{node.name}: no [unit] for {one}") for one in bare]
    assert not findings, listed(findings)
