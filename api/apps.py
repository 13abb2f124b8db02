"""Django's entry of this room."""

from django.apps import AppConfig


class ApiConfig(AppConfig):
    name = "api"
