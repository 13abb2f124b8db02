"""What people choose for themselves: units, password, addresses of the calendar."""

from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth.forms import PasswordChangeForm
from django.contrib.auth.views import PasswordChangeView
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.utils import timezone

from core.errors import DomainError
from core.models import User
from core.people import change_person, set_password
from core.roles import Permission
from core.units import TemperatureUnit
from staff.doors import opens_to, person

# Every role holds it.
ANYBODY = Permission.SEE_FINDINGS


class UnitsForm(forms.ModelForm[User]):
    """In which units the pages speak; what is stored stays °C and grams."""

    temperature_unit = forms.ChoiceField(
        label="Temperatures in",
        choices=[(unit.value, f"°{unit.value}") for unit in TemperatureUnit],
    )

    class Meta:
        model = User
        fields = ("temperature_unit", "mass_unit")
        labels = {"mass_unit": "Weights in"}


class OwnPasswordForm(PasswordChangeForm):
    """A new password for oneself, with the old one."""

    def save(self, commit: bool = True) -> Any:  # noqa: FBT001, FBT002 - Django's signature
        """Set it by the one action that does."""
        set_password(
            person=self.user,
            password=self.cleaned_data["new_password1"],
            by=self.user,
            at=timezone.now(),
        )
        return self.user


@opens_to(ANYBODY)
def me(request: HttpRequest) -> HttpResponseBase:
    """Show and take what a person chooses for the pages."""
    reader = person(request)
    form = UnitsForm(request.POST or None, instance=reader)
    if request.method == "POST" and form.is_valid():
        try:
            change_person(
                person=reader,
                changes={name: form.cleaned_data[name] for name in form.fields},
                by=reader,
                at=timezone.now(),
            )
        except DomainError as error:
            form.add_error(None, ValidationError(error.sentence))
        else:
            messages.success(request, "Your units are kept.")
            return redirect("staff:me")
    addresses = reader.calendar_addresses.filter(revoked_at__isnull=True)
    context = {
        "form": form,
        "addresses": addresses.order_by("created_at", "pk"),
        "may_subscribe": reader.may(Permission.SEE_ANIMALS),
    }
    return render(request, "staff/me.html", context)


class OwnPassword(PasswordChangeView):
    """Give yourself a new password."""

    form_class = OwnPasswordForm
    template_name = "staff/password.html"
    success_url = reverse_lazy("staff:me")

    def form_valid(self, form: Any) -> HttpResponse:
        """Say that it is done; the session goes on."""
        messages.success(self.request, "Your new password is kept.")
        return super().form_valid(form)


own_password = opens_to(ANYBODY)(OwnPassword.as_view())
