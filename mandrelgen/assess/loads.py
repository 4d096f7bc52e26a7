"""How a mandrel is used: the maker's own values, else the documented assumptions."""

from __future__ import annotations

from dataclasses import dataclass

from mandrelgen.mechanics.practice import assumed, tool_load
from mandrelgen.spec.pen import MandrelRequest, MandrelType, Pen, Use
from mandrelgen.spec.shop import Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class Loads:
    """Forces N, torques N·m, speed 1/min (None: not said), friction, target mm; ``said``: what is
    assumed, with its basis."""

    side: float
    torque: float
    catch_side: float
    catch_torque: float
    speed: float | None
    tailstock: bool
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
    if stated is None:
        said.append(f"tailstock {'up' if up else 'away'} (not said)")
    return Loads(
        side=number("side_load", "side load", normal.force, " N", normal.basis),
        torque=number("torque", "torque", normal.torque, " N·m", normal.basis),
        catch_side=number("catch_force", "catch", catch.force, " N", catch.basis),
        catch_torque=number("catch_torque", "catch", catch.torque, " N·m", catch.basis),
        speed=pick("speed"),
        tailstock=up,
        tailstock_missing=wanted and not shop.lathe.tailstock,
        thread_friction=number(
            "thread_friction", "thread friction", thread.value, "", thread.basis
        ),
        seat_friction=number("seat_friction", "seat friction", seat.value, "", seat.basis),
        target=number("target_step", "target for the joint step", aim.value, " mm", aim.basis),
        said=tuple(said),
    )
