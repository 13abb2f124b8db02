"""Addresses: the machines' door under /api/v1/, the admin, the people's door."""

from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("api/v1/", include("api.urls")),
    path("admin/", admin.site.urls),
    path("", include("staff.urls")),
]
handler400 = "config.failures.bad_request"
handler403 = "config.failures.forbidden"
handler404 = "config.failures.page_not_found"
handler500 = "config.failures.server_error"
