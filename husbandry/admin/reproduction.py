"""In which reproductive state animals are."""

from datetime import datetime

from django.contrib import admin

from core.admin import Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission
from husbandry.actions.reproduction import record_reproductive_state
from husbandry.admin.animals import IN_CARE
from husbandry.models import ReproductiveSpell
from husbandry.rules.vocabulary import Reproduction


class StateForm(RecordForm[ReproductiveSpell]):
    """Gravid begins a spell, resting ends the one that is open."""

    class Meta:
        model = ReproductiveSpell
        fields = ("animal", "state", "from_on", "basis")
        help_texts = {
            "state": "Gravid begins; resting ends it.",
            "from_on": "First day of the new state; resting: the day after laying.",
        }


@admin.register(ReproductiveSpell)
class ReproductiveSpellDesk(RecordDesk[ReproductiveSpell]):
    sees = Permission.SEE_ANIMALS
    adds = Permission.EDIT_ANIMALS
    adding = StateForm
    offers = {"animal": IN_CARE}
    list_display = ("animal", "state", "from_on", "until_on", "basis")
    list_select_related = ("animal",)
    list_filter = ("state",)
    search_fields = ("animal__code", "animal__name")

    def add(self, given: Given, *, by: User, at: datetime) -> ReproductiveSpell:
        return record_reproductive_state(
            animal=given["animal"],
            state=Reproduction(given["state"]),
            on=given["from_on"],
            basis=given["basis"],
            by=by,
            at=at,
        )
