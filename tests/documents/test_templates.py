"""Templates: whose file wins, what is escaped, and how a fault is told."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.display import Display
from plugins.documents.paper import filters, templates
from plugins.documents.paper.fault import PaperError
from plugins.documents.paper.markup import parse
from plugins.documents.paper.templates import Templates


@pytest.fixture
def built_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder in the place of the built-in templates, so that these tests do not hang on any one document."""
    folder = tmp_path / "built_in"
    folder.mkdir()
    (folder / "bill.xml.j2").write_text(
        '<page title="{{ title }}">\n{% block head %}<h1>Bill</h1>{% endblock %}\n'
        "{% block thanks %}<p>Thanks</p>{% endblock %}\n</page>",
        "utf-8",
    )
    monkeypatch.setattr(templates, "BUILT_IN", folder)
    return folder


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """The shop's own templates."""
    folder = tmp_path / "templates"
    folder.mkdir()
    return folder


def rendered(shop: Path, text: str, **values: object) -> str:
    """One template of the shop, filled."""
    (shop / "t.xml.j2").write_text(text, "utf-8")
    return Templates(shop).render("t.xml.j2", values)


def test_a_shop_changes_one_block_and_keeps_the_rest(built_in: Path, shop: Path) -> None:
    """A shop restyles a document without copying it, and so keeps later improvements."""
    (shop / "bill.xml.j2").write_text(
        '{% extends "default/bill.xml.j2" %}{% block thanks %}<p>See you at the quay</p>{% endblock %}', "utf-8"
    )
    xml = Templates(shop).render("bill.xml.j2", {"title": "B"})
    assert "See you at the quay" in xml
    assert "<h1>Bill</h1>" in xml
    assert "Thanks" not in xml


def test_without_a_shop_file_the_built_in_one_is_used(built_in: Path, shop: Path) -> None:
    """An empty folder, or none, is a working shop."""
    assert "Thanks" in Templates(shop).render("bill.xml.j2", {"title": "B"})
    assert "Thanks" in Templates().render("bill.xml.j2", {"title": "B"})


@given(st.text(st.characters(exclude_categories=("Cs", "Cc"))))
def test_any_text_arrives_as_text(value: str) -> None:
    """Whatever a customer is called, it is words, never markup: the tree gives back the very characters."""
    environment = Templates()._environment
    template = environment.from_string('<page title="t"><p>{{ value }}</p></page>')
    words = parse(template.render(value=value), "t").nodes[0].children
    assert "".join(word for word in words if isinstance(word, str)) == value


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("<page>\n{{ nothing }}\n</page>", "'nothing' is undefined"),
        ("<page>\n{% if %}\n</page>", "Expected an expression"),
        ("<page>\n{{ 'x' | inches }}\n</page>", "both arguments should be Rational"),
        ("<page>\n{{ none_value }}\n</page>", "the value is empty"),
        ("<page>\n{{ bell }}\n</page>", "control character U\\+0007"),
        ("<page>\n{{ values.append(1) }}\n</page>", "is not safely callable|unsafe|not allowed"),
        ("<page>\n{{ ''.__class__ }}\n</page>", "unsafe"),
        ("<page>\n{{ range(1000000000) }}\n</page>", "Range too big"),
    ],
)
def test_a_fault_names_template_and_line(shop: Path, text: str, message: str) -> None:
    """Strict, sandboxed, and told with the place where it stands."""
    with pytest.raises(PaperError, match=message) as caught:
        rendered(shop, text, none_value=None, bell="ring \a", values=[1])
    assert (caught.value.template, caught.value.line) == ("templates/t.xml.j2", 2)


def test_a_wrong_tag_is_told_by_the_line_of_its_template(built_in: Path, shop: Path) -> None:
    """The rendered XML is seen by nobody, so its line numbers help nobody: loops and includes shift them."""
    (built_in / "part.xml.j2").write_text("<p>fine</p>\n<wrong/>\n", "utf-8")
    loop = "{% for n in range(9) %}\n<p>{{ n }}</p>\n{% endfor %}"
    xml = rendered(shop, f'<page title="t">\n{loop}\n{{% include "part.xml.j2" %}}\n</page>')
    with pytest.raises(PaperError) as caught:
        parse(xml, "t.xml.j2")
    assert (caught.value.template, caught.value.line) == ("default/part.xml.j2", 2)


