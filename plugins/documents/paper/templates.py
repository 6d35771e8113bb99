"""Jinja templates: a name and values in, small XML out (see markup.py for what the XML may hold).

A shop's own `templates/` folder is asked first. The built-in templates are also there under `default/`, so
that a shop's file can keep the most of one and change a block:

    {% extends "default/invoice.xml.j2" %}
    {% block thanks %}<p>Thank you. See you at the harbour fair!</p>{% endblock %}

Values are escaped always, unknown names are errors, and templates cannot change what they are given.
"""

import difflib
import re
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from pathlib import Path

from jinja2 import (
    BaseLoader,
    ChoiceLoader,
    Environment,
    FileSystemLoader,
    PrefixLoader,
    StrictUndefined,
    TemplateNotFound,
)
from jinja2.exceptions import TemplateError, TemplateSyntaxError
from jinja2.ext import Extension
from jinja2.lexer import Token, TokenStream
from jinja2.sandbox import ImmutableSandboxedEnvironment

from pipeline.display import Display
from plugins.documents.paper.fault import PaperError
from plugins.documents.paper.filters import filters, messages

BUILT_IN = Path(__file__).parents[1] / "templates"
# Unicode's category Cc, less tab and line ends.
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
_START_TAG = re.compile(r"<(?=[A-Za-z])")
# What a template's own expressions and the values' own methods may raise.
_FAULTS = (TemplateError, TypeError, ValueError, ArithmeticError, LookupError, AttributeError, OSError)


class Templates:
    """The shop's and the built-in templates, ready to be rendered."""

    def __init__(self, shop_templates: Path | None = None, display: Display | None = None) -> None:
        display = display or Display()
        own = shop_templates if shop_templates is not None and shop_templates.is_dir() else None
        # To compile the built-in templates takes longer than to fill them; a shop's own may change between runs.
        self._environment = _environment(own, display) if own else _built_in(display)

    def render(self, name: str, values: Mapping[str, object]) -> str:
        """The template `name` filled with `values`: XML text.

        Raises PaperError, with the template's name and line, for whatever is wrong in a template.
        """
        try:
            return self._environment.get_template(name).render(values)
        except TemplateNotFound as error:
            raise PaperError(self._not_found(str(error.name or name)), name) from error
        except TemplateSyntaxError as error:
            where = _shown(error.filename or name)
            raise PaperError(error.message or "not a template", where, error.lineno) from error
        except RecursionError as error:
            hint = 'it extends or includes itself; write "default/..." for the built-in one'
            raise PaperError(hint, name) from error
        except _FAULTS as error:
            where, line = _last_template_line(error, name)
            raise PaperError(str(error), where, line) from error

    def _not_found(self, name: str) -> str:
        near = difflib.get_close_matches(name, self._environment.list_templates(), 1)
        return f"there is no template {name!r}" + (f"; did you mean {near[0]!r}?" if near else "")


@lru_cache(maxsize=8)
def _built_in(display: Display) -> Environment:
    return _environment(None, display)


def _environment(shop_templates: Path | None, display: Display) -> Environment:
    built_in = FileSystemLoader(BUILT_IN)
    loaders: list[BaseLoader] = [built_in, PrefixLoader({"default": built_in})]
    if shop_templates is not None:
        loaders.insert(0, FileSystemLoader(shop_templates))
    environment = ImmutableSandboxedEnvironment(
        loader=ChoiceLoader(loaders),
        undefined=StrictUndefined,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_checked,
        extensions=["jinja2.ext.i18n", _Lines],
    )
    environment.policies["ext.i18n.trimmed"] = True
    environment.filters.update(filters(display))
    environment.install_gettext_callables(**messages(display))  # type: ignore[attr-defined]
    return environment


class _Lines(Extension):
    """Writes before every start tag from which template and line it comes.

    Without it, an unknown tag could only be reported by its line in the rendered XML, which nobody has seen.
    The marks are processing instructions; markup.py reads and drops them.
    """

    def filter_stream(self, stream: TokenStream) -> Iterable[Token]:
        return self._marked(stream, _shown(stream.filename or stream.name or "template"))

    @staticmethod
    def _marked(stream: TokenStream, where: str) -> Iterator[Token]:
        message = False
        for token in stream:
            if token.type == "name" and token.value in ("trans", "endtrans"):
                message = token.value == "trans"
            # The words of a message are what its translation is found by.
            if token.type == "data" and not message:
                yield Token(token.lineno, "data", _mark(token.value, token.lineno, where))
            else:
                yield token


def _mark(text: str, first_line: int, where: str) -> str:
    def mark(match: re.Match[str]) -> str:
        line = first_line + text.count("\n", 0, match.start())
        return f"<?at {line} {where}?><"

    return _START_TAG.sub(mark, text)


def _shown(filename: str) -> str:
    """How a template is named to people: `default/x` for a built-in one, else its place in the shop's folder."""
    path = Path(filename)
    if path.is_relative_to(BUILT_IN):
        return f"default/{path.relative_to(BUILT_IN).as_posix()}"
    return f"templates/{path.name}" if path.is_absolute() else filename


def _last_template_line(error: BaseException, name: str) -> tuple[str, int | None]:
    """The innermost template and line that an error passed through (Jinja rewrites them into the traceback)."""
    where: tuple[str, int | None] = (name, None)
    trace = error.__traceback__
    while trace is not None:
        filename = trace.tb_frame.f_code.co_filename
        if filename.endswith(".j2"):
            where = (_shown(filename), trace.tb_lineno)
        trace = trace.tb_next
    return where


def _checked(value: object) -> object:
    """Refuse characters that XML cannot hold, and None, before they reach a paper."""
    if value is None:
        raise ValueError("the value is empty (None); write {% if ... %} around it")
    if isinstance(value, str) and (found := _CONTROL.search(value)):
        raise ValueError(f"the value holds the control character U+{ord(found[0]):04X}")
    return value
