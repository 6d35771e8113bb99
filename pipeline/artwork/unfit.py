"""Why an artwork cannot be printed, on its way from the reader that found out to the list of problems."""

from pipeline.problems import Problem


class Unfit(Exception):
    """The artwork is missing, unreadable or hostile: code, a sentence for people, and what to do."""

    def __init__(self, code: str, message: str, hint: str, label: str = "") -> None:
        super().__init__(message)
        self.code, self.message, self.hint, self.label = code, message, hint, label

    def problem(self) -> Problem:
        """The problem, without origin and job."""
        return Problem(code=self.code, message=self.message, hint=self.hint, label=self.label)
