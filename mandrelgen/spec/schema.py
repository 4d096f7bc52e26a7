"""The JSON Schemas of pen and shop files, for editors and other programs."""

from __future__ import annotations

import json

from pydantic import BaseModel

from mandrelgen.spec.migrate import CURRENT
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop

SAID_ELSEWHERE = {
    "End": ("diameter",),
    "ExternalThread": ("thread", "length"),
    "InternalThread": ("thread",),
    "Part": ("ends",),
}
"""Keys of a pen that a joint or the part may say instead; reading demands them in the end."""

_MODELS: dict[str, type[BaseModel]] = {"pen": Pen, "shop": Shop}


def schema_text(kind: str) -> str:
    """The JSON Schema (draft 2020-12) of a ``pen`` or ``shop`` file, as published.

    The same text as ``templates/schema/<kind>.schema.json``. It knows the form of a file, not
    what must agree between its parts.
    """
    schema = _MODELS[kind].model_json_schema(by_alias=True)
    for table, keys in SAID_ELSEWHERE.items() if kind == "pen" else ():
        model = schema["$defs"][table]
        model["required"] = [k for k in model.get("required", ()) if k not in keys]
    if kind == "pen":
        # A joint makes the ends it names.
        schema["$defs"]["Part"]["properties"]["ends"].pop("minProperties", None)
    head = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$comment": f"mandrelgen {kind} file, schema = {CURRENT[kind]}; lengths in mm",
    }
    return json.dumps({**head, **schema}, indent=2, ensure_ascii=False, sort_keys=False) + "\n"
