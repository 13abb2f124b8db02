"""Addresses of the people's pages."""

from django.contrib.auth.views import LogoutView
from django.urls import path

from staff.after import (
    after,
    after_all,
    answer_for_home,
    drop_asking,
    report_for_home,
    seen_report,
)
from staff.animals import animal_page, animals
from staff.api_guide import api_guide, api_resource
from staff.application_page import (
    application_page,
    check_application,
    decide_application,
)
from staff.applications import application_matches, applications
from staff.breeding import breeding
from staff.breeding_figures import (
    breeding_figures,
    breeding_file,
    survival_picture,
)
from staff.calendar_addresses import new_calendar, revoke_calendar
from staff.calendars import calendar
from staff.clutches import clutch_page, egg_page, mend_egg
from staff.doors import open_to_everybody
from staff.egg_boxes import egg_box, look_into_box, record_eggs, undo_eggs
from staff.findings import acknowledge, finding_page
from staff.forecasts import (
    forecast,
    forecast_calibration,
    forecast_svg,
    warmth_svg,
)
from staff.growth import growth_page, growth_picture
from staff.hatching import hatching
from staff.health import healthz
from staff.home_enclosures import (
    choose_home_enclosure,
    describe_home_enclosure,
    file_home_enclosure,
    home_enclosure,
    new_home_enclosure,
    read_home_enclosure,
    review_home_enclosure,
)
from staff.home_pictures import home_enclosure_svg
from staff.intake_deeds import (
    hold_arrival,
    lift_intake_hold,
    photograph_intake,
    record_look_over,
    settle_intake_species,
)
from staff.intakes import arrival, arrivals, intake, intake_photo
from staff.labels import labels_file
from staff.me import me, own_password
from staff.mornings import morning
from staff.packet_batches import (
    again_packet,
    ask_packets,
    packet_batch,
    packet_batches,
    packet_job_file,
    packet_zip,
)
from staff.packet_check import check
from staff.packets import packet, packet_cards, packet_days
from staff.pair_advice import pairs
from staff.pedigree_files import pedigree_file
from staff.pedigrees import pedigree_page, pedigree_picture
from staff.pictures import finding_picture, weights_picture
from staff.private_addresses import (
    give_application_address,
    give_placement_address,
    withdraw_private_address,
)
from staff.private_after import answer_my_follow_up, report_of_mine
from staff.private_enclosures import (
    add_my_enclosure,
    describe_my_enclosure,
    file_my_enclosure,
    read_my_enclosure,
)
from staff.private_homes import private_home, withdraw_application
from staff.private_packets import my_packet
from staff.public_application import apply
from staff.quarantine import clear_quarantine, quarantine
from staff.rescue_urls import RESCUE
from staff.rounds import round_file, rounds
from staff.sexing import heel_photo, record_look, sexing
from staff.signing_in import SignIn
from staff.taking_in import take_in

