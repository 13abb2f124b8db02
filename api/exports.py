"""Exports: sent while they are read, so that none is too large (ADR 0021)."""

from collections.abc import Mapping
from datetime import UTC, datetime
from math import ceil
from typing import Annotated

from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request

from api.animal_codes import animal_named
from api.errors import RefusedError
from api.export_contents import (
    BEGINNING_S,
    END_S,
    animal_contents,
    organisation_contents,
)
from api.streams import streamed
from api.structs import Asked, Instant
from api.views import Door
from core.exports.archives import Contents, archive_chunks
from core.exports.forms import CSV, NDJSON, PARQUET, Form, table_chunks
from core.exports.reading import Selected, all_rows, selected
from core.roles import Permission
from husbandry.models import Animal
from husbandry.queries.exported_readings import readings_exported, stretch_of
from husbandry.queries.exports import WEIGHINGS

KINDS: Mapping[str, str] = {
    CSV.name: "text/csv; charset=utf-8; header=present",
    NDJSON.name: "application/x-ndjson",
    PARQUET.name: "application/vnd.apache.parquet",
}
ZIP = "application/zip"
READINGS_CSV = (
    "at,probe,temperature_c,humidity_pct,uv_index\r\n"
    "2026-03-02T00:00:00Z,P-001,24.300,45.000,\r\n"
)
READINGS_NDJSON = (
    '{"at":"2026-03-02T00:00:00Z","probe":"P-001","temperature_c":24.300,'
    '"humidity_pct":45.000,"uv_index":null}\n'
)
WEIGHINGS_CSV = (
    "id,animal_id,animal_code,at,mass_g,recorded_by_username,recorded_at,"
    "corrects_id,note\r\n"
    "8,3,V-0417,2026-03-02T08:00:00Z,22.10,ada,2026-03-02T08:05:00Z,,\r\n"
)
WEIGHINGS_NDJSON = (
    '{"id":8,"animal_id":3,"animal_code":"V-0417","at":"2026-03-02T08:00:00Z",'
    '"mass_g":22.10,"recorded_by_username":"ada",'
    '"recorded_at":"2026-03-02T08:05:00Z","corrects_id":null,"note":""}\n'
)
FIRST = Annotated[
    Instant | None,
    Meta(description="First instant; from the beginning unless given."),
]
UP_TO = Annotated[
    Instant | None,
    Meta(description="Up to which, itself not among them; to the end unless given."),
]


class ReadingsExportAsked(Asked, frozen=True):
    """Which readings."""

    from_at: FIRST = None
    until_at: UP_TO = None
    probe: Annotated[str, Meta(description="Code of the only probe.")] = ""
    enclosure: Annotated[str, Meta(description="Code of the only enclosure.")] = ""
    site: Annotated[str, Meta(description="Code of the only site.")] = ""


class WeighingsExportAsked(Asked, frozen=True):
    """Which weighings."""

    from_at: FIRST = None
    until_at: UP_TO = None
    animal: Annotated[str, Meta(description="Code of the only animal.")] = ""


class ReadingExports(Door):
    """Readings by instant and probe."""

    permissions = {
        "readings_csv": Permission.SEE_CONDITIONS,
        "readings_ndjson": Permission.SEE_CONDITIONS,
        "readings_parquet": Permission.SEE_CONDITIONS,
    }
    asks = dict.fromkeys(permissions, ReadingsExportAsked)
    gives = dict.fromkeys(permissions, bytes)
    examples = {"readings_csv": READINGS_CSV, "readings_ndjson": READINGS_NDJSON}

    def readings_csv(self, request: Request) -> HttpResponseBase:
        """Send readings as CSV (RFC 4180), by instant and probe."""
        return _table(request, self._chosen(), form=CSV)

    def readings_ndjson(self, request: Request) -> HttpResponseBase:
        """Send readings as JSON, one object a line, by instant and probe."""
        return _table(request, self._chosen(), form=NDJSON)

    def readings_parquet(self, request: Request) -> HttpResponseBase:
        """Send readings as Parquet, by instant and probe; values are decimals."""
        return _table(request, self._chosen(), form=PARQUET)

    def _chosen(self) -> Selected:
        asked = self.asked
        assert isinstance(asked, ReadingsExportAsked)  # noqa: S101 - see `asks`
        _check_order(asked.from_at, asked.until_at)
        stretch = stretch_of(
            from_s=_second(asked.from_at, BEGINNING_S),
            until_s=_second(asked.until_at, END_S),
            probe=asked.probe,
            enclosure=asked.enclosure,
            site=asked.site,
        )
        named = {
            name: code
            for name in ("probe", "enclosure", "site")
            if (code := getattr(asked, name))
        }
        if named and not stretch.probes:
            told = ", ".join(f"{name}={code!r}" for name, code in named.items())
            raise RefusedError(
                "no_such_probe",
                f"No probe is that of {told}. Codes are as on the labels; probes/ "
                "lists them.",
                fields=dict.fromkeys(named, "a code that exists"),
            )
        return readings_exported(lambda: (stretch,))


