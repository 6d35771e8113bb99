"""What a press is set to for a run, what has to be changed between two runs, and how long that takes."""

from collections.abc import Iterator
from datetime import timedelta

from attrs import frozen

from pipeline.model.measure import Temperature, celsius, fahrenheit
from pipeline.model.press import PressTask
from pipeline.shop import Press, Pressure, Shop, StandardTimes

COLD = Temperature(20_000)
"""A press that is switched on has the temperature of the room. Common practice, no source."""


@frozen(kw_only=True)
class Setting:
    """Platen and pad ("" = none), temperature, pressure (None = nobody knows)."""

    platen: str
    pad: str
    temperature: Temperature
    pressure: Pressure | None


def setting_for(task: PressTask, press: Press, shop: Shop) -> Setting:
    """What the press is set to for the task: of the platens that it takes, the one the task prefers."""
    recipe = shop.transfer(task.transfer).recipe
    platen = next(name for name in task.platens if name in press.platens)
    return Setting(platen=platen, pad=task.pad, temperature=recipe.temperature, pressure=recipe.pressure)


def at_start(press: Press) -> Setting:
    """A cold press with the platen of the weekend on it."""
    return Setting(platen=press.platen_on, pad="", temperature=COLD, pressure=None)


def changeover(press: Press, times: StandardTimes, before: Setting, after: Setting) -> int:
    """Whole seconds, rounded up, to change the press: platen, pad, pressure and temperature, one by one."""
    change = timedelta(0)
    if before.platen != after.platen:
        change += times.platen_change
    if before.pad != after.pad:
        change += times.pad_change
    if before.pressure != after.pressure:
        change += times.pressure_change
    degrees = after.temperature - before.temperature
    rate = press.heating_per_minute if degrees > 0 else press.cooling_per_minute
    return -(-change // timedelta(seconds=1)) + -(-abs(degrees) * 60 // rate)


def changes_in_words(press: Press, before: Setting, after: Setting, remounted: tuple[str, ...]) -> Iterator[str]:
    """What the operator changes, one thing a line; `remounted` ("platen 6x6") had been lent to another press."""
    for kind, old, new in (("platen", before.platen, after.platen), ("pad", before.pad, after.pad)):
        if f"{kind} {new}" in remounted:
            yield f"{kind} {new} back on"
        elif old != new:
            yield f"{kind} {old or 'none'} → {new or 'none'}"
    if before.pressure != after.pressure and after.pressure is not None:
        wanted = press.pressure_settings[after.pressure]
        # Nobody knows how the press was left: its pressure is set, whatever it is.
        known = (
            f"pressure {press.pressure_settings[before.pressure]} →" if before.pressure else "set the pressure to"
        )
        yield f"{known} {wanted}"
    if before.temperature != after.temperature:
        word = "heat" if after.temperature > before.temperature else "cool"
        yield f"{word} {_degrees(before.temperature)} → {_degrees(after.temperature)}"


def _degrees(temperature: Temperature) -> str:
    return f"{round(fahrenheit(temperature))} °F ({round(celsius(temperature))} °C)"
