"""What is around every action: conditions, keys, and the tags of what is answered.

ADR 0020. The standards: RFC 9110 (8.8 and 13), RFC 9111, and
draft-ietf-httpapi-idempotency-key-header-07.
"""

from collections.abc import Callable, Mapping
from contextlib import nullcontext
from copy import copy
from dataclasses import replace
from http import HTTPStatus
from typing import Any, ClassVar

from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from rest_framework.exceptions import APIException
from rest_framework.permissions import SAFE_METHODS
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.viewsets import ViewSet

from api.errors import RefusedError
from api.permissions import DeclaredPermission
from api.request_keys import caller_of, digest_of, key_of
from api.tags import (
    Conditions,
    conditions_of,
    may_go_on,
    nothing_to_compare,
    overtaken,
    seen_before,
    tag_of,
)
from core.answers import (
    Answer,
    KeyReusedError,
    Sent,
    answer_apart,
    answer_once,
)
from core.errors import DomainError
from core.models import User
from core.transactions import whole

Act = Callable[[], Any]
PRIVATE = "private, no-cache"
# What answers depend on beside the address: who asks, and in which form.
VARY = ("Accept", "Authorization", "Cookie")
KEPT_HEADERS = (
    "Content-Type",
    "Content-Disposition",
    "Cache-Control",
    "ETag",
    "Location",
)
NOTHING_DONE = (APIException, DomainError, Http404)


def dress(answer: Any) -> None:
    """Keep an answer out of shared caches, and say what it depends on (RFC 9111)."""
    answer.headers.setdefault("Cache-Control", PRIVATE)
    patch_vary_headers(answer, VARY)


def _check_length(request: Request) -> None:
    if "Transfer-Encoding" in request.headers and not request.META.get(
        "CONTENT_LENGTH"
    ):
        raise RefusedError(
            "length_required",
            "The body came in chunks without its length, so it was not read. Send the "
            "header Content-Length.",
            fields={"Content-Length": "how many bytes the body has"},
            status=HTTPStatus.LENGTH_REQUIRED,
        )


