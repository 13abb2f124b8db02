"""The demo's invented organisation: its people, its place and its rooms.

No person, place or animal of it exists. The passwords are for a demo on one's own
machine and must never be used on a server that others can reach.
"""

from datetime import time

from core.roles import Role
from demo.plans import Person, RoomPlan

SEED = 20_417
ORGANISATION = "Vescora House, chameleon breeding and rescue"
CONTACT = "Vescora House, 3 Rua da Nora, Vescora (an invented place for the demo)"
SITE_CODE = "vescora"
SITE_NAME = "Vescora"
TIME_ZONE = "Europe/Lisbon"
LATITUDE_DEG = 38.61
LONGITUDE_DEG = -8.42

# When the animals move in on the first of the fourteen days, before the lights.
OPENING = time(6)
LIGHTS_ON = time(8)
LIGHTS_OFF = time(20)

PEOPLE = (
    Person("ilda", "Ilda", "Ferrambo", Role.OWNER, "slow-amber-casque-41"),
    Person("brisio", "Brísio", "Nogalves", Role.MANAGER, "quiet-olive-perch-62"),
    Person("tome", "Tomé", "Alcavaz", Role.KEEPER, "early-mist-ladder-17"),
    Person("quiteria", "Quitéria", "Lumbrales", Role.VET, "clear-winter-lens-88"),
    Person(
        "noemi", "Noémi", "Bragalhos", Role.ADOPTION_COORDINATOR, "open-garden-gate-35"
    ),
)
OWNER, MANAGER, KEEPER, VET, COORDINATOR = "ilda", "brisio", "tome", "quiteria", "noemi"

ROOMS = (
    RoomPlan("long-room", "Long room", LIGHTS_ON, LIGHTS_OFF, 22.3, 15.6, 8.1),
    RoomPlan("nursery", "Nursery rack", LIGHTS_ON, LIGHTS_OFF, 22.3, 15.6, 8.1),
    RoomPlan(
        *("arrivals", "Arrivals room", LIGHTS_ON, LIGHTS_OFF, 22.3, 15.6, 8.1),
        quarantine=True,
    ),
    RoomPlan("egg-room", "Egg room", LIGHTS_ON, LIGHTS_OFF, 22.3, 17.5, 8.1),
)
