"""One slip gives one message, at its place; chance never brings the program to its end; the network is closed."""

import json
import socket
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.artwork.files import read_inside
from pipeline.artwork.unfit import Unfit
from tests.hostile.door import Door, open_door, orders
from tests.hostile.slips import SLIPS, made, slips

pytestmark = pytest.mark.untraced

ROOT = Path(__file__).parents[2]


@pytest.fixture(name="door", scope="module")
def _door(tmp_path_factory: pytest.TempPathFactory) -> Door:
    """The sample shop's door."""
    return open_door(tmp_path_factory.mktemp("hostile") / "shop")


def errors(door: Door, text: str) -> list[str]:
    """Each error's place and message."""
    return [f"{p.origin.line}: {p.code} {p.message}" for p in door.ask(text.encode()) if p.is_error]


@pytest.mark.parametrize("name", orders())
def test_one_slip_is_one_message_where_it_was_made(name: str, door: Door) -> None:
    """Whatever is typed wrong, at the last place of each key: exactly one error, on that line."""
    text = orders()[name].decode()
    assert errors(door, text) == []
    last = {(slip.kind, slip.key): slip for slip in slips(text)}
    found = [(slip, errors(door, made(text, slip))) for slip in last.values()]
    assert [(slip.kind, slip.at, told) for slip, told in found if len(told) != 1] == []
    assert [(s.kind, s.at, told) for s, told in found if not told[0].startswith(f"{s.at}: ")] == []


@given(st.data())
@settings(max_examples=30)
def test_several_slips_are_told_in_one_round(door: Door, data: st.DataObject) -> None:
    """Two or three slips in lines of their own: each is told as it is alone, and nothing else is."""
    text = data.draw(st.sampled_from(list(orders().values()))).decode()
    # A tab ends the reading; of a garment that cannot be known nobody knows the colours.
    apart = [slip for slip in slips(text) if slip.kind != "a tab" and slip.key != "garment"]
    chosen = data.draw(st.lists(st.sampled_from(apart), min_size=2, max_size=3, unique_by=lambda slip: slip.line))
    chosen.sort(key=lambda slip: slip.line)
    expected, more = [], 0
    for slip in chosen:
        expected += [(line + more, rest) for line, rest in map(placed, errors(door, made(text, slip)))]
        more += slip.more
    assert sorted(map(placed, errors(door, made(text, *chosen)))) == sorted(expected)


def placed(error: str) -> tuple[int, str]:
    """The line of an error, and the rest."""
    line, _, rest = error.partition(": ")
    return int(line), rest


def test_every_slip_was_made() -> None:
    """Each kind has its place in some order, or nothing was tested."""
    made = {slip.kind for content in orders().values() for slip in slips(content.decode())}
    assert made == set(SLIPS)


@pytest.mark.parametrize("key", ["job", "customer", "due", "colour", "pieces", "placement"])
def test_a_key_left_out_is_one_message(key: str, door: Door) -> None:
    """Of the whole order or of its first line: what is missing is named, once."""
    for content in orders().values():
        lines = content.decode().splitlines()
        at = next((i for i, line in enumerate(lines) if line.lstrip().startswith(f"{key}:")), None)
        if at is None:
            continue
        found = errors(door, "\n".join(lines[:at] + lines[at + 1 :]))
        assert len(found) == 1, found
        assert f"E202 `{key}` is missing" in found[0]


@pytest.mark.skipif(sys.platform != "linux", reason="the limit of memory is Linux's")
def test_bytes_changed_by_chance() -> None:
    """1,500 spoilt orders: known errors only, each in less than a second of CPU and 200 MB."""
    command = [sys.executable, "-m", "tests.hostile.fuzz", "--count", "1500"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    told = json.loads(done.stdout)
    assert told["tried"] == 1_500
    assert 0 < told["good"] < 1_500


@pytest.mark.parametrize("host", ["192.0.2.1", "2001:db8::1"])  # for documentation: RFC 5737, RFC 3849
def test_the_network_is_closed(host: str) -> None:
    """To a test and to all that it calls; this machine is not the network."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family) as used, pytest.raises(AssertionError, match="tried to reach"):
        used.connect((host, 80))
    with socket.socket(family, socket.SOCK_DGRAM) as used, pytest.raises(AssertionError, match="tried to reach"):
        used.sendto(b"", (host, 80))
    with pytest.raises(AssertionError, match="look up"):
        socket.getaddrinfo("gullhaven.example", 80)
    with socket.create_server(("127.0.0.1", 0)) as server:
        socket.create_connection(server.getsockname()).close()


def test_the_network_is_closed_to_programs_of_the_tests() -> None:
    """Those that are started to be killed, too."""
    words = "import tests, socket; socket.create_connection(('192.0.2.1', 80))"
    done = subprocess.run([sys.executable, "-c", words], cwd=ROOT, capture_output=True, text=True, check=False)
    assert "a test tried to reach" in done.stderr or "a test tried to look up" in done.stderr


@pytest.mark.parametrize(
    "written", ["art/Gull.svg", "art/cafe\u0301.svg", "ART/gull.svg"], ids=["capitals", "decomposed", "folder"]
)
def test_a_name_that_is_the_same_on_some_systems(written: str, tmp_path: Path) -> None:
    """Capitals and the form of accents count everywhere, or an order would go through on one machine only."""
    (tmp_path / "art").mkdir()
    for name in ("gull.svg", "caf\u00e9.svg"):
        (tmp_path / "art" / name).write_bytes(b"<svg/>")
    with pytest.raises(Unfit) as told:
        read_inside(tmp_path, written)
    assert told.value.code == "E301"
    assert "did you mean" in told.value.hint
