"""What must agree in a pen and a shop before anything is designed."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.spec.joints import EndRef, Joint, joints, split_place
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen, read_shop, review
from mandrelgen.spec.starters import starter

PEN = """\
schema = 1
[pen]
id = "teal"
name = "Teal"
[parts.cap]
length = 60
diameter = 15
[parts.cap.ends.mouth]
side = "tail"
diameter = 14.5
bore = [{ diameter = 11, depth = 20 }, { diameter = 10, depth = 50 }]
[parts.cap.ends.mouth.internal]
thread = "M12x1-6H"
depth = 9
countersink = 12.5
[parts.barrel]
length = 80
diameter = 14
[parts.barrel.ends.mouth]
side = "nib"
diameter = 13.8
[parts.barrel.ends.mouth.external]
thread = "M12x1-6g"
mates = "cap.mouth"
length = 7
[parts.barrel.ends.mouth.internal]
thread = "M9x0.75-6H"
full_thread = 9
[parts.barrel.ends.tail]
side = "tail"
diameter = 10
[parts.section]
length = 28
diameter = 11
[parts.section.ends.rear]
side = "tail"
diameter = 10.8
[parts.section.ends.rear.external]
thread = "M9x0.75-6g"
length = 8
mates = "barrel.mouth"
"""
REQUEST = "[[mandrels.requests]]\nholds = 'barrel.mouth'\n"


def pen_of(text: str) -> Pen:
    return read_pen(text.encode(), "pen.toml")


def changed(old: str, new: str) -> str:
    assert PEN.count(old) == 1, old
    return PEN.replace(old, new)


def errors(text: str) -> tuple[Finding, ...]:
    with pytest.raises(InputError) as caught:
        pen_of(text)
    assert all(f.remedy and f.level is Level.ERROR for f in caught.value.findings)
    return caught.value.findings


def line_of(text: str, piece: str) -> int:
    return text[: text.index(piece)].count("\n") + 1


def test_a_pen_that_agrees_reads() -> None:
    pen = pen_of(PEN)
    shop = read_shop(starter("shop", "bench"), "shop.toml")
    assert review(pen, shop, PEN.encode(), "pen.toml") == ()


def test_joints_are_resolved_from_one_side_or_both() -> None:
    barrel, cap, rear = EndRef("barrel", "mouth"), EndRef("cap", "mouth"), EndRef("section", "rear")
    wanted = (Joint(external=barrel, internal=cap), Joint(external=rear, internal=barrel))
    assert joints(pen_of(PEN)) == wanted
    both = changed('thread = "M12x1-6H"', 'thread = "M12x1-6H"\nmates = "barrel.mouth.external"')
    assert set(joints(pen_of(both))) == set(wanted)
    # Said on the end instead of the thread.
    on_end = changed('mates = "barrel.mouth"\n', "").replace(
        "diameter = 10.8", 'diameter = 10.8\nmates = "barrel.mouth"'
    )
    assert joints(pen_of(on_end)) == wanted
    assert [j.id for j in wanted] == ["barrel.mouth-cap.mouth", "section.rear-barrel.mouth"]


@given(st.text(max_size=12))
def test_a_place_is_part_end_and_perhaps_a_side(text: str) -> None:
    split = split_place(text)
    if split is not None:
        ref, side = split
        assert text.replace(" ", "").startswith(f"{ref}".replace(" ", "")) or "." in text
        assert side in ("", "external", "internal", "bore")
        assert ref.part
        assert ref.end
    assert split_place("a.b") == (EndRef("a", "b"), "")
    assert split_place("a.b.external") == (EndRef("a", "b"), "external")
    assert split_place("a.b.outside") is None


@pytest.mark.parametrize(
    ("old", "new", "code", "said", "remedy"),
    [
        # references
        ('"cap.mouth"', '"cap.mouht"', "mates.unknown", "no end", "did you mean 'cap.mouth'?"),
        ('"cap.mouth"', '"lid.mouth"', "mates.unknown", "lid.mouth", "cap.mouth, section.rear"),
        ('"cap.mouth"', '"cap"', "mates.form", "not an end", "part.end"),
        ('"cap.mouth"', '"barrel.mouth"', "mates.itself", "itself", "name the end"),
        ('"cap.mouth"', '"barrel.tail"', "mates.side", "needs an internal thread", "add [parts."),
        ('"cap.mouth"', '"cap.mouth.external"', "mates.side", "internal", "name another end"),
        ('"M12x1-6g"', '"M12x1-6H"', "thread.class", "class of an internal", "6g"),
        ('"M12x1-6H"', '"M12x1-6g"', "thread.class", "class of an external", "6H"),
        ('"M12x1-6H"', '"M12x1-9H"', "thread.limits", "9H", "4-8"),
        ('"M12x1-6H"', '"M12"', "joint.differs", "pitch (1 and 1.75 mm)", "correct one"),
        ('"M12x1-6H"', '"12 fine"', "thread.text", "12 fine", "M9x0.75"),
        ('"M12x1-6H"', '"\u041c12x1-6H"', "thread.lookalike", "U+041C", "Latin"),
        # joints
        ('"M12x1-6H"', '"M12x1-6H-LH"', "joint.differs", "differ in hand", "correct one"),
        ('"M12x1-6H"', '"M12xPh3P1-6H"', "joint.differs", "lead (1 and 3 mm)", "correct one"),
        ('"M12x1-6H"', '"M12.3x1-6H"', "joint.differs", "diameter (12 and 12.3 mm)", "correct"),
        ('"M9x0.75-6g"', '"3/8-32 UNEF-2A"', "joint.differs", "3/8-32 UNEF-2A", "correct one"),
        # requests
        ("length = 28", "length = 28\nmaterial = 'C99'", "material.unknown", "C99", "cast-acrylic"),
        # sizes
        ("diameter = 14.5", "diameter = 15.5", "size.contradiction", "15.5 is more", "larger"),
        ("length = 7", "length = 80", "size.contradiction", "not less than", "includes its tenons"),
        ("length = 7", "length = 7\nunformed = 6\nchamfer = 1", "size.contradiction",
         "no full thread", "unformed"),
        ("depth = 9\n", "", "key.missing", "neither depth nor full_thread", "add depth"),
        ("depth = 9\n", "depth = 61\n", "size.contradiction", "61 deep", "correct the depth"),
        ("depth = 9\n", "depth = 9\nfull_thread = 10\n", "size.contradiction", "deeper", "last"),
        ("depth = 9\n", "depth = 9\ncounterbore = {diameter = 11.9, depth = 1}\n",
         "size.contradiction", "less than the thread", "at least 12"),
        ("depth = 9\n", "depth = 9\ncounterbore = {diameter = 12.2, depth = 9}\n",
         "size.contradiction", "no full thread is left", "correct depth"),
        ("depth = 9\n", "depth = 9\ncounterbore = {diameter = 14.5, depth = 1}\n",
         "size.contradiction", "no wall", "correct"),
        ("countersink = 12.5", "countersink = 10", "size.contradiction", "sink of 10", "face"),
        ("countersink = 12.5", "countersink = 14.5", "size.contradiction", "14.5", "face"),
        ("diameter = 10, depth = 50", "diameter = 10, depth = 20", "size.contradiction",
         "not deeper", "from the face inwards"),
        ("diameter = 10, depth = 50", "diameter = 11.5, depth = 50", "size.contradiction",
         "wider than the step before", "undercut = true"),
        ("diameter = 10, depth = 50", "diameter = 10, depth = 61", "size.contradiction",
         "61 deep", "part's length"),
        ("diameter = 11, depth = 20", "diameter = 15, depth = 20", "size.contradiction",
         "does not fit", "correct the bore"),
        ("diameter = 11, depth = 20", "diameter = 14.6, depth = 20", "size.contradiction",
         "no wall inside the end's diameter (14.5)", "correct the bore"),
        ("diameter = 13.8\n", "diameter = 13.8\nbore = [{ diameter = 12.1, depth = 20 }]\n",
         "size.contradiction", "no wall inside the external thread M12x1-6g (12)", "around it"),
        ("depth = 50", "depth = 50, upper = 0.1", "size.contradiction", "only one", "both"),
        ("depth = 50", "depth = 50, upper = -0.1, lower = 0",
         "size.contradiction", "below", "exchange"),
        ("depth = 50", "depth = 50, tolerance = 'H8', upper = 0.1, lower = 0",
         "size.contradiction", "both the class", "keep one"),
        ("depth = 50", "depth = 50, tolerance = 'ZA8'", "bore.class", "ZA8", "grade"),
        ("depth = 50", "depth = 50, measured = {value = 12}", "size.contradiction", "far", "again"),
        ('thread = "M9x0.75-6H"', 'thread = "M12x1-6H"', "size.contradiction",
         "does not fit into the external thread", "around"),
        ("length = 7", "length = 7\nmeasured = {crest = 10.9}", "size.contradiction",
         "more than one pitch", "read again"),
        # parts
        ('side = "tail"\ndiameter = 10\n', 'side = "nib"\ndiameter = 10\n', "part.side",
         "both look to the nib", "other side"),
        ("[parts.section]", "[parts.barrel.ends.hip]\ndiameter = 9\n[parts.section]", "part.ends",
         "3 ends", "two ends"),
    ],
)  # fmt: skip
def test_a_contradiction_is_named(old: str, new: str, code: str, said: str, remedy: str) -> None:
    found = {f.code: f for f in errors(changed(old, new))}
    assert code in found, found
    assert said in found[code].message
    assert remedy in found[code].remedy


@pytest.mark.parametrize(
    ("more", "code", "said"),
    [
        ("holds = 'cap'", "holds.form", "not an end"),
        ("holds = 'cap.moth'", "holds.unknown", "cap.moth"),
        ("holds = 'cap.mouth.external'", "holds.side", "no external thread"),
        ("holds = 'barrel.tail.bore'", "holds.side", "no bore"),
        ("holds = 'cap.mouth'\nkind = 'cup'", "holds.kind", "a cup holds an external thread"),
        ("holds = 'section.rear'\nkind = 'plug'", "holds.kind", "internal thread"),
        ("holds = 'barrel.mouth.external'\nkind = 'plug'", "holds.kind", "internal"),
        ("holds = 'barrel.mouth'\nkind = 'spigot'", "holds.kind", "a bore"),
        ("holds = 'cap.mouth'\nalso_holds = 'x.y'", "holds.unknown", "x.y"),
        ("holds = 'cap.mouth'\nkind = 'plug'\nthread_class = '6H'", "request.class", "6H"),
        ("holds = 'section.rear'\nkind = 'cup'\nthread_class = '6g'", "request.class", "6g"),
        ("holds = 'cap.mouth'\nthread_class = 'tight'", "request.class", "tight"),
        ("holds = 'cap.mouth'\nmaterial = 'steel'", "material.unknown", "steel"),
    ],
)
def test_a_request_that_cannot_be_met_is_named(more: str, code: str, said: str) -> None:
    text = PEN + REQUEST + "[[mandrels.requests]]\n" + more + "\n"
    (finding,) = errors(text)
    assert finding.code == code
    assert said in finding.message
    assert "mandrels.requests[2]" in finding.where


def test_requests_have_ids_of_their_own() -> None:
    text = PEN + 2 * (REQUEST + "id = 'a'\n")
    (finding,) = errors(text)
    assert finding.code == "request.id"
    assert finding.where.startswith(f"pen.toml:{text.count(chr(10))} ")


@pytest.mark.parametrize(
    "more",
    [
        "holds = 'barrel.mouth.external'\nkind = 'cup'\nthread_class = '5H'",
        "holds = 'barrel.mouth'\nkind = 'plug'\nthread_class = '4g6g'",
        "holds = 'cap.mouth.bore'\nkind = 'spigot'",
        "holds = 'cap.mouth'\nkind = 'double-ended'\nalso_holds = 'section.rear'",
        "holds = 'cap.mouth'\nmaterial = '1.4305'",
    ],
)
def test_a_request_that_can_be_met_reads(more: str) -> None:
    assert len(pen_of(PEN + "[[mandrels.requests]]\n" + more + "\n").mandrels.requests) == 1


def test_an_undercut_may_be_wider_and_a_through_bore_may_meet() -> None:
    pen_of(changed("diameter = 10, depth = 50", "diameter = 11.5, depth = 50, undercut = true"))
    tail = "[parts.cap.ends.crown]\ndiameter = 12\nbore = [{ diameter = 5, depth = 12 }]\n"
    assert "meet" in errors(PEN + tail)[0].message
    pen_of(PEN + tail + 'bottom = "through"\n')


def test_a_difference_in_hand_names_both_ends_at_its_line() -> None:
    text = changed('"M12x1-6g"', '"M12x1-6g-LH"')
    (finding,) = errors(text)
    assert "barrel.mouth (M12x1-6g-LH)" in finding.message
    assert "cap.mouth (M12x1-6H)" in finding.message
    line = line_of(text, "M12x1-6g-LH")
    assert finding.where == f"pen.toml:{line} parts.barrel.ends.mouth.external.thread"


def test_mates_of_slightly_different_diameter_are_a_warning() -> None:
    text = changed('"M12x1-6H"', '"M12.1x1-6H"')
    shop = read_shop(starter("shop", "bench"), "shop.toml")
    (finding,) = review(pen_of(text), shop, text.encode(), "pen.toml")
    assert finding.level is Level.WARNING
    assert "0.1 mm in diameter" in finding.message


def test_a_tenon_without_shoulder_is_a_warning() -> None:
    text = changed("diameter = 13.8", "diameter = 12")
    shop = read_shop(starter("shop", "bench"), "shop.toml")
    assert [f.level for f in review(pen_of(text), shop, text.encode(), "p")] == [Level.WARNING]


def test_names_are_judged_even_where_sizes_are_at_fault() -> None:
    text = changed("length = 60", "length = -60").replace('"cap.mouth"', '"cpa.mouth"')
    assert {f.code for f in errors(text)} == {"value.wrong", "mates.unknown"}


def test_a_faulty_end_is_not_told_as_missing() -> None:
    """The cap's mouth cannot be read; the barrel's mates names it all the same."""
    text = changed('thread = "M12x1-6H"\n', "")
    (finding,) = errors(text)
    assert finding.code == "key.missing"
    assert finding.where.endswith("parts.cap.ends.mouth.internal.thread")


def test_a_misspelt_thread_is_not_told_as_missing() -> None:
    (finding,) = errors(changed("[parts.cap.ends.mouth.internal]", "[parts.cap.ends.mouth.intern]"))
    assert finding.code == "key.unknown"
    assert "'internal'" in finding.remedy


def test_mates_on_an_end_make_no_joint_where_two_would_fit() -> None:
    """Both ends have both threads, and only the end says what it meets: nothing is guessed."""
    twice = changed(
        "[parts.cap.ends.mouth.internal]",
        '[parts.cap.ends.mouth.external]\nthread = "M14x1"\nlength = 5\n'
        "[parts.cap.ends.mouth.internal]",
    ).replace('mates = "cap.mouth"\n', "")
    on_end = twice.replace("diameter = 13.8", 'diameter = 13.8\nmates = "cap.mouth"')
    assert [j.id for j in joints(pen_of(on_end))] == ["section.rear-barrel.mouth"]


def test_a_countersink_may_just_break_the_bore() -> None:
    """D1 of M12x1 is 10.917 (ISO 724)."""
    assert errors(changed("countersink = 12.5", "countersink = 10.91"))
    pen_of(changed("countersink = 12.5", "countersink = 10.93"))


def test_readings_name_an_instrument_of_the_shop() -> None:
    shop = read_shop(starter("shop", "bench"), "shop.toml")
    for name, known in (("pin-set", True), ("caliper", True), ("pin-sett", False)):
        text = changed(
            "depth = 50", f"depth = 50, measured = {{value = 10, instrument = '{name}'}}"
        )
        found = review(pen_of(text), shop, text.encode(), "pen.toml")
        assert [f.code for f in found] == ([] if known else ["instrument.unknown"])
        assert known or "did you mean 'pin-set'?" in found[0].remedy
    # The pen's own [shop] may add one.
    own = text + "[shop.instruments.pin-sett]\nkind = 'pins'\n"
    assert review(pen_of(own), shop, own.encode(), "pen.toml") == ()


@pytest.mark.parametrize(
    ("collets", "said"),
    [
        ("system = 'ISO 15488-25'\nsizes = [16]", None),
        ("system = 'iso 15488-11'\nsizes = [7]", None),
        ("system = 'own'\nsizes = [30]\nlength = 20\ncloses = 0.2", None),
        # ISO 15488 (makers' lists): the largest collet of size 11 is 7 mm, of 25 16 mm.
        ("system = 'ISO 15488-11'\nsizes = [8]", "0.5 to 7 mm"),
        ("system = 'ISO 15488-25'\nsizes = [17]", "0.5 to 16 mm"),
        ("system = 'ISO 15488-26'\nsizes = [17]", "not a known system"),
        ("system = 'own'\nsizes = [8]\nlength = 20", "closes is missing"),
        ("system = 'own'\nsizes = [8]", "length and closes are missing"),
        ("system = 'ISO 15488-25'\nsizes = [6, 8, 6]", "listed twice"),
    ],
)
def test_collets_are_known_or_described(collets: str, said: str | None) -> None:
    text = f"schema = 1\n[[collets]]\n{collets}\n".encode()
    if said is None:
        assert len(read_shop(text, "shop.toml").collets) == 1
    else:
        with pytest.raises(InputError) as caught:
            read_shop(text, "shop.toml")
        assert said in caught.value.findings[0].message


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_bores_are_taken_if_and_only_if_they_step_inwards(data: st.DataObject) -> None:
    """Against the rule written out: depths rise, diameters never grow, none exceeds the part."""
    steps = data.draw(
        st.lists(st.tuples(st.integers(1, 16), st.integers(1, 70)), min_size=1, max_size=4)
    )
    depths, widths = [d for _, d in steps], [w for w, _ in steps]
    good = (
        all(a < b for a, b in pairwise(depths))
        and all(a >= b for a, b in pairwise(widths))
        and max(depths) <= 60
        and max(widths) < 15
    )
    bore = ", ".join(f"{{ diameter = {w}, depth = {d} }}" for w, d in steps)
    text = changed("{ diameter = 11, depth = 20 }, { diameter = 10, depth = 50 }", bore)
    if good:
        assert len(pen_of(text).parts["cap"].ends["mouth"].bore) == len(steps)
    else:
        assert {f.code for f in errors(text)} == {"size.contradiction"}


THREADS = st.tuples(
    st.sampled_from([10, 11, 12]), st.sampled_from([(1, 1), (1, 2), (1, 3), (0.5, 1), (0.8, 3)]),
    st.booleans(),
)  # fmt: skip


def written(thread: tuple[int, tuple[float, int], bool], klass: str) -> str:
    d, (p, n), left = thread
    pitch = f"{p:g}" if n == 1 else f"Ph{p * n:g}P{p:g}"
    return f"M{d}x{pitch}-{klass}" + ("-LH" if left else "")


@settings(max_examples=60, deadline=None)
@given(THREADS, THREADS)
def test_threads_join_if_and_only_if_they_are_the_same(
    a: tuple[int, tuple[float, int], bool], b: tuple[int, tuple[float, int], bool]
) -> None:
    text = changed('"M12x1-6g"', f'"{written(a, "6g")}"').replace("M12x1-6H", written(b, "6H"))
    try:
        pen_of(text)
        told = False
    except InputError as error:
        told = any(f.code == "joint.differs" for f in error.findings)
    assert told == (a != b)
