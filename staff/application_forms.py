"""What an applicant types: every question in one form, held to the rules."""

from collections.abc import Mapping
from enum import StrEnum
from typing import Any, TypeVar

from django import forms

from husbandry.models import Animal, Species
from placements.queries.applications import animal_offered, species_offered
from placements.rules.applications.answers import checked_answers, question_set
from placements.rules.applications.questions import (
    NEWEST_SET,
    Question,
    QuestionKind,
    options_of,
)
from placements.rules.applications.texts import problem_with, tidy
from placements.rules.homes import HomeDetails, problems_of_applicant, tidied
from placements.rules.vocabulary import Paper, PlacementKind, UnitSystem

W = TypeVar("W", bound=StrEnum)
TRAP = "website"
LONGEST_CODE = 20
SHOWN_AGAIN = 20_000
"""Characters of each field that a refused form shows again."""
KINDS = (
    (PlacementKind.ADOPTION.value, "Adopt it"),
    (PlacementKind.FOSTER.value, "Foster it for a time; it stays ours"),
    (PlacementKind.SALE.value, "Buy it"),
)
_UNITS = (
    (UnitSystem.METRIC.value, "°C, grams, centimetres"),
    (UnitSystem.IMPERIAL.value, "°F, ounces, inches"),
)
_PAPERS = ((Paper.A4.value, "A4"), (Paper.LETTER.value, "Letter"))


class Typed(forms.Field):
    """What is typed, as it is: the rules say what of it cannot be kept.

    Attributes:
        why: for what it is asked, shown beside it.
        picks: (word, text) where one is tapped.
    """

    def __init__(
        self,
        label: str,
        *,
        why: str = "",
        picks: tuple[tuple[str, str], ...] = (),
        widget: forms.Widget | None = None,
        **kwargs: Any,
    ) -> None:
        """Keep why it is asked and what can be tapped."""
        super().__init__(
            required=False, label=label, widget=widget or forms.TextInput(), **kwargs
        )
        self.why, self.picks = why, picks


def field_for(question: Question) -> Typed:
    """Return the field of a question."""
    label = question.text if question.required else f"{question.text} (may stay empty)"
    if picks := options_of(question):
        return Typed(label, why=question.why, picks=picks)
    if question.kind is QuestionKind.NUMBER:
        attrs = {"inputmode": "numeric", "autocomplete": "off"}
        return Typed(label, why=question.why, widget=forms.TextInput(attrs))
    return Typed(label, why=question.why, widget=forms.Textarea({"rows": 3}))


class ApplicationForm(forms.Form):
    """Who asks, what for, and the answers; one field is for programs that fill all."""

    name = Typed("Your name", widget=forms.TextInput({"autocomplete": "name"}))
    email = Typed(
        "E-mail",
        widget=forms.EmailInput({"autocomplete": "email", "spellcheck": "false"}),
    )
    contact = Typed(
        "Telephone and address",
        why="So that we can reach you. An e-mail address or this is needed.",
        widget=forms.Textarea({"rows": 3, "autocomplete": "off"}),
    )
    species = Typed("Which species?", widget=forms.Select())
    animal = Typed(
        "A certain animal? Its code (may stay empty)",
        widget=forms.TextInput({"autocomplete": "off", "autocapitalize": "characters"}),
    )
    kind = Typed("You would", picks=KINDS)
    units = Typed("Care plan in", picks=_UNITS)
    paper = Typed("Printed on", picks=_PAPERS)
    website = Typed(
        "Leave this empty",
        widget=forms.TextInput({"autocomplete": "off", "tabindex": "-1"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Add a field for each question of the newest set."""
        super().__init__(*args, **kwargs)
        self.questions = question_set(NEWEST_SET)
        for question in self.questions:
            self.fields[question.id] = field_for(question)
        self.offered = {row.code: row for row in species_offered()}
        names = [(code, str(row)) for code, row in self.offered.items()]
        self.fields["species"].widget = forms.Select(choices=[("", "–"), *names])

    @property
    def about_you(self) -> list[forms.BoundField]:
        """Return who asks."""
        return [self["name"], self["email"], self["contact"]]

    @property
    def wish(self) -> list[forms.BoundField]:
        """Return what is asked for."""
        return [self["species"], self["animal"], self["kind"]]

    @property
    def asked(self) -> list[forms.BoundField]:
        """Return the questions."""
        return [self[question.id] for question in self.questions]

    @property
    def printing(self) -> list[forms.BoundField]:
        """Return how its papers are printed."""
        return [self["units"], self["paper"]]

    @property
    def is_trapped(self) -> bool:
        """Say whether the field was filled that no person sees."""
        return bool(self.data.get(TRAP))

    def clean(self) -> dict[str, Any]:
        """Read what is typed, and tell all that is wrong with it at once."""
        given = self.cleaned_data
        typed = {name: given.get(name) or "" for name in self.fields}
        given["applicant"] = tidied(
            HomeDetails(
                name=typed["name"],
                contact=typed["contact"],
                email=typed["email"],
                units=_word(UnitSystem, typed["units"], UnitSystem.METRIC),
                paper=_word(Paper, typed["paper"], Paper.A4),
            )
        )
        given["answers"] = {q.id: typed[q.id] for q in self.questions}
        given["kind"] = self._kind(typed["kind"])
        given["species"], given["animal"] = self._wish(typed)
        problems = problems_of_applicant(given["applicant"])
        problems |= checked_answers(self.questions, given["answers"])[1]
        self.tell(problems)
        return given

    def tell(self, problems: Mapping[str, str]) -> None:
        """Put each problem beside its field, once."""
        for name, told in problems.items():
            field = name if name in self.fields else None
            if told not in self.errors.get(field or "__all__", ()):
                self.add_error(field, told)

    def shorten(self) -> None:
        """Keep of each field what is shown again; what was too long was told."""
        self.data = {
            name: str(self.data.get(name, ""))[:SHOWN_AGAIN] for name in self.fields
        }

    def _kind(self, text: str) -> PlacementKind | None:
        if text in dict(KINDS):
            return PlacementKind(text)
        self.tell({"kind": "Choose one of these."})
        return None

    def _wish(self, typed: Mapping[str, str]) -> tuple[Species | None, Animal | None]:
        code, species = tidy(typed["animal"]), self.offered.get(typed["species"])
        if not code and species is None:
            self.tell({"species": "Choose a species, or give an animal's code."})
        if not code:
            return species, None
        if problem := problem_with(code, longest=LONGEST_CODE):
            self.tell({"animal": problem})
            return None, None
        animal = animal_offered(code, species=self.offered)
        if animal is None:
            self.tell({"animal": "No animal that can be asked for has this code."})
        return None, animal


def _word(words: type[W], typed: str, usual: W) -> W:
    return words(typed) if typed in set(words) else usual
