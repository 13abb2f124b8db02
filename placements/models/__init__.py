"""What is stored in placements. Django finds a room's models here."""

from placements.models.follow_ups import (
    FollowUp,
    HomeReport,
)
from placements.models.homes import (
    Application,
    ApplicationCheck,
    Home,
    PersonalDataPolicy,
    PrivateAddress,
)
from placements.models.intakes import (
    Arrival,
    Exam,
    ExamLine,
    HoldPolicy,
    Intake,
    IntakePhoto,
)
from placements.models.papers import (
    AnimalPaper,
    PlacementPolicy,
    RegisterEntry,
)
from placements.models.placements import (
    GateOpening,
    Packet,
    PacketJob,
    Placement,
    TreatmentHandover,
)
from placements.models.quarantine import (
    Clearance,
    QuarantinePolicy,
)
from placements.models.readiness import (
    HomeEnclosure,
    HomeReading,
    ReadinessReview,
)

__all__ = [
    "AnimalPaper",
    "Application",
    "ApplicationCheck",
    "Arrival",
    "Clearance",
    "Exam",
    "ExamLine",
    "FollowUp",
    "GateOpening",
    "HoldPolicy",
    "Home",
    "HomeEnclosure",
    "HomeReading",
    "HomeReport",
    "Intake",
    "IntakePhoto",
    "Packet",
    "PacketJob",
    "PersonalDataPolicy",
    "Placement",
    "PlacementPolicy",
    "PrivateAddress",
    "QuarantinePolicy",
    "ReadinessReview",
    "RegisterEntry",
    "TreatmentHandover",
]
