"""What an action refused, told beside the field that it is about."""

from django import forms
from django.core.exceptions import ValidationError

from core.errors import DomainError


def refuse(form: forms.Form, error: DomainError) -> None:
    """Tell a refusal beside the first field that it names and that is shown.

    Args:
        form: bound and cleaned.
        error: what the action said; about none of the fields, it stands above them.
    """
    named = (name for name in error.fields if name in form.fields)
    field = next((name for name in named if not form[name].is_hidden), None)
    form.add_error(field, ValidationError(error.sentence))
