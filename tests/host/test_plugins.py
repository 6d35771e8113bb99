"""Plugins: found, ordered, called, and named when they are at fault."""

import importlib.metadata
import sys
from pathlib import Path
from types import ModuleType, SimpleNamespace

import pytest

from pipeline.batch import read_shop
from pipeline.hookspecs import hookimpl
from pipeline.model.run import RunKind
from pipeline.plugin_manager import load_plugins, versions
from pipeline.problems import Problem, StopRun
from pipeline.run import check, run
from pipeline.shop import Shop
from pipeline.stages import PluginFailed, hook_names
from tests.builders import make_order, make_shop
from tests.host import plain
from tests.host.folder import add_plugin, request
from tests.plans import make_plan, make_run

WRAPPER = """
@hookimpl(wrapper=True)
def pack_orders(orders):
    calls.append("{name}")
    return (yield)
"""


def of(folder: Path) -> Shop:
    """The shop of a folder."""
    shop = read_shop(folder).value
    assert shop is not None
    return shop


def stopped(folder: Path) -> Problem:
    """The one problem for which the plugins of a shop are refused."""
    with pytest.raises(StopRun) as stop:
        load_plugins(of(folder))
    (problem,) = stop.value.problems
    return problem


def failure(folder: Path, text: str) -> str:
    """What is said of a shop's plugin when orders are checked."""
    add_plugin(folder, text)
    with pytest.raises(PluginFailed) as failed:
        check(request(folder))
    return str(failed.value)


