"""Webhooks, their messages and every attempt, with what can be done about them."""

from datetime import datetime
from typing import Any

from django import forms
from django.contrib import admin, messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.template.response import TemplateResponse
from django.utils import timezone

from core.admin.desks import Desk, person
from core.admin.records import Given, RecordForm
from core.admin.steps import Step, SteppedDesk
from core.errors import DomainError
from core.models import Attempt, Delivery, Notice, User, Webhook
from core.notice_words import WANTABLE, NoticeKind, WebhookState
from core.roles import Permission
from core.webhooks.actions import (
    change_webhook,
    end_webhook,
    make_webhook,
    pause_webhook,
    resume_webhook,
    rotate_secret,
    send_again,
    send_test,
)
from core.webhooks.sending import own_sender
from core.webhooks.signing import secret_of


class WhyForm(forms.Form):
    """Why, for whoever wonders later."""

    reason = forms.CharField(max_length=200)


class SureForm(forms.Form):
    """Nothing is asked but whether."""

    sure = forms.BooleanField(label="Yes, do it")


class ChangeForm(RecordForm[Webhook]):
    """What it is called and told of; its address stays."""

    kinds = forms.MultipleChoiceField(choices=[(kind, kind) for kind in WANTABLE])

    class Meta:
        model = Webhook
        fields: tuple[str, ...] = ("name", "kinds")


class MakeForm(ChangeForm):
    """Another program, where it listens, and of what it is told."""

    class Meta(ChangeForm.Meta):
        fields = ("name", "url", "kinds")


def _pause(row: Webhook, given: Given, **who: Any) -> None:
    pause_webhook(webhook=row, reason=given["reason"], **who)


def _resume(row: Webhook, _: Given, **who: Any) -> None:
    resume_webhook(webhook=row, **who)


def _end(row: Webhook, given: Given, **who: Any) -> None:
    end_webhook(webhook=row, reason=given["reason"], **who)


def _rotate(row: Webhook, _: Given, **who: Any) -> None:
    rotate_secret(webhook=row, **who)


def _test(row: Webhook, _: Given, **who: Any) -> None:
    send_test(webhook=row, **who)


def _stands(row: Webhook) -> bool:
    return row.state is not WebhookState.ENDED


ROTATE = Step(
    "rotate",
    "New secret",
    SureForm,
    _rotate,
    fits=_stands,
    done="has a new secret.",
    caution="It is shown once. For 24 hours the one before signs along with it.",
)


@admin.register(Webhook)
class WebhookDesk(SteppedDesk[Webhook]):
    sees = adds = changes = Permission.SET_WEBHOOKS
    adding = MakeForm
    changing = ChangeForm
    list_display = ("name", "url", "state", "failing_since", "paused_at", "why")
    search_fields = ("name", "url")
    ordering = ("pk",)
    steps = (
        Step(
            "test",
            "Send a test",
            SureForm,
            _test,
            fits=_stands,
            done="gets a test within a minute; see its deliveries.",
            caution="A message that says nothing waits for it like any other.",
        ),
        ROTATE,
        Step(
            "pause",
            "Pause",
            WhyForm,
            _pause,
            fits=lambda row: row.state is WebhookState.ACTIVE,
            done="is paused.",
            caution="What happens meanwhile waits for it, for ninety days at most.",
        ),
        Step(
            "resume",
            "Resume",
            SureForm,
            _resume,
            fits=lambda row: row.state is WebhookState.PAUSED,
            done="is sent to again.",
            caution="All that waited is sent first.",
        ),
        Step(
            "end",
            "End",
            WhyForm,
            _end,
            fits=_stands,
            done="is told nothing any more.",
            caution="What waits for it is given up, and it cannot be resumed.",
        ),
    )

    def is_open(self, row: Webhook) -> bool:
        return _stands(row)

    def add(self, given: Given, *, by: User, at: datetime) -> Webhook:
        made = make_webhook(
            name=given["name"],
            url=given["url"],
            kinds=_kinds(given),
            sender=own_sender(),
            by=by,
            at=at,
        )
        return made.webhook

    def change(self, row: Webhook, given: Given, *, by: User, at: datetime) -> Webhook:
        return change_webhook(
            webhook=row, name=given["name"], kinds=_kinds(given), by=by, at=at
        )

    def told(self) -> list[str]:
        """Return all but what secrets are derived from."""
        return [name for name in super().told() if not name.startswith("nonce")]

    def response_add(
        self,
        request: HttpRequest,
        obj: Webhook,
        post_url_continue: str | None = None,
    ) -> HttpResponse:
        """Show the secret, this once."""
        return self._secret_page(request, obj)

    def after_step(
        self, request: HttpRequest, row: Webhook, step: Step
    ) -> HttpResponse:
        """Show a new secret, this once; after other steps the row."""
        if step is ROTATE:
            row.refresh_from_db()
            return self._secret_page(request, row)
        return super().after_step(request, row, step)

    def _secret_page(self, request: HttpRequest, row: Webhook) -> HttpResponse:
        context = {
            **self.admin_site.each_context(request),
            "title": f"The secret of {row}",
            "row": row,
            "secret": secret_of(row.nonce),
        }
        answer = TemplateResponse(request, "admin/core/webhook/secret.html", context)
        answer.headers["Cache-Control"] = "no-store"
        return answer


def _kinds(given: Given) -> list[NoticeKind]:
    return [NoticeKind(kind) for kind in given["kinds"]]


@admin.register(Notice)
class NoticeDesk(Desk[Notice]):
    """What happened and somebody listens for."""

    sees = Permission.SET_WEBHOOKS
    list_display = ("at", "kind", "subject", "subject_id", "key")
    list_filter = ("kind",)
    search_fields = ("key", "subject_id")
    ordering = ("-pk",)


@admin.register(Delivery)
class DeliveryDesk(Desk[Delivery]):
    """What was sent or waits, to whom."""

    sees = Permission.SET_WEBHOOKS
    actions = ("again",)
    list_display = ("notice", "webhook", "state", "tries", "next_at", "ended_at")
    list_select_related = ("notice", "webhook")
    list_filter = ("state", "webhook")
    search_fields = ("notice__key",)
    ordering = ("-pk",)

    @admin.action(description="Send again: under its old name, to its webhook")
    def again(self, request: HttpRequest, chosen: QuerySet[Delivery]) -> None:
        for row in chosen:
            try:
                send_again(delivery=row, by=person(request), at=timezone.now())
            except DomainError as error:
                self.message_user(request, error.sentence, messages.ERROR)


@admin.register(Attempt)
class AttemptDesk(Desk[Attempt]):
    """Each time that something was sent, and what came of it."""

    sees = Permission.SET_WEBHOOKS
    list_display = ("at", "delivery", "status", "problem", "duration_ms")
    list_select_related = ("delivery__notice", "delivery__webhook")
    list_filter = ("status",)
    ordering = ("-pk",)
