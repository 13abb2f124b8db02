"""Write docs/openapi.yaml, or say whether it is what the code says."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from api import description


class Command(BaseCommand):
    help = "Write docs/openapi.yaml; --check says whether it is out of date."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--check", action="store_true")

    def handle(self, *args: Any, **options: Any) -> None:
        text, path = description.text(), description.path()
        current = path.exists() and path.read_text(encoding="utf-8") == text
        if current:
            return
        if options["check"]:
            raise CommandError(
                "docs/openapi.yaml is not what the code says. Run "
                "`./dev manage openapi` and commit what changed."
            )
        path.write_text(text, encoding="utf-8")
        self.stdout.write("docs/openapi.yaml written")
