"""A request with a key is carried out once; another with that key is refused; what failed may be tried again."""

import pytest

from api.service.refusals import Conflict, Invalid
from api.services.once import Answer, Once


class Counted:
    """What is done, how often."""

    def __init__(self) -> None:
        self.times = 0

    def __call__(self, connection, now):
        self.times += 1
        return self.times


def told(times: int) -> Answer:
    return Answer(201, {"Location": f"/here/{times}", "Retry-After": "7", "Content-Type": "text/plain"}, f"no {times}")


def once(service, key="k", address="/v1/plans", body=b"{}"):
    return Once(service.local_workshop, key, (address, body), told)


def test_a_repeat_gets_the_first_answer_and_nothing_is_done_again(app):
    """Also its address and form, and that it is a repeat; not how long to wait."""
    act = Counted()
    first = once(app.service).carried_out(app.service, act)
    again = once(app.service).carried_out(app.service, act)
    assert act.times == 1
    assert first == told(1)
    assert (again.status, again.body) == (201, "no 1")
    assert again.headers == {"Location": "/here/1", "Content-Type": "text/plain", "Idempotent-Replay": "true"}


@pytest.mark.parametrize(("address", "body"), [("/v1/purge/log", b"{}"), ("/v1/plans", b"[]")])
def test_a_key_is_of_one_address_and_one_body(app, address, body):
    """Else a repeat could be answered with what was said of something else."""
    act = Counted()
    once(app.service).carried_out(app.service, act)
    with pytest.raises(Invalid):
        once(app.service, address=address, body=body).carried_out(app.service, act)
    assert act.times == 1


def test_without_a_key_each_is_a_request_of_its_own(app):
    """Two sendings, two things done."""
    act = Counted()
    assert [once(app.service, None).carried_out(app.service, act).body for _ in range(2)] == ["no 1", "no 2"]


def test_what_was_refused_is_not_kept(app):
    """The same key may be tried again."""

    def refuse(connection, now):
        raise Conflict("not now")

    with pytest.raises(Conflict):
        once(app.service).carried_out(app.service, refuse)
    assert once(app.service).carried_out(app.service, Counted()).body == "no 1"
