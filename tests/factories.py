"""One factory per model, no surprises: what each makes holds every constraint.

Numbers count up, so two rows never meet by accident. Dates stand around one day,
`TODAY`; nothing here reads a clock. An animal is in care and in no enclosure until
a `StayFactory` puts it there.
"""

import zlib
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from hashlib import sha256
from pathlib import Path

import factory
from django.conf import settings
from factory.django import DjangoModelFactory

from clutches.models import (
    BoxCheck,
    BoxStay,
    CandidateSire,
    Clutch,
    Egg,
    EggBox,
    EggCheck,
    EggPlace,
    Forecast,
    Hatchling,
    IncubationPhase,
    IncubationPlan,
    IncubatorDay,
    Introduction,
    Pairing,
    SexingPolicy,
    SpurCheck,
)
from clutches.rules.vocabulary import (
    Candled,
    ForecastBasis,
    Heel,
    IntroductionOutcome,
    PhaseKind,
    SireBasis,
    Substrate,
)
from core.models import (
    ApiToken,
    Attempt,
    AuditEntry,
    CalendarAddress,
    Delivery,
    KeptAnswer,
    Notice,
    Organisation,
    Room,
    Site,
    User,
    Webhook,
)
from core.notice_words import WANTABLE, NoticeKind
from core.roles import Role, TokenScope
from husbandry.models import (
    Acknowledgement,
    Animal,
    CareProfile,
    Chore,
    Conditions,
    Death,
    Device,
    DeviceProbe,
    Dose,
    EarlierCare,
    Enclosure,
    Feeding,
    FeedingOrder,
    Finding,
    HealthTest,
    Lamp,
    LampCheck,
    LoggerMapping,
    Measuring,
    Observation,
    Prescription,
    Probe,
    Quarantine,
    Reading,
    ReadingImport,
    ReproductiveSpell,
    ReviewPolicy,
    ReviewRun,
    Setup,
    Sighting,
    SightLine,
    Species,
    Stay,
    TargetOverride,
    UnclaimedBatch,
    UnclaimedReadings,
    Weighing,
)
from husbandry.rules.vocabulary import (
    AnimalStatus,
    ChoreKind,
    Confidence,
    DatePrecision,
    DoseOutcome,
    DoseUnit,
    EnclosureKind,
    FeedingOrderKind,
    FindingKind,
    HealthTestKind,
    LampKind,
    Lights,
    ObservationKind,
    Observed,
    Origin,
    Period,
    Quantity,
    Reproduction,
    ReviewState,
    Route,
    Sex,
    SexBasis,
    Urgency,
    Zone,
)
from placements.models import (
    AnimalPaper,
    Application,
    ApplicationCheck,
    Arrival,
    Clearance,
    Exam,
    ExamLine,
    FollowUp,
    GateOpening,
    HoldPolicy,
    Home,
    HomeEnclosure,
    HomeReading,
    HomeReport,
    Intake,
    IntakePhoto,
    Packet,
    PacketJob,
    PersonalDataPolicy,
    Placement,
    PlacementPolicy,
    PrivateAddress,
    QuarantinePolicy,
    ReadinessReview,
    RegisterEntry,
    TreatmentHandover,
)
from placements.rules.vocabulary import (
    BodySystem,
    CheckKind,
    CheckOutcome,
    Direction,
    ExamOutcome,
    FollowUpKind,
    Gate,
    HomeReportKind,
    IntakeSource,
    PaperKind,
    PlacementKind,
    PlacementState,
    Readiness,
    RegisterHow,
    UvbLamp,
)

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
PASSWORD = "a warm dim room"  # of every person made here


# core


class OrganisationFactory(DjangoModelFactory[Organisation]):
    class Meta:
        model = Organisation
        django_get_or_create = ("id",)

    id = 1
    name = "Willow Bend Reptiles"
    contact = "1 Willow Bend"


class UserFactory(DjangoModelFactory[User]):
    class Meta:
        model = User
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"person{n}")
    password = factory.django.Password(PASSWORD)
    role = Role.KEEPER.value


class KeptAnswerFactory(DjangoModelFactory[KeptAnswer]):
    class Meta:
        model = KeptAnswer

    user = factory.SubFactory(UserFactory)
    caller = "signed in"
    key = factory.Sequence(lambda n: f"key-{n}")
    request = factory.Sequence(lambda n: f"{n:064x}")
    role = Role.KEEPER.value
    at = NOW


class ApiTokenFactory(DjangoModelFactory[ApiToken]):
    """A row only; `core.tokens.issue_token` makes one that can be used."""

    class Meta:
        model = ApiToken

    user = factory.SubFactory(UserFactory)
    name = factory.Sequence(lambda n: f"script {n}")
    prefix = factory.Sequence(lambda n: f"{n:08d}")
    digest = factory.Sequence(lambda n: f"{n:064x}")
    created_at = NOW


