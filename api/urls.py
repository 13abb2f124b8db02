"""Addresses of the API."""

from django.urls import path, re_path
from rest_framework.routers import SimpleRouter

from api.animals import Animals
from api.applications import Applications
from api.arrivals import Arrivals
from api.audit import Audit
from api.box_checks import BoxChecks
from api.breeding_due import BreedingDue
from api.breeding_figures import BreedingFigures
from api.calendars import Calendars
from api.candidate_sires import CandidateSires
from api.care_tasks import CareTasks
from api.chores import Chores
from api.clutches import Clutches
from api.conditions import AllConditions
from api.deaths import Deaths
from api.description import Description
from api.devices import Devices
from api.doses import Doses
from api.egg_boxes import EggBoxes
from api.egg_checks import EggChecks
from api.eggs import Eggs
from api.enclosures import Enclosures
from api.exams import Exams
from api.export_urls import urlpatterns as export_addresses
from api.feeding_orders import FeedingOrders
from api.feedings import Feedings
from api.findings import Findings
from api.follow_ups import FollowUps
from api.forecasts import Forecasts
from api.hatchlings import Hatchlings
from api.health import Health
from api.health_tests import HealthTests
from api.hold_policies import HoldPolicies
from api.home_enclosures import HomeEnclosures
from api.home_reports import HomeReports
from api.homes import Homes
from api.incubation_plans import IncubationPlans
from api.intakes import IntakePhotos, Intakes
from api.introductions import Introductions
from api.lamp_checks import LampChecks
from api.lamps import Lamps
from api.lineages import CollectionKinship
from api.logger_files import LoggerFiles
from api.logger_mappings import LoggerMappings
from api.me import Me
from api.measurings import Measurings
from api.observations import Observations
from api.organisation import Organisation
from api.packet_jobs import PacketJobs
from api.packets import Packets
from api.pair_advice import PairsAdvised
from api.pairings import Pairings
from api.papers import Papers
from api.pedigree_imports import PedigreeImports
from api.people import People
from api.personal_data_policies import PersonalDataPolicies
from api.placement_figures import PlacementFigures
from api.placement_policies import PlacementPolicies
from api.placements import Placements
from api.places import Rooms, Sites
from api.prescriptions import Prescriptions
from api.private_addresses import PrivateAddresses
from api.probes import Probes
from api.profiles import Profiles
from api.quarantine_policies import QuarantinePolicies
from api.quarantines import Quarantines
from api.readiness_reviews import ReadinessReviews
from api.readings import Readings
from api.register import Register
from api.renderers import Csv
from api.reproductive_states import ReproductiveStates
from api.review_policies import ReviewPolicies
from api.review_runs import ReviewRuns
from api.rounds import Rounds
from api.setups import Setups
from api.sex_ratios import SexRatios
from api.sexing_due import SexingDue
from api.sexing_policies import SexingPolicies
from api.sight_lines import SightLines
from api.species import AllSpecies
from api.spur_checks import SpurChecks
from api.stays import Stays
from api.target_overrides import TargetOverrides
from api.tokens import Tokens
from api.unclaimed_readings import AllUnclaimedReadings
from api.views import Nowhere
from api.webhook_deliveries import WebhookDeliveries
from api.webhooks import Webhooks
from api.weighings import Weighings

