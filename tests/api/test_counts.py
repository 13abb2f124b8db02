"""Lists cost the same number of queries whether they hold one row or a hundred."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.db.models import Model
from factory.django import DjangoModelFactory
from rest_framework.test import APIClient

from api.urls import router
from api.views import Listed
from core.models import User
from core.roles import Role
from tests.api.copies import copy_newest
from tests.api.test_animals import OVERDUE
from tests.factories import (
    NOW,
    AcknowledgementFactory,
    AnimalFactory,
    AnimalPaperFactory,
    ApiTokenFactory,
    ApplicationFactory,
    ArrivalFactory,
    AttemptFactory,
    AuditEntryFactory,
    BoxCheckFactory,
    BoxStayFactory,
    CalendarAddressFactory,
    CandidateSireFactory,
    CareProfileFactory,
    ChoreFactory,
    ClearanceFactory,
    ClutchFactory,
    ConditionsFactory,
    DeathFactory,
    DeviceProbeFactory,
    DoseFactory,
    EggCheckFactory,
    EggFactory,
    EggPlaceFactory,
    EnclosureFactory,
    ExamLineFactory,
    FeedingFactory,
    FeedingOrderFactory,
    FindingFactory,
    FollowUpFactory,
    ForecastFactory,
    HatchlingFactory,
    HealthTestFactory,
    HoldPolicyFactory,
    HomeFactory,
    HomeReadingFactory,
    HomeReportFactory,
    IncubationPhaseFactory,
    IntakeFactory,
    IntakePhotoFactory,
    IntroductionFactory,
    LampCheckFactory,
    LampFactory,
    LoggerMappingFactory,
    MeasuringFactory,
    ObservationFactory,
    PacketFactory,
    PacketJobFactory,
    PersonalDataPolicyFactory,
    PlacementFactory,
    PlacementPolicyFactory,
    PrescriptionFactory,
    PrivateAddressFactory,
    ProbeFactory,
    QuarantineFactory,
    QuarantinePolicyFactory,
    ReadinessReviewFactory,
    ReadingFactory,
    ReadingImportFactory,
    RegisterEntryFactory,
    ReproductiveSpellFactory,
    ReviewPolicyFactory,
    ReviewRunFactory,
    RoomFactory,
    SetupFactory,
    SexingPolicyFactory,
    SightLineFactory,
    SiteFactory,
    SpeciesFactory,
    SpurCheckFactory,
    StayFactory,
    TargetOverrideFactory,
    UnclaimedReadingsFactory,
    UserFactory,
    WebhookFactory,
    WeighingFactory,
)


def _animal() -> None:
    animal = AnimalFactory(dam=AnimalFactory(), sire=AnimalFactory(male=True))
    StayFactory(animal=animal)
    WeighingFactory(animal=animal)


def _enclosure() -> None:
    row = EnclosureFactory()
    SetupFactory(enclosure=row)
    StayFactory(enclosure=row)
    ProbeFactory(enclosure=row)


def _finding() -> None:
    row = FindingFactory(
        evidence=OVERDUE, enclosure=EnclosureFactory(), probe=ProbeFactory()
    )
    AcknowledgementFactory(finding=row)


def _report() -> None:
    HomeReportFactory(seen_at=NOW, seen_by=UserFactory())


def _species() -> None:
    SpeciesFactory(code=f"species-{SpeciesFactory._meta.model.objects.count()}")


def _corrected(entry: type[DjangoModelFactory[Any]]) -> None:
    """Make an entry that was struck out, and the one in its place."""
    by = UserFactory()
    wrong = entry(recorded_by=by, struck_by=by, struck_at=NOW, struck_reason="A slip.")
    entry(recorded_by=by, corrects=wrong)


def _chores() -> None:
    _corrected(ChoreFactory)
    ChoreFactory(
        kind="gut_loading", enclosure=None, room=RoomFactory(), feeder="crickets"
    )


def _egg_box() -> None:
    row = BoxStayFactory().box
    EggPlaceFactory(box=row)


def _pairing() -> None:
    pairing = IntroductionFactory(pairing__created_by=UserFactory()).pairing
    ClutchFactory(dam=pairing.dam, pairing=pairing)


def _clutch() -> None:
    clutch = EggFactory(clutch__recorded_by=UserFactory()).clutch
    HatchlingFactory(clutch=clutch)


def _arrival() -> None:
    row = ArrivalFactory(recorded_by=UserFactory())
    for _ in range(2):
        placement = PlacementFactory(handed_over=True)
        intake = IntakeFactory(arrival=row, animal=placement.animal, returns=placement)
        IntakePhotoFactory(intake=intake)


def _exam() -> None:
    exam = ExamLineFactory(exam__recorded_by=UserFactory()).exam
    ExamLineFactory(exam=exam, system="skin")


def _packet_job() -> None:
    packet = PacketFactory()
    PacketJobFactory(placement=packet.placement, packet=packet, asked_by=UserFactory())


def _register() -> None:
    wrong = RegisterEntryFactory(
        home=HomeFactory(),
        arrival=ArrivalFactory(),
        placement=PlacementFactory(),
        entered_by=UserFactory(),
    )
    RegisterEntryFactory(corrects=wrong, entered_by=UserFactory())


def _paper() -> None:
    AnimalPaperFactory(recorded_by=UserFactory())
    species = SpeciesFactory(code=f"s-{SpeciesFactory._meta.model.objects.count()}")
    AnimalPaperFactory(animal=None, species=species, kind="keeping_permit")


def _placement_policy() -> None:
    species = SpeciesFactory(code=f"p-{SpeciesFactory._meta.model.objects.count()}")
    PlacementPolicyFactory(species=species, made_by=UserFactory())


def _quarantine_policy() -> None:
    species = SpeciesFactory(code=f"q-{SpeciesFactory._meta.model.objects.count()}")
    QuarantinePolicyFactory(species=species, made_by=UserFactory())


def _quarantine() -> None:
    open_ = QuarantineFactory()
    StayFactory(animal=open_.animal, enclosure__room__quarantine=True)
    WeighingFactory(animal=open_.animal)
    ClearanceFactory(cleared_by=UserFactory())


def _application() -> None:
    ApplicationFactory(
        animal=AnimalFactory(),
        recorded_by=UserFactory(),
        state="waiting",
        waiting_since=NOW.date(),
    )


def _unclaimed() -> None:
    by = UserFactory()
    UnclaimedReadingsFactory(sent_by=by)
    UnclaimedReadingsFactory(
        state="claimed", probe=ProbeFactory(), settled_by=by, settled_at=NOW
    )


def _owner() -> User:
    """Return who asks; where nobody does yet, somebody who might."""
    found = User.objects.filter(role=Role.OWNER.value).first()
    return found or UserFactory(role=Role.OWNER.value)


COUNTS: list[tuple[str, Callable[[], object], int]] = [
    ("sites", SiteFactory, 1),
    ("rooms", RoomFactory, 1),
    ("species", _species, 1),
    ("profiles", CareProfileFactory, 1),
    ("animals", _animal, 3),
    ("enclosures", _enclosure, 4),
    ("set-ups", SetupFactory, 1),
    ("people", UserFactory, 1),
    ("logger-files", lambda: ReadingImportFactory(imported_by=UserFactory()), 1),
    ("logger-mappings", lambda: LoggerMappingFactory(saved_by=UserFactory()), 1),
    (
        "calendars",
        lambda: CalendarAddressFactory(user=_owner()),
        1,
    ),
    ("stays", lambda: StayFactory(moved_by=UserFactory()), 1),
    ("reproductive-states", ReproductiveSpellFactory, 1),
    ("target-overrides", TargetOverrideFactory, 1),
    ("sight-lines", SightLineFactory, 1),
    ("weighings", lambda: WeighingFactory(recorded_by=UserFactory()), 2),
    ("feedings", lambda: _corrected(FeedingFactory), 1),
    ("observations", lambda: _corrected(ObservationFactory), 1),
    ("measurings", lambda: _corrected(MeasuringFactory), 1),
    ("chores", _chores, 1),
    ("lamps", LampFactory, 1),
    ("lamp-checks", lambda: _corrected(LampCheckFactory), 1),
    ("feeding-orders", FeedingOrderFactory, 1),
    ("prescriptions", lambda: PrescriptionFactory(recorded_by=UserFactory()), 1),
    ("doses", lambda: _corrected(DoseFactory), 1),
    ("health-tests", lambda: HealthTestFactory(recorded_by=UserFactory()), 1),
    ("deaths", lambda: DeathFactory(recorded_by=UserFactory()), 1),
    ("review-policies", lambda: ReviewPolicyFactory(made_by=UserFactory()), 1),
    ("forecasts", ForecastFactory, 1),
    ("incubation-plans", IncubationPhaseFactory, 2),
    ("egg-boxes", _egg_box, 2),
    ("box-checks", lambda: _corrected(BoxCheckFactory), 1),
    ("eggs", EggPlaceFactory, 2),
    ("egg-checks", lambda: _corrected(EggCheckFactory), 1),
    ("hatchlings", HatchlingFactory, 1),
    ("spur-checks", lambda: _corrected(SpurCheckFactory), 1),
    ("sexing-policies", SexingPolicyFactory, 1),
    ("candidate-sires", CandidateSireFactory, 1),
    ("pairings", _pairing, 8),
    ("introductions", lambda: _corrected(IntroductionFactory), 1),
    ("clutches", _clutch, 3),
    ("probes", ReadingFactory, 2),
    ("unclaimed-readings", _unclaimed, 1),
    ("conditions", ConditionsFactory, 1),
    ("review-runs", lambda: ReviewRunFactory(started_by=UserFactory()), 1),
    ("findings", _finding, 6),
    ("placements", PacketFactory, 2),
    ("placement-policies", _placement_policy, 1),
    ("packets", PacketFactory, 1),
    ("packet-jobs", _packet_job, 1),
    ("homes", HomeFactory, 1),
    ("applications", _application, 1),
    ("applications/waiting", _application, 1),
    ("private-addresses", PrivateAddressFactory, 1),
    (
        "personal-data-policies",
        lambda: PersonalDataPolicyFactory(made_by=UserFactory()),
        1,
    ),
    ("arrivals", _arrival, 3),
    ("intakes", _arrival, 2),
    ("intake-photos", IntakePhotoFactory, 1),
    ("exams", _exam, 2),
    ("hold-policies", lambda: HoldPolicyFactory(made_by=UserFactory()), 1),
    ("home-enclosures", HomeReadingFactory, 2),
    ("readiness-reviews", lambda: ReadinessReviewFactory(judged_by=UserFactory()), 1),
    ("follow-ups", FollowUpFactory, 1),
    ("home-reports", _report, 1),
    ("quarantines", _quarantine, 12),
    ("quarantine-policies", _quarantine_policy, 1),
    ("register-entries", _register, 1),
    ("papers", _paper, 1),
    ("devices", DeviceProbeFactory, 2),
    ("tokens", ApiTokenFactory, 1),
    ("audit-entries", AuditEntryFactory, 1),
    ("webhooks", lambda: WebhookFactory(made_by=UserFactory()), 1),
    ("webhook-deliveries", AttemptFactory, 2),
]


LISTS = {
    address: view for address, view, _ in router.registry if issubclass(view, Listed)
}


def _asks(address: str) -> Iterator[dict[str, str]]:
    """Yield what all lists can be asked; none of it may cost a query more."""
    yield {}
    if view := LISTS.get(address):
        yield {"ordering": ",".join(f"-{name}" for name in view.orderable)}
        yield {"fields": view.out.__struct_fields__[0]}
        if view.searched:
            yield {"search": "nobody says this"}


def _model(address: str) -> type[Model]:
    model: type[Model] = LISTS[address.partition("/")[0]].filterset_class._meta.model
    return model


@pytest.mark.parametrize(("address", "make", "queries"), COUNTS)
def test_queries(
    address: str,
    make: Callable[[], object],
    queries: int,
    owner: APIClient,
    django_assert_num_queries: Callable[..., object],
) -> None:
    for more in (1, 2, 97):
        if more < 97 or not copy_newest(_model(address), more):
            for _ in range(more):
                make()
        for asked in _asks(address) if more > 2 else ({},):
            # A search that finds nothing has nothing to ask for beside its rows.
            most = 1 if "search" in asked else queries
            with django_assert_num_queries(most):  # type: ignore[attr-defined]
                rows = owner.get(f"/api/v1/{address}/", asked).json()["results"]
            assert len(rows) >= (0 if "search" in asked else more)