class CalendarAddressFactory(DjangoModelFactory[CalendarAddress]):
    """A row only; the action that issues an address makes one that can be read."""

    class Meta:
        model = CalendarAddress

    user = factory.SubFactory(UserFactory)
    name = factory.Sequence(lambda n: f"calendar {n}")
    prefix = factory.Sequence(lambda n: f"{n:08d}")
    digest = factory.Sequence(lambda n: f"{n:064x}")
    created_at = NOW


class WebhookFactory(DjangoModelFactory[Webhook]):
    """A row only; `core.webhooks.actions.make_webhook` looks at the address too."""

    class Meta:
        model = Webhook

    name = factory.Sequence(lambda n: f"hub {n}")
    url = "https://hub.example/hook"
    kinds = factory.LazyFunction(lambda: [kind.value for kind in WANTABLE])
    nonce = factory.Sequence(lambda n: f"nonce-{n}")
    made_at = NOW


class NoticeFactory(DjangoModelFactory[Notice]):
    class Meta:
        model = Notice

    key = factory.Sequence(lambda n: f"msg_{n:032x}")
    kind = NoticeKind.FINDING_OPENED.value
    at = NOW
    subject = "husbandry.finding"
    subject_id = 7
    data = factory.LazyFunction(lambda: {"kind": "weight_loss", "animal": "V-1"})


class DeliveryFactory(DjangoModelFactory[Delivery]):
    class Meta:
        model = Delivery

    webhook = factory.SubFactory(WebhookFactory)
    notice = factory.SubFactory(NoticeFactory)
    next_at = NOW


class AttemptFactory(DjangoModelFactory[Attempt]):
    class Meta:
        model = Attempt

    delivery = factory.SubFactory(DeliveryFactory)
    at = NOW
    status = 503
    problem = "It answered 503 Service Unavailable."
    duration_ms = 12


class AuditEntryFactory(DjangoModelFactory[AuditEntry]):
    class Meta:
        model = AuditEntry

    at = NOW
    by = factory.SubFactory(UserFactory)
    verb = "register_animal"
    subject = "husbandry.animal"
    subject_id = factory.Sequence(str)


class SiteFactory(DjangoModelFactory[Site]):
    class Meta:
        model = Site

    code = factory.Sequence(lambda n: f"site-{n}")
    name = factory.Sequence(lambda n: f"Site {n}")
    time_zone = "Europe/Lisbon"
    latitude_deg = 38.7
    longitude_deg = -9.1


class RoomFactory(DjangoModelFactory[Room]):
    class Meta:
        model = Room

    site = factory.SubFactory(SiteFactory)
    code = factory.Sequence(lambda n: f"room-{n}")
    name = factory.Sequence(lambda n: f"Room {n}")
    position = factory.Sequence(lambda n: n)


# husbandry


class SpeciesFactory(DjangoModelFactory[Species]):
    class Meta:
        model = Species
        django_get_or_create = ("code",)

    code = "veiled_chameleon"
    common_name = "Veiled chameleon"
    scientific_name = "Chamaeleo calyptratus"


SHIPPED_PROFILE = Path(settings.BASE_DIR) / "husbandry/profiles/veiled_chameleon.yaml"


class CareProfileFactory(DjangoModelFactory[CareProfile]):
    """The shipped profile of the veiled chameleon, in force for every night here."""

    class Meta:
        model = CareProfile

    species = factory.SubFactory(SpeciesFactory)
    version = factory.Sequence(lambda n: n + 1)
    effective_on = date(2025, 1, 1)
    source_text = factory.LazyFunction(lambda: SHIPPED_PROFILE.read_text("utf-8"))
    sha256 = factory.LazyAttribute(
        lambda p: sha256(p.source_text.encode("utf-8")).hexdigest()
    )
    published_at = datetime(2025, 1, 1, tzinfo=UTC)


class AnimalFactory(DjangoModelFactory[Animal]):
    """An adult female, one and a half years old, here since she was a juvenile."""

    class Meta:
        model = Animal

    class Params:
        male = factory.Trait(sex=Sex.MALE.value)
        left = factory.Trait(status="placed", left_on=TODAY)

    code = factory.Sequence(lambda n: f"V-{n:04d}")
    name = factory.Sequence(lambda n: f"Animal {n}")
    species = factory.SubFactory(SpeciesFactory)
    sex = Sex.FEMALE.value
    sex_basis = SexBasis.HEEL_SPUR.value
    sex_confidence = Confidence.CONFIRMED.value
    hatched_on = date(2024, 9, 1)
    hatched_precision = DatePrecision.DAY.value
    origin = Origin.BORN_ELSEWHERE.value
    arrived_on = date(2025, 1, 1)


