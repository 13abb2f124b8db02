"""Addresses of the exports: each says in which form it answers."""

from collections.abc import Iterator, Mapping
from typing import Any

from django.urls import URLPattern, path, re_path

from api.exports import (
    AnimalExports,
    OrganisationExports,
    ReadingExports,
    WeighingExports,
)
from api.renderers import Csv, File, NdJson, Parquet, Zip

FORMS: Mapping[str, type[File]] = {"csv": Csv, "ndjson": NdJson, "parquet": Parquet}


def _addresses() -> Iterator[URLPattern]:
    for form, kind in FORMS.items():
        readings: Any = ReadingExports.as_view(
            {"get": f"readings_{form}"}, renderer_classes=[kind]
        )
        weighings: Any = WeighingExports.as_view(
            {"get": f"weighings_{form}"}, renderer_classes=[kind]
        )
        animal: Any = AnimalExports.as_view(
            {"get": f"animal_{form}"}, renderer_classes=[Zip]
        )
        organisation: Any = OrganisationExports.as_view(
            {"get": f"organisation_{form}"}, renderer_classes=[Zip]
        )
        yield path(f"exports/readings/{form}/", readings, name=f"readings-{form}")
        yield path(f"exports/weighings/{form}/", weighings, name=f"weighings-{form}")
        yield re_path(
            rf"^exports/animals/(?P<id>[0-9]{{1,18}})/{form}/\Z",
            animal,
            name=f"animal-export-{form}",
        )
        yield path(
            f"exports/organisation/{form}/", organisation, name=f"organisation-{form}"
        )


urlpatterns = list(_addresses())
