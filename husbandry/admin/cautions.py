"""Desks about health: every page of theirs carries its caution."""

from typing import Any, ClassVar, Generic, TypeVar

from django.db.models import Model
from django.http import HttpRequest, HttpResponse

from core.admin import RecordDesk, SteppedDesk
from husbandry.rules.health.cautions import StandingCaution

M = TypeVar("M", bound=Model)


class CautionedDesk(RecordDesk[M], Generic[M]):
    """A desk whose list and forms begin with what to mind."""

    caution: ClassVar[StandingCaution]
    change_list_template = "admin/record/change_list.html"

    def get_fieldsets(self, request: HttpRequest, obj: M | None = None) -> Any:
        """Put the caution above the fields."""
        fields = self.get_fields(request, obj)
        return [(None, {"description": self.caution.text, "fields": fields})]

    def changelist_view(
        self, request: HttpRequest, extra_context: dict[str, Any] | None = None
    ) -> HttpResponse:
        """Put the caution above the list."""
        told = {**(extra_context or {}), "caution": self.caution.text}
        return super().changelist_view(request, told)


class CautionedSteps(CautionedDesk[M], SteppedDesk[M], Generic[M]):
    """What is on record is changed by steps only, each a page with its caution."""

    def is_open(self, row: M) -> bool:
        return False
