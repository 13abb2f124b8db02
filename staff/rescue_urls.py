"""The addresses of rescue: placements, their gates, figures and the register."""

from django.urls import path

from staff.papers import (
    paper,
    papers,
    photograph_paper,
    withdraw_one_paper,
)
from staff.placement_deeds import (
    call_off_placement,
    change_placement,
    extend_placement,
    hand_over_placement,
    hand_over_placement_treatment,
    make_placement_packet,
    note_death_there,
    open_placement_gate,
    plan_lasting_placement,
    shut_placement_gate,
)
from staff.placement_figures import (
    placement_figures,
    placement_file,
    placement_picture,
)
from staff.placement_page import placement_page
from staff.placements import placements, plan
from staff.register import bring_register_up_to_date, register, register_file

RESCUE = [
    path("placements/", placements, name="placements"),
    path("placements/plan/", plan, name="plan_placement"),
    path("placements/<int:pk>/", placement_page, name="placement"),
    path("placements/<int:pk>/open-gate/", open_placement_gate, name="open_gate"),
    path("placements/<int:pk>/shut-gate/", shut_placement_gate, name="shut_gate"),
    path("placements/<int:pk>/hand-over/", hand_over_placement, name="hand_over"),
    path("placements/<int:pk>/change/", change_placement, name="change_placement"),
    path("placements/<int:pk>/call-off/", call_off_placement, name="call_off"),
    path("placements/<int:pk>/died-there/", note_death_there, name="note_death_there"),
    path("placements/<int:pk>/extend/", extend_placement, name="extend_placement"),
    path("placements/<int:pk>/lasting/", plan_lasting_placement, name="plan_lasting"),
    path(
        "placements/<int:pk>/treatment/",
        hand_over_placement_treatment,
        name="hand_over_treatment",
    ),
    path("placements/<int:pk>/packet/", make_placement_packet, name="make_packet"),
    path("placements/figures/", placement_figures, name="placement_figures"),
    path("placements/figures/<slug:table>.csv", placement_file, name="placement_file"),
    path(
        "placements/figures/<slug:name>.svg",
        placement_picture,
        name="placement_picture",
    ),
    path("papers/", papers, name="papers"),
    path("papers/<int:pk>/", paper, name="paper"),
    path("papers/<int:pk>/photograph/", photograph_paper, name="photograph_paper"),
    path("papers/<int:pk>/withdraw/", withdraw_one_paper, name="withdraw_paper"),
    path("register/", register, name="register"),
    path("register/write/", bring_register_up_to_date, name="write_register"),
    path("register.csv", register_file, name="register_file"),
]
