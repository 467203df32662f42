"""The app of this folder."""

from __future__ import annotations

from django.apps import AppConfig


class StackConfig(AppConfig):
    """Its name and its tables' first word; it settles what a lot waits for after each deed."""

    name = "haywright.office.stack"
    label = "stack"

    def ready(self) -> None:
        """Start listening."""
        import haywright.office.stack.waits  # noqa: F401
