"""Django's entry of this room."""

from django.apps import AppConfig


class CoreConfig(AppConfig):
    name = "core"