class ReproductiveSpellFactory(DjangoModelFactory[ReproductiveSpell]):
    class Meta:
        model = ReproductiveSpell

    animal = factory.SubFactory(AnimalFactory)
    state = Reproduction.GRAVID.value
    from_on = date(2026, 2, 20)
    basis = "Gravid colours; eggs can be felt."


class TargetOverrideFactory(DjangoModelFactory[TargetOverride]):
    class Meta:
        model = TargetOverride

    animal = factory.SubFactory(AnimalFactory)
    quantity = Quantity.TEMPERATURE_C.value
    zone = Zone.AMBIENT.value
    period = Period.NIGHT.value
    low = Decimal("18.000")
    high = Decimal("22.000")
    from_on = date(2026, 3, 1)
    until_on = date(2026, 3, 14)
    reason = "Kept warm at night while it recovers, on the vet's word."
    made_by = factory.SubFactory(UserFactory, role=Role.VET.value)
    made_at = NOW


class EnclosureFactory(DjangoModelFactory[Enclosure]):
    class Meta:
        model = Enclosure

    code = factory.Sequence(lambda n: f"E-{n:03d}")
    room = factory.SubFactory(RoomFactory)
    position = factory.Sequence(lambda n: n)
    kind = EnclosureKind.SCREEN.value


class SetupFactory(DjangoModelFactory[Setup]):
    """61 × 61 × 122 cm, lights on a timer from 07:00 to 19:00."""

    class Meta:
        model = Setup

    class Params:
        natural = factory.Trait(
            lights=Lights.NATURAL.value, lights_on=None, lights_off=None
        )

    enclosure = factory.SubFactory(EnclosureFactory)
    from_on = date(2025, 1, 1)
    width_cm = Decimal("61.0")
    depth_cm = Decimal("61.0")
    height_cm = Decimal("122.0")
    lights = Lights.TIMER.value
    lights_on = time(7)
    lights_off = time(19)
    laying_bin = True


class SightLineFactory(DjangoModelFactory[SightLine]):
    """`enclosure` is made before `other`, so that it has the lower id."""

    class Meta:
        model = SightLine

    enclosure = factory.SubFactory(EnclosureFactory)
    other = factory.SubFactory(EnclosureFactory)
    from_on = date(2025, 1, 1)


class ProbeFactory(DjangoModelFactory[Probe]):
    class Meta:
        model = Probe

    code = factory.Sequence(lambda n: f"P-{n:03d}")
    enclosure = factory.SubFactory(EnclosureFactory)
    zone = Zone.AMBIENT.value
    measures_temperature = True
    measures_humidity = True
    measures_uv_index = False
    interval_s = 300
    from_on = date(2025, 1, 1)


class DeviceFactory(DjangoModelFactory[Device]):
    """A row only; the action that issues a device's token makes one that posts."""

    class Meta:
        model = Device

    token = factory.SubFactory(ApiTokenFactory, scope=TokenScope.INGEST.value)


class DeviceProbeFactory(DjangoModelFactory[DeviceProbe]):
    class Meta:
        model = DeviceProbe

    device = factory.SubFactory(DeviceFactory)
    probe = factory.SubFactory(ProbeFactory)
    bound_at = NOW


class StayFactory(DjangoModelFactory[Stay]):
    class Meta:
        model = Stay

    animal = factory.SubFactory(AnimalFactory)
    enclosure = factory.SubFactory(EnclosureFactory)
    from_at = datetime(2025, 1, 1, 10, 0, tzinfo=UTC)


class ReadingFactory(DjangoModelFactory[Reading]):
    class Meta:
        model = Reading

    probe = factory.SubFactory(ProbeFactory)
    at = factory.Sequence(lambda n: int(NOW.timestamp()) + 300 * n)
    temperature_milli_c = 24_000
    humidity_milli_pct = 45_000
    uv_index_milli = 1_500


class ConditionsFactory(DjangoModelFactory[Conditions]):
    """Twelve hours of day at 24 °C, all within the band."""

    class Meta:
        model = Conditions

    probe = factory.SubFactory(ProbeFactory)
    on = TODAY
    period = Period.DAY.value
    quantity = Quantity.TEMPERATURE_C.value
    band = 0
    readings = 144
    expected_s = 43_200
    covered_s = 43_200
    impossible_s = 0
    mean = 24.0
    lowest = 23.0
    highest = 25.0
    low = 21.1
    high = 26.1
    below_s = 0
    above_s = 0
    longest_below_s = 0
    longest_above_s = 0
    below_unit_minutes = 0.0
    above_unit_minutes = 0.0


class LoggerMappingFactory(DjangoModelFactory[LoggerMapping]):
    class Meta:
        model = LoggerMapping

    name = factory.Sequence(lambda n: f"logger {n}")
    document = factory.LazyFunction(lambda: {"columns": []})
    saved_at = NOW


