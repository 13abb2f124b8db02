"""Addresses of the people's pages."""

app_name = "staff"
urlpatterns: list[object] = []
