"""What is wrong with a file that is not YAML, in words for people.

The two parsers word their errors differently and speak of tokens and nodes. The sentence is chosen here by
the context they agree on and by what stands at the place, so both lead to the same problem.
"""

from typing import Any

from pipeline.problems import Origin, Problem

# In these the place to look at is where the thing begins, not where the parser gave up.
_POINT_AT_BEGINNING = ("quoted scalar", "block scalar", "tag", "anchor", "alias", "simple key", "directive")
_OPENS = ("flow sequence", "flow mapping")


def explain_syntax(error: Any, file: str, lines: list[str]) -> Problem:
    """The problem E105 for a parser's `error` (a `yaml.MarkedYAMLError`) in a file of `lines`."""
    context, gave_up = error.context or "", error.problem_mark
    mark = gave_up
    if error.context_mark is not None and any(word in context for word in _POINT_AT_BEGINNING + _OPENS):
        mark = error.context_mark
    line = lines[mark.line] if mark.line < len(lines) else ""
    message, hint = _words(context, error.problem or "", line, mark.column, gave_up.line + 1)
    origin = Origin(file=file, line=mark.line + 1, column=mark.column + 1)
    return Problem(code="E105", message=message, hint=hint, origin=origin)


def _words(context: str, problem: str, line: str, column: int, last: int) -> tuple[str, str]:
    """Message and hint. `last` is the number of the line on which the parser gave up."""
    before, at = line[:column], line[column : column + 1]
    if "quoted" in context:
        return _quoted(problem, at)
    if any(word in context for word in _OPENS):
        closing = "]" if at == "[" else "}"
        hint = f"put commas between, and `{closing}` at the end"
        return f"`{at}` opens here and is not closed by line {last}", hint
    if at == "\t":
        return "a tab stands where only spaces may", "indent with spaces"
    if at and at in "@`%":
        return f"a text may not begin with `{at}`", f'put it in quotes: "{line[column:].strip()}"'
    if "mapping values" in problem:
        return _colon(before)
    if before.rstrip().endswith(("'", '"')):
        hint = "put the whole text in the other kind of quotes"
        return "the text goes on after its closing quotation mark", hint
    if "simple key" in context:
        return "a name stands here without its colon", "write `name: value`, with a space after the colon"
    if "block scalar" in context:
        return f"`{at}` must end its line", 'put the text on the lines below it, indented, or in "quotes"'
    if "sequence entries" in problem:
        return "a list may not begin on the line of its name", "begin it on the next line, indented"
    if before.strip():
        what = f"`{at}`" if at else "the end of the line"
        return f"{what} may not stand here", 'put the text that it belongs to in "quotes"'
    hint = "begin it in the same column as its neighbours, and a list item with `- `"
    return "this does not fit the lines above", hint


def _quoted(problem: str, quote: str) -> tuple[str, str]:
    if "end of stream" in problem or "document" in problem:
        return f"the text that {quote} opens here is not closed", f"put {quote} at its end, on the same line"
    return "this text holds an escape that is not YAML", "write the text in single quotes, or each \\ twice"


def _colon(before: str) -> tuple[str, str]:
    if ": " in before:
        return "a second colon stands on this line", 'put the text that holds a colon in "quotes"'
    hint = "begin the line in the same column as its neighbours, and end the line above with its value or a colon"
    return "this name does not fit the line above", hint