class ReadingImportFactory(DjangoModelFactory[ReadingImport]):
    class Meta:
        model = ReadingImport

    file_name = factory.Sequence(lambda n: f"readings-{n}.csv")
    sha256 = factory.Sequence(lambda n: f"{n:064x}")
    imported_at = NOW
    accepted = True


class UnclaimedReadingsFactory(DjangoModelFactory[UnclaimedReadings]):
    """A row only; `park_readings` makes one with readings in it."""

    class Meta:
        model = UnclaimedReadings

    code = factory.Sequence(lambda n: f"XX-{n}")
    readings = 288
    first_at = NOW - timedelta(days=1)
    last_at = NOW
    arrived_at = NOW
    last_arrived_at = NOW


class UnclaimedBatchFactory(DjangoModelFactory[UnclaimedBatch]):
    class Meta:
        model = UnclaimedBatch

    unclaimed = factory.SubFactory(UnclaimedReadingsFactory)
    digest = factory.Sequence(lambda n: f"{n:064x}")
    arrived_at = NOW
    readings = 0
    packed = zlib.compress(b"")


class WeighingFactory(DjangoModelFactory[Weighing]):
    """A day apart each, so that one animal can have many."""

    class Meta:
        model = Weighing

    animal = factory.SubFactory(AnimalFactory)
    at = factory.Sequence(
        lambda n: datetime(2025, 6, 1, 9, 0, tzinfo=UTC) + timedelta(days=n % 250)
    )
    mass_g = Decimal("100.00")
    recorded_at = factory.SelfAttribute("at")


class FeedingFactory(DjangoModelFactory[Feeding]):
    """Four crickets with plain calcium, all eaten; a day apart each."""

    class Meta:
        model = Feeding

    animal = factory.SubFactory(AnimalFactory)
    at = factory.Sequence(
        lambda n: datetime(2025, 6, 1, 9, 0, tzinfo=UTC) + timedelta(days=n % 250)
    )
    feeder = "feeder-crickets"
    offered = 4
    eaten = 4
    supplements = factory.LazyFunction(lambda: ["plain-calcium"])
    recorded_at = factory.SelfAttribute("at")


class FeedingOrderFactory(DjangoModelFactory[FeedingOrder]):
    class Meta:
        model = FeedingOrder

    animal = factory.SubFactory(AnimalFactory)
    kind = FeedingOrderKind.FAST.value
    from_on = date(2026, 3, 1)
    until_on = date(2026, 3, 2)
    reason = "Nothing before surgery, on the vet's word."
    made_by = factory.SubFactory(UserFactory, role=Role.VET.value)
    made_at = NOW


class ObservationFactory(DjangoModelFactory[Observation]):
    class Meta:
        model = Observation

    animal = factory.SubFactory(AnimalFactory)
    at = factory.Sequence(lambda n: NOW + timedelta(minutes=n))
    kind = ObservationKind.SHED.value
    observed = Observed.WHOLE.value
    recorded_at = factory.SelfAttribute("at")


class MeasuringFactory(DjangoModelFactory[Measuring]):
    class Meta:
        model = Measuring

    animal = factory.SubFactory(AnimalFactory)
    at = factory.Sequence(lambda n: NOW + timedelta(minutes=n))
    snout_vent_cm = Decimal("18.5")
    recorded_at = factory.SelfAttribute("at")


class ChoreFactory(DjangoModelFactory[Chore]):
    class Meta:
        model = Chore

    kind = ChoreKind.CLEANING.value
    enclosure = factory.SubFactory(EnclosureFactory)
    at = factory.Sequence(lambda n: NOW + timedelta(minutes=n))
    recorded_at = factory.SelfAttribute("at")


class LampFactory(DjangoModelFactory[Lamp]):
    class Meta:
        model = Lamp

    enclosure = factory.SubFactory(EnclosureFactory)
    kind = LampKind.UVB_TUBE.value
    label = "T5, 6 %"
    fitted_on = date(2026, 1, 1)


class LampCheckFactory(DjangoModelFactory[LampCheck]):
    class Meta:
        model = LampCheck

    lamp = factory.SubFactory(LampFactory)
    at = factory.Sequence(lambda n: NOW + timedelta(minutes=n))
    uv_index = Decimal("3.00")
    recorded_at = factory.SelfAttribute("at")


class PrescriptionFactory(DjangoModelFactory[Prescription]):
    """An invented drug and dose: for tests only."""

    class Meta:
        model = Prescription

    animal = factory.SubFactory(AnimalFactory)
    drug = "Invented syrup"
    dose_per_kg = Decimal("10.0000")
    dose_unit = DoseUnit.MG_PER_KG.value
    concentration_mg_per_ml = Decimal("10.0000")
    route = Route.BY_MOUTH.value
    every_hours = 24
    first_at = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
    until_on = date(2026, 3, 7)
    smallest_step_ml = Decimal("0.0100")
    vet = "A licensed vet of the tests"
    prescribed_on = date(2026, 3, 1)
    recorded_at = NOW


