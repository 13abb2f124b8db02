"""Django's entry of this room."""

from django.apps import AppConfig


class PlacementsConfig(AppConfig):
    name = "placements"
