"""What every command shares: how it answers, how it refuses, whom it speaks to.

Exit codes: 0 answered, 2 input refused, 3 held by quality control.
"""

from __future__ import annotations

import json as _json
import os
import sys
from collections.abc import Callable, Iterable
from functools import wraps
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

import typer

if TYPE_CHECKING:
    from haywright.measure.message import Message
    from haywright.words import Reader

EXIT_REFUSED = 2
EXIT_HELD = 3
F = TypeVar("F", bound=Callable[..., Any])

Json = Annotated[
    bool, typer.Option("--json", help="Answer with JSON, for another program to read.")
]
Units = Annotated[
    str, typer.Option("--show", help="Show lengths and weights in us (lb, ft) or si (kg, m) units.")
]


def reader(units: str = "us") -> Reader:
    """Whom the terminal speaks to."""
    from haywright.measure.errors import UnknownName
    from haywright.words.numbers import SCALES, Reader

    if units not in SCALES:
        raise UnknownName("--show", units, SCALES)
    return Reader(units=units)


def answer(
    payload: dict[str, Any], lines: Iterable[str | Message], *, json: bool, units: str = "us"
) -> None:
    """Print the answer: the payload as JSON, or the lines in words."""
    if json:
        sys.stdout.write(_json.dumps(payload, indent=2, ensure_ascii=False, allow_nan=False) + "\n")
        return
    from haywright.words import say

    who = reader(units)
    width = _width()
    for line in lines:
        text = line if isinstance(line, str) else say(line, who)
        sys.stdout.write(_wrapped(text, width) + "\n")


def _width() -> int:
    try:
        return max(50, min(100, os.get_terminal_size().columns))
    except OSError:
        return 100


def _wrapped(text: str, width: int) -> str:
    """Wrap running text at the terminal's width; a line that is set as a table is left alone."""
    import textwrap

    if len(text) <= width or "  " in text.strip():
        return text
    indent = " " * (len(text) - len(text.lstrip()))
    return textwrap.fill(
        text, width, subsequent_indent=indent, break_on_hyphens=False, break_long_words=False
    )


def command_errors(fn: F) -> F:
    """Turn a refusal into words on the error stream and exit code 2; anything else is a bug."""

    @wraps(fn)
    def run(*args: Any, **kwargs: Any) -> Any:
        from haywright.measure.errors import HaywrightError

        try:
            return fn(*args, **kwargs)
        except HaywrightError as error:
            from haywright.words import say

            for one in error.messages():
                sys.stderr.write(say(one) + "\n")
            raise typer.Exit(EXIT_REFUSED) from None

    return run  # type: ignore[return-value]
