"""How fast a mandrel may run, by work, and whether it may be turned on at all: one rule for every
command and paper."""

from __future__ import annotations

from mandrelgen.assess import stiffness as stiff
from mandrelgen.assess.setup import Situated
from mandrelgen.core.tolerance import floor_to
from mandrelgen.mechanics.assessment_types import Capacity, Stiffness
from mandrelgen.mechanics.life import Life, trial_life
from mandrelgen.mechanics.plastic import turning_rule
from mandrelgen.mechanics.practice import assumed
from mandrelgen.mechanics.speed import Cap, Speed, Stuff
from mandrelgen.mechanics.work_speed import WorkSpeed, limits, work_speeds
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.materials import material

# How warm a plastic mandrel gets in the work, °C (common practice, no source).
WARM = 35.0


def life(s: Situated, bent: Stiffness) -> Life | None:
    """How long a plastic mandrel lasts in normal work; None for a metal one."""
    own = material(s.mandrel.ordering.material)
    if own.kind == "metal":
        return None
    stress = max((x.stress for x in bent.stresses if x.feature != stiff.PART), default=0.0)
    return trial_life(stress, own.tensile_strength, own.max_temperature, WARM)


def speed(
    s: Situated, shop: Shop, bent: Stiffness, bears: Capacity, lasts: Life | None
) -> tuple[Speed, tuple[WorkSpeed, ...]]:
    """The limits, whether turning is refused and why; and the range for each kind of work."""
    stuff, loads = _stuff(s), s.loads
    said = "max_speed" in shop.lathe.model_fields_set
    caps = limits(float(shop.lathe.max_speed), bent.critical, stuff, said)
    free = limits(float(shop.lathe.max_speed), None)
    diameter = max(s.shape.d0, s.shape.d1)
    slowest = min(w.low for w in work_speeds(s.part.material, diameter, free))
    # A printed or plastic mandrel has to survive a dig-in: it breaks where metal only yields.
    rule = turning_rule(
        stuff,
        caps,
        lasts,
        bears.mandrel,
        loads.catch_side,
        slowest,
        loads.tailstock,
    )
    refused = [said for _, said in rule.refused]
    if stuff is not Stuff.METAL and loads.speed is None:
        refused.append(f"say the speed you mean to run a {stuff.value} mandrel at (use.speed)")
    if loads.speed is not None and loads.speed > caps[0].speed:
        refused.append(f"{loads.speed:,.0f} rpm is above {_rpm(caps[0])}: {caps[0].why}")
    allowed = 0 if refused else int(floor_to(caps[0].speed, 10.0))
    start = allowed if stuff is Stuff.METAL else int(assumed("speed", "plastic_start").value)
    return (
        Speed(allowed, min(allowed, start), caps, tuple(refused)),
        () if refused else work_speeds(s.part.material, diameter, caps),
    )


def _rpm(cap: Cap) -> str:
    """A limit is rounded down, so that what is just above it does not read as the limit itself."""
    return f"{floor_to(cap.speed, 1.0):,.0f} rpm"


def _stuff(s: Situated) -> Stuff:
    kind = material(s.mandrel.ordering.material).kind
    if kind == "metal":
        return Stuff.METAL
    return Stuff.PRINTED if kind == "printed" else Stuff.PLASTIC
