"""What is found about a pen in the words of its maker: where a message of the terminal names keys
of the files or options of commands, the page says the same without them."""

from __future__ import annotations

import re

SHOP = "My shop"
WISHES = "“For every mandrel”"
"""Where on the page a person can say it: the page makes links of these."""

_PHRASES = tuple((re.compile(pattern), words) for pattern, words in (
    (r"\(\[\[\w+\]\] in the shop file\)", f"(under {SHOP})"),
    (r"add it under \[\[\w+\]\] in the shop file, with id = …", f"add it under {SHOP}"),
    (r"say pens = …", f"say how many under {WISHES}"),
    (r'far_end = "pip", "button", "bore" or "nothing", in \[mandrels\.use\]',
     f"a pip, a button, its bore, or nothing: say which under {WISHES}"),
    (r"use\.tailstock = false, or lathe\.tailstock = true in the shop file",
     f"turn it without the tailstock, or tick it under {SHOP}"),
    (r"flats = true", "flats for a spanner"),
    (r"all_needed is false and no mandrel is asked for",
     "only mandrels that are asked for by name are wanted, and none is"),
    (r"leave all_needed out, or ask for mandrels under \[\[mandrels\.requests\]\]",
     "have one for each part that needs it, or ask for one by name"),
    (r" \(upper = …\)", ""),
    (r" \(thread_order = 'my-tool'\)", f" (under {WISHES})"),
    (r" \(use\.speed\)", ""),
    (r'add counterbore = \{[^}]*\}, or depth_from = "face"',
     "say the counterbore's diameter and depth"),
    (r"neither depth nor full_thread is given", "its depth is not given"),
    (r"add depth = … \(to where the tap stopped\) or full_thread = … \(to the last good turn\)",
     "say how deep it is tapped, or to where its full thread reaches"),
    (r"or add undercut = true if it was bored so on purpose",
     "or tick that it is wider on purpose"),
    (r'write depth = (\S+) and bottom = "through" if it goes right through',
     r"say \1 and choose “through the part” if it goes right through"),
    (r'write bottom = "through" if they do', "choose “through the part” if they do"),
    (r"add \[inside\.nib_unit\] stick_out = …", "say how far the nib stands out"),
    (r"; mandrelgen thread --measured \"[^\"]*\"?.*", "; or use “I only have calipers”"),
    (r'mandrelgen thread --measured "[^"]*"', "“I only have calipers”"),
    (r"name the shop: --whom \"[^\"]*\"", "say who gets it"),
    (r",? or name another(?: folder)? with --to|(?:^|(?<=\. ))Name [\w ]+ with --to\.?", ""),
    (r"\b(?:R|(r))un the command again", lambda m: "try again" if m[1] else "Try again"),
    (r"give a later --date", "give a later day"),
    (r": make leaves this one out, --again makes it too", ": it is left out of the order"),
    (r"; make leaves this one out, --again makes it too", "; this one is left out of the order"),
    (r"add \[[\w.…-]+\] to the shop file", f"add it under {SHOP}"),
    (r"add it to \[[\w.…-]+\]", "add it there"),
    (r"add \[[\w.…-]+\]", "add that thread there"),
    (r"\bin (?:the shop file|shop\.toml)\b", f"under {SHOP}"),
    (r"\b(?:the shop file|shop\.toml)\b", SHOP),
    (r"\b[Tt]he pen file\b", "the pen"),
    (r"\(pen file\)", "(as you said)"),
    (r"\bpen file\b", "pen"),
    (r"\bshop file\b", SHOP),
    (r"\bestimate \(common practice, no source\)", "estimate"),
    # What is left of keys: "shank_length = 40 or more" is said "shank length 40 or more".
    (r"(?<![\w.])(?:\w+\.)*([a-z][a-z_]+) = (?=\S)", r"\1 "),
))  # fmt: skip
_NAME = r"[a-z][a-z0-9_]*"
_JOINT = re.compile(rf"(?<![\w./-])({_NAME})\.({_NAME})-({_NAME})\.({_NAME})(?![\w./])")
_END = re.compile(
    rf"(?<![\w./-])({_NAME}[a-z0-9])\.(?!toml|txt|json|zip|pdf|svg)({_NAME})(?![\w/]|\.\w)"
)
_UNDERSCORED = re.compile(r"(?<![\w./-])[a-z]+(?:_[a-z]+)+(?![\w./])")


def spoken(text: str) -> str:
    """A message, an advice or a reason without keys of files; ends of parts as a person says them.

    >>> spoken("shank_length = 40 or more, or a smaller stand_off")
    'shank length 40 or more, or a smaller stand off'
    >>> spoken("list the collet system and sizes in shop.toml")
    'list the collet system and sizes under My shop'
    >>> spoken("screw section.rear into barrel.mouth.")
    "screw the section's rear into the barrel's mouth."
    """
    for pattern, words in _PHRASES:
        text = pattern.sub(words, text)
    text = _JOINT.sub(r"the \1's \2 in the \3's \4", text)
    text = _END.sub(r"the \1's \2", text)
    return _UNDERSCORED.sub(lambda m: m[0].replace("_", " "), text).strip()


_THREADS = {"internal": "internal thread", "external": "external thread"}
_SKIPPED = ("parts", "ends", "mandrels", "defaults", "use")


def place(where: str) -> str:
    """Where something was found, as a person says it.

    >>> place("reed.toml:12 parts.cap.ends.mouth.internal.full_thread")
    'cap, mouth, internal thread, full thread'
    >>> place("parts.cap.ends.mouth.bore[2].depth"), place("section.rear")
    ('cap, mouth, hole 2, depth', 'section, rear')
    >>> place("barrel.mouth-cap.mouth"), place("cap-mouth-plug, end B")
    ("barrel's mouth in cap's mouth", 'cap-mouth-plug, end B')
    >>> place("shop.toml:9 collets[1].sizes[7]"), place("taps[2].thread")
    ('collets, sizes', 'taps 2, thread')
    """
    where = re.sub(r"^\S+\.toml(?::\d+)? ?", "", where) or where
    if joint := re.fullmatch(r"(\w+)\.(\w+)-(\w+)\.(\w+)", where):
        return "{}'s {} in {}'s {}".format(*joint.groups())
    if not re.fullmatch(r"[\w-]+(?:\.[\w-]+|\[\d+\])+", where):
        return where
    where = re.sub(r"\b(collets|sizes)\[\d+\]", r"\1", where)
    where = re.sub(r"(?<!bore)\[(\d+)\]", r" \1", where)
    where = re.sub(r"\.?bore(?:\[(\d+)\]|\.(\d+))", _hole, where)
    return ", ".join(
        _THREADS.get(s, s.replace("_", " ")) for s in where.split(".") if s not in _SKIPPED
    )


def _hole(found: re.Match[str]) -> str:
    """Counted from 1, as a person does; list places of messages begin with 1, keys with 0."""
    return f".hole {found[1] or int(found[2]) + 1}"
