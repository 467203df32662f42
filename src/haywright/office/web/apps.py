"""The app of this folder."""

from __future__ import annotations

from django.apps import AppConfig


class WebConfig(AppConfig):
    """Its name and its tables' first word."""

    name = "haywright.office.web"
    label = "web"

    def ready(self) -> None:
        """Have the settings looked at by whoever asks for the system checks."""
        from haywright.office import checks  # noqa: F401 - registers itself
