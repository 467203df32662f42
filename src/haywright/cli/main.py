"""The ``haywright`` command: one group of commands per place on the way of the hay."""

from __future__ import annotations

import gc

import typer

from haywright.cli import bag, bench, bunk, gate, office, sheet, stack, work

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help=(
        "From a stack of hay to a decision: get the bag right, get numbers that hold, and say "
        "whether it may be fed, to whom, in what share, and what it is worth."
    ),
    epilog=(
        "The way of the hay: stack, bag, bench, sheet, then bunk (feeding) and gate (buying and "
        "selling). Start with: haywright demo"
    ),
)
for name, place in (
    ("stack", stack),
    ("bag", bag),
    ("bench", bench),
    ("sheet", sheet),
    ("bunk", bunk),
    ("gate", gate),
):
    app.add_typer(place.app, name=name)
work.add_to(app)
office.add_to(app)


# Objects made between two looks for rubbish: a command ends before there is much of it.
_BETWEEN = 100_000


def main() -> None:
    """Run the command line."""
    gc.set_threshold(_BETWEEN)
    app()