def test_an_unknown_template_suggests_the_nearest(built_in: Path, shop: Path) -> None:
    """A typing mistake in an extends line is the likeliest one."""
    with pytest.raises(
        PaperError, match=r"no template 'default/bil.xml.j2'; did you mean 'default/bill.xml.j2'\?"
    ):
        rendered(shop, '{% extends "default/bil.xml.j2" %}')


def test_a_template_that_extends_itself_is_told_what_to_write(built_in: Path, shop: Path) -> None:
    """The first mistake everyone makes: without the prefix, the shop's file finds itself."""
    (shop / "bill.xml.j2").write_text('{% extends "bill.xml.j2" %}', "utf-8")
    with pytest.raises(PaperError, match=r'write "default/\.\.\."'):
        Templates(shop).render("bill.xml.j2", {"title": "B"})


@pytest.mark.parametrize(
    ("shown", "expected"),
    [
        (Display().money(123_450), "$1,234.50"),
        (Display().money(-5), "-$0.05"),
        (Display().money(Fraction(412, 10), 3), "$0.412"),
        (Display().money(Decimal("0.4"), 2), "$0.00"),
        (Display().money(Fraction(-2, 5), 2), "$0.00"),
        (Display(currency="JPY").money(1_200), "¥1,200"),
        (Display(currency="NOK").money(1_200), "NOK\N{NO-BREAK SPACE}12.00"),
        (Display().number(1_200), "1,200"),
        (Display().percent(Fraction(825, 10_000)), "8.25%"),
        (Display().percent(1), "100%"),
        (Display().length(88_900), "3.5\xa0in (89\xa0mm)"),
        (filters.filters(Display())["length"](["a", "b"]), 2),
        (Display(metric_first=True).length(88_900), "89\xa0mm (3.5\xa0in)"),
        # 11.5 x 18 in is 292.1 x 457.2 mm by 1 in = 25.4 mm exactly.
        (Display().size((292_100, 457_200)), "11.5\xa0×\xa018\xa0in (292\xa0×\xa0457\xa0mm)"),
        # 290 F = 143.3 C: (290 - 32) x 5/9.
        (Display().temperature(143_333), "290\xa0°F (143\xa0°C)"),
        (Display().celsius(0), "0 °C"),
        (Display().fahrenheit(100_000), "212 °F"),
        (Display().duration(timedelta(seconds=15)), "15 s"),
        (Display().duration(timedelta(seconds=150)), "2 min 30 s"),
        (Display().duration(timedelta(minutes=85, seconds=20)), "1 h 25 min"),
        (Display().duration(timedelta(hours=2)), "2 h"),
        # 25 November 2026 is a Wednesday.
        (Display().day(date(2026, 11, 25)), "Wed 25 Nov 2026"),
        (Display().moment(datetime(2026, 11, 25, 14, 5)), "Wed 25 Nov 2026, 14:05"),  # noqa: DTZ001
        (Display(twelve_hours=True).clock(datetime(2026, 11, 25, 0, 5)), "12:05 am"),  # noqa: DTZ001
        (Display(twelve_hours=True).clock(datetime(2026, 11, 25, 12, 0)), "12:00 pm"),  # noqa: DTZ001
        (str(filters.lines("Quay <4>\nHarbour")), "Quay &lt;4&gt;<br/>Harbour"),
    ],
)
def test_how_values_look(shown: object, expected: object) -> None:
    """Display never changes what is paid; zero has no sign; trailing noughts only where money needs them."""
    assert shown == expected


def test_every_filter_has_a_row_in_the_table_for_template_writers() -> None:
    """The table at the top of filters.py is all that a template's writer reads."""
    table = filters.__doc__ or ""
    missing = [name for name in filters.filters(Display()) if f"`{name}" not in table]
    assert missing == []
