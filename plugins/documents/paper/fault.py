"""The one error of a paper that cannot be made: which template, which line, what is wrong."""


class PaperError(ValueError):
    """A template, its markup or what it asks for is wrong; the message is for the shop's people."""

    def __init__(self, message: str, template: str, line: int | None = None) -> None:
        self.message = message
        self.template = template
        self.line = line
        super().__init__(f"{template}:{line}: {message}" if line else f"{template}: {message}")
