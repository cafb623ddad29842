"""Merge patches and JSON Patches against the test cases the RFCs publish."""

import json

import pytest

from benchmarks.generator import small
from planner.errors import CampaignProblems
from planner.slips.patches import DEEPEST, MOST_OPERATIONS, changed, json_patched, merge_patched

# RFC 7396, appendix A: original, patch, result.
MERGE = [
    ('{"a":"b"}', '{"a":"c"}', '{"a":"c"}'),
    ('{"a":"b"}', '{"b":"c"}', '{"a":"b","b":"c"}'),
    ('{"a":"b"}', '{"a":null}', "{}"),
    ('{"a":"b","b":"c"}', '{"a":null}', '{"b":"c"}'),
    ('{"a":["b"]}', '{"a":"c"}', '{"a":"c"}'),
    ('{"a":"c"}', '{"a":["b"]}', '{"a":["b"]}'),
    ('{"a":{"b":"c"}}', '{"a":{"b":"d","c":null}}', '{"a":{"b":"d"}}'),
    ('{"a":[{"b":"c"}]}', '{"a":[1]}', '{"a":[1]}'),
    ('["a","b"]', '["c","d"]', '["c","d"]'),
    ('{"a":"b"}', '["c"]', '["c"]'),
    ('{"a":"foo"}', "null", "null"),
    ('{"a":"foo"}', '"bar"', '"bar"'),
    ('{"e":null}', '{"a":1}', '{"e":null,"a":1}'),
    ("[1,2]", '{"a":"b","c":null}', '{"a":"b"}'),
    ("{}", '{"a":{"bb":{"ccc":null}}}', '{"a":{"bb":{}}}'),
]

# RFC 6902, appendix A.1 to A.16 where the outcome is a document: original, patch, result.
PATCH = [
    ('{"foo":"bar"}', '[{"op":"add","path":"/baz","value":"qux"}]', '{"baz":"qux","foo":"bar"}'),
    ('{"foo":["bar","baz"]}', '[{"op":"add","path":"/foo/1","value":"qux"}]', '{"foo":["bar","qux","baz"]}'),
    ('{"baz":"qux","foo":"bar"}', '[{"op":"remove","path":"/baz"}]', '{"foo":"bar"}'),
    ('{"foo":["bar","qux","baz"]}', '[{"op":"remove","path":"/foo/1"}]', '{"foo":["bar","baz"]}'),
    ('{"baz":"qux","foo":"bar"}', '[{"op":"replace","path":"/baz","value":"boo"}]', '{"baz":"boo","foo":"bar"}'),
    (
        '{"foo":{"bar":"baz","waldo":"fred"},"qux":{"corge":"grault"}}',
        '[{"op":"move","from":"/foo/waldo","path":"/qux/thud"}]',
        '{"foo":{"bar":"baz"},"qux":{"corge":"grault","thud":"fred"}}',
    ),
    (
        '{"foo":["all","grass","cows","eat"]}',
        '[{"op":"move","from":"/foo/1","path":"/foo/3"}]',
        '{"foo":["all","cows","eat","grass"]}',
    ),
    (
        '{"baz":"qux","foo":["a",2,"c"]}',
        '[{"op":"test","path":"/baz","value":"qux"},{"op":"test","path":"/foo/1","value":2}]',
        '{"baz":"qux","foo":["a",2,"c"]}',
    ),
    (
        '{"foo":"bar"}',
        '[{"op":"add","path":"/child","value":{"grandchild":{}}}]',
        '{"foo":"bar","child":{"grandchild":{}}}',
    ),
    ('{"foo":"bar"}', '[{"op":"add","path":"/baz","value":"qux","xyz":123}]', '{"foo":"bar","baz":"qux"}'),
    ('{"/":9,"~1":10}', '[{"op":"test","path":"/~01","value":10}]', '{"/":9,"~1":10}'),
    ('{"foo":["bar"]}', '[{"op":"add","path":"/foo/-","value":["abc","def"]}]', '{"foo":["bar",["abc","def"]]}'),
]

# Appendix A where the patch must fail: A.9, A.12, A.13 (as it reaches us: the last of two `op`s), A.15.
PATCH_FAILS = [
    ('{"baz":"qux"}', '[{"op":"test","path":"/baz","value":"bar"}]'),
    ('{"foo":"bar"}', '[{"op":"add","path":"/baz/bat","value":"qux"}]'),
    ('{"foo":"bar"}', '[{"op":"remove","path":"/baz"}]'),
    ('{"/":9,"~1":10}', '[{"op":"test","path":"/~01","value":"10"}]'),
]


