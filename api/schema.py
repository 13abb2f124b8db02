"""The OpenAPI document, from what the views declare."""

import inspect
from collections.abc import Mapping, Sequence
from http import HTTPStatus
from typing import Any, cast

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.plumbing import ResolvedComponent
from rest_framework.parsers import MultiPartParser

from api.errors import PROBLEM, Problem, RowsProblem
from api.parsers import Body
from api.permissions import EVERYBODY
from api.row_lists import ListAsked
from api.schema_headers import HEADERS, NOT_MODIFIED, PARAMETERS
from api.schema_types import Json, described, parameters
from api.views import Door, Rows

FORM = MultiPartParser.media_type
JSON = Body.media_type
PACKED = "May come compressed, with `Content-Encoding: gzip`."
ALWAYS = (
    HTTPStatus.BAD_REQUEST,
    HTTPStatus.UNAUTHORIZED,
    HTTPStatus.FORBIDDEN,
    HTTPStatus.NOT_ACCEPTABLE,
    HTTPStatus.TOO_MANY_REQUESTS,
)
OF_VERBS = (HTTPStatus.CONFLICT, HTTPStatus.UNPROCESSABLE_ENTITY)
OF_BODIES = (
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
)
WHY = {
    HTTPStatus.BAD_REQUEST: "A parameter or the body cannot be read.",
    HTTPStatus.UNAUTHORIZED: "Nobody is signed in.",
    HTTPStatus.FORBIDDEN: "The role, or the token's scope, lacks the permission.",
    HTTPStatus.NOT_FOUND: "There is no such row.",
    HTTPStatus.NOT_ACCEPTABLE: "The answer cannot be written as `Accept` asks.",
    HTTPStatus.CONFLICT: "It cannot be done, or the same is being carried out at this "
    "moment; the sentence says why.",
    HTTPStatus.PRECONDITION_FAILED: "It is not as `If-Match` says any more.",
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE: "The body has too many bytes or rows.",
    HTTPStatus.UNSUPPORTED_MEDIA_TYPE: "The body is of none of the kinds listed, or "
    "compressed in another way than by gzip.",
    HTTPStatus.UNPROCESSABLE_ENTITY: "Its `Idempotency-Key` was sent with another "
    "request before.",
    HTTPStatus.TOO_MANY_REQUESTS: "Too many requests; see `Retry-After`, "
    "`RateLimit-Policy` and `RateLimit`.",
}

WHY_ROWS = "It cannot be done; of a list, no row of it was stored."


def _files(kinds: Sequence[str]) -> Json:
    """Return how a file is sent: as the body, or as a part of a form.

    Args:
        kinds: media types that are taken, the form's among them.
    """
    own = [kind for kind in kinds if kind != FORM]
    part = {"type": "string", "contentMediaType": ", ".join(own)}
    form = {"type": "object", "required": ["file"], "properties": {"file": part}}
    content: Json = {kind: {"schema": {"type": "string"}} for kind in own}
    if JSON in content:
        content[JSON] = {"schema": {"type": "object"}}
    return content | {FORM: {"schema": form}}


class TokenScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call] # untyped upstream
    """How a script signs in."""

    target_class = "api.authentication.TokenAuthentication"
    name = "token"

    def get_security_definition(self, auto_schema: AutoSchema) -> Json:
        """Return the scheme."""
        return {
            "type": "http",
            "scheme": "bearer",
            "bearerFormat": "sb_<prefix>_<secret>",
            "description": "A token as it was shown when it was issued.",
        }


