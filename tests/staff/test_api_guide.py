"""The API described for a person: everything that is in the document, and no more."""

from django.test import Client
from django.urls import reverse

from staff.api_documents import described, groups, kinds_of, resource_named


def test_every_operation_stands_in_one_group() -> None:
    shown = [
        operation.name
        for group in groups()
        for resource in group.resources
        for operation in resource.operations
    ]
    wanted = [
        operation["operationId"]
        for methods in described()["paths"].values()
        for operation in methods.values()
    ]

    assert sorted(shown) == sorted(wanted)
    assert all(
        resource.operations for group in groups() for resource in group.resources
    )


def test_the_guide_names_every_resource(keeper: Client) -> None:
    page = keeper.get(reverse("staff:api_guide")).content.decode()

    for group in groups():
        for resource in group.resources:
            assert reverse("staff:api_resource", args=[resource.name]) in page


def test_a_resource_is_told_whole(keeper: Client) -> None:
    resource = resource_named("weighings")
    assert resource is not None

    page = keeper.get(reverse("staff:api_resource", args=["weighings"]))

    html = page.content.decode()
    assert page.status_code == 200
    for operation in resource.operations:
        assert f'id="{operation.name}"' in html
        assert f"{operation.method} {operation.path}" in html
    for kind in kinds_of(resource):
        assert f'id="kind-{kind.name}"' in html
    assert "Grams, above zero; kept to 0.01 g." in html
    assert "Needs: <code>record_care</code>." in html
    assert "**" not in html


def test_every_page_of_it_can_be_shown(keeper: Client) -> None:
    for group in groups():
        for resource in group.resources:
            address = reverse("staff:api_resource", args=[resource.name])
            assert keeper.get(address).status_code == 200, resource.name


def test_a_resource_that_is_none_is_not_found(keeper: Client) -> None:
    assert keeper.get("/api-guide/dragons/").status_code == 404
