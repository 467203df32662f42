"""How long a person waits for ``haywright --help``."""

from __future__ import annotations

import compileall
import os
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import haywright
from benchmarks.baselines import empty_help
from benchmarks.row import Row


def ROWS() -> Iterator[Row]:  # noqa: N802 - the name every benchmark uses
    import typer

    from haywright.cli.main import app

    package = Path(haywright.__file__).parent
    compileall.compile_dir(package, quiet=1)
    with tempfile.TemporaryDirectory() as folder:
        empty_help.write(Path(folder), typer.main.get_command(app))
        yield Row(
            name="haywright --help",
            issue=2,
            baseline="the help of an empty Typer app with the same commands, options and texts",
            limit=1.3,
            ours=_command("haywright.cli.main"),
            theirs=_command("empty_app"),
            equal=lambda mine, its: mine == its,
            runs=15,
            note="whole process, bytecode compiled",
            environment={
                **os.environ,
                "PYTHONPATH": os.pathsep.join([folder, str(package.parent)]),
                "COLUMNS": "100",
                "TERM": "dumb",
            },
        )


def _command(module: str) -> list[str]:
    return [sys.executable, "-c", f"from {module} import main; main()", "--help"]
