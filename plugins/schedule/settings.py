"""What a press is set to for a run, what has to be changed between two runs, and how long that takes."""

from collections.abc import Iterator
from datetime import timedelta

from attrs import frozen

from pipeline.display import Display
from pipeline.language import N_
from pipeline.model.measure import Temperature
from pipeline.model.press import PressTask
from pipeline.shop import Press, Pressure, Shop, StandardTimes


@frozen(kw_only=True)
class Setting:
    """Platen and pad ("" = none), temperature (None = cold), pressure (None = nobody knows)."""

    platen: str
    pad: str
    temperature: Temperature | None
    pressure: Pressure | None


def platens_on(task: PressTask, press: Press) -> tuple[str, ...]:
    """The platens that the task may lie on and the press takes, the preferred first."""
    return tuple(name for name in task.platens if name in press.platens)


def setting_for(task: PressTask, press: Press, shop: Shop) -> Setting:
    """What the press is set to for the task, on the platen that it prefers."""
    recipe = shop.transfer(task.transfer).recipe
    platen = platens_on(task, press)[0]
    return Setting(platen=platen, pad=task.pad, temperature=recipe.temperature, pressure=recipe.pressure)


def at_start(press: Press) -> Setting:
    """A cold press with the platen of the weekend on it."""
    return Setting(platen=press.platen_on, pad="", temperature=None, pressure=None)


def changeover(press: Press, times: StandardTimes, before: Setting, after: Setting) -> int:
    """Whole seconds, rounded up, to change the press: platen, pad, pressure and temperature, one by one.

    A cold press takes no time to heat here: it has been heated before its working time of the day begins. After a
    night the change from the evening's temperature is counted all the same: minutes too many, never too few.
    """
    change = timedelta(0)
    if before.platen != after.platen:
        change += times.platen_change
    if before.pad != after.pad:
        change += times.pad_change
    if before.pressure != after.pressure:
        change += times.pressure_change
    degrees = _rise(before, after)
    rate = press.heating_per_minute if degrees > 0 else press.cooling_per_minute
    return -(-change // timedelta(seconds=1)) + -(-abs(degrees) * 60 // rate)


def _rise(before: Setting, after: Setting) -> int:
    if before.temperature is None or after.temperature is None:
        return 0
    return after.temperature - before.temperature


def changes_in_words(
    press: Press, before: Setting, after: Setting, remounted: tuple[str, ...], display: Display
) -> Iterator[str]:
    """What the operator changes, one thing a line; `remounted` ("platen 6x6") had been lent to another press."""
    _ = display.language.gettext
    none = _("none")
    for kind, back, change, old, new in (
        ("platen", N_("platen %(new)s back on"), N_("platen %(old)s → %(new)s"), before.platen, after.platen),
        ("pad", N_("pad %(new)s back on"), N_("pad %(old)s → %(new)s"), before.pad, after.pad),
    ):
        if f"{kind} {new}" in remounted:
            yield _(back, new=new)
        elif old != new:
            yield _(change, old=old or none, new=new or none)
    if before.pressure != after.pressure and after.pressure is not None:
        wanted = press.pressure_settings[after.pressure]
        # Nobody knows how the press was left: its pressure is set, whatever it is.
        if before.pressure is None:
            yield _("set the pressure to %(new)s", new=wanted)
        else:
            yield _("pressure %(old)s → %(new)s", old=press.pressure_settings[before.pressure], new=wanted)
    if after.temperature is None or before.temperature == after.temperature:
        return
    if before.temperature is None:
        yield _("heat to %(new)s", new=display.temperature(after.temperature))
    else:
        hotter = after.temperature > before.temperature
        word = N_("heat %(old)s → %(new)s") if hotter else N_("cool %(old)s → %(new)s")
        old, new = display.temperature(before.temperature), display.temperature(after.temperature)
        yield _(word, old=old, new=new)
