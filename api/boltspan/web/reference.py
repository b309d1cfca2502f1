"""The OpenAPI document as sections of a page that reads without scripts."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any


def sections(document: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the document by tag: name, text and operations; each with what it takes and what it answers."""
    found: dict[str, dict[str, Any]] = {
        tag["name"]: {"name": tag["name"], "text": tag.get("description", ""), "operations": []}
        for tag in document.get("tags", ())
    }
    for path, item in document["paths"].items():
        for method in ("get", "post", "delete"):
            if method in item:
                shown = _operation(document, method, path, item)
                found[item[method]["tags"][0]]["operations"].append(shown)
    return [section for section in found.values() if section["operations"]]


def schemas(document: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return every schema of the document by name: its text, its fields, or the schemas it is one of."""
    known = document["components"]["schemas"]
    return [
        {
            "name": name,
            "text": schema.get("description", ""),
            "fields": list(_fields(schema)),
            "one_of": [_name(s) for s in schema.get("anyOf", ()) if "$ref" in s],
        }
        for name, schema in sorted(known.items())
    ]


def _operation(document: Mapping[str, Any], method: str, path: str, item: Mapping[str, Any]) -> dict[str, Any]:
    stated = item[method]
    given = [*item.get("parameters", ()), *stated.get("parameters", ())]
    taken = stated.get("requestBody", {}).get("content", {})
    body = taken.get("application/json") or next(iter(taken.values()), None)
    return {
        "id": stated["operationId"],
        "method": method.upper(),
        "path": path,
        "summary": stated.get("summary", ""),
        "text": stated.get("description", ""),
        "permission": next((s["bearer"][0] for s in stated.get("security", ()) if s.get("bearer")), None),
        "parameters": [_parameter(_whole(document, p)) for p in given],
        "body": None if body is None else _type(body["schema"]),
        "examples": [_pretty(e["value"]) for e in (body or {}).get("examples", {}).values()],
        "answers": [_answer(s, _whole(document, a)) for s, a in sorted(stated["responses"].items())],
    }


def _parameter(stated: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "name": stated["name"],
        "place": stated["in"],
        "needed": stated.get("required", False),
        "type": _type(stated["schema"]),
        "text": stated.get("description", ""),
    }


def _answer(status: str, stated: Mapping[str, Any]) -> dict[str, Any]:
    content: Mapping[str, Any] = next(iter(stated.get("content", {}).values()), {})
    example = _pretty(content["example"]) if "example" in content and int(status) < 300 else None
    return {
        "status": status,
        "text": stated["description"],
        "type": _type(content.get("schema", {})),
        "example": example,
        "headers": [name for name in stated.get("headers", {}) if name != "X-Request-Id"],
    }


def _fields(schema: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    for name, stated in schema.get("properties", {}).items():
        needed = name in schema.get("required", ())
        yield {"name": name, "type": _type(stated), "needed": needed, "text": stated.get("description", "")}


def _type(schema: Mapping[str, Any]) -> dict[str, Any]:
    """Return a type in words, with the schemas it links to."""
    if "$ref" in schema:
        return {"words": "", "links": [_name(schema)]}
    if "anyOf" in schema:
        return {"words": "one of ", "links": [_name(s) for s in schema["anyOf"] if "$ref" in s]}
    if "allOf" in schema:
        return _type(schema["allOf"][0])
    if schema.get("type") == "array":
        inner = _type(schema.get("items", {}))
        return {"words": f"list of {inner['words']}", "links": inner["links"]}
    if "enum" in schema:
        return {"words": " | ".join(json.dumps(e).strip('"') for e in schema["enum"]), "links": []}
    if schema.get("type") == "object" and isinstance(schema.get("additionalProperties"), Mapping):
        inner = _type(schema["additionalProperties"])
        return {"words": f"object of {inner['words']}", "links": inner["links"]}
    return {"words": f"{schema.get('type', '')}{_bounds(schema)}", "links": []}


def _bounds(schema: Mapping[str, Any]) -> str:
    said = []
    for key, text in (("minimum", "from"), ("exclusiveMinimum", "over"), ("maximum", "to"), ("default", "default")):
        if key in schema:
            said.append(f"{text} {schema[key]}")
    return f" ({', '.join(said)})" if said else ""


def _whole(document: Mapping[str, Any], stated: Mapping[str, Any]) -> Mapping[str, Any]:
    if "$ref" not in stated:
        return stated
    found: Any = document
    for part in stated["$ref"].removeprefix("#/").split("/"):
        found = found[part]
    return dict(found)


def _name(schema: Mapping[str, Any]) -> str:
    return str(schema.get("$ref", "")).rpartition("/")[2]


def _pretty(value: Any) -> str:
    return json.dumps(value, indent=2, ensure_ascii=False)
