"""Django's entry of the admin site, which is part of this room."""

from django.contrib.admin.apps import AdminConfig


class BackOfficeConfig(AdminConfig):
    """Put our own site in the place of Django's."""

    default_site = "staff.site.StaffSite"
