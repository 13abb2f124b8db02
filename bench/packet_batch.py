"""Two hundred packets drawn by two workers: how long, and whether memory grows.

The yardstick of memory is the same worker after its first packets, when fonts and
templates are loaded. Two processes share the machine's cores with whatever else runs.
"""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from time import perf_counter
from urllib.parse import quote, urlsplit

from django.conf import settings
from django.db import connection

from bench.frame import Figure, progress
from bench.scratch import scratch_database
from husbandry.actions.profiles import load_shipped_profiles
from husbandry.models import Species
from placements.actions.packet_jobs import ask_for_packets
from placements.models import Packet, PacketJob
from tests.factories import AnimalFactory, PlacementFactory, WeighingFactory

COUNT, WORKERS, WARM = 200, 2, 25
AT = datetime(2026, 3, 18, 15, 0, tzinfo=UTC)
PATIENCE_S = 1800
WORKER = """
import json, re
from pathlib import Path
import django
django.setup()
from django.utils.timezone import now
from placements import pdf
from placements.actions.packet_jobs import draw_waiting

resident_mb = []

def draw(packet):
    drawn = pdf.draw(packet)
    status = Path("/proc/self/status").read_text()
    resident_mb.append(int(re.search(r"VmRSS:\\s+(\\d+)", status)[1]) / 1024)
    return drawn

draw_waiting(draw=draw, at=now())
print(json.dumps(resident_mb))
"""


def figures(*, size: int | None) -> Iterator[Figure]:
    """Yield time and memory; `size` is the number of packets."""
    count = size or COUNT
    with scratch_database(), tempfile.TemporaryDirectory() as folder:
        progress(f"asking for {count} packets")
        _ask(count)
        began = perf_counter()
        told = _draw(folder)
        taken_s = perf_counter() - began
        for resident_mb in told:
            shown = ", ".join(f"{mb:.0f}" for mb in resident_mb[::WARM])
            progress(f"{len(resident_mb)} packets by one worker: {shown} MB")
        _check(count)
    yield Figure(
        f"{count} packets by {WORKERS} workers", taken_s, count, None, "packets", "s"
    )
    for resident_mb in told:
        warm = resident_mb[min(WARM, len(resident_mb)) - 1]
        name = f"memory of a worker after {len(resident_mb)} packets"
        beneath = f"the same after {min(WARM, len(resident_mb))}"
        yield Figure(name, resident_mb[-1], warm, 1.1, beneath, "MB")


def _ask(count: int) -> None:
    load_shipped_profiles(by=None, at=AT)
    species = Species.objects.get(code="veiled_chameleon")
    placements = []
    for _ in range(count):
        animal = AnimalFactory.create(species=species)
        WeighingFactory.create(animal=animal, at=AT)
        placements.append(PlacementFactory.create(animal=animal))
    ask_for_packets(placements=placements, by=None, at=AT)


def _draw(folder: str) -> list[list[float]]:
    """Let the workers draw; return each one's resident memory after each packet."""
    environment = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "config.settings",
        "DATABASE_URL": _scratch_url(),
        "SPURBOOK_DATA": folder,
    }
    workers = [
        subprocess.Popen(
            [sys.executable, "-c", WORKER],
            env=environment,
            cwd=settings.BASE_DIR,
            stdout=subprocess.PIPE,
            text=True,
        )
        for _ in range(WORKERS)
    ]
    told = [worker.communicate(timeout=PATIENCE_S)[0] for worker in workers]
    return [found for text in told if (found := json.loads(text))]


def _scratch_url() -> str:
    name = str(connection.settings_dict["NAME"])
    if connection.vendor == "sqlite":
        return f"sqlite:///{quote(name)}"
    given = urlsplit(os.environ["DATABASE_URL"])
    return given._replace(path=f"/{name}").geturl()


def _check(count: int) -> None:
    once = PacketJob.objects.filter(state="done", tries=1).count()
    packets = Packet.objects.count()
    if (once, packets) != (count, count):
        raise AssertionError(f"{once} drawn once, {packets} packets, of {count}")
