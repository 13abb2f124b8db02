"""Errors that a person can act on."""


class DomainError(Exception):
    """Something was asked that cannot be done, and the sentence says why.

    Subclasses set `code` (lower_snake, stable, for scripts). The sentence names
    the value, the reason and what would be accepted. `fields` ties sentences to
    the inputs that caused them, where there are any.
    """

    code = "refused"

    def __init__(self, sentence: str, *, fields: dict[str, str] | None = None) -> None:
        """Keep the sentence, and which input each part of it is about."""
        super().__init__(sentence)
        self.sentence = sentence
        self.fields = fields or {}


class NotFoundError(DomainError):
    """What was named does not exist."""

    code = "not_found"
