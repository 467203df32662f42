"""An empty Typer app with the same commands, options and help texts, and nothing behind them."""

from __future__ import annotations

import compileall
from pathlib import Path
from typing import Any

HEAD = """from __future__ import annotations

from typing import Annotated

import typer

"""
FOOT = """

def main() -> None:
    app()
"""


def write(folder: Path, command: Any) -> None:
    """Write the app as a module ``empty_app`` and compile it.

    Parameters
    ----------
    folder
        Where to.
    command
        Our own command group, as the terminal library builds it.
    """
    lines = [HEAD]
    _group(lines, "app", command)
    (folder / "empty_app.py").write_text("".join([*lines, FOOT]), encoding="utf-8")
    compileall.compile_dir(folder, quiet=1)


def _group(lines: list[str], name: str, group: Any) -> None:
    epilog = f", epilog={group.epilog!r}" if group.epilog else ""
    lines.append(
        f"{name} = typer.Typer(no_args_is_help=True, add_completion=False, "
        f"help={group.help!r}{epilog})\n"
    )
    for word, command in group.commands.items():
        inner = f"{name}_{word}".replace("-", "_")
        if hasattr(command, "commands"):
            _group(lines, inner, command)
            lines.append(f"{name}.add_typer({inner}, name={word!r})\n")
        else:
            _command(lines, name, inner, word, command)


def _command(lines: list[str], app: str, inner: str, word: str, command: Any) -> None:
    parameters = []
    for one in command.params:
        if one.name == "help":
            continue
        if one.param_type_name == "argument":
            made = f"typer.Argument(help={getattr(one, 'help', None)!r})"
        else:
            made = f"typer.Option({', '.join(map(repr, one.opts))}, help={one.help!r})"
        kind = "bool" if getattr(one, "is_flag", False) else "str"
        default = "False" if kind == "bool" else "''"
        parameters.append(f"    {one.name}: Annotated[{kind}, {made}] = {default},\n")
    lines.append(f"\n\n@{app}.command({word!r}, help={command.help!r})\n")
    lines.append(f"def {inner}(\n{''.join(parameters)}) -> None:\n    pass\n\n\n")
