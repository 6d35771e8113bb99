"""Finds and orders the plugins: built-in stages, named packages, the shop's own files."""

import importlib
import importlib.metadata
import importlib.util
import sys
import traceback
from collections.abc import Iterable, Iterator
from difflib import get_close_matches
from pathlib import Path
from types import ModuleType

import pluggy

from pipeline import hookspecs
from pipeline.problems import Origin, Problem, StopRun
from pipeline.request import display_name
from pipeline.shop import Shop
from pipeline.stages import PluginFailed, Stages

SHOP_PREFIX = "shop:"
"""A shop's own file `shop_plugins/rush_fee.py` is the plugin `shop:rush_fee`."""


def load_plugins(shop: Shop, stages: Iterable[str] | None = None) -> Stages:
    """The built-in stages, the packages that the shop names and the shop's own plugins, checked.

    `stages` are module names, the built-in ones by default. Raises StopRun when a plugin cannot be loaded,
    misspells a hook, or when two replace the same first-answer hook.
    """
    manager = pluggy.PluginManager(hookspecs.PROJECT)
    manager.add_hookspecs(hookspecs)
    if stages is None:
        stages = importlib.import_module("plugins").STAGES
    for name in stages:
        _register(manager, importlib.import_module(name), name)
    built_in = frozenset(name for name, _ in manager.list_name_plugin())
    for name in shop.plugins:
        _register(manager, _installed(name, shop), name)
    for path in sorted((shop.root / "shop_plugins").glob("*.py")):
        _register(manager, _shop_file(path), SHOP_PREFIX + path.stem)
    problems = [*_misspelt(manager, shop.root), *_rivals(manager, built_in)]
    if problems:
        raise StopRun(problems)
    return Stages(manager)


def versions(shop: Shop) -> dict[str, str]:
    """The version of peelwright and of each package whose plugins the shop uses."""
    points = {point.name: point for point in importlib.metadata.entry_points(group=hookspecs.PROJECT)}
    used = {point.dist.name: point.dist.version for n in shop.plugins if (point := points.get(n)) and point.dist}
    return {hookspecs.PROJECT: importlib.metadata.version(hookspecs.PROJECT), **used}


def _register(manager: pluggy.PluginManager, plugin: ModuleType, name: str) -> None:
    try:
        manager.register(plugin, name=name)
    except pluggy.PluginValidationError as error:
        # pluggy's words name, from the second line on, the function and what the contract does not have.
        words = "; ".join(str(error).splitlines()[1:]) or str(error)
        raise PluginFailed(f"plugin '{name}' does not keep to the contract: {words}") from error


def _installed(name: str, shop: Shop) -> ModuleType:
    points = {point.name: point for point in importlib.metadata.entry_points(group=hookspecs.PROJECT)}
    if name not in points:
        near = get_close_matches(name, points, n=1)
        hint = f"did you mean `{near[0]}`?" if near else "install the package, or take the name out"
        raise StopRun(
            [
                Problem(
                    code="E701",
                    message=f"no installed package offers the plugin `{name}`",
                    hint=hint,
                    origin=shop.at("plugins"),
                )
            ]
        )
    try:
        plugin = points[name].load()
    except (Exception, SystemExit) as error:
        raise PluginFailed(f"plugin '{name}' could not be loaded: {_in_words(error)}") from error
    if not isinstance(plugin, ModuleType):
        raise PluginFailed(f"plugin '{name}': its entry point must name a module")
    return plugin


def _shop_file(path: Path) -> ModuleType:
    # A name of its own, entered in sys.modules before execution: dataclasses and attrs look themselves up there.
    name = f"shop_plugins.{path.stem}"
    spec = importlib.util.spec_from_file_location(name, path)
    if spec is None or spec.loader is None:
        raise PluginFailed(f"plugin '{SHOP_PREFIX}{path.stem}' could not be loaded: not a Python file")
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    try:
        spec.loader.exec_module(module)
    except (Exception, SystemExit) as error:
        del sys.modules[name]
        line = _line_in(error, str(path))
        raise PluginFailed(
            f"plugin '{SHOP_PREFIX}{path.stem}' could not be loaded, {path.name}:{line}: {_in_words(error)}"
        ) from error
    return module


def _in_words(error: BaseException) -> str:
    return f"{type(error).__name__}: {error.msg if isinstance(error, SyntaxError) else error}"


def _line_in(error: BaseException, file: str) -> int:
    if isinstance(error, SyntaxError) and error.lineno:
        return error.lineno
    lines = [frame.lineno or 0 for frame in traceback.extract_tb(error.__traceback__) if frame.filename == file]
    return lines[-1] if lines else 1


def _misspelt(manager: pluggy.PluginManager, shop: Path) -> Iterator[Problem]:
    """All of them with the nearest hook: check_pending of pluggy stops at the first."""
    known = [name for name in vars(manager.hook) if not name.startswith("_")]
    specified = [name for name in known if getattr(manager.hook, name).has_spec()]
    for name in known:
        caller = getattr(manager.hook, name)
        if caller.has_spec():
            continue
        near = get_close_matches(name, specified, n=1)
        for implementation in caller.get_hookimpls():
            if implementation.optionalhook:
                continue
            code = implementation.function.__code__
            yield Problem(
                code="E702",
                message=f"plugin '{implementation.plugin_name}' implements `{name}`, which is no hook",
                hint=f"did you mean `{near[0]}`?" if near else "`peelwright plugins` lists the hooks",
                origin=Origin(
                    file=display_name(Path(code.co_filename), shop), line=code.co_firstlineno, column=1
                ),
            )


def _rivals(manager: pluggy.PluginManager, built_in: frozenset[str]) -> Iterator[Problem]:
    for name, caller in sorted(vars(manager.hook).items()):
        if not isinstance(caller, pluggy.HookCaller) or not (caller.spec and caller.spec.opts["firstresult"]):
            continue
        plain = [
            implementation.plugin_name
            for implementation in caller.get_hookimpls()
            if not (implementation.wrapper or implementation.hookwrapper)
            and implementation.plugin_name not in built_in
        ]
        if len(plain) > 1:
            both = "' and '".join(sorted(plain))
            yield Problem(
                code="E703",
                message=f"'{both}' both replace `{name}`: only one can win",
                hint="keep one, or make one of them a wrapper (hookimpl(wrapper=True))",
            )
