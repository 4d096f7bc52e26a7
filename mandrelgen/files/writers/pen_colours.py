"""The colours of the pen drawing on paper, by role; a page's style sheet may have its own."""

from __future__ import annotations

# Cool greys and blues: none of them to be taken for the amber or red of a wall.
TINTS = ("#e3e5e8", "#d6e3ea", "#dfd9ea", "#cfdae6", "#e6dfea", "#d8d9dd")
WALLS = {"wall-error": "#d9583b", "wall-warning": "#e8b84a", "wall-good": "#c4dcc6"}
INK = "#1d2a33"
WORDS = {"wall-error": "#a8321a", "joint-error": "#a8321a", "joint-warning": "#8a5a00"}


def fill_of(role: str) -> str:
    """What a role's areas are filled with."""
    for word in role.split():
        if word in WALLS:
            return WALLS[word]
        if word.startswith("part-"):
            return TINTS[int(word[5:]) % len(TINTS)]
    return INK


def ink_of(role: str) -> str:
    """The colour of a role's lines and texts."""
    return next((WORDS[w] for w in role.split() if w in WORDS), INK)
