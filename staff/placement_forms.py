"""What can be done about one placement, a form each."""

from django import forms

from core.admin import DayField
from husbandry.models import Prescription
from placements.models import Application
from placements.rules.vocabulary import PlacementKind
from staff.placement_words import KINDS

LASTING = (PlacementKind.ADOPTION, PlacementKind.SALE, PlacementKind.TRANSFER)


class OpenGateForm(forms.Form):
    """Open a gate, with a reason that is printed."""

    gate = forms.CharField(widget=forms.HiddenInput)
    reason = forms.CharField(
        label="Why it may leave all the same",
        help_text="Goes on record and into the packet: no names of people.",
        widget=forms.Textarea({"rows": 2}),
    )


class ShutGateForm(forms.Form):
    """Shut a gate again."""

    gate = forms.CharField(widget=forms.HiddenInput)


class ChangeForm(forms.Form):
    """Change the days of a plan, and the application behind it."""

    planned_on = DayField(label="Meant to leave on")
    due_back_on = DayField(label="Due back on")
    application = forms.ModelChoiceField(
        Application.objects.none(),
        required=False,
        help_text="Of that home, where one is asked for.",
    )


class HandOverForm(forms.Form):
    """Hand an animal over."""

    on = DayField(label="It left on", help_text="The local day.")


class CallOffForm(forms.Form):
    """Call a plan off."""

    reason = forms.CharField(
        label="Call it off, because",
        max_length=300,
        help_text="No names of people.",
    )


class DiedForm(forms.Form):
    """Note that an animal died in its home."""

    on = DayField(label="It died on")
    reason = forms.CharField(
        label="How, as far as it is known",
        max_length=300,
        required=False,
        help_text="No names of people.",
    )


class ExtendForm(forms.Form):
    """Agree on another day of return."""

    due_back_on = DayField(label="Due back on")


class LastingForm(forms.Form):
    """Plan that a stay becomes lasting."""

    kind = forms.ChoiceField(
        label="From then on it is", choices=[(k.value, KINDS[k]) for k in LASTING]
    )
    planned_on = DayField(label="From")


class TreatmentForm(forms.Form):
    """A licensed vet says how a treatment goes on."""

    prescription = forms.ModelChoiceField(Prescription.objects.none())
    plan = forms.CharField(
        label="How it goes on, in the licensed vet's words",
        widget=forms.Textarea({"rows": 3}),
    )
