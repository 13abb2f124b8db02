"""On whose word the urgency of findings about health stands: nobody's but ours."""

from datetime import date

from husbandry.rules.profiles.values import Provenance
from husbandry.rules.vocabulary import Standing

# No publication says how soon a missed dose or an overdue result must be looked at.
CARE_TASKS = Provenance(
    source="care-task-convention",
    standing=Standing.FROM_MEMORY,
    reviewed_on=date(2026, 11, 25),
    note="A convention of this program; a licensed reptile vet's word goes before it.",
)
