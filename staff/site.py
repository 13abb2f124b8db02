"""The admin site: back office of the same house, open to those a role lets in."""

from django.contrib.admin import AdminSite


class StaffSite(AdminSite):
    """The back office, under our own name."""

    site_header = "Spurbook"
    site_title = "Spurbook"
