"""The back office of core, and the desks of every room's. Django finds it here."""

from core.admin import people, places, tokens, webhooks
from core.admin.desks import Desk, WritingDesk, person
from core.admin.issuing import IssuingDesk, until
from core.admin.records import (
    DayField,
    Given,
    LocalTimeField,
    RecordDesk,
    RecordForm,
    at_zone,
)
from core.admin.steps import Step, SteppedDesk, Way

__all__ = [
    "DayField",
    "Desk",
    "Given",
    "IssuingDesk",
    "LocalTimeField",
    "RecordDesk",
    "RecordForm",
    "Step",
    "SteppedDesk",
    "Way",
    "WritingDesk",
    "at_zone",
    "people",
    "person",
    "places",
    "tokens",
    "until",
    "webhooks",
]