@pytest.fixture(name="package")
def _package(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """An installed package that offers the plugin `rush-desk` by an entry point."""
    module = ModuleType("rush_desk")
    dist = SimpleNamespace(name="rush-desk-tools", version="2.5", metadata={"Name": "rush-desk-tools"})
    point = importlib.metadata.EntryPoint("rush-desk", "rush_desk", "peelwright")
    object.__setattr__(point, "dist", dist)

    def offered(*, group: str) -> tuple[importlib.metadata.EntryPoint, ...]:
        return (point,) if group == "peelwright" else ()

    monkeypatch.setitem(sys.modules, "rush_desk", module)
    monkeypatch.setattr(importlib.metadata, "entry_points", offered)
    return module


def name_plugins(folder: Path, names: str) -> None:
    """Write `plugins:` into shop.yaml."""
    file = folder / "shop.yaml"
    file.write_text(f"{file.read_text('utf-8')}plugins: [{names}]\n", "utf-8")


def test_order_of_registration(shop: Path, package: ModuleType) -> None:
    """Built-in stages, named packages, the shop's files by name: later ones are asked first."""
    name_plugins(shop, "rush-desk")
    add_plugin(shop, "", "b")
    add_plugin(shop, "", "a")
    names = load_plugins(of(shop)).plugin_names()
    assert names == (*plain.STAGES, "rush-desk", "shop:a", "shop:b")


def test_the_built_in_stages_are_the_default() -> None:
    """A shop without plugins of its own is served, hook by hook, by the stages that come with the program."""
    stages = load_plugins(make_shop())
    assert {link.hook for link in stages.chain()} == set(hook_names())
    assert all(link.plugin.startswith("plugins.") and not link.wraps for link in stages.chain())


def test_a_package_of_the_shop_takes_part(shop: Path, package: ModuleType) -> None:
    """Only what shop.yaml names is used, and the record says which version."""
    seen: list[str] = []

    @hookimpl
    def check_orders(orders: tuple[object, ...]) -> list[Problem]:
        seen.append(f"{len(orders)} orders")
        return []

    package.check_orders = check_orders  # type: ignore[attr-defined]
    check(request(shop))
    assert seen == []
    assert set(versions(of(shop))) == {"peelwright"}
    name_plugins(shop, "rush-desk")
    check(request(shop))
    assert seen == ["2 orders"]
    assert versions(of(shop))["rush-desk-tools"] == "2.5"


def test_an_unknown_package_is_named_with_the_nearest(shop: Path, package: ModuleType) -> None:
    """The line of shop.yaml, and what was probably meant."""
    name_plugins(shop, "rush-desc")
    problem = stopped(shop)
    assert (problem.code, problem.origin.file) == ("E701", "shop.yaml")
    assert "`rush-desc`" in problem.message
    assert problem.hint == "did you mean `rush-desk`?"
    with pytest.raises(StopRun) as stop:
        check(request(shop))
    assert "rush-desc" in stop.value.sources["shop.yaml"]


def test_a_package_that_cannot_be_imported_is_named(
    shop: Path, package: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Broken by an upgrade, say: the user must learn which package."""
    name_plugins(shop, "rush-desk")
    monkeypatch.setitem(sys.modules, "rush_desk", None)
    with pytest.raises(PluginFailed, match="'rush-desk' could not be loaded: ModuleNotFoundError"):
        load_plugins(of(shop))


def test_an_entry_point_must_name_a_module(
    shop: Path, package: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An object has no hooks that the registration would find."""
    name_plugins(shop, "rush-desk")
    monkeypatch.setitem(sys.modules, "rush_desk", SimpleNamespace())
    with pytest.raises(PluginFailed, match="must name a module"):
        load_plugins(of(shop))


def test_a_misspelt_hook_is_named_with_the_nearest(shop: Path) -> None:
    """It would never be called, and its author would wonder for days."""
    add_plugin(shop, "@hookimpl\ndef check_order(orders):\n    return []\n")
    problem = stopped(shop)
    assert problem.code == "E702"
    assert problem.message == "plugin 'shop:own' implements `check_order`, which is no hook"
    assert problem.hint == "did you mean `check_orders`?"
    assert (problem.origin.file, problem.origin.line) == ("shop_plugins/own.py", 2)


def test_a_hook_that_may_be_missing_is_no_mistake(shop: Path) -> None:
    """A plugin may be written for a later release as well."""
    add_plugin(shop, "@hookimpl(optionalhook=True)\ndef weigh_orders(orders):\n    return []\n")
    assert "shop:own" in load_plugins(of(shop)).plugin_names()


def test_two_rivals_are_refused(shop: Path) -> None:
    """Which one won would depend on a file's name."""
    text = "@hookimpl\ndef pack_orders(orders):\n    return None\n"
    add_plugin(shop, text, "cartons")
    assert "shop:cartons" in load_plugins(of(shop)).plugin_names()
    add_plugin(shop, text, "bags")
    problem = stopped(shop)
    assert problem.code == "E703"
    assert "'shop:bags' and 'shop:cartons' both replace `pack_orders`" in problem.message


def test_every_plugin_may_check(shop: Path) -> None:
    """Where all are asked there are no rivals; findings stand in the order of registration."""
    for name in ("b", "a"):
        add_plugin(
            shop,
            "from pipeline.problems import Problem\n@hookimpl\ndef check_orders(orders):\n"
            f"    yield Problem(code='X1', message='{name}')\n",
            name,
        )
    found = load_plugins(of(shop)).check_orders(
        orders=(), shop=of(shop), fits=make_plan(make_shop(), ()).fits, date=plain.date(2026, 11, 30)
    )
    assert [problem.message for problem in found] == ["a", "b"]


def test_wrappers_go_around_in_order(shop: Path) -> None:
    """The last one registered is outermost: it sees what the others made of it."""
    for name in ("a", "b"):
        add_plugin(shop, "calls = []\n" + WRAPPER.format(name=name), name)
    stages = load_plugins(of(shop))
    chain = [(link.plugin, link.wraps) for link in stages.chain() if link.hook == "pack_orders"]
    assert chain == [("shop:b", True), ("shop:a", True), (plain.__name__, False)]
    orders = (make_order(),)
    assert stages.pack_orders(orders=orders, shop=make_shop()) == make_plan(make_shop(), orders).packing
    assert sys.modules["shop_plugins.a"].calls == ["a"]
    assert sys.modules["shop_plugins.b"].calls == ["b"]


def test_a_plain_answer_replaces_the_built_in(shop: Path) -> None:
    """A shop's own is asked first; by answering None it leaves the question to the built-in."""
    add_plugin(
        shop,
        "from pipeline.model.packing import PackingPlan\n@hookimpl\ndef pack_orders(orders):\n"
        "    return PackingPlan(cartons=()) if len(orders) == 1 else None\n",
    )
    stages = load_plugins(of(shop))
    orders = (make_order("H-1"), make_order("H-2"))
    assert stages.pack_orders(orders=orders[:1], shop=make_shop()).cartons == ()
    assert len(stages.pack_orders(orders=orders, shop=make_shop()).cartons) == 2


def test_what_raises_is_named_with_hook_and_line(shop: Path) -> None:
    """The one who wrote it needs no traceback to find the place."""
    said = failure(shop, "@hookimpl\ndef check_orders(orders):\n    return orders.nothing\n")
    assert said.startswith("plugin 'shop:own' failed in check_orders, own.py:4: AttributeError(")


def test_a_generator_is_read_inside_the_guard(shop: Path) -> None:
    """A hook that yields does its work when it is read: what it raises then is the plugin's fault, too."""
    said = failure(shop, "@hookimpl\ndef check_orders(orders):\n    yield from ()\n    yield 1 / 0\n")
    assert said.startswith("plugin 'shop:own' failed in check_orders, own.py:5: ZeroDivisionError(")


def test_the_deepest_plugin_is_to_blame(shop: Path) -> None:
    """What a wrapper lets through from a stage is the stage's fault, not the wrapper's."""
    add_plugin(shop, "@hookimpl(wrapper=True)\ndef pack_orders(orders):\n    return (yield)\n", "outer")
    add_plugin(shop, "@hookimpl\ndef pack_orders(orders):\n    return {}['x']\n", "inner")
    with pytest.raises(PluginFailed, match=r"'shop:inner' failed in pack_orders, inner\.py:4: KeyError"):
        run(request(shop, RunKind.QUOTE))


def test_a_plugin_cannot_end_the_command(shop: Path) -> None:
    """sys.exit(0) in a plugin would look as if all were done."""
    assert "'shop:own' failed in check_orders" in failure(
        shop, "import sys\n@hookimpl\ndef check_orders(orders):\n    sys.exit(0)\n"
    )
    assert "'shop:own' could not be loaded, own.py:3: SystemExit" in failure(shop, "import sys\nsys.exit(0)\n")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("def x(:\n", "own.py:2: SyntaxError: "),
        ("import no_such_module\n", "own.py:2: ModuleNotFoundError: No module named 'no_such_module'"),
        (
            "@hookimpl\ndef check_orders(weather):\n    return []\n",
            "check_orders(weather); Argument(s) {'weather'}",
        ),
        ("@hookimpl(wrapper=True)\ndef fit_transfers():\n    return 5\n", "is not a generator function"),
    ],
)
def test_what_cannot_be_loaded_is_named(shop: Path, text: str, said: str) -> None:
    """Each way in which a file is no plugin, in one line that names it."""
    words = failure(shop, text)
    assert words.startswith("plugin 'shop:own' ")
    assert said in words
    assert "\n" not in words


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("def check_orders():\n    return ['bad']\n", "must give Problem values, not one of type str"),
        ("def fit_transfers():\n    return 5\n", "must give a TransferFits, but the answer is of type int"),
    ],
)
def test_a_wrong_answer_is_refused_where_it_is_given(shop: Path, text: str, said: str) -> None:
    """It would break a stage much later, which would be blamed; all who were asked are named."""
    words = failure(shop, "@hookimpl\n" + text)
    assert said in words
    assert "(asked: shop:own, plugins.validate)" in words


