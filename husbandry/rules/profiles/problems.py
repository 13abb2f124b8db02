"""What is wrong with a profile's text: all of it at once, with line and column."""

from dataclasses import dataclass

from core.errors import DomainError


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing that is wrong: where, and what would be accepted.

    Attributes:
        line, column: counted from 1.
        path: the value's place, such as `targets[3].low`; "" for the whole file.
        sentence: names the value, the reason and what would be accepted.
    """

    line: int
    column: int
    path: str
    sentence: str


class ProfileErrors(DomainError):  # noqa: N818 - several at once, and named so
    """A profile's text cannot be taken; `problems` says everything that is wrong."""

    code = "profile_refused"

    def __init__(self, name: str, problems: tuple[Problem, ...]) -> None:
        """Keep the problems in the order of their lines.

        Args:
            name: of the file or text, for the sentence.
            problems: at least one.
        """
        self.name = name
        self.problems = tuple(sorted(problems))
        count = len(self.problems)
        things = "1 problem" if count == 1 else f"{count} problems"
        lines = [
            f"{name}, line {p.line}, column {p.column}"
            f"{f', {p.path}' if p.path else ''}: {p.sentence}"
            for p in self.problems
        ]
        super().__init__(f"{name} has {things}:\n" + "\n".join(lines))
