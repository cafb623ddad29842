"""JSON Pointers (RFC 6901) to fields of the campaign document."""


def pointer(*steps: str | int) -> str:
    """`pointer("tools", "a/b", 0)` is `/tools/a~1b/0`; no steps: the whole document."""
    return "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in steps)
