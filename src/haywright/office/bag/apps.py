"""The app of this folder."""

from __future__ import annotations

from django.apps import AppConfig


class BagConfig(AppConfig):
    """Its name and its tables' first word."""

    name = "haywright.office.bag"
    label = "bag"