class DoseFactory(DjangoModelFactory[Dose]):
    class Meta:
        model = Dose

    prescription = factory.SubFactory(PrescriptionFactory)
    due_at = factory.Sequence(
        lambda n: datetime(2026, 3, 1, 9, 0, tzinfo=UTC) + timedelta(days=n)
    )
    at = factory.SelfAttribute("due_at")
    outcome = DoseOutcome.NOT_GIVEN.value
    note = "It slept."
    recorded_at = factory.SelfAttribute("at")


class HealthTestFactory(DjangoModelFactory[HealthTest]):
    class Meta:
        model = HealthTest

    animal = factory.SubFactory(AnimalFactory)
    kind = HealthTestKind.FAECAL.value
    taken_on = date(2026, 2, 20)
    recorded_at = NOW


class DeathFactory(DjangoModelFactory[Death]):
    """Of an animal that is marked as dead."""

    class Meta:
        model = Death

    animal = factory.SubFactory(AnimalFactory, status="dead", left_on=TODAY)
    on = TODAY
    circumstances = "Found dead in the morning."
    recorded_at = NOW


class ReviewPolicyFactory(DjangoModelFactory[ReviewPolicy]):
    class Meta:
        model = ReviewPolicy

    site = factory.SubFactory(SiteFactory)
    kind = FindingKind.WEIGHING_OVERDUE.value
    from_on = date(2026, 1, 1)
    switched_on = False
    reason = "Weighed by the vet here."
    made_at = NOW


class ReviewRunFactory(DjangoModelFactory[ReviewRun]):
    class Meta:
        model = ReviewRun

    site = factory.SubFactory(SiteFactory)
    on = TODAY
    state = ReviewState.DONE.value
    started_at = NOW
    finished_at = NOW + timedelta(seconds=2)
    duration_ms = 2000


class SightingFactory(DjangoModelFactory[Sighting]):
    class Meta:
        model = Sighting

    site = factory.SubFactory(SiteFactory)
    on = TODAY
    key = factory.LazyAttribute(lambda s: f"weighing_overdue:animal:{s.animal.pk}")
    kind = FindingKind.WEIGHING_OVERDUE.value
    seen = True
    urgency = Urgency.WATCH.value
    animal = factory.SubFactory(AnimalFactory)


class FindingFactory(DjangoModelFactory[Finding]):
    class Meta:
        model = Finding

    site = factory.SubFactory(SiteFactory)
    key = factory.LazyAttribute(lambda f: f"weighing_overdue:animal:{f.animal.pk}")
    kind = FindingKind.WEIGHING_OVERDUE.value
    animal = factory.SubFactory(AnimalFactory)
    opened_on = TODAY
    last_seen_on = TODAY
    nights_seen = 1
    urgency = Urgency.WATCH.value


class AcknowledgementFactory(DjangoModelFactory[Acknowledgement]):
    class Meta:
        model = Acknowledgement

    finding = factory.SubFactory(FindingFactory)
    by = factory.SubFactory(UserFactory)
    at = NOW


# placements


class HomeFactory(DjangoModelFactory[Home]):
    class Meta:
        model = Home

    name = factory.Sequence(lambda n: f"Household {n}")
    contact = "2 Mill Lane"


class PlacementFactory(DjangoModelFactory[Placement]):
    class Meta:
        model = Placement

    class Params:
        handed_over = factory.Trait(
            state=PlacementState.HANDED_OVER.value, handed_over_on=TODAY
        )

    animal = factory.SubFactory(AnimalFactory)
    home = factory.SubFactory(HomeFactory)
    kind = PlacementKind.ADOPTION.value
    state = PlacementState.PLANNED.value
    planned_on = date(2026, 3, 20)
    created_at = NOW


class PacketFactory(DjangoModelFactory[Packet]):
    """A row only; the room's action computes a packet, hashes and numbers it."""

    class Meta:
        model = Packet

    placement = factory.SubFactory(PlacementFactory)
    number = factory.Sequence(lambda n: f"2026-{n:04d}")
    version = 1
    snapshot = factory.LazyFunction(lambda: {"animal": "V-0001"})
    sha256 = factory.Sequence(lambda n: f"{n:064x}")
    made_at = NOW


class EarlierCareFactory(DjangoModelFactory[EarlierCare]):
    class Meta:
        model = EarlierCare

    animal = factory.SubFactory(AnimalFactory)
    arrived_on = TODAY - timedelta(days=300)
    left_on = TODAY - timedelta(days=200)
    status = AnimalStatus.PLACED.value


