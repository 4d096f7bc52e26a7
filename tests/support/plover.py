"""A pen of three parts, cut by a guided tap and die, with what is usual left unsaid: the cap goes
on with three starts over a lip of 15.2, the section's front is tapped wider than its bore."""

from __future__ import annotations

PLOVER = """schema = 1
[pen]
id = "plover"
name = "Plover"
[parts.cap]
length = 62
diameter = 15.2
[parts.cap.ends.mouth]
side = "tail"
bore = [{ diameter = 12.6, depth = 52 }]
[parts.cap.ends.mouth.internal]
thread = "M13.5xPh2.4P0.8-6H"
mates = "barrel.mouth"
depth = 9
[parts.barrel]
length = 74
diameter = 14
[parts.barrel.ends.mouth]
side = "nib"
bore = [{ diameter = 8.8, depth = 60 }]
[parts.barrel.ends.mouth.external]
thread = "M13.5xPh2.4P0.8-6g"
length = 8
[parts.barrel.ends.mouth.internal]
thread = "M10x0.75-6H"
mates = "section.rear"
depth = 9
[parts.section]
length = 24
diameter = 11.5
[parts.section.ends.rear]
side = "tail"
bottom = "through"
bore = [{ diameter = 6, depth = 24 }]
[parts.section.ends.rear.external]
thread = "M10x0.75-6g"
length = 8
[parts.section.ends.front]
side = "nib"
bottom = "through"
bore = [{ diameter = 6, depth = 24 }]
[parts.section.ends.front.internal]
thread = "M7.4x0.5-6H"
depth = 10
"""
