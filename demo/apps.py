"""Django's entry of this room."""

from django.apps import AppConfig


class DemoConfig(AppConfig):
    name = "demo"
