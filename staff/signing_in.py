"""Sign in and out."""

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView
from django.core.exceptions import ValidationError
from django.http import HttpResponse

from staff.throttling import MOST_FAILURES, WAIT_S, count_failure, forget, is_held

HELD = (
    f"{MOST_FAILURES} attempts with this name from here have failed. Wait "
    f"{WAIT_S // 60} minutes, then try again; or ask whoever manages people for a "
    "new password."
)
WRONG = (
    "Name and password do not fit together. Both are case-sensitive; look whether "
    "Caps Lock is on. Who has left is not let in."
)


class SignInForm(AuthenticationForm):
    """Name and password; held back after too many failures."""

    username = forms.CharField(
        label="Name",
        max_length=150,
        widget=forms.TextInput(
            attrs={
                "autofocus": True,
                "autocomplete": "username",
                "autocapitalize": "none",
                "spellcheck": "false",
            }
        ),
    )
    error_messages = {"invalid_login": WRONG, "inactive": WRONG, "held": HELD}
    held = False

    def clean(self) -> dict[str, Any]:
        """Compare name and password, unless they were guessed at too often."""
        who = {
            "name": self.data.get("username", ""),
            "address": self.request.META.get("REMOTE_ADDR", "") if self.request else "",
        }
        if is_held(**who):
            self.held = True
            raise ValidationError(HELD, code="held")
        try:
            cleaned = super().clean()
        except ValidationError:
            count_failure(**who)
            raise
        forget(**who)
        return cleaned


class SignIn(LoginView):
    """The door itself."""

    template_name = "staff/sign_in.html"
    form_class = SignInForm
    redirect_authenticated_user = True

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        """Show what was wrong; 429 where it is held back."""
        held = isinstance(form, SignInForm) and form.held
        context = self.get_context_data(form=form)
        return self.render_to_response(context, status=429 if held else 200)
