"""What is wrong with a content file: where, and why, in words a person can act on."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Problem:
    """One fault: file (as given to the loader), line (1-based; 0 = the whole file) and reason."""

    file: str
    line: int
    reason: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.reason}"


class ContentError(Exception):
    """Content that must not be used. Carries every problem found; the first gives `file`, `line`, `reason`."""

    def __init__(self, file: str, line: int, reason: str, problems: list[Problem] | None = None) -> None:
        self.problems = problems if problems is not None else [Problem(file, line, reason)]
        self.file, self.line, self.reason = file, line, reason
        super().__init__("\n".join(str(one) for one in self.problems))

    @classmethod
    def of(cls, problems: list[Problem]) -> ContentError:
        first = problems[0]
        return cls(first.file, first.line, first.reason, problems)


@dataclass
class Problems:
    """A growing list of problems, so that a writer sees all of them in one run."""

    found: list[Problem] = field(default_factory=list)

    def add(self, file: str, line: int, reason: str) -> None:
        self.found.append(Problem(file, line, reason))

    def take(self, error: ContentError) -> None:
        self.found.extend(error.problems)

    def raise_any(self) -> None:
        """Raises ContentError when there is at least one problem."""
        if self.found:
            raise ContentError.of(self.found)
