"""What a change of the OpenAPI document breaks for those who call the API.

What is sent may be allowed more, what is answered may hold more: neither breaks anybody. Breaking are: an operation, a
form of an answer or a field of it that is gone; a type that was not there before in an answer or no longer is in a
request; a field or parameter that must now be sent.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

Schema = dict[str, Any]
_EACH = ("anyOf", "oneOf", "allOf", "prefixItems")


def breaking(old: Schema, new: Schema) -> list[str]:
    """Every breaking change between two documents, each with its place."""
    return list(dict.fromkeys(_Comparison(old, new).found()))


class _Comparison:
    def __init__(self, old: Schema, new: Schema) -> None:
        self._old, self._new = old, new
        self._seen: set[tuple[str, str, bool]] = set()

    def found(self) -> Iterator[str]:
        for path, methods in self._old["paths"].items():
            for method, operation in methods.items():
                place = f"{method.upper()} {path}"
                now = self._new["paths"].get(path, {}).get(method)
                if now is None:
                    yield f"{place}: removed"
                else:
                    yield from self._operation(place, operation, now)

    def _operation(self, place: str, old: Schema, new: Schema) -> Iterator[str]:
        if old.get("operationId") != new.get("operationId"):
            yield f"{place}: the operationId was {old.get('operationId')}"
        before, after = ({(one["in"], one["name"]): one for one in op.get("parameters", ())} for op in (old, new))
        for (where, name), one in before.items():
            if (where, name) not in after:
                yield f"{place}: the {where} parameter {name} is gone"
            else:
                yield from self._schemas(f"{place} {name}", one["schema"], after[where, name]["schema"], sent=True)
        for (where, name), one in after.items():
            if one.get("required") and not before.get((where, name), {}).get("required"):
                yield f"{place}: the {where} parameter {name} must now be sent"
        yield from self._content(f"{place} body", old.get("requestBody", {}), new.get("requestBody", {}), sent=True)
        for status, answer in old["responses"].items():
            if status not in new["responses"]:
                yield f"{place}: status {status} is gone"
                continue
            yield from self._content(f"{place} {status}", answer, new["responses"][status], sent=False)
            for header in answer.get("headers", {}).keys() - new["responses"][status].get("headers", {}).keys():
                yield f"{place} {status}: the header {header} is gone"

    def _content(self, place: str, old: Schema, new: Schema, *, sent: bool) -> Iterator[str]:
        for media_type, form in old.get("content", {}).items():
            if media_type not in new.get("content", {}):
                yield f"{place}: {media_type} is gone"
            else:
                now = new["content"][media_type]
                yield from self._schemas(f"{place}", form.get("schema", {}), now.get("schema", {}), sent=sent)

    def _schemas(self, place: str, old: Schema, new: Schema, *, sent: bool) -> Iterator[str]:
        """`sent`: of a request, where a reader may only become more lenient; else of an answer."""
        if "$ref" in old and "$ref" in new:
            key = (old["$ref"], new["$ref"], sent)
            if key in self._seen:
                return
            self._seen.add(key)
            place = f"{place} {old['$ref'].rpartition('/')[2]}"
        old, new = _resolved(self._old, old), _resolved(self._new, new)
        yield from self._kinds(place, old, new, sent=sent)
        yield from self._fields(place, old, new, sent=sent)
        if "items" in old and "items" in new:
            yield from self._schemas(f"{place}[]", old["items"], new["items"], sent=sent)
        for name in _EACH:
            for number, (one, now) in enumerate(zip(old.get(name, ()), new.get(name, ()), strict=False)):
                yield from self._schemas(f"{place}/{number}", one, now, sent=sent)

    def _kinds(self, place: str, old: Schema, new: Schema, *, sent: bool) -> Iterator[str]:
        before, after = _kinds(self._old, old), _kinds(self._new, new)
        narrower, wider = (before, after) if sent else (after, before)
        # A request must still take what it took; an answer must hold nothing that it did not hold.
        if wider and not narrower:
            yield f"{place}: any value was allowed before" if not sent else f"{place}: any value may come now"
        elif lost := sorted(narrower - wider) if wider else []:
            words = "is no longer taken" if sent else "was never answered before"
            yield f"{place}: {', '.join(lost)} {words}"
        if sent and "enum" in new and (gone := [one for one in old.get("enum", ()) if one not in new["enum"]]):
            yield f"{place}: {', '.join(map(str, gone))} is no longer taken"
        if sent:
            for name, sign in (("maximum", 1), ("maxLength", 1), ("maxItems", 1), ("minimum", -1), ("minLength", -1)):
                limit = new.get(name)
                if limit is not None and (name not in old or sign * limit < sign * old[name]):
                    yield f"{place}: {name} is now {limit}"

    def _fields(self, place: str, old: Schema, new: Schema, *, sent: bool) -> Iterator[str]:
        fields, now = old.get("properties", {}), new.get("properties", {})
        for name, schema in fields.items():
            if name not in now:
                if not sent or new.get("additionalProperties") is False:
                    yield f"{place}: the field {name} is gone"
            else:
                yield from self._schemas(f"{place}.{name}", schema, now[name], sent=sent)
        before, after = set(old.get("required", ())), set(new.get("required", ()))
        for name in sorted((after - before) if sent else (before - after) & now.keys()):
            yield f"{place}: the field {name} {'must now be sent' if sent else 'may now be missing'}"


def _resolved(document: Schema, schema: Schema) -> Schema:
    while "$ref" in schema:
        schema = document["components"]["schemas"][schema["$ref"].rpartition("/")[2]]
    return schema


def _kinds(document: Schema, schema: Schema) -> set[str]:
    """The JSON types that a schema allows; none where it allows any."""
    schema = _resolved(document, schema)
    said = schema.get("type")
    if said is not None:
        found = {said} if isinstance(said, str) else set(said)
        return found | {"integer"} if "number" in found else found
    if "const" in schema or "enum" in schema:
        return set()
    parts = [_kinds(document, one) for name in ("anyOf", "oneOf") for one in schema.get(name, ())]
    return set().union(*parts) if all(parts) else set()