class WeighingExports(Door):
    """Weighings in the order in which they were recorded."""

    permissions = {
        "weighings_csv": Permission.SEE_ANIMALS,
        "weighings_ndjson": Permission.SEE_ANIMALS,
        "weighings_parquet": Permission.SEE_ANIMALS,
    }
    asks = dict.fromkeys(permissions, WeighingsExportAsked)
    gives = dict.fromkeys(permissions, bytes)
    examples = {"weighings_csv": WEIGHINGS_CSV, "weighings_ndjson": WEIGHINGS_NDJSON}

    def weighings_csv(self, request: Request) -> HttpResponseBase:
        """Send weighings as CSV (RFC 4180), corrected ones too."""
        return _table(request, self._chosen(), form=CSV)

    def weighings_ndjson(self, request: Request) -> HttpResponseBase:
        """Send weighings as JSON, one object a line, corrected ones too."""
        return _table(request, self._chosen(), form=NDJSON)

    def weighings_parquet(self, request: Request) -> HttpResponseBase:
        """Send weighings as Parquet, corrected ones too; masses are decimals."""
        return _table(request, self._chosen(), form=PARQUET)

    def _chosen(self) -> Selected:
        asked = self.asked
        assert isinstance(asked, WeighingsExportAsked)  # noqa: S101 - see `asks`
        _check_order(asked.from_at, asked.until_at)
        rows = all_rows(WEIGHINGS)
        if asked.from_at is not None:
            rows = rows.filter(at__gte=asked.from_at)
        if asked.until_at is not None:
            rows = rows.filter(at__lt=asked.until_at)
        if asked.animal:
            rows = rows.filter(animal=animal_named(asked.animal))
        return selected(WEIGHINGS, rows=rows, person=self.person)


class AnimalExports(Door):
    """Everything about one animal that you may see."""

    permissions = {
        "animal_csv": Permission.SEE_ANIMALS,
        "animal_ndjson": Permission.SEE_ANIMALS,
        "animal_parquet": Permission.SEE_ANIMALS,
    }
    gives = dict.fromkeys(permissions, bytes)

    def animal_csv(self, request: Request, **kwargs: str) -> HttpResponseBase:
        """Send everything about an animal as CSV, in a ZIP with a manifest.

        What you may not see is left out; the manifest names it. Readings are those of
        the enclosures that it lived in, while it did.
        """
        return self._sent(request, CSV)

    def animal_ndjson(self, request: Request, **kwargs: str) -> HttpResponseBase:
        """Send everything about an animal as JSON lines, in a ZIP with a manifest."""
        return self._sent(request, NDJSON)

    def animal_parquet(self, request: Request, **kwargs: str) -> HttpResponseBase:
        """Send everything about an animal as Parquet, in a ZIP with a manifest."""
        return self._sent(request, PARQUET)

    def _sent(self, request: Request, form: Form) -> HttpResponseBase:
        animal, at = get_object_or_404(Animal, pk=self.kwargs["id"]), timezone.now()
        contents = animal_contents(animal, person=self.person, form=form, at=at)
        return _archive(request, contents, name=f"animal-{animal.pk}")


class OrganisationExports(Door):
    """Everything of the organisation that you may see."""

    permissions = {
        "organisation_csv": Permission.EXPORT_ALL,
        "organisation_ndjson": Permission.EXPORT_ALL,
        "organisation_parquet": Permission.EXPORT_ALL,
    }
    gives = dict.fromkeys(permissions, bytes)

    def organisation_csv(self, request: Request) -> HttpResponseBase:
        """Send everything of the organisation as CSV, in a ZIP with a manifest.

        Homes' names and contacts are in it: keep it as carefully as the records
        themselves. Passwords and keys are in no export.
        """
        return self._sent(request, CSV)

    def organisation_ndjson(self, request: Request) -> HttpResponseBase:
        """Send everything of the organisation as JSON lines, in a ZIP with a manifest."""
        return self._sent(request, NDJSON)

    def organisation_parquet(self, request: Request) -> HttpResponseBase:
        """Send everything of the organisation as Parquet, in a ZIP with a manifest."""
        return self._sent(request, PARQUET)

    def _sent(self, request: Request, form: Form) -> HttpResponseBase:
        contents = organisation_contents(
            person=self.person, form=form, at=timezone.now()
        )
        return _archive(request, contents, name="organisation")


def _table(request: Request, chosen: Selected, *, form: Form) -> HttpResponseBase:
    chunks = table_chunks(chosen, form=form)
    name = f"{chosen.name}-{_day(timezone.now())}.{form.name}"
    return streamed(request, chunks, kind=KINDS[form.name], name=name)


def _archive(request: Request, contents: Contents, *, name: str) -> HttpResponseBase:
    name = f"{name}-{contents.form.name}-{_day(contents.made_at)}.zip"
    return streamed(request, archive_chunks(contents), kind=ZIP, name=name)


def _day(at: datetime) -> str:
    return at.astimezone(UTC).date().isoformat()


def _second(at: datetime | None, default: int) -> int:
    """Return the first whole second that is not before an instant."""
    return default if at is None else ceil(at.timestamp())


def _check_order(from_at: datetime | None, until_at: datetime | None) -> None:
    if from_at is not None and until_at is not None and from_at > until_at:
        raise RefusedError(
            "instants_reversed",
            f"until_at={until_at.isoformat()} is before "
            f"from_at={from_at.isoformat()}; give a later one.",
            fields={"until_at": f"{from_at.isoformat()} or later"},
        )