class RoomSchema(AutoSchema):
    """One operation: what its view asks, takes, gives and refuses."""

    def get_operation_id(self) -> str:
        """Return the address's first word and the action's name."""
        return f"{self._tokenize_path()[0]}_{self._action}".replace("-", "_")

    def get_summary(self) -> str:
        """Return the first line of what is said of the action."""
        return self._words()[0]

    def get_description(self) -> str:  # type: ignore[override] # as in its base
        """Return what is said of the action, and who may call it."""
        needed = self.door.permissions.get(self._action)
        return "\n\n".join([*self._words()[1:], f"Needs: `{needed}`."])

    def get_auth(self) -> list[Json]:
        """Return who signs in how; an empty way is that nobody has to."""
        ways: list[Json] = super().get_auth()
        open_ = self.door.permissions.get(self._action) is EVERYBODY
        return [{}, *ways] if open_ else ways

    def _words(self) -> list[str]:
        plural = self.door.plural
        own = inspect.getdoc(getattr(self.door, self._action)) or ""
        if self._action == "list":
            own = f"List {plural}.\n\n{inspect.getdoc(type(self.door))}"
        elif getattr(type(self.door), self._action) is getattr(
            Rows, self._action, None
        ):
            own = f"Show one of the {plural}."
        return [" ".join(part.split()) for part in own.split("\n\n")]

    @property
    def door(self) -> Door:
        """Return the view; every address of this API is one of these."""
        return cast("Door", self.view)

    @property
    def _action(self) -> str:
        return str(self.door.action)

    def get_filter_backends(self) -> list[Any]:
        """Return what narrows the action's rows, for the library to describe."""
        backends = getattr(self.door, "filter_backends", ())
        return list(backends) if self.door.filters else []

    def _get_parameters(self) -> list[Json]:
        found: list[Json] = self._get_filter_parameters()  # type: ignore[no-untyped-call] # untyped upstream
        found += parameters(self.door.wanted)
        if "{id}" in self.path:
            number = {"type": "integer", "minimum": 0, "maximum": 10**18 - 1}
            found.insert(
                0, {"name": "id", "in": "path", "required": True, "schema": number}
            )
        return found + [
            self._registered(name, ResolvedComponent.PARAMETER, PARAMETERS[name])
            for name in self._headers()
        ]

    def _headers(self) -> list[str]:
        if self._reads:
            return ["IfNoneMatch"]
        return ["IdempotencyKey", *(["IfMatch"] if self._of_a_row else [])]

    @property
    def _reads(self) -> bool:
        return self.method == "GET"

    @property
    def _of_a_row(self) -> bool:
        return "{id}" in self.path and isinstance(self.door, Rows)

    def _get_request_body(self, direction: str = "request") -> Json | None:
        wanted = self.door.takes.get(self._action)
        if wanted is None:
            return None
        required = self._action not in self.door.optional_bodies
        if wanted is bytes:
            files = [parser.media_type for parser in self.view.parser_classes]
            content = _files(files)
            return {"content": content, "required": required, "description": PACKED}
        kinds = wanted if isinstance(wanted, Mapping) else {JSON: wanted}
        content = {
            kind: {"schema": self._component(one)} for kind, one in kinds.items()
        }
        return {"content": content, "required": required, "description": PACKED}

    def _get_response_bodies(self, direction: str = "response") -> Json:
        answers: Json = {
            str(code.value): {
                **self._answer(code, gives),
                **self._headers_of(code, gives),
            }
            for code, gives in self._successes().items()
        }
        if self._reads:
            kind = ResolvedComponent.RESPONSE
            answers["304"] = self._registered("NotModified", kind, NOT_MODIFIED)
        for refused in self._refusals():
            name = refused.phrase.title().replace(" ", "")
            answers[str(refused.value)] = self._problem(name, WHY[refused])
        if issubclass(self.door.wanted, ListAsked):
            conflict = str(HTTPStatus.CONFLICT.value)
            answers[conflict] = self._problem(
                "RowsConflict", WHY_ROWS, Problem, RowsProblem
            )
        answers["default"] = self._problem("Refusal", "Any other, in the same form.")
        return answers

    def _refusals(self) -> list[HTTPStatus]:
        found = list(ALWAYS)
        if "{id}" in self.path:
            found.append(HTTPStatus.NOT_FOUND)
        if not self._reads:
            found.extend(OF_VERBS)
            if self._of_a_row:
                found.append(HTTPStatus.PRECONDITION_FAILED)
        if self._action in self.door.takes:
            found.extend(OF_BODIES)
        return sorted(found)

    def _successes(self) -> Mapping[HTTPStatus, Any]:
        gives = self.door.gives.get(self._action) or getattr(self.door, "out", None)
        return gives if isinstance(gives, Mapping) else {HTTPStatus.OK: gives}

    def _headers_of(self, code: HTTPStatus, gives: Any) -> Json:
        row = self.door.gives.get("retrieve", getattr(self.door, "out", None))
        shows_row = row is not None and gives is row
        names = ["ETag"] if self._reads or shows_row else []
        made = code is HTTPStatus.CREATED and isinstance(self.door, Rows)
        if made and (shows_row or self._action == "create"):
            names.append("Location")
        found = {
            name: self._registered(name, ResolvedComponent.HEADER, HEADERS[name])
            for name in names
        }
        return {"headers": found} if found else {}

    def _answer(self, code: HTTPStatus, gives: Any) -> Json:
        if gives is bytes:
            kind = self.view.renderer_classes[0].media_type
            body: Json = {"schema": {"type": "string", "contentMediaType": kind}}
            if example := self.door.examples.get(self._action):
                body["example"] = example
            return {"description": "The file.", "content": {kind: body}}
        schema = self._component(gives)
        if self._action in self.door.paged:
            schema = {
                "type": "object",
                "required": ["next", "results"],
                "properties": {
                    "next": {
                        "type": ["string", "null"],
                        "format": "uri",
                        "description": "Where the next page is; null on the last.",
                    },
                    "results": {"type": "array", "items": schema},
                },
            }
        return {
            "description": code.phrase,
            "content": {"application/json": {"schema": schema}},
        }

    def _problem(self, name: str, why: str, *bodies: type[Problem]) -> Json:
        some = [self._component(body) for body in bodies or (Problem,)]
        # Whoever names its rows is a problem as well, so not just one of them fits.
        content = {PROBLEM: {"schema": some[0] if len(some) == 1 else {"anyOf": some}}}
        answer = {"description": why, "content": content}
        return self._registered(name, ResolvedComponent.RESPONSE, answer)

    def _component(self, wanted: Any) -> Json:
        if isinstance(wanted, tuple):
            return {"oneOf": [self._component(one) for one in wanted]}
        schema, components = described(wanted)
        for name, component in components.items():
            self._registered(name, ResolvedComponent.SCHEMA, component)
        return schema

    def _registered(self, name: str, kind: str, content: Json) -> Json:
        """Keep a component once, and return a reference to it.

        Raises:
            RuntimeError: two types share a name; one of them would be described wrongly.
        """
        component = ResolvedComponent(  # type: ignore[no-untyped-call] # untyped upstream
            name, kind, content, RoomSchema
        )
        self.registry.register_on_missing(component)
        if self.registry[component].schema != content:
            raise RuntimeError(f"Two different things are called {name} in the API.")
        reference: Json = component.ref
        return reference
