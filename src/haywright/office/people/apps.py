"""The app of this folder."""

from __future__ import annotations

from django.apps import AppConfig
from django.db.models.signals import post_save


class PeopleConfig(AppConfig):
    """Its name and its tables' first word."""

    name = "haywright.office.people"
    label = "people"

    def ready(self) -> None:
        """Keep letter addresses in step."""
        from haywright.office.people.addresses import after_saving

        post_save.connect(after_saving, sender=self.get_model("Person"), dispatch_uid="addresses")