class QuarantineFactory(DjangoModelFactory[Quarantine]):
    class Meta:
        model = Quarantine

    animal = factory.SubFactory(AnimalFactory)
    began_on = TODAY
    group = "reptiles"
    reason = "came from another house"
    begun_at = NOW


class ArrivalFactory(DjangoModelFactory[Arrival]):
    class Meta:
        model = Arrival

    site = factory.SubFactory(SiteFactory)
    source = IntakeSource.SURRENDER.value
    home = factory.SubFactory(HomeFactory)
    arrived_at = NOW
    recorded_at = NOW


class IntakeFactory(DjangoModelFactory[Intake]):
    class Meta:
        model = Intake

    arrival = factory.SubFactory(ArrivalFactory)
    animal = factory.SubFactory(AnimalFactory)


class ExamFactory(DjangoModelFactory[Exam]):
    class Meta:
        model = Exam

    animal = factory.SubFactory(AnimalFactory)
    at = NOW
    examined_by = "Quitéria Lumbrales"
    recorded_at = NOW


class ExamLineFactory(DjangoModelFactory[ExamLine]):
    class Meta:
        model = ExamLine

    exam = factory.SubFactory(ExamFactory)
    system = BodySystem.EYES.value
    outcome = ExamOutcome.NOTHING_UNUSUAL.value


class IntakePhotoFactory(DjangoModelFactory[IntakePhoto]):
    """A row only: no file stands behind it."""

    class Meta:
        model = IntakePhoto

    intake = factory.SubFactory(IntakeFactory)
    photo = factory.Sequence(lambda n: f"intakes/{n:032x}.jpg")
    recorded_at = NOW


class HoldPolicyFactory(DjangoModelFactory[HoldPolicy]):
    class Meta:
        model = HoldPolicy

    source = IntakeSource.STRAY.value
    days = 14
    reason = "local law on found animals"
    made_at = NOW


class QuarantinePolicyFactory(DjangoModelFactory[QuarantinePolicy]):
    class Meta:
        model = QuarantinePolicy

    days = 30
    reason = "as agreed with the vet"
    made_at = NOW


class ClearanceFactory(DjangoModelFactory[Clearance]):
    class Meta:
        model = Clearance

    quarantine = factory.SubFactory(QuarantineFactory, ended_on=TODAY, ended_at=NOW)
    on = TODAY
    criteria = factory.LazyFunction(list)
    cleared_at = NOW


class ApplicationFactory(DjangoModelFactory[Application]):
    class Meta:
        model = Application

    home = factory.SubFactory(HomeFactory)
    species = factory.SubFactory(SpeciesFactory)
    kind = PlacementKind.ADOPTION.value
    received_at = NOW
    question_set = 1


class ApplicationCheckFactory(DjangoModelFactory[ApplicationCheck]):
    class Meta:
        model = ApplicationCheck

    application = factory.SubFactory(ApplicationFactory)
    kind = CheckKind.REFERENCES.value
    outcome = CheckOutcome.PASSED.value
    recorded_at = NOW


class PrivateAddressFactory(DjangoModelFactory[PrivateAddress]):
    """A row only: nobody knows a secret that its digest is of."""

    class Meta:
        model = PrivateAddress

    application = factory.SubFactory(ApplicationFactory)
    prefix = factory.Sequence(lambda n: f"{n:08x}")
    digest = factory.Sequence(lambda n: f"{n:064x}")
    created_at = NOW
    expires_at = NOW + timedelta(days=90)


class PersonalDataPolicyFactory(DjangoModelFactory[PersonalDataPolicy]):
    class Meta:
        model = PersonalDataPolicy

    months_after_decline = 6
    months_after_last_placement = 60
    reason = "as agreed"
    made_at = NOW


class HomeEnclosureFactory(DjangoModelFactory[HomeEnclosure]):
    class Meta:
        model = HomeEnclosure

    home = factory.SubFactory(HomeFactory)
    label = "Tall screen cage"
    kind = EnclosureKind.SCREEN.value
    width_cm = Decimal(61)
    depth_cm = Decimal(61)
    height_cm = Decimal(122)
    time_zone = "Europe/Lisbon"
    lights_on = time(8)
    lights_off = time(20)
    uvb_lamp = UvbLamp.LINEAR_T5.value
    uvb_percent = Decimal(6)
    uvb_distance_cm = Decimal(25)
    recorded_at = NOW


class HomeReadingFactory(DjangoModelFactory[HomeReading]):
    class Meta:
        model = HomeReading

    enclosure = factory.SubFactory(HomeEnclosureFactory)
    zone = Zone.BASKING.value
    quantity = Quantity.TEMPERATURE_C.value
    at = factory.Sequence(lambda n: NOW - timedelta(minutes=5 * n))
    value_milli = 27_000
    recorded_at = NOW


