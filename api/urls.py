"""Addresses of the API."""

app_name = "api"
urlpatterns: list[object] = []
