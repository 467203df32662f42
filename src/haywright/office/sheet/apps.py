"""The app of this folder."""

from __future__ import annotations

from django.apps import AppConfig


class SheetConfig(AppConfig):
    """Its name and its tables' first word; it listens for changed results."""

    name = "haywright.office.sheet"
    label = "sheet"

    def ready(self) -> None:
        """Start listening."""
        import haywright.office.sheet.actions  # noqa: F401