class ReadinessReviewFactory(DjangoModelFactory[ReadinessReview]):
    class Meta:
        model = ReadinessReview

    enclosure = factory.SubFactory(HomeEnclosureFactory)
    species = factory.SubFactory(SpeciesFactory)
    sex = Sex.UNKNOWN.value
    on = TODAY
    outcome = Readiness.NOT_KNOWN.value
    result = factory.LazyFunction(list)
    judged_at = NOW


class GateOpeningFactory(DjangoModelFactory[GateOpening]):
    class Meta:
        model = GateOpening

    placement = factory.SubFactory(PlacementFactory)
    gate = Gate.OLD_ENOUGH.value
    why_shut = "It is 80 days old; 90 are wanted."
    reason = "goes to an experienced breeder"
    opened_at = NOW


class TreatmentHandoverFactory(DjangoModelFactory[TreatmentHandover]):
    class Meta:
        model = TreatmentHandover

    placement = factory.SubFactory(PlacementFactory)
    prescription = factory.SubFactory(PrescriptionFactory)
    plan = "The practice goes on with it."
    handed_over_at = NOW


class PacketJobFactory(DjangoModelFactory[PacketJob]):
    class Meta:
        model = PacketJob

    placement = factory.SubFactory(PlacementFactory)
    batch = factory.Sequence(lambda n: f"{n:032x}")
    asked_at = NOW


class FollowUpFactory(DjangoModelFactory[FollowUp]):
    class Meta:
        model = FollowUp

    placement = factory.SubFactory(PlacementFactory)
    kind = FollowUpKind.TWO_WEEKS.value
    due_on = TODAY + timedelta(days=14)


class HomeReportFactory(DjangoModelFactory[HomeReport]):
    class Meta:
        model = HomeReport

    placement = factory.SubFactory(PlacementFactory)
    kind = HomeReportKind.NOTE.value
    on = TODAY
    note = "Eats well."
    received_at = NOW


class AnimalPaperFactory(DjangoModelFactory[AnimalPaper]):
    class Meta:
        model = AnimalPaper

    kind = PaperKind.ORIGIN_STATEMENT.value
    animal = factory.SubFactory(AnimalFactory)
    number = factory.Sequence(lambda n: f"OS-{n:04d}")
    issued_by = "an invented office"
    recorded_at = NOW


class PlacementPolicyFactory(DjangoModelFactory[PlacementPolicy]):
    class Meta:
        model = PlacementPolicy

    least_age_days = 90
    reason = "as agreed"
    made_at = NOW


class RegisterEntryFactory(DjangoModelFactory[RegisterEntry]):
    class Meta:
        model = RegisterEntry

    number = factory.Sequence(lambda n: n + 1)
    on = TODAY
    direction = Direction.CAME.value
    how = RegisterHow.NOT_SAID.value
    animal = factory.SubFactory(AnimalFactory)
    animal_code = factory.LazyAttribute(lambda row: row.animal.code)
    scientific_name = factory.LazyAttribute(
        lambda row: row.animal.species.scientific_name
    )
    entered_at = NOW


class PairingFactory(DjangoModelFactory[Pairing]):
    """Dam and sire are of one species."""

    class Meta:
        model = Pairing

    dam = factory.SubFactory(AnimalFactory)
    sire = factory.SubFactory(
        AnimalFactory,
        species=factory.SelfAttribute("..dam.species"),
        sex=Sex.MALE.value,
    )
    planned_on = date(2026, 1, 10)
    reason = "Unrelated, both grown."
    created_at = NOW


class IntroductionFactory(DjangoModelFactory[Introduction]):
    class Meta:
        model = Introduction

    pairing = factory.SubFactory(PairingFactory)
    at = datetime(2026, 1, 12, 10, 0, tzinfo=UTC)
    minutes = 40
    outcome = IntroductionOutcome.MATED.value
    recorded_at = NOW


class IncubationPlanFactory(DjangoModelFactory[IncubationPlan]):
    class Meta:
        model = IncubationPlan

    code = factory.Sequence(lambda n: f"plan-{n}")
    name = factory.Sequence(lambda n: f"Warm throughout {n}")
    species = factory.SubFactory(SpeciesFactory)


class IncubationPhaseFactory(DjangoModelFactory[IncubationPhase]):
    class Meta:
        model = IncubationPhase

    plan = factory.SubFactory(IncubationPlanFactory)
    position = factory.Sequence(lambda n: n % 10_000 + 1)
    kind = PhaseKind.WARM.value
    day_low_c = Decimal("26.0")
    day_high_c = Decimal("28.0")
    night_low_c = Decimal("24.0")
    night_high_c = Decimal("26.0")


