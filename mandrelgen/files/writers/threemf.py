"""Mesh -> 3MF bytes (core specification 1.4): one object in mm, axis vertical, on z = 0."""

from __future__ import annotations

import io
import zipfile
from xml.sax.saxutils import escape, quoteattr

from mandrelgen.geometry.mesh.build import Mesh

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
MODEL_TYPE = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"
START_PART = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
# The oldest time a zip entry can hold: the file's date stands in its metadata.
_EPOCH = (1980, 1, 1, 0, 0, 0)

_TYPES = (
    f'{_HEAD}<Types xmlns="{_PACKAGE}/content-types">'
    '<Default Extension="rels" '
    'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    f'<Default Extension="model" ContentType="{MODEL_TYPE}"/></Types>'
)
_RELATIONS = (
    f'{_HEAD}<Relationships xmlns="{_PACKAGE}/relationships">'
    f'<Relationship Id="rel0" Target="/3D/3dmodel.model" Type="{START_PART}"/></Relationships>'
)


def write(mesh: Mesh, title: str, number: str, revision: str, name: str, date: str) -> bytes:
    """The 3MF package. ``title`` and ``date`` (ISO 8601) go to its metadata, ``name`` to the
    object, ``number`` with ``revision`` to the part number and description. The object keeps the
    part's axis at x = y = 0; the build item moves it into the positive quadrant. Same arguments,
    same bytes."""
    model = _model(mesh, title, f"{number} {revision}".strip(), name, date)
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as package:
        for path, text in (
            ("[Content_Types].xml", _TYPES),
            ("_rels/.rels", _RELATIONS),
            ("3D/3dmodel.model", model),
        ):
            entry = zipfile.ZipInfo(path, _EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            entry.create_system = 3
            package.writestr(entry, text.encode("utf-8"))
    return stream.getvalue()


def _model(mesh: Mesh, title: str, part: str, name: str, date: str) -> str:
    low = mesh.vertices.min(axis=0)
    vertices = "\n".join(
        f'<vertex x="{x:.6f}" y="{y:.6f}" z="{z:.6f}"/>'
        for x, y, z in (mesh.vertices - [0.0, 0.0, low[2]]).tolist()
    ).replace("-0.000000", "0.000000")
    triangles = "\n".join(
        f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in mesh.triangles.tolist()
    )
    metadata = "\n".join(
        f'<metadata name="{key}">{escape(value)}</metadata>'
        for key, value in (
            ("Title", title),
            ("Description", part),
            ("CreationDate", date),
            ("Application", "mandrelgen"),
        )
    )
    return (
        f'{_HEAD}<model unit="millimeter" xml:lang="en" xmlns="{CORE}">\n{metadata}\n'
        f'<resources>\n<object id="1" type="model" name={quoteattr(name)} '
        f"partnumber={quoteattr(part)}>\n<mesh>\n<vertices>\n{vertices}\n</vertices>\n"
        f"<triangles>\n{triangles}\n</triangles>\n</mesh>\n</object>\n</resources>\n"
        f'<build>\n<item objectid="1" transform="1 0 0 0 1 0 0 0 1 '
        f'{-low[0]:.6f} {-low[1]:.6f} 0"/>\n</build>\n</model>\n'
    )
