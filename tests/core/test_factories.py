"""Every model has a factory, and what it makes holds every constraint."""

import inspect

import pytest
from django.apps import apps
from django.db.models import Model
from factory.django import DjangoModelFactory

from tests import factories

ROOMS = ("core", "husbandry", "clutches", "placements")
FACTORIES = {
    made._meta.model: made
    for _, made in inspect.getmembers(factories, inspect.isclass)
    if issubclass(made, DjangoModelFactory) and made is not DjangoModelFactory
}
MODELS = [model for room in ROOMS for model in apps.get_app_config(room).get_models()]


@pytest.mark.parametrize("model", MODELS, ids=lambda m: m.__name__)
def test_every_model_has_a_factory_named_after_it(model: type) -> None:
    assert FACTORIES[model].__name__ == f"{model.__name__}Factory"


@pytest.mark.django_db
@pytest.mark.parametrize("model", MODELS, ids=lambda m: m.__name__)
def test_a_factory_twice_makes_valid_rows(model: type) -> None:
    for _ in range(2):
        row = FACTORIES[model]()
        row.refresh_from_db()
        row.full_clean(exclude=_empty_fields(row))


def _empty_fields(row: Model) -> list[str]:
    # Whether a form may leave a field blank is not what is asked here.
    names = [field.name for field in row._meta.concrete_fields]
    return [name for name in names if getattr(row, name) in (None, "", {}, [])]