app_name = "api"
router = SimpleRouter()
router.register("sites", Sites, basename="site")
router.register("people", People, basename="person")
router.register("calendars", Calendars, basename="calendar")
router.register("rooms", Rooms, basename="room")
router.register("species", AllSpecies, basename="species")
router.register("profiles", Profiles, basename="profile")
router.register("animals", Animals, basename="animal")
router.register("enclosures", Enclosures, basename="enclosure")
router.register("set-ups", Setups, basename="set-up")
router.register("stays", Stays, basename="stay")
router.register("sight-lines", SightLines, basename="sight-line")
router.register(
    "reproductive-states", ReproductiveStates, basename="reproductive-state"
)
router.register("target-overrides", TargetOverrides, basename="target-override")
router.register("weighings", Weighings, basename="weighing")
router.register("feedings", Feedings, basename="feeding")
router.register("observations", Observations, basename="observation")
router.register("measurings", Measurings, basename="measuring")
router.register("chores", Chores, basename="chore")
router.register("lamp-checks", LampChecks, basename="lamp-check")
router.register("lamps", Lamps, basename="lamp")
router.register("feeding-orders", FeedingOrders, basename="feeding-order")
router.register("prescriptions", Prescriptions, basename="prescription")
router.register("doses", Doses, basename="dose")
router.register("health-tests", HealthTests, basename="health-test")
router.register("deaths", Deaths, basename="death")
router.register("candidate-sires", CandidateSires, basename="candidate-sire")
router.register("pairings", Pairings, basename="pairing")
router.register("introductions", Introductions, basename="introduction")
router.register("clutches", Clutches, basename="clutch")
router.register("probes", Probes, basename="probe")
router.register("devices", Devices, basename="device")
router.register("readings", Readings, basename="reading")
router.register(
    "unclaimed-readings", AllUnclaimedReadings, basename="unclaimed-readings"
)
router.register("logger-files", LoggerFiles, basename="logger-file")
router.register("logger-mappings", LoggerMappings, basename="logger-mapping")
router.register("conditions", AllConditions, basename="conditions")
router.register("forecasts", Forecasts, basename="forecast")
router.register("incubation-plans", IncubationPlans, basename="incubation-plan")
router.register("egg-boxes", EggBoxes, basename="egg-box")
router.register("box-checks", BoxChecks, basename="box-check")
router.register("eggs", Eggs, basename="egg")
router.register("egg-checks", EggChecks, basename="egg-check")
router.register("review-runs", ReviewRuns, basename="review-run")
router.register("review-policies", ReviewPolicies, basename="review-policy")
router.register("findings", Findings, basename="finding")
router.register("hatchlings", Hatchlings, basename="hatchling")
router.register("spur-checks", SpurChecks, basename="spur-check")
router.register("sexing-policies", SexingPolicies, basename="sexing-policy")
router.register("quarantines", Quarantines, basename="quarantine")
router.register("quarantine-policies", QuarantinePolicies, basename="quarantine-policy")
router.register("placements", Placements, basename="placement")
router.register("placement-policies", PlacementPolicies, basename="placement-policy")
router.register("packets", Packets, basename="packet")
router.register("packet-jobs", PacketJobs, basename="packet-job")
router.register("homes", Homes, basename="home")
router.register("applications", Applications, basename="application")
router.register("private-addresses", PrivateAddresses, basename="private-address")
router.register(
    "personal-data-policies", PersonalDataPolicies, basename="personal-data-policy"
)
router.register("arrivals", Arrivals, basename="arrival")
router.register("intakes", Intakes, basename="intake")
router.register("intake-photos", IntakePhotos, basename="intake-photo")
router.register("exams", Exams, basename="exam")
router.register("hold-policies", HoldPolicies, basename="hold-policy")
router.register("home-enclosures", HomeEnclosures, basename="home-enclosure")
router.register("readiness-reviews", ReadinessReviews, basename="readiness-review")
router.register("follow-ups", FollowUps, basename="follow-up")
router.register("home-reports", HomeReports, basename="home-report")
router.register("papers", Papers, basename="paper")
router.register("register-entries", Register, basename="register-entry")
router.register("tokens", Tokens, basename="token")
router.register("webhooks", Webhooks, basename="webhook")
router.register("webhook-deliveries", WebhookDeliveries, basename="webhook-delivery")
router.register("audit-entries", Audit, basename="audit-entry")

urlpatterns = [
    path(
        "pedigree-imports/",
        PedigreeImports.as_view({"post": "create"}),
        name="pedigree-imports",
    ),
    path(
        "organisation/",
        Organisation.as_view({"get": "retrieve", "post": "create"}),
        name="organisation",
    ),
    path("me/", Me.as_view({"get": "retrieve"}), name="me"),
    path("me/units/", Me.as_view({"post": "units"}), name="my-units"),
    path("health/", Health.as_view({"get": "retrieve"}), name="health"),
    path("schema/", Description.as_view({"get": "retrieve"}), name="schema"),
    path("rounds/", Rounds.as_view({"get": "retrieve"}), name="rounds"),
    path("care-tasks/", CareTasks.as_view({"get": "retrieve"}), name="care-tasks"),
    path("pair-advice/", PairsAdvised.as_view({"get": "retrieve"}), name="pair-advice"),
    path(
        "collection-kinship/",
        CollectionKinship.as_view({"get": "retrieve"}),
        name="collection-kinship",
    ),
    path(
        "breeding-due/", BreedingDue.as_view({"get": "retrieve"}), name="breeding-due"
    ),
    path(
        "breeding-figures/",
        BreedingFigures.as_view({"get": "retrieve"}),
        name="breeding-figures",
    ),
    path(
        "breeding-figures/groups-csv/",
        BreedingFigures.as_view({"get": "groups_csv"}, renderer_classes=[Csv]),
        name="breeding-figures-groups",
    ),
    path(
        "breeding-figures/eggs-csv/",
        BreedingFigures.as_view({"get": "eggs_csv"}, renderer_classes=[Csv]),
        name="breeding-figures-eggs",
    ),
    path(
        "register-entries/csv/",
        Register.as_view({"get": "table"}, renderer_classes=[Csv]),
        name="register-csv",
    ),
    path(
        "placement-figures/",
        PlacementFigures.as_view({"get": "retrieve"}),
        name="placement-figures",
    ),
    path(
        "placement-figures/groups-csv/",
        PlacementFigures.as_view({"get": "groups_csv"}, renderer_classes=[Csv]),
        name="placement-figures-groups",
    ),
    path(
        "placement-figures/census-csv/",
        PlacementFigures.as_view({"get": "census_csv"}, renderer_classes=[Csv]),
        name="placement-figures-census",
    ),
    path(
        "placement-figures/left-out-csv/",
        PlacementFigures.as_view({"get": "left_out_csv"}, renderer_classes=[Csv]),
        name="placement-figures-left-out",
    ),
    path("sexing-due/", SexingDue.as_view({"get": "retrieve"}), name="sexing-due"),
    path("sex-ratios/", SexRatios.as_view({"get": "retrieve"}), name="sex-ratios"),
    *export_addresses,
    *router.urls,
    re_path(r"", Nowhere.as_view(), name="nowhere"),
]
