"""Papers out of the whole vocabulary, as XML, for property tests on pages so small that everything is parted."""

from xml.sax.saxutils import escape

from hypothesis import strategies as st

_WORD = st.one_of(
    st.sampled_from(["a", "Tide", "Löhr", "&", "<b>", "10 %", "pier's", "Straße", "x" * 30]),
    st.text("abcdefghij-", min_size=1, max_size=12),
    # Longer than any line.
    st.integers(40, 120).map(lambda letters: ("ABCDEFGHIJ" * 12)[:letters]),
)
_INLINE = st.sampled_from(["b", "i", "small", "code", "a"])


@st.composite
def words(draw: st.DrawFn, most: int = 12) -> str:
    """Words with tags among them, a few of them without a space between."""
    parts = []
    for word in draw(st.lists(_WORD, min_size=1, max_size=most)):
        tag = draw(st.none() | st.none() | _INLINE)
        href = ' href="https://example.org/a"' if tag == "a" else ""
        said = escape(word)
        parts.append(f"<{tag}{href}>{said}</{tag}>" if tag else said)
        parts.append(draw(st.sampled_from([" ", " ", " ", " ", "", "<br/>", " <tick/> "])))
    return "".join(parts)


# Over one page and onto the next.
_LONG = words(6).flatmap(lambda said: st.integers(5, 30).map(lambda times: f"{said} " * times))
_PLAIN = st.one_of(
    st.tuples(st.sampled_from(["h1", "h2", "h3", "p", "big"]), words(6)).map(
        lambda p: f"<{p[0]}>{p[1]}</{p[0]}>"
    ),
    words(4).map(lambda said: f'<big label="Label">{said}</big>'),
    words(6).map(lambda said: f"<p>{said}</p>"),
    st.sampled_from(
        [
            '<drawing name="square" alt="a (square)" width="1in"/>',
            '<img name="dot" alt="ein Punkt, größer" width="5mm"/>',
            '<qr value="x"/>',
            '<barcode value="A-1"/>',
            '<space height="3mm"/>',
            "<p></p>",
            "<p> <b> </b></p>",
        ]
    ),
)


@st.composite
def _flow(draw: st.DrawFn, inner: st.SearchStrategy[str]) -> str:
    return "".join(draw(st.lists(inner | words(3), max_size=2)))


@st.composite
def _table(draw: st.DrawFn, inner: st.SearchStrategy[str]) -> str:
    columns = draw(st.integers(1, 3))
    heads = draw(st.integers(0, 1))
    rows = []
    for number in range(draw(st.integers(1, 4)) + heads):
        tag = "th" if number < heads else draw(st.sampled_from(["td", "td", "td", "th"]))
        if number >= heads and columns > 1 and draw(st.booleans()):
            cells = f'<{tag} colspan="2">{draw(_flow(inner))}</{tag}>' + "<td/>" * (columns - 2)
        elif number < heads:
            cells = "".join(f"<th>{draw(words(2))}</th>" for _ in range(columns))
        else:
            cells = f"<{tag}>{draw(_flow(inner))}</{tag}>"
            cells += "".join(f"<td>{draw(_flow(inner))}</td>" for _ in range(columns - 1))
        rows.append(f"<tr>{cells}</tr>")
    kind = draw(st.sampled_from(['class="grid"', 'class="plain"', 'title="What it shows"', ""]))
    return f"<table {kind}>{''.join(rows)}</table>"


def _around(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    flow = _flow(inner)
    items = st.lists(flow, max_size=3).map(lambda all_: "".join(f"<li>{item}</li>" for item in all_))
    cols = st.lists(flow, max_size=3).map(lambda all_: "".join(f"<col>{item}</col>" for item in all_))
    box = st.sampled_from(["", ' title="T &amp; T"', ' kind="caution"', ' kind="stop" title="Hot"'])
    return st.one_of(
        _table(inner),
        st.tuples(st.sampled_from(["", ' mark="number"', ' mark="tick"']), items).map(
            lambda ul: f"<ul{ul[0]}>{ul[1]}</ul>"
        ),
        cols.map(lambda all_: f"<row>{all_}</row>"),
        st.tuples(box, flow).map(lambda b: f"<box{b[0]}>{b[1]}</box>"),
    )


_BLOCK = st.one_of(
    _PLAIN, _LONG.map(lambda said: f"<p>{said}</p>"), _around(_PLAIN | _LONG), _around(_around(_PLAIN))
)
_KEPT = st.lists(_BLOCK, max_size=2).map(lambda all_: f"<keep>{''.join(all_)}</keep>")
_BAND = st.sampled_from(
    ["", "<header>Head</header>", '<header first="no">Head</header><footer>Foot</footer>', "<footer/>"]
)


@st.composite
def papers(draw: st.DrawFn) -> str:
    """What stands in a page."""
    blocks = draw(st.lists(_BLOCK | _BLOCK | _KEPT | st.just("<newpage/>"), max_size=4))
    return draw(_BAND) + "".join(blocks)
