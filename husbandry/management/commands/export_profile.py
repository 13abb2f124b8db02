"""Print a published care profile, word for word."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from core.errors import NotFoundError
from husbandry.queries.profiles import profile_text


class Command(BaseCommand):
    help = "Print a published care profile as YAML, word for word as published."

    def create_parser(
        self, prog_name: str, subcommand: str, **kwargs: Any
    ) -> CommandParser:
        # Django's own --version, which prints Django's, gives way to ours.
        return super().create_parser(
            prog_name, subcommand, conflict_handler="resolve", **kwargs
        )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("code", help="the species, such as veiled_chameleon")
        parser.add_argument("--version", type=int, help="left out: the newest")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            text = profile_text(
                species_code=options["code"], version=options["version"]
            )
        except NotFoundError as error:
            raise CommandError(error.sentence) from error
        self.stdout.write(text, ending="")
