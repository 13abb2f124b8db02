"""People and their calendar addresses, and the trail of what everybody did."""

from typing import Any

from django import forms
from django.contrib import admin, messages
from django.contrib.auth import admin as auth_admin  # noqa: F401 - registers Group
from django.contrib.auth.forms import SetPasswordForm
from django.contrib.auth.models import Group
from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.urls import URLPattern, path
from django.utils import timezone

from core.actions import register_user
from core.admin.desks import Desk, WritingDesk, person
from core.calendars import revoke_address
from core.errors import DomainError
from core.models import AuditEntry, CalendarAddress, KeptAnswer, User
from core.people import change_person, set_password
from core.roles import Permission, Role

# Roles are code, not rows: groups would be a second, silent way to grant.
admin.site.unregister(Group)


class NewPersonForm(forms.ModelForm[User]):
    """A person who can sign in; the password is shown to nobody afterwards."""

    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least 8 signs, not only digits, not a common one.",
    )

    class Meta:
        model = User
        fields = ("username", "role", "first_name", "last_name", "email", "password")


@admin.register(User)
class UserDesk(WritingDesk[User]):
    """People: their role and units, whether they may sign in, a new password."""

    sees = adds = changes = Permission.MANAGE_PEOPLE
    fixed = ("username", "last_login", "date_joined")
    fields = (
        "username",
        "role",
        "is_active",
        "first_name",
        "last_name",
        "email",
        "temperature_unit",
        "mass_unit",
        "last_login",
        "date_joined",
    )
    list_display = ("username", "first_name", "last_name", "role", "is_active")
    list_filter = ("role", "is_active")
    search_fields = ("username", "first_name", "last_name")

    def get_urls(self) -> list[URLPattern]:
        own = path(
            "<int:pk>/password/",
            self.admin_site.admin_view(self.password_page),
            name="core_user_password",
        )
        return [own, *super().get_urls()]

    def password_page(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Give a person a new password."""
        if not self.has_change_permission(request):
            raise PermissionDenied
        whom = get_object_or_404(User, pk=pk)
        form = SetPasswordForm(whom, request.POST or None)
        if request.method == "POST" and form.is_valid():
            set_password(
                person=whom,
                password=form.cleaned_data["new_password1"],
                by=person(request),
                at=timezone.now(),
            )
            self.message_user(request, f"{whom} has a new password.", messages.SUCCESS)
            return redirect("admin:core_user_change", whom.pk)
        context = {
            **self.admin_site.each_context(request),
            "title": f"New password for {whom}",
            "form": form,
            "whom": whom,
        }
        return TemplateResponse(request, "admin/core/user/password.html", context)

    def get_fields(self, request: HttpRequest, obj: User | None = None) -> Any:
        return self.fields if obj else NewPersonForm.Meta.fields

    def form_for(self, obj: User | None) -> type[forms.ModelForm[User]] | None:
        return NewPersonForm if obj is None else None

    def keep(self, request: HttpRequest, row: User, form: Any) -> User:
        by, at = person(request), timezone.now()
        if row.pk:
            changes = {name: form.cleaned_data[name] for name in form.changed_data}
            return change_person(person=row, changes=changes, by=by, at=at)
        given = form.cleaned_data
        return register_user(
            username=given["username"],
            role=Role(given["role"]),
            password=given["password"],
            first_name=given["first_name"],
            last_name=given["last_name"],
            email=given["email"],
            by=by,
            at=at,
        )


@admin.register(CalendarAddress)
class CalendarAddressDesk(Desk[CalendarAddress]):
    """Addresses that people made on their own page; here they can be closed."""

    sees = Permission.MANAGE_PEOPLE
    actions = ("revoke",)
    exclude = ("digest",)
    list_display = ("name", "prefix", "user", "created_at", "revoked_at")
    list_select_related = ("user",)
    search_fields = ("name", "prefix", "user__username")

    @admin.action(description="Revoke: nobody reads the calendar by it any more")
    def revoke(self, request: HttpRequest, chosen: QuerySet[CalendarAddress]) -> None:
        for address in chosen:
            try:
                revoke_address(address=address, by=person(request), at=timezone.now())
            except DomainError as error:
                self.message_user(request, error.sentence, messages.ERROR)


@admin.register(KeptAnswer)
class KeptAnswerDesk(Desk[KeptAnswer]):
    """That something was answered, never what: it may tell of homes."""

    sees = Permission.MANAGE_PEOPLE
    exclude = ("headers", "body")
    list_display = ("at", "user", "caller", "key", "status", "withheld")
    list_select_related = ("user",)
    search_fields = ("key", "user__username")
    ordering = ("-at", "-pk")


@admin.register(AuditEntry)
class AuditEntryDesk(Desk[AuditEntry]):
    sees = Permission.SEE_AUDIT
    list_display = ("at", "by", "verb", "subject", "subject_id", "reason")
    list_select_related = ("by",)
    list_filter = ("verb", "subject")
    search_fields = ("subject_id", "verb", "reason")
    date_hierarchy = "at"
    ordering = ("-at", "-pk")
