"""What pages about animals that came say in words."""

from placements.rules.vocabulary import (
    BodySystem,
    ChipScan,
    ExamOutcome,
    IntakeCondition,
    IntakeSource,
)

SOURCES = {
    IntakeSource.SURRENDER: "given up by their keeper",
    IntakeSource.STRAY: "found as strays",
    IntakeSource.SEIZURE: "seized by an authority",
    IntakeSource.TRANSFER_IN: "taken over from an organisation",
    IntakeSource.BOUGHT: "bought",
    IntakeSource.LENT_TO_US: "lent to us",
    IntakeSource.RETURN: "back from their home",
    IntakeSource.BORN_HERE: "born here",
}
CONDITIONS = {
    IntakeCondition.NOT_JUDGED: "not judged yet",
    IntakeCondition.HEALTHY: "healthy",
    IntakeCondition.REHABILITATABLE: "can be brought back to health",
    IntakeCondition.MANAGEABLE: "can live with care that lasts",
    IntakeCondition.UNTREATABLE: "a vet has to say what can be done",
}
SCANS = {
    ChipScan.NOT_SCANNED: "not scanned",
    ChipScan.READ: "read",
    ChipScan.NONE_FOUND: "scanned, none found",
}
SYSTEMS = {
    BodySystem.ALERTNESS: "Alertness",
    BodySystem.BODY_CONDITION: "Body condition",
    BodySystem.SKIN: "Skin",
    BodySystem.EYES: "Eyes",
    BodySystem.MOUTH: "Mouth",
    BodySystem.BREATHING: "Breathing",
    BodySystem.LIMBS_AND_SPINE: "Limbs and spine",
    BodySystem.TAIL_AND_TOES: "Tail and toes",
    BodySystem.BELLY: "Belly",
    BodySystem.VENT: "Vent",
    BodySystem.PARASITES: "Parasites",
}
OUTCOMES = {
    ExamOutcome.NOTHING_UNUSUAL: "nothing unusual",
    ExamOutcome.UNUSUAL: "unusual",
    ExamOutcome.NOT_LOOKED_AT: "not looked at",
}
