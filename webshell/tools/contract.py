"""The types of a view for the shell, written from its JSON Schema: ``webshell/view.d.ts``.

``python webshell/tools/contract.py`` writes it anew; ``build.py check`` tells where it is not what
the schema says.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "core"))
from weeptrace.door.blocks import VIEW  # noqa: E402

FILE = ROOT / "webshell" / "view.d.ts"
# What a definition is called in the shell, where that is not its own name.
CALLED = {"event": "Seed", "text": "TextField", "photo": "Photos"}
PLAIN = {"string": "string", "number": "number", "integer": "number", "boolean": "boolean",
         "null": "null"}  # fmt: skip
Json = dict[str, Any]


def name_of(definition: str) -> str:
    """The type of a definition: ``class_rule`` is ``ClassRule``."""
    return CALLED.get(definition) or "".join(map(str.capitalize, definition.split("_")))


def type_of(schema: Json) -> str:
    """A schema as a TypeScript type. Raises ``KeyError`` for one that has none here."""
    if "$ref" in schema:
        return name_of(schema["$ref"].rpartition("/")[2])
    if "const" in schema:
        return json.dumps(schema["const"])
    if "enum" in schema:
        return " | ".join(map(json.dumps, schema["enum"]))
    if "oneOf" in schema:
        return " | ".join(map(type_of, schema["oneOf"]))
    if schema["type"] == "array":
        item = type_of(schema["items"])
        return f"({item})[]" if " | " in item else f"{item}[]"
    if schema["type"] == "object":
        return f"{{ {' '.join(_members(schema))} }}"
    return PLAIN[schema["type"]]


def _members(schema: Json) -> list[str]:
    needed = schema.get("required", ())
    return [
        f"{key}{'' if key in needed else '?'}: {type_of(each)};"
        for key, each in schema["properties"].items()
    ]


def written() -> str:
    """The whole file."""
    blocks = [name_of(each["$ref"].rpartition("/")[2])
              for each in VIEW["properties"]["blocks"]["items"]["oneOf"]]  # fmt: skip
    lines = [
        "// Written by tools/contract.py from core/weeptrace/door/blocks.py, which explains",
        "// each of them. Nothing here runs.",
    ]
    for definition, schema in VIEW["definitions"].items():
        name = name_of(definition)
        if schema.get("type") == "object":
            inner = "".join(f"\n  {each}" for each in _members(schema))
            lines.append(f"\nexport interface {name} {{{inner}\n}}")
        else:
            lines.append(f"\nexport type {name} = {type_of(schema)};")
    lines.append("\nexport type Block =" + "".join(f"\n  | {each}" for each in blocks) + ";")
    inner = "".join(f"\n  {each}" for each in _members({**VIEW, "properties": _whole()}))
    lines.append(f"\nexport interface View {{{inner}\n}}")
    return "\n".join(lines) + "\n"


def _whole() -> Json:
    """The members of a view, its blocks by the name of all kinds."""
    blocks = {"type": "array", "items": {"$ref": "#/definitions/block"}}
    return {**VIEW["properties"], "blocks": blocks}


def faults() -> list[str]:
    """Where the file is not what the schema says."""
    if FILE.exists() and FILE.read_text("utf-8") == written():
        return []
    return [f"webshell/{FILE.name} is not what door/blocks.py says; run {Path(__file__).name}"]


if __name__ == "__main__":
    FILE.write_text(written(), "utf-8")
