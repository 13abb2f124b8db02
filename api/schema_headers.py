"""The headers that all operations share, as the OpenAPI document says them (ADR 0020)."""

from api.request_keys import ACCEPTED, LONGEST
from api.request_keys import NAME as KEY
from api.schema_types import Json
from api.tags import IF_MATCH, IF_NONE_MATCH

PARAMETERS: dict[str, Json] = {
    "IdempotencyKey": {
        "name": KEY,
        "in": "header",
        "description": "Made up by you, another for each request. Sent again with it "
        "within 24 hours, the same request is answered the same and not carried out "
        f"again. Accepted is: {ACCEPTED}.",
        "schema": {"type": "string", "minLength": 1, "maxLength": LONGEST + 2},
        "example": '"8e03978e-40d5-43e8-bc93-6894a57f9324"',
    },
    "IfMatch": {
        "name": IF_MATCH,
        "in": "header",
        "description": "The `ETag` of the row as you have seen it, or `*`: it is only "
        "carried out if nobody changed the row since; else 412.",
        "schema": {"type": "string"},
    },
    "IfNoneMatch": {
        "name": IF_NONE_MATCH,
        "in": "header",
        "description": "The `ETag` of the answer that you have: if it would be the "
        "same again, the answer is 304 without a body.",
        "schema": {"type": "string"},
    },
}
HEADERS: dict[str, Json] = {
    "ETag": {
        "description": "Names this version as you see it: other bytes, another tag.",
        "schema": {"type": "string"},
    },
    "Location": {
        "description": "Address of what was made.",
        "schema": {"type": "string", "format": "uri-reference"},
    },
}
NOT_MODIFIED: Json = {"description": "It is as you have it; there is no body."}
