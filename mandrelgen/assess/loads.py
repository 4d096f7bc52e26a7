"""How a mandrel is used: the maker's own values, else the documented assumptions."""

from __future__ import annotations

from typing import NamedTuple

from mandrelgen.mechanics.practice import assumed, tool_load
from mandrelgen.spec.pen import FarEnd, MandrelRequest, MandrelType, Pen, Use
from mandrelgen.spec.shop import Shop


class Loads(NamedTuple):
    """Forces N, torques N·m, speed rpm (None: not said), friction, target mm. ``tailstock``: up all
    the time; ``roughing_up``: up for roughing at least, as far as the lathe goes; ``far_end``:
    what it offers a centre (None: not said); ``finish_only``: the part was roughed before.
    ``said``: what is assumed, with its basis."""

    side: float
    torque: float
    catch_side: float
    catch_torque: float
    speed: float | None
    tailstock: bool
    roughing_up: bool
    far_end: FarEnd | None
    finish_only: bool
    tailstock_missing: bool
    thread_friction: float
    seat_friction: float
    target: float
    said: tuple[str, ...]


def loads(pen: Pen, shop: Shop, request: MandrelRequest | None, kind: MandrelType) -> Loads:
    """The request's use, else the pen's, else ``data/loads.toml``."""
    sources: tuple[Use | None, ...] = (request.use if request else None, pen.mandrels.use)
    said: list[str] = []

    def pick(name: str) -> float | None:
        for s in sources:
            value = getattr(s, name, None) if s is not None else None
            if value is not None:
                return float(value)
        return None

    def number(name: str, label: str, fallback: float, unit: str, basis: str) -> float:
        value = pick(name)
        if value is None:
            said.append(f"{label} {fallback:g}{unit} ({basis})")
            return fallback
        return value

    normal, catch = tool_load("normal"), tool_load("catch")
    thread, seat = assumed("friction", "thread"), assumed("friction", "seat")
    aim = assumed("aim", "joint_step")
    stated = next((s.tailstock for s in sources if s is not None and s.tailstock is not None), None)
    wanted = stated if stated is not None else kind is MandrelType.SPIGOT
    up = wanted and shop.lathe.tailstock
    roughing = up or (stated is None and shop.lathe.tailstock)
    if stated is None:
        how = "up" if up else "up for roughing, away for finishing" if roughing else "away"
        said.append(f"tailstock {how} (not said)")
    return Loads(
        side=number("side_load", "side load", normal.force, " N", normal.basis),
        torque=number("torque", "torque", normal.torque, " N·m", normal.basis),
        catch_side=number("catch_force", "catch", catch.force, " N", catch.basis),
        catch_torque=number("catch_torque", "catch", catch.torque, " N·m", catch.basis),
        speed=pick("speed"),
        tailstock=up,
        roughing_up=roughing,
        far_end=next((s.far_end for s in sources if s is not None and s.far_end is not None), None),
        finish_only=any(s.finish_only for s in sources if s is not None),
        tailstock_missing=wanted and not shop.lathe.tailstock,
        thread_friction=number(
            "thread_friction", "thread friction", thread.value, "", thread.basis
        ),
        seat_friction=number("seat_friction", "seat friction", seat.value, "", seat.basis),
        target=number("target_step", "target for the joint step", aim.value, " mm", aim.basis),
        said=tuple(said),
    )
