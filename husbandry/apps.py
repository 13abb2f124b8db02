"""Django's entry of this room."""

from django.apps import AppConfig


class HusbandryConfig(AppConfig):
    name = "husbandry"