class Answering(ViewSet):
    """An address whose answers carry tags, and whose verbs can be sent again.

    Attributes:
        secret_answers: the actions whose answer shows a secret. It is never kept:
            sent again with its key, such a request is told that it was carried out.
        own_transactions: the actions that commit on the way, or leave a record of
            what they refuse, so that they cannot be part of one transaction. Sent
            again with their key they are still carried out at most once, but a
            condition is looked at before them, not together with them.
    """

    secret_answers: ClassVar[frozenset[str]] = frozenset()
    own_transactions: ClassVar[frozenset[str]] = frozenset()
    gives: ClassVar[Mapping[str, Any]] = {}
    conditions: Conditions

    def ask(self, given: QueryDict) -> None:
        """Read the query parameters of the action."""
        raise NotImplementedError

    def surround(self, request: Request) -> None:
        """Put around an action what is around every one of its kind."""
        self.conditions = conditions_of(request)
        method = str(request.method).lower()
        around = self._read if request.method in SAFE_METHODS else self._carry_out
        handler = getattr(self, method)

        def surrounded(request: Request, *args: Any, **kwargs: Any) -> Any:
            return around(request, lambda: handler(request, *args, **kwargs))

        # As the framework binds an action to its method.
        setattr(self, method, surrounded)

    def options(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Response:
        """Say which methods there are (RFC 9110, 9.3.7): the header Allow does."""
        return Response(status=HTTPStatus.NO_CONTENT)

    def finalize_response(
        self, request: Request, response: Any, *args: Any, **kwargs: Any
    ) -> Any:
        """Add what every answer carries."""
        answer = super().finalize_response(request, response, *args, **kwargs)
        dress(answer)
        return answer

    def _read(self, request: Request, act: Act) -> Any:
        """Answer, unless this version was seen (RFC 9110, 13.2.2)."""
        answer = act()
        if answer.status_code != HTTPStatus.OK or answer.streaming:
            return answer  # what is streamed is never there as a whole
        body, none_match = self._body(answer), self.conditions.none_match
        tag = answer.headers["ETag"] = tag_of(body)
        if not may_go_on(replace(self.conditions, none_match=None), tag):
            raise overtaken()
        if none_match is None or not seen_before(none_match, tag):
            return answer
        # 15.4.5: what a cache keeps it by, and no body.
        kept = {"ETag": tag, "Content-Length": str(len(body))}
        if own := answer.headers.get("Cache-Control"):
            kept["Cache-Control"] = own
        unchanged = HttpResponse(status=HTTPStatus.NOT_MODIFIED, headers=kept)
        del unchanged.headers["Content-Type"]
        return unchanged

    def _carry_out(self, request: Request, act: Act) -> Any:
        """Carry out an unsafe request: under its conditions, once for its key."""
        _check_length(request)
        key, apart = key_of(request), self.action in self.own_transactions
        if key is None:
            with whole() if self.conditions.there and not apart else nullcontext():
                return self._under_conditions(act)
        answers = []

        def work() -> Answer | None:
            answers.append(self._under_conditions(act))
            return self._to_keep(answers[0])

        assert isinstance(request.user, User)  # noqa: S101 - nobody else was let in
        caller = caller_of(request, request.user)
        sent = Sent(caller, key, digest_of(request), timezone.now())
        try:
            if apart:
                known = answer_apart(sent=sent, work=work, refusals=NOTHING_DONE)
            else:
                known = answer_once(sent=sent, work=work)
        except KeyReusedError as error:
            status = HTTPStatus.UNPROCESSABLE_ENTITY
            raise RefusedError(
                error.code, error.sentence, fields=error.fields, status=status
            ) from error
        if known is None:
            return answers[0]
        return HttpResponse(known.body, status=known.status, headers=known.headers)

    def _under_conditions(self, act: Act) -> Any:
        if self.conditions.there and not may_go_on(self.conditions, self._tag_now()):
            raise overtaken()
        answer = act()
        self._mark(answer)
        return answer

    def _tag_now(self) -> str | None:
        """Return the tag that GET of the row would answer now, and lock the row."""
        view: Any = copy(self)
        view.action = "retrieve"
        if "id" not in self.kwargs or not hasattr(view, "one"):
            raise nothing_to_compare(self.conditions)
        rows = view.get_queryset().model._default_manager  # noqa: SLF001 - public API of Django
        locked = rows.select_for_update(no_key=True, of=("self",))
        locked.filter(pk=self.kwargs["id"]).only("pk").first()
        view.one()
        if not DeclaredPermission().has_permission(self.request, view):
            return None
        view.ask(QueryDict())
        return tag_of(view._body(view.retrieve(self.request, **self.kwargs)))  # noqa: SLF001 - it is one of these

    def _mark(self, answer: Any) -> None:
        """Say which version of a row was answered, and where a new one is."""
        data: Any = getattr(answer, "data", None)
        row = self.gives.get("retrieve", getattr(self, "out", None))
        if row is not None and type(data) is row:
            answer.headers["ETag"] = tag_of(self._body(answer))
        elif self.action != "create":
            return
        made = answer.status_code == HTTPStatus.CREATED
        if made and self.basename and hasattr(self, "one") and hasattr(data, "id"):
            name = f"api:{self.basename}-detail"
            answer.headers["Location"] = reverse(name, kwargs={"id": data.id})

    def _to_keep(self, answer: Any) -> Answer | None:
        """Return an answer as it is kept; a refusal did nothing and is not."""
        if answer.status_code >= HTTPStatus.BAD_REQUEST:
            return None
        if self.action in self.secret_answers:
            return Answer(status=answer.status_code, withheld=True)
        body = self._body(answer)
        found = {n: answer.headers[n] for n in KEPT_HEADERS if n in answer.headers}
        return Answer(status=answer.status_code, headers=found, body=body)

    def _body(self, answer: Any) -> bytes:
        """Return the bytes of an answer as they will be sent."""
        if isinstance(answer, Response) and not answer.is_rendered:
            super().finalize_response(self.request, answer)
            answer.render()
        return bytes(answer.content)