class ClutchFactory(DjangoModelFactory[Clutch]):
    """Thirty eggs set, without rows of their own."""

    class Meta:
        model = Clutch

    code = factory.Sequence(lambda n: f"C-{n:03d}")
    dam = factory.SubFactory(AnimalFactory)
    species = factory.SelfAttribute("dam.species")
    site = factory.SubFactory(SiteFactory)
    laid_on = date(2026, 2, 10)
    eggs_set = 30
    eggs_infertile = 2
    mass_g = Decimal("40.50")
    recorded_at = NOW


class EggFactory(DjangoModelFactory[Egg]):
    class Meta:
        model = Egg

    clutch = factory.SubFactory(ClutchFactory)
    number = factory.Sequence(lambda n: n % 10_000 + 1)


class EggCheckFactory(DjangoModelFactory[EggCheck]):
    class Meta:
        model = EggCheck

    egg = factory.SubFactory(EggFactory)
    at = NOW
    seen = Candled.VESSELS.value
    mass_g = Decimal("1.450")
    recorded_at = NOW


class HatchlingFactory(DjangoModelFactory[Hatchling]):
    class Meta:
        model = Hatchling

    clutch = factory.SubFactory(ClutchFactory)
    animal = factory.SubFactory(
        AnimalFactory,
        species=factory.SelfAttribute("..clutch.species"),
        dam=factory.SelfAttribute("..clutch.dam"),
        hatched_on=date(2026, 8, 20),
        arrived_on=date(2026, 8, 20),
        origin=Origin.BORN_HERE.value,
    )


class EggBoxFactory(DjangoModelFactory[EggBox]):
    class Meta:
        model = EggBox

    code = factory.Sequence(lambda n: f"B-{n:03d}")
    rows = 5
    columns = 8
    substrate = Substrate.VERMICULITE.value
    substrate_g = Decimal("200.0")
    water_g = Decimal("160.0")
    made_on = date(2026, 2, 10)


class BoxStayFactory(DjangoModelFactory[BoxStay]):
    class Meta:
        model = BoxStay

    box = factory.SubFactory(EggBoxFactory)
    incubator = factory.SubFactory(EnclosureFactory, kind=EnclosureKind.INCUBATOR.value)
    from_at = datetime(2026, 2, 10, 12, 0, tzinfo=UTC)


class BoxCheckFactory(DjangoModelFactory[BoxCheck]):
    class Meta:
        model = BoxCheck

    box = factory.SubFactory(EggBoxFactory)
    at = NOW
    mass_g = Decimal("402.5")
    water_g = Decimal("6.0")
    recorded_at = NOW


class EggPlaceFactory(DjangoModelFactory[EggPlace]):
    """Each in a box of its own unless told, so that no place is taken twice."""

    class Meta:
        model = EggPlace

    egg = factory.SubFactory(EggFactory)
    box = factory.SubFactory(EggBoxFactory)
    row = 1
    column = 1
    from_at = datetime(2026, 2, 10, 12, 0, tzinfo=UTC)


class IncubatorDayFactory(DjangoModelFactory[IncubatorDay]):
    class Meta:
        model = IncubatorDay

    probe = factory.SubFactory(ProbeFactory, zone=Zone.EGGS.value)
    on = date(2026, 3, 1)
    start_s = int(datetime(2026, 3, 1, tzinfo=UTC).timestamp())
    hours_milli_c = factory.LazyFunction(lambda: [26_000] * 24)


class ForecastFactory(DjangoModelFactory[Forecast]):
    class Meta:
        model = Forecast

    clutch = factory.SubFactory(ClutchFactory)
    box = factory.SubFactory(EggBoxFactory)
    on = date(2026, 3, 1)
    basis = ForecastBasis.PROFILE_WINDOW.value
    earliest_on = date(2026, 8, 9)
    likely_on = date(2026, 9, 25)
    latest_on = date(2026, 11, 12)


class CandidateSireFactory(DjangoModelFactory[CandidateSire]):
    class Meta:
        model = CandidateSire

    clutch = factory.SubFactory(ClutchFactory)
    sire = factory.SubFactory(
        AnimalFactory,
        species=factory.SelfAttribute("..clutch.species"),
        sex=Sex.MALE.value,
    )
    probability = Decimal("0.50000")
    basis = SireBasis.MATED_BEFORE.value


class SpurCheckFactory(DjangoModelFactory[SpurCheck]):
    class Meta:
        model = SpurCheck

    animal = factory.SubFactory(AnimalFactory)
    at = NOW
    left = Heel.PRESENT.value
    right = Heel.PRESENT.value
    looked_by = factory.SubFactory(UserFactory)
    recorded_at = NOW


class SexingPolicyFactory(DjangoModelFactory[SexingPolicy]):
    class Meta:
        model = SexingPolicy

    second_look = True
    from_on = date(2025, 1, 1)
    reason = "Two of us look at every heel."
    decided_at = NOW
