"""Publish the care profiles that come with the program."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from husbandry.actions.profiles import load_shipped_profiles


class Command(BaseCommand):
    help = "Publish the shipped care profiles; those published before are left alone."

    def handle(self, *args: Any, **options: Any) -> None:
        published = load_shipped_profiles(by=None, at=timezone.now())
        for profile in published:
            self.stdout.write(
                f"{profile.species.code}: published version {profile.version}."
            )
        if not published:
            self.stdout.write("Every shipped profile was published before.")
