"""How many of each sex hatched, in words: counts, intervals, what is to be expected."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django import forms
from django.http import HttpRequest

from clutches.queries.figures import Asked
from clutches.queries.sex_ratios import sex_ratios
from clutches.rules.figures.grouping import GroupBy
from clutches.rules.sexing.ratios import GroupSexes
from husbandry.models import Species

BY = {
    GroupBy.CLUTCH: "clutch",
    GroupBy.PAIR: "pair",
    GroupBy.INCUBATOR: "incubator",
    GroupBy.YEAR: "year of laying",
}
FAIREST_P = 0.001


class RatiosForm(forms.Form):
    """What tells groups apart, and of which species."""

    ratios = forms.ChoiceField(
        label="Tell apart by",
        choices=[(by.value, word) for by, word in BY.items()],
        error_messages={
            "invalid_choice": "Choose one of clutch, pair, incubator or year of laying."
        },
    )
    species = forms.ModelChoiceField(
        Species.objects.order_by("common_name"),
        to_field_name="code",
        required=False,
        empty_label="any species",
        error_messages={"invalid_choice": "There is no such species; choose another."},
    )


@dataclass(frozen=True, slots=True)
class RatioRow:
    """The sexes of one group in words."""

    group: str
    counts: str
    females: str
    expected: str


def ratio_section(request: HttpRequest, *, at: datetime) -> dict[str, Any]:
    """Return what the page shows of sexes: a form, and rows once they are asked for.

    They are counted from all clutches, so that a page on which heels are tapped one
    after the other does not count them each time.
    """
    if "ratios" not in request.GET:
        return {"ratios_form": RatiosForm()}
    form = RatiosForm(request.GET)
    if not form.is_valid():
        return {"ratios_form": form}
    given = form.cleaned_data
    found = sex_ratios(
        asked=Asked(species=given["species"].code if given["species"] else ""),
        by=GroupBy(given["ratios"]),
        at=at,
    )
    return {"ratios_form": form, "ratios": [_row(one) for one in found]}


def _row(found: GroupSexes) -> RatioRow:
    sexes = found.sexes
    likely = f"; {sexes.likely} of them likely only" if sexes.likely else ""
    share = sexes.females
    females = "–"
    if share.value is not None:
        females = (
            f"{100 * share.value:.0f} % "
            f"({100 * share.low:.0f}–{100 * share.high:.0f} %)"
        )
    return RatioRow(
        group=found.group,
        counts=f"{sexes.female} female, {sexes.male} male{likely}; "
        f"{sexes.unclear} not settled",
        females=females,
        expected=_expected(found),
    )


def _expected(found: GroupSexes) -> str:
    if found.published is not None:
        told = found.published.sentence
        return f"{told[:1].upper()}{told[1:]}."
    if found.by_warmth:
        return "Warmth decides, and how warm they all were is not known well enough."
    if found.p is None:
        return "Too few to tell from as many of each."
    p = "under 0.001" if found.p < FAIREST_P else f"{found.p:.3f}"
    return f"Against as many of each: p = {p}."