@pytest.mark.parametrize(("target", "patch", "result"), MERGE)
def test_merge_patch_appendix_a(target, patch, result):
    assert merge_patched(json.loads(target), json.loads(patch)) == json.loads(result)


@pytest.mark.parametrize(("target", "patch", "result"), PATCH)
def test_json_patch_appendix_a(target, patch, result):
    assert json_patched(json.loads(target), json.loads(patch)) == json.loads(result)


@pytest.mark.parametrize(("target", "patch"), PATCH_FAILS)
def test_json_patch_appendix_a_failures(target, patch):
    with pytest.raises(CampaignProblems):
        json_patched(json.loads(target), json.loads(patch))


def test_all_or_nothing():
    target = {"foo": {"bar": 1}}
    with pytest.raises(CampaignProblems) as refused:
        json_patched(target, [{"op": "remove", "path": "/foo/bar"}, {"op": "remove", "path": "/nowhere"}])
    assert target == {"foo": {"bar": 1}}
    assert refused.value.problems[0].pointer == "/1"


NO_PATCHES = [{"op": "add"}, [1], [{"op": "fly", "path": "/a"}], [{"path": "/a"}], [{"op": "add"}]]


@pytest.mark.parametrize("patch", NO_PATCHES)
def test_what_is_no_patch_is_refused_not_a_fault(patch):
    with pytest.raises(CampaignProblems):
        json_patched({"a": 1}, patch)


def test_a_variant_is_checked_like_any_campaign():
    campaign = small(1)
    tool = sorted(campaign.tools)[0]
    assert changed(campaign, {"name": "other"}).name == "other"
    assert changed(campaign, [{"op": "replace", "path": "/name", "value": "third"}]).name == "third"
    with pytest.raises(CampaignProblems) as refused:
        changed(campaign, {"tools": {tool: {"cycle_s": -4}}})
    assert refused.value.problems[0].pointer == f"/tools/{tool}/cycle_s"


BOMBS = {
    "doubling": [{"op": "copy", "from": "", "path": f"/x{n}"} for n in range(60)],
    "doubling one place": [{"op": "copy", "from": "/a", "path": "/a/b"} for _ in range(60)],
    "ever deeper": [{"op": "add", "path": "/x" * n, "value": {}} for n in range(1, 900)],
    "endless": [{"op": "test", "path": "/a", "value": {"b": 1}}] * 100_000,
}


@pytest.mark.parametrize("bomb", BOMBS.values(), ids=list(BOMBS))
def test_a_short_patch_makes_no_endless_document(bomb):
    """Refused with a remedy, before it takes the machine: sixty copies would be 2 to the 60 values."""
    with pytest.raises(CampaignProblems) as refused:
        json_patched({"a": {"b": 1}, "c": [1, 2, 3]}, bomb)
    (problem,) = refused.value.problems
    assert problem.remedy


def test_a_patch_keeps_its_hands_off_what_it_was_given():
    """An added value that a later operation changes stays as it was sent, and so does the target."""
    target, patch = {"a": 1}, [{"op": "add", "path": "/b", "value": []}, {"op": "add", "path": "/b/-", "value": 1}]
    assert json_patched(target, patch) == {"a": 1, "b": [1]}
    assert target == {"a": 1}
    assert patch[0]["value"] == []


def test_a_refusal_does_not_repeat_a_whole_document():
    """A test that fails on a long value, at a long path."""
    for operation in (
        {"op": "test", "path": "/a", "value": "x" * 100_000},
        {"op": "replace", "path": "/a" * 50_000, "value": 1},
    ):
        with pytest.raises(CampaignProblems) as refused:
            json_patched({"a": "y" * 100_000}, [operation])
        assert len(refused.value.problems[0].message) < 600


def test_as_deep_and_as_many_as_allowed_and_no_more():
    """The document is the first level, what stands at its member the second."""
    for levels, taken in ((DEEPEST, True), (DEEPEST + 1, False)):
        value = {}
        for _ in range(levels - 2):
            value = [value]
        patch = [{"op": "add", "path": "/x", "value": value}]
        if taken:
            assert json_patched({}, patch) == {"x": value}
        else:
            with pytest.raises(CampaignProblems, match=f"deeper than {DEEPEST} levels"):
                json_patched({}, patch)
    test = {"op": "test", "path": "/a", "value": 1}
    assert json_patched({"a": 1}, [test] * MOST_OPERATIONS) == {"a": 1}
    with pytest.raises(CampaignProblems, match=f"at most {MOST_OPERATIONS} operations"):
        json_patched({"a": 1}, [test] * (MOST_OPERATIONS + 1))
