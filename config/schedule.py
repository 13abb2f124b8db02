"""What happens when: the only file that names a clock time.

Each row names a task by its path; the task's docstring says what it does. The
same work runs by hand with `manage.py nightly`.
"""

from dataclasses import dataclass
from typing import Any

from celery.schedules import crontab


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the schedule: a name, a task, a time (UTC), an expiry."""

    name: str
    task: str
    minute: str
    hour: str
    expires_s: int


SCHEDULE = (
    # Hourly, because sites lie in several time zones and a night that was missed
    # is caught up: each run reviews every finished local day not yet reviewed.
    Row(
        "Review the finished nights", "husbandry.tasks.nightly_review", "20", "*", 3000
    ),
    # Each minute, as people wait for it; where nothing was asked for it is one query.
    Row("Draw the packets asked for", "placements.tasks.draw_packets", "*", "*", 50),
    # Each minute, as other programs wait for it; where nothing is due it is one query.
    Row("Send messages to other programs", "core.tasks.send_messages", "*", "*", 50),
    Row(
        "Remove old messages to other programs",
        "core.tasks.drop_old_messages",
        "50",
        "3",
        72_000,
    ),
    # Once a day will do: people were promised months, not hours.
    Row(
        "Erase personal data past their time",
        "placements.tasks.erase_past_data",
        "40",
        "3",
        72_000,
    ),
    # They are promised for a day; an hour more or less is nobody's loss.
    Row("Forget old answers", "core.tasks.forget_answers", "50", "*", 3000),
    # What people record by other doors, such as a death; placements and deliveries
    # write their own lines at once.
    Row("Write the register", "placements.tasks.write_register", "10", "*", 3000),
)


def beat_table() -> dict[str, dict[str, Any]]:
    """Return the schedule in the form that Celery's beat reads."""
    return {
        row.name: {
            "task": row.task,
            "schedule": crontab(minute=row.minute, hour=row.hour),
            "options": {"expires": row.expires_s},
        }
        for row in SCHEDULE
    }
