#!/usr/bin/env python3
"""Writes the typed results (bandlore/results/*.py) from the schemas of the library's JSON (../schema/v1).

    python make_results.py            writes them
    python make_results.py --check    says whether they are what the schemas ask for
"""

import json
import keyword
import sys
import textwrap
from pathlib import Path

HERE = Path(__file__).parent
SCHEMAS = HERE.parent / "schema" / "v1"
KEPT = HERE / "bandlore" / "results"

# Schema, the name of its outermost object there, the class for it, and what that is derived from.
RESULTS = [
    ("identify", "Entry", "Identification", "OfSpectrum"),
    ("check", "Entry", "Check", "OfSpectrum"),
    ("ageing", "Entry", "Ageing", "OfSpectrum"),
    ("compare", "Compared", "Comparison", "Record"),
    ("object", None, "ObjectFindings", "Record"),
]
PLAIN = {"string": "str", "integer": "int", "number": "float", "boolean": "bool"}
WIDTH = 110


def reached(about):
    """Returns the name that a reference leads to."""
    return about["$ref"].rsplit("/", 1)[1]


def type_of(about, names):
    """Returns the annotation of a property, and the class it holds, if any."""
    if "$ref" in about:
        name = names[reached(about)]
        return name, name
    if "anyOf" in about:
        kinds = [type_of(one, names) for one in about["anyOf"]]
        return " | ".join(kind for kind, _ in kinds), next((n for _, n in kinds if n), None)
    kinds = about.get("type", [])
    kinds = [kinds] if isinstance(kinds, str) else kinds
    said, nested = [], None
    for kind in kinds:
        if kind == "array":
            item, nested = type_of(about.get("items", {}), names)
            said.append(f"list[{item}]")
        elif kind == "null":
            said.append("None")
        else:
            said.append(PLAIN[kind])
    return " | ".join(said) or "Any", nested


def docstring(text, indent):
    """Returns a docstring that fits the width."""
    plain = " ".join(text.split()).replace("\\", "\\\\")
    lines = textwrap.wrap(plain, WIDTH - len(indent) - 6)
    if len(lines) <= 1:
        return f'{indent}"""{plain}"""\n'
    return f'{indent}"""' + f"\n{indent}".join(lines) + f'\n{indent}"""\n'


def class_of(name, about, base, names):
    """Returns the source of one class."""
    text = f"@dataclass(frozen=True, repr=False)\nclass {name}({base}):\n"
    text += docstring(about.get("description") or f"{name} of a result.", "    ")
    nested = {}
    required = set(about.get("required", []))
    for given, what in about["properties"].items():
        field = given + "_" if keyword.iskeyword(given) else given
        kind, holds = type_of(what, names)
        if given not in required and "None" not in kind:
            kind += " | None"
        if holds:
            nested[field] = holds
        text += f"\n    {field}: {kind}\n"
        if what.get("description"):
            text += docstring(what["description"], "    ")
    if nested:
        inside = ", ".join(f'"{field}": {holds}' for field, holds in nested.items())
        text += f"\n    _nested: ClassVar[Mapping[str, type[Record]]] = {{{inside}}}\n"
    return text


def module_of(schema, outermost, top, base):
    """Returns the source of the module of one schema."""
    about = json.loads((SCHEMAS / f"{schema}.json").read_text(encoding="utf-8"))
    parts = dict(about.get("$defs", {}))
    names = {name: top if name == outermost else name for name in parts}
    whole = parts.pop(outermost) if outermost else about
    done, text = [], []

    def write(name):
        """Writes what a class holds before the class."""
        if name in done:
            return
        done.append(name)
        for what in json.dumps(parts[name]).split('"#/$defs/')[1:]:
            write(what.split('"', 1)[0])
        text.append(class_of(names[name], parts[name], "Record", names))

    for name in parts:
        write(name)
    text.append(class_of(top, whole, base, names))
    imports = "Record" if base == "Record" else f"{base}, Record"
    classes = ", ".join(f'"{n}"' for n in sorted([names[n] for n in parts] + [top]))
    head = (
        f'"""{about["title"]}. Written by make_results.py from schema/v1/{schema}.json."""\n\n'
        "from __future__ import annotations\n\n"
        "from collections.abc import Mapping\nfrom dataclasses import dataclass\nfrom typing import ClassVar\n\n"
        f"from ._base import {imports}\n\n__all__ = [{classes}]\n"
    )
    return head + "".join(f"\n\n{part}" for part in text)


def main():
    stale = []
    for schema, outermost, top, base in RESULTS:
        place = KEPT / f"{schema}.py"
        text = module_of(schema, outermost, top, base)
        if "--check" in sys.argv:
            if not place.exists() or place.read_text(encoding="utf-8") != text:
                stale.append(place.name)
        else:
            place.write_text(text, encoding="utf-8", newline="\n")
    if stale:
        sys.exit(f"{', '.join(stale)}: not what the schemas ask for; run python/make_results.py")


if __name__ == "__main__":
    main()
