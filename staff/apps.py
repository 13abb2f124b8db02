"""Django's entry of this room."""

from django.apps import AppConfig


class StaffConfig(AppConfig):
    name = "staff"