app_name = "staff"
urlpatterns = [
    path("", morning, name="morning"),
    path("sign-in/", open_to_everybody(SignIn.as_view()), name="sign_in"),
    path("sign-out/", open_to_everybody(LogoutView.as_view()), name="sign_out"),
    path("findings/<int:pk>/", finding_page, name="finding"),
    path("findings/<int:pk>/acknowledge/", acknowledge, name="acknowledge"),
    path("findings/<int:pk>/chart.svg", finding_picture, name="finding_picture"),
    path("animals/", animals, name="animals"),
    path("animals/<int:pk>/", animal_page, name="animal"),
    path("animals/<int:pk>/weights.svg", weights_picture, name="weights_picture"),
    path("animals/<int:pk>/growth/", growth_page, name="growth"),
    path("animals/<int:pk>/growth.svg", growth_picture, name="growth_picture"),
    path("animals/<int:pk>/pedigree/", pedigree_page, name="pedigree"),
    path("animals/<int:pk>/pedigree.svg", pedigree_picture, name="pedigree_picture"),
    path("breeding/", breeding, name="breeding"),
    path("breeding/boxes/<str:code>/", egg_box, name="egg_box"),
    path("breeding/boxes/<str:code>/record/", record_eggs, name="record_eggs"),
    path("breeding/boxes/<str:code>/undo/", undo_eggs, name="undo_eggs"),
    path("breeding/boxes/<str:code>/look/", look_into_box, name="look_into_box"),
    path("breeding/boxes/<str:code>/hatch/", hatching, name="hatching"),
    path("breeding/clutches/<str:code>/", clutch_page, name="clutch"),
    path("breeding/eggs/<int:pk>/", egg_page, name="egg"),
    path("breeding/eggs/<int:pk>/mend/", mend_egg, name="mend_egg"),
    path("breeding/sexing/", sexing, name="sexing"),
    path("breeding/sexing/record/", record_look, name="record_look"),
    path("breeding/looks/<int:pk>/photo.jpg", heel_photo, name="heel_photo"),
    path("breeding/pedigree-file/", pedigree_file, name="pedigree_file"),
    path("breeding/pairs/", pairs, name="pairs"),
    path("breeding/forecasts/", forecast_calibration, name="forecast_calibration"),
    path("breeding/clutches/<str:code>/forecast/", forecast, name="forecast"),
    path(
        "breeding/clutches/<str:code>/forecast.svg", forecast_svg, name="forecast_svg"
    ),
    path("breeding/clutches/<str:code>/warmth.svg", warmth_svg, name="warmth_svg"),
    path("breeding/labels.pdf", labels_file, name="labels"),
    path("breeding/figures/", breeding_figures, name="breeding_figures"),
    path("breeding/figures/<slug:table>.csv", breeding_file, name="breeding_file"),
    path("breeding/survival.svg", survival_picture, name="survival_picture"),
    path("packets/", packet_batches, name="packets"),
    path("packets/ask/", ask_packets, name="ask_packets"),
    path("packets/<int:pk>.pdf", packet, name="packet"),
    path("packets/<int:pk>.ics", packet_days, name="packet_days"),
    path("packets/<int:pk>/cards.pdf", packet_cards, name="packet_cards"),
    path("packets/jobs/<int:pk>.pdf", packet_job_file, name="packet_job_file"),
    path("packets/jobs/<int:pk>/again/", again_packet, name="again_packet"),
    path("packets/batches/<slug:batch>.zip", packet_zip, name="packet_zip"),
    path("packets/batches/<slug:batch>/", packet_batch, name="packet_batch"),
    path("check/<str:number>/<str:digits>/", check, name="packet_check"),
    path("arrivals/", arrivals, name="arrivals"),
    path("arrivals/new/", take_in, name="take_in"),
    path("arrivals/<int:pk>/", arrival, name="arrival"),
    path("arrivals/<int:pk>/hold/", hold_arrival, name="hold_arrival"),
    path("intakes/<int:pk>/", intake, name="intake"),
    path("intakes/<int:pk>/look-over/", record_look_over, name="look_over"),
    path("intakes/<int:pk>/photograph/", photograph_intake, name="photograph_intake"),
    path("intakes/<int:pk>/lift-hold/", lift_intake_hold, name="lift_hold"),
    path("intakes/<int:pk>/settle/", settle_intake_species, name="settle_species"),
    path("intakes/photos/<int:pk>.jpg", intake_photo, name="intake_photo"),
    path("quarantine/", quarantine, name="quarantine"),
    path("quarantine/<int:pk>/clear/", clear_quarantine, name="clear_quarantine"),
    path("rounds/", rounds, name="rounds"),
    path("rounds/<int:pk>/<slug:on>.pdf", round_file, name="round_file"),
    path("calendar/<str:address>.ics", calendar, name="calendar"),
    path("apply/", apply, name="apply"),
    path("applications/", applications, name="applications"),
    path("applications/<int:pk>/", application_page, name="application"),
    path("applications/<int:pk>/check/", check_application, name="check_application"),
    path(
        "applications/<int:pk>/decide/", decide_application, name="decide_application"
    ),
    path(
        "applications/<int:pk>/address/",
        give_application_address,
        name="give_application_address",
    ),
    *RESCUE,
    path(
        "placements/<int:pk>/address/",
        give_placement_address,
        name="give_placement_address",
    ),
    path(
        "private-addresses/<int:pk>/withdraw/",
        withdraw_private_address,
        name="withdraw_private_address",
    ),
    path("applications/for/<int:pk>/", application_matches, name="application_matches"),
    path("after/", after_all, name="after_all"),
    path("after/<int:pk>/", after, name="after"),
    path("after/<int:pk>/report/", report_for_home, name="report_for_home"),
    path("after/asked/<int:pk>/answer/", answer_for_home, name="answer_for_home"),
    path("after/asked/<int:pk>/drop/", drop_asking, name="drop_asking"),
    path("after/told/<int:pk>/seen/", seen_report, name="seen_report"),
    path(
        "homes/<int:pk>/enclosures/new/", new_home_enclosure, name="new_home_enclosure"
    ),
    path("homes/enclosures/<int:pk>/", home_enclosure, name="home_enclosure"),
    path(
        "homes/enclosures/<int:pk>/describe/",
        describe_home_enclosure,
        name="describe_home_enclosure",
    ),
    path(
        "homes/enclosures/<int:pk>/readings/",
        read_home_enclosure,
        name="read_home_enclosure",
    ),
    path(
        "homes/enclosures/<int:pk>/file/",
        file_home_enclosure,
        name="file_home_enclosure",
    ),
    path(
        "homes/enclosures/<int:pk>/review/",
        review_home_enclosure,
        name="review_home_enclosure",
    ),
    path(
        "homes/enclosures/<int:pk>/choose/<int:placement_pk>/",
        choose_home_enclosure,
        name="choose_home_enclosure",
    ),
    path(
        "homes/enclosures/<int:pk>/<int:animal_pk>/<slug:zone>/<slug:quantity>.svg",
        home_enclosure_svg,
        name="home_enclosure_svg",
    ),
    path("home/<str:address>/", private_home, name="private_home"),
    path(
        "home/<str:address>/packets/<int:pk>/<slug:kind>/", my_packet, name="my_packet"
    ),
    path("home/<str:address>/enclosures/", add_my_enclosure, name="add_my_enclosure"),
    path(
        "home/<str:address>/enclosures/<int:pk>/describe/",
        describe_my_enclosure,
        name="describe_my_enclosure",
    ),
    path(
        "home/<str:address>/enclosures/<int:pk>/readings/",
        read_my_enclosure,
        name="read_my_enclosure",
    ),
    path(
        "home/<str:address>/enclosures/<int:pk>/file/",
        file_my_enclosure,
        name="file_my_enclosure",
    ),
    path(
        "home/<str:address>/follow-ups/<int:pk>/",
        answer_my_follow_up,
        name="answer_my_follow_up",
    ),
    path("home/<str:address>/animals/<int:pk>/", report_of_mine, name="report_of_mine"),
    path(
        "home/<str:address>/withdraw/",
        withdraw_application,
        name="withdraw_application",
    ),
    path("me/", me, name="me"),
    path("me/calendars/", new_calendar, name="new_calendar"),
    path("me/calendars/<int:pk>/revoke/", revoke_calendar, name="revoke_calendar"),
    path("me/password/", own_password, name="password"),
    path("api-guide/", api_guide, name="api_guide"),
    path("api-guide/<slug:name>/", api_resource, name="api_resource"),
    path("healthz", healthz, name="healthz"),
]
