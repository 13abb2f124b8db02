"""Django's entry of this room."""

from django.apps import AppConfig


class ClutchesConfig(AppConfig):
    name = "clutches"
