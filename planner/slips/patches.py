"""A change to a campaign document: JSON Merge Patch (RFC 7396) or JSON Patch (RFC 6902)."""

import copy
import itertools
from collections.abc import Iterator
from typing import Any

import jsonpatch
import jsonpointer

from planner.campaign import Campaign
from planner.errors import CampaignProblems, Problem
from planner.reading import read

MOST_OPERATIONS = 1000
MOST_COPIED = 100_000
"""Values that the copies of one patch may add up to: each copy of everything into itself doubles the document."""
LONGEST_QUOTE = 200
"""Characters of what was sent that are said back."""
DEEPEST = 40
"""Levels of a changed document; no campaign needs half as many."""


def merge_patched(target: Any, patch: Any) -> Any:
    """The target with a merge patch applied, as RFC 7396, section 2, has it; neither is changed."""
    if not isinstance(patch, dict):
        return copy.deepcopy(patch)
    merged = dict(target) if isinstance(target, dict) else {}
    for name, value in patch.items():
        if value is None:
            merged.pop(name, None)
        else:
            merged[name] = merge_patched(merged.get(name), value)
    return merged


def json_patched(target: Any, patch: Any) -> Any:
    """The target with a JSON Patch applied, all of it or nothing; neither is changed.

    Raises CampaignProblems naming the operation that cannot be applied.
    """
    if not isinstance(patch, list):
        raise CampaignProblems([Problem("", "a JSON Patch is a list of operations", 'like [{"op": "replace", ...}]')])
    if len(patch) > MOST_OPERATIONS:
        text = f"a JSON Patch has at most {MOST_OPERATIONS} operations, this one has {len(patch)}"
        raise CampaignProblems([Problem("", text, "send the changed campaign instead")])
    done = copy.deepcopy(target)
    copied = 0
    for n, operation in enumerate(patch):
        try:
            copied += _to_copy(done, operation)
            if copied > MOST_COPIED:
                raise _refused(n, operation, "the copies are too large", "copy less, or send the changed campaign")
            done = jsonpatch.apply_patch(done, [copy.deepcopy(operation)], in_place=True)
        except RecursionError:
            raise _refused(n, operation, "it nests without end", "copy nothing into itself") from None
        except jsonpatch.JsonPatchTestFailed as error:
            raise _refused(n, operation, f"the test does not hold: {error}", "read the campaign again") from None
        except (jsonpatch.JsonPatchException, jsonpointer.JsonPointerException, TypeError, KeyError) as error:
            remedy = "check its `op`, `path` and `value` against the campaign (RFC 6902)"
            raise _refused(n, operation, str(error), remedy) from None
    if any(depth > DEEPEST for _, depth in _values(done)):
        text = f"the changed campaign is nested deeper than {DEEPEST} levels"
        raise CampaignProblems([Problem("", text, "add nothing so deep")])
    return done


def _to_copy(document: Any, operation: Any) -> int:
    """How many values the operation copies: none unless it is a copy."""
    if not isinstance(operation, dict) or operation.get("op") != "copy" or not isinstance(operation.get("from"), str):
        return 0
    source = jsonpointer.resolve_pointer(document, operation["from"], None)
    return sum(1 for _ in itertools.islice(_values(source), MOST_COPIED + 1))


def _values(document: Any) -> Iterator[tuple[Any, int]]:
    """Every value in it, itself first, with its level; not by recursion, which has an end of its own."""
    waiting = [(document, 1)]
    while waiting:
        value, depth = waiting.pop()
        yield value, depth
        if isinstance(value, dict | list):
            waiting += [(child, depth + 1) for child in (value.values() if isinstance(value, dict) else value)]


def _refused(n: int, operation: Any, why: str, remedy: str) -> CampaignProblems:
    where = str(operation.get("path", "") if isinstance(operation, dict) else "")
    # Shortened: the reasons repeat whole values, and a value may be the whole document.
    said = f"operation {n + 1} at `{_short(where)}` cannot be applied: {_short(why)}"
    return CampaignProblems([Problem(f"/{n}", said, remedy)])


def _short(text: str) -> str:
    return text if len(text) <= LONGEST_QUOTE else f"{text[:LONGEST_QUOTE]} ..."


def changed(campaign: Campaign, patch: Any) -> Campaign:
    """The campaign with a patch applied and checked: a list is a JSON Patch, anything else a merge patch.

    Raises CampaignProblems, also where the campaign it makes contradicts itself.
    """
    document = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
    return read(json_patched(document, patch) if isinstance(patch, list) else merge_patched(document, patch))
