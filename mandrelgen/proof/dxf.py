"""Opening a DXF file: its header, its soundness, whose entity is whose."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from mandrelgen.proof.case import Case

if TYPE_CHECKING:
    from ezdxf.document import Drawing

APP = "MANDRELGEN"
_MILLIMETRES, _METRIC = 4, 1


def load(case: Case) -> Drawing:
    """The document; notes a wrong unit and everything its audit finds."""
    import mandrelgen.ezdxf_quiet  # noqa: F401  (before ezdxf: only our own font takes part)

    import ezdxf  # isort: skip

    doc = ezdxf.read(io.StringIO(case.data.decode("utf-8")))
    case.equal("header $INSUNITS", _MILLIMETRES, doc.header.get("$INSUNITS"))
    case.equal("header $MEASUREMENT", _METRIC, doc.header.get("$MEASUREMENT"))
    audit = doc.audit()
    for remark in (*audit.errors, *audit.fixes):
        case.fault("audit", "a sound file", remark.message)
    return doc


def identity(entity: Any) -> tuple[str, str] | None:
    """(id, role) of an entity from its extended data; None if it has none."""
    if not entity.has_xdata(APP):
        return None
    values = [str(tag.value) for tag in entity.get_xdata(APP) if tag.code == 1000]
    return (values[0], values[1]) if len(values) == 2 else None