def test_a_wrapper_that_returns_nothing_is_told(shop: Path) -> None:
    """The usual slip: `yield` without `return`."""
    words = failure(shop, "@hookimpl(wrapper=True)\ndef fit_transfers():\n    yield\n")
    assert "nobody answered, or a wrapper returned nothing" in words


def test_what_a_wrapper_returns_goes_on(shop: Path) -> None:
    """What `cost_orders` and `list_press_runs` answer is what the run keeps, wrappers included."""
    add_plugin(
        shop,
        "from attrs import evolve\nfrom datetime import timedelta\n"
        "@hookimpl(wrapper=True)\ndef cost_orders(orders):\n    costs = yield\n"
        "    return evolve(costs, lines=tuple(evolve(line, parts=line.parts[:1]) for line in costs.lines))\n"
        "@hookimpl(wrapper=True)\ndef list_press_runs(orders):\n    tasks = yield\n"
        "    return evolve(tasks, tasks=tuple(evolve(task, set_up=timedelta(0)) for task in tasks.tasks))\n",
    )
    plan = run(request(shop, RunKind.QUOTE)).run
    assert plan is not None
    assert all(len(line.parts) == 1 for line in plan.plan.costs.lines)
    assert [task.set_up.seconds for task in plan.plan.tasks.tasks] == [0, 0]


def test_documents_of_all_plugins_stand_in_the_order_of_registration(shop: Path) -> None:
    """People read results in that order, and golden files need one."""
    add_plugin(
        shop,
        "from pipeline.model.document import Audience, Document\n@hookimpl\ndef make_documents(run):\n"
        "    yield Document(path='a.txt', title='A', content=b'', audience=Audience.OFFICE)\n",
    )
    made = load_plugins(of(shop)).make_documents(run=make_run())
    assert [document.path for document in made] == ["orders/h-101.txt", "a.txt"]
