"""The description of this API, served to those who are signed in."""

from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiYamlRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from api.permissions import SIGNED_IN
from api.views import Door


class Description(Door):
    """What this API takes and gives."""

    permissions = {"retrieve": SIGNED_IN}
    schema = None

    def retrieve(self, request: Request) -> Response:
        """Show the OpenAPI 3.1 document, as JSON."""
        return Response(document())


@cache
def document() -> dict[str, Any]:
    """Return the OpenAPI document; it does not change while the program runs."""
    generator = SchemaGenerator()  # type: ignore[no-untyped-call] # untyped upstream
    found: dict[str, Any] = generator.get_schema(  # type: ignore[no-untyped-call] # as above
        request=None, public=True
    )
    return found


def text() -> str:
    """Return the OpenAPI document as the YAML that is committed."""
    drawn: bytes = OpenApiYamlRenderer().render(  # type: ignore[no-untyped-call] # as above
        document(), renderer_context={}
    )
    return drawn.decode()


def path() -> Path:
    """Return where the document is committed."""
    return Path(settings.BASE_DIR) / "docs" / "openapi.yaml"
