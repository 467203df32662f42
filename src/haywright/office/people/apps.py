"""The app of this folder."""

from __future__ import annotations

from django.apps import AppConfig
from django.db.models.signals import post_save


class PeopleConfig(AppConfig):
    """Its name and its tables' first word."""

    name = "haywright.office.people"
    label = "people"

    def ready(self) -> None:
        """Keep e-mail addresses in step, and know who has just set up a way in."""
        from allauth.account.signals import password_set
        from allauth.mfa.signals import authenticator_added

        from haywright.office.people.adapter import after_setting_up
        from haywright.office.people.addresses import after_saving

        post_save.connect(after_saving, sender=self.get_model("Person"), dispatch_uid="addresses")
        for told in (password_set, authenticator_added):
            told.connect(after_setting_up, dispatch_uid="just_set_up")
