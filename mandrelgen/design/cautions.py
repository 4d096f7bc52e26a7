"""What can hurt someone, said on every output."""

from __future__ import annotations

from mandrelgen.design.draft import Draft
from mandrelgen.standards import materials

GENERAL = (
    "Keep to the lathe maker's instructions and limits and to local rules; if in doubt ask a "
    "qualified person.",
    "Eye and face protection; no gloves, loose sleeves, long hair or jewellery near the spindle; "
    "turn by hand once before starting; stand aside at the start.",
    "Sand and polish resin, hard rubber and metal only with extraction and a dust mask; never wind "
    "abrasive cloth round the work or a finger.",
    "Stop the spindle before moving the tool rest and before screwing the part on or off.",
)


def cautions(material: str, draft: Draft) -> tuple[str, ...]:
    """The cautions for a mandrel of ``material``."""
    out = list(GENERAL)
    left = any(t.limits.designation.left_hand for t in draft.threads)
    if draft.threads:
        out.append(
            "Left-hand thread: it unscrews when the spindle runs forward. Run in reverse only if "
            "the chuck cannot unscrew, with the tailstock up."
            if left
            else "Right-hand thread: it tightens when the spindle runs forward. Braking, reverse "
            "running and reverse sanding can unscrew the part; reverse only with the tailstock up."
        )
    held = materials.material(material)
    if held.kind != "metal":
        out.append(
            "Plastic or printed mandrel: for trying the fit by hand. Do not turn with it unless "
            "material, tailstock and speed were entered and passed the checks."
        )
    if "Pb" in held.id or "lead" in held.name.lower():
        out.append("Leaded material: wash hands, no dry sanding, keep swarf apart.")
    return tuple(out)
