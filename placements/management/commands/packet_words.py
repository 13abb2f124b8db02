"""Write the fixed words of packets as a translator's file, or check it."""

import ast
import re
from argparse import ArgumentParser
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation.template import templatize

ROOM = Path(__file__).resolve().parents[2]
CATALOGUE = Path("locale/en/LC_MESSAGES/django.po")
LAYOUT, PAGES = Path("rules/packets/printing"), Path("templates/placements/packet")
# In the layout's modules these take a fixed text first; `count` takes two.
SAYING, COUNTING = {"say", "word"}, "count"
IN_TEMPLATES = re.compile(
    r"n?gettext\(u?(?P<one>'(?:\\.|[^'\\])*'|\"(?:\\.|[^\"\\])*\")"
    r"(?:, ?u?(?P<many>'(?:\\.|[^'\\])*'|\"(?:\\.|[^\"\\])*\"))?"
)
HEAD = r"""# The fixed words of packets, in the language that they are written in.
# Copy this folder to another language's code, translate each msgstr, keep what stands
# in braces and behind percent signs, and make the file that is read: msgfmt django.po.
msgid ""
msgstr ""
"Content-Type: text/plain; charset=UTF-8\n"
"Language: en\n"
"Plural-Forms: nplurals=2; plural=(n != 1);\n"
"""
Message = tuple[str, str]
"""A fixed text, and the same for many; "" where it does not count."""


class Command(BaseCommand):
    help = "Write the catalogue of a packet's fixed words; --check says if it is old."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--check", action="store_true")

    def handle(self, *args: Any, **options: Any) -> None:
        path = ROOM / CATALOGUE
        text = catalogue()
        if path.exists() and path.read_text(encoding="utf-8") == text:
            return
        if options["check"]:
            raise CommandError(
                f"placements/{CATALOGUE} is out of date. Run ./dev manage packet_words."
            )
        path.write_text(text, encoding="utf-8")
        self.stdout.write(f"placements/{CATALOGUE} written")


def catalogue() -> str:
    """Return the English catalogue: each text stands for itself."""
    return HEAD + "".join(_entry(*message) for message in messages())


def messages() -> tuple[Message, ...]:
    """Return every fixed text of layout and templates, in alphabetical order."""
    layout = (path.read_text(encoding="utf-8") for path in (ROOM / LAYOUT).glob("*.py"))
    pages = (path.read_text(encoding="utf-8") for path in (ROOM / PAGES).glob("*.*"))
    found = {message for text in layout for message in _in_layout(ast.parse(text))}
    found |= {message for text in pages for message in _in_template(text)}
    return tuple(sorted(found))


def _in_layout(tree: ast.AST) -> Iterator[Message]:
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        texts = [
            arg.value
            for arg in node.args
            if isinstance(arg, ast.Constant) and isinstance(arg.value, str)
        ]
        name = node.func.attr if isinstance(node.func, ast.Attribute) else ""
        name = node.func.id if isinstance(node.func, ast.Name) else name
        if name in SAYING and texts:
            yield texts[0], ""
        elif name == COUNTING and len(texts) > 1:
            yield texts[0], texts[1]


def _in_template(text: str) -> Iterator[Message]:
    for match in IN_TEMPLATES.finditer(templatize(text)):
        many = match["many"]
        yield ast.literal_eval(match["one"]), ast.literal_eval(many) if many else ""


def _entry(one: str, many: str) -> str:
    kind = "python-format" if re.search(r"%\(\w+\)s", one) else "python-brace-format"
    marked = f"#, {kind}\n" if re.search(r"%\(\w+\)s|{\w+}", one) else ""
    if not many:
        return f"\n{marked}msgid {_quoted(one)}\nmsgstr {_quoted(one)}\n"
    return (
        f"\n{marked}msgid {_quoted(one)}\nmsgid_plural {_quoted(many)}\n"
        f"msgstr[0] {_quoted(one)}\nmsgstr[1] {_quoted(many)}\n"
    )


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'
