"""Say everything that is wrong with a care profile's file."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from husbandry.rules.profiles.problems import ProfileErrors
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.standings import count_standings
from husbandry.rules.profiles.values import Profile


class Command(BaseCommand):
    help = "Read a care profile from a file and say everything that is wrong with it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="a care profile as YAML")

    def handle(self, *args: Any, **options: Any) -> None:
        profile = _profile_of(options["file"])
        counts = ", ".join(
            f"{count} {standing.value.replace('_', ' ')}"
            for standing, count in count_standings(profile).items()
        )
        self.stdout.write(
            f"{profile.common_name}: {len(profile.targets)} targets, "
            f"{len(profile.sources)} sources; {counts}. Nothing is wrong."
        )


def _profile_of(path: Path) -> Profile:
    try:
        return read_profile(path.read_text(encoding="utf-8"), name=path.name)
    except OSError as error:
        raise CommandError(f"{path} cannot be opened: {error.strerror}.") from error
    except UnicodeDecodeError as error:
        raise CommandError(
            f"{path} is not UTF-8 text (byte {error.start}); save it as UTF-8."
        ) from error
    except ProfileErrors as error:
        raise CommandError(error.sentence) from error
