"""A change to a campaign document: JSON Merge Patch (RFC 7396) or JSON Patch (RFC 6902)."""

import copy
from typing import Any

import jsonpatch
import jsonpointer

from planner.campaign import Campaign
from planner.campaign.reading import read
from planner.errors import CampaignProblems, Problem


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
    done = copy.deepcopy(target)
    for n, operation in enumerate(patch):
        try:
            done = jsonpatch.apply_patch(done, [operation])
        except jsonpatch.JsonPatchTestFailed as error:
            raise _refused(n, operation, f"the test does not hold: {error}", "read the campaign again") from None
        except (jsonpatch.JsonPatchException, jsonpointer.JsonPointerException, TypeError, KeyError) as error:
            remedy = "check its `op`, `path` and `value` against the campaign (RFC 6902)"
            raise _refused(n, operation, str(error), remedy) from None
    return done


def _refused(n: int, operation: Any, why: str, remedy: str) -> CampaignProblems:
    where = operation.get("path", "") if isinstance(operation, dict) else ""
    return CampaignProblems([Problem(f"/{n}", f"operation {n + 1} at `{where}` cannot be applied: {why}", remedy)])


def changed(campaign: Campaign, patch: Any) -> Campaign:
    """The campaign with a patch applied and checked: a list is a JSON Patch, anything else a merge patch.

    Raises CampaignProblems, also where the campaign it makes contradicts itself.
    """
    document = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
    return read(json_patched(document, patch) if isinstance(patch, list) else merge_patched(document, patch))
