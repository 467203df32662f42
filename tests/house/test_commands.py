"""Every command explains itself, answers in JSON, and starts without anything heavy."""

from __future__ import annotations

import subprocess
import sys

HEAVY = ("numpy", "scipy", "pint", "uncertainties", "babel", "typst", "vl_convert", "segno",
         "xlsxwriter", "python_calamine", "django")  # fmt: skip


def commands():
    import typer

    from haywright.cli.main import app

    def leaves(path, command):
        inner = getattr(command, "commands", None)
        if inner is None:
            yield path, command
            return
        for word, one in inner.items():
            yield from leaves(f"{path} {word}", one)

    return list(leaves("haywright", typer.main.get_command(app)))


def test_every_command_answers_in_json():
    without = [
        path
        for path, command in commands()
        if not any("--json" in one.opts for one in command.params)
    ]
    assert not without


def test_every_command_and_each_of_its_options_explains_itself():
    silent = [path for path, command in commands() if not command.help]
    silent += [
        f"{path} {one.name}"
        for path, command in commands()
        for one in command.params
        if not getattr(one, "help", None)
    ]
    assert not silent


def test_help_loads_nothing_heavy():
    loaded = subprocess.run(
        [sys.executable, "-c", "import sys, haywright.cli.main; print(*sys.modules)"],
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split()
    assert sorted(set(HEAVY) & set(loaded)) == []
