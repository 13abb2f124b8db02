"""Entity tags: which version of an answer somebody has seen (RFC 9110, 8.8.3 and 13)."""

import re
from dataclasses import dataclass
from hashlib import blake2b
from http import HTTPStatus

from rest_framework.request import Request

from api.errors import RefusedError

IF_MATCH, IF_NONE_MATCH = "If-Match", "If-None-Match"
# RFC 9110, 8.8.3: nothing but the tag itself lies between the quotes.
_TAG = re.compile(r'(?:W/)?"[\x21\x23-\x7e\x80-\xff]*"')
_TAGS = re.compile(rf"\s*{_TAG.pattern}(?:\s*,\s*{_TAG.pattern})*\s*")
_ANY = "*"


def tag_of(body: bytes) -> str:
    """Return the strong tag of an answer: other bytes, another tag."""
    return f'"{blake2b(body, digest_size=16).hexdigest()}"'


@dataclass(frozen=True, slots=True)
class Conditions:
    """What must hold for a request to be carried out; None: not asked.

    Attributes:
        match: the tags of which one must be current, or `*`.
        none_match: the tags of which none may be current, or `*`.
    """

    match: tuple[str, ...] | None
    none_match: tuple[str, ...] | None

    @property
    def there(self) -> bool:
        """Say whether anything is asked."""
        return self.match is not None or self.none_match is not None


def conditions_of(request: Request) -> Conditions:
    """Return the conditions of a request.

    Raises:
        RefusedError: a header is no list of tags. It is not overlooked: who wrote it
            counts on being protected by it.
    """
    return Conditions(_tags(request, IF_MATCH), _tags(request, IF_NONE_MATCH))


def may_go_on(conditions: Conditions, tag: str | None) -> bool:
    """Say whether conditions hold of something that is there.

    Args:
        conditions: of the request.
        tag: of the current version as this person sees it; None where they may not.

    Returns:
        True where it goes on; `If-Match` compares strongly, `If-None-Match` weakly
        (RFC 9110, 13.1.1 and 13.1.2).
    """
    match, none_match = conditions.match, conditions.none_match
    if match is not None and _ANY not in match and tag not in match:
        return False
    return none_match is None or not seen_before(none_match, tag)


def seen_before(none_match: tuple[str, ...], tag: str | None) -> bool:
    """Say whether one of the tags is current; a weak one counts as its strong one."""
    return _ANY in none_match or tag in {one.removeprefix("W/") for one in none_match}


def overtaken() -> RefusedError:
    """Return the refusal of a request whose conditions do not hold."""
    return RefusedError(
        "changed_meanwhile",
        "This is not as you have seen it any more: somebody changed it, or what it "
        "shows has gone on with the time. Nothing was done. GET it again, look whether "
        "your change still makes sense, and send it with the new ETag.",
        fields={IF_MATCH: "the ETag of the last answer to GET"},
        status=HTTPStatus.PRECONDITION_FAILED,
    )


def nothing_to_compare(conditions: Conditions) -> RefusedError:
    """Return the refusal of conditions where there is no single row."""
    name = IF_MATCH if conditions.match is not None else IF_NONE_MATCH
    return RefusedError(
        "condition_not_here",
        f"{name} compares with one row, and this address names none. Send it to an "
        "address with the number of a row, or leave it out.",
        fields={name: "none at this address"},
    )


def _tags(request: Request, name: str) -> tuple[str, ...] | None:
    text: str | None = request.headers.get(name)
    if text is None:
        return None
    if text.strip() == _ANY:
        return (_ANY,)
    if not _TAGS.fullmatch(text):
        accepted = "tags in double quotes as an ETag gave them, or *"
        raise RefusedError(
            "bad_tag",
            f"{name}: {text!r} cannot be read; accepted is: {accepted}.",
            fields={name: accepted},
        )
    return tuple(_TAG.findall(text))
