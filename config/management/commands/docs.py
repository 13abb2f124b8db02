"""Write the pages of docs/ that are made from the code, or check them."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from config.pages import PAGES


class Command(BaseCommand):
    help = "Write docs/ pages that are generated; --check says which are out of date."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--check", action="store_true")

    def handle(self, *args: Any, **options: Any) -> None:
        stale = [name for name, page in PAGES.items() if self._differs(name, page())]
        if options["check"] and stale:
            raise CommandError(f"Out of date: {', '.join(stale)}. Run ./dev docs.")
        for name in stale:
            self._path(name).write_text(PAGES[name](), encoding="utf-8")
            self.stdout.write(f"docs/{name} written")

    def _path(self, name: str) -> Any:
        return settings.BASE_DIR / "docs" / name

    def _differs(self, name: str, text: str) -> bool:
        path = self._path(name)
        return not path.exists() or path.read_text(encoding="utf-8") != text
