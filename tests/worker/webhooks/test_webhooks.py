"""Webhooks: signed as the specification's own example, to public addresses only, tried again, given up in the end."""

import json
import threading
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest

from worker.records import changing, deliveries, workshops
from worker.records.submitting import Submission, submit
from worker.records.tables import Delivery
from worker.settings import Settings
from worker.webhooks import signing
from worker.webhooks.addresses import Forbidden, look_up
from worker.webhooks.courier import PAUSES, carry_one


def test_the_specifications_example():
    """Standard Webhooks' test vector, as published with the reference libraries; recalled from memory."""
    headers = signing.headers(
        "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw", "msg_p5jXN8AQM9LWM0D4loKWxJek", 1614265330, '{"test": 2432232314}'
    )
    assert headers["webhook-signature"] == "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="


@pytest.mark.parametrize(
    "host",
    [
        "127.0.0.1", "localhost", "10.1.2.3", "192.168.0.1", "172.16.0.1", "169.254.169.254", "0.0.0.0", "100.64.0.1",
        "[::1]", "[::]", "[fc00::1]", "[fe80::1]", "[::ffff:127.0.0.1]", "[::ffff:10.0.0.1]", "[2002:7f00:1::]",
        "[64:ff9b::7f00:1]", "224.0.0.1", "2130706433", "0x7f.1", "017700000001",
    ],
)  # fmt: skip
def test_addresses_inside_are_refused(host):
    """Loopback, private, link-local, carrier-grade, mapped, and the old spellings of 127.0.0.1."""
    with pytest.raises(Forbidden):
        look_up(f"http://{host}/hook", allow_private=False)


@pytest.mark.parametrize(
    "url", ["ftp://192.31.196.1/", "http://", "http://a:b@192.31.196.1/", "http://192.31.196.1/#x", "http://[", "x"]
)
def test_what_is_no_address_is_refused(url):
    with pytest.raises(Forbidden):
        look_up(url, allow_private=True)


def test_a_public_address_is_fine():
    """Connected to as it was looked up. The address is global and answers nobody: a sink for names, RFC 7535."""
    target = look_up("https://192.31.196.1:8443/hook?x=1", allow_private=False)
    assert (target.secure, target.address, target.port, target.path) == (True, "192.31.196.1", 8443, "/hook?x=1")


class Ear:
    """A server that remembers what it was told and answers as it is bidden."""

    def __init__(self):
        self.heard, self.answer = [], 204
        ear = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self):
                body = self.rfile.read(int(self.headers["content-length"])).decode()
                ear.heard.append((dict(self.headers), body))
                self.send_response(ear.answer)
                self.send_header("Location", "http://127.0.0.1:1/elsewhere")
                self.end_headers()

            def log_message(self, *_):
                pass

        self.server = HTTPServer(("127.0.0.1", 0), Handler)
        threading.Thread(target=self.server.serve_forever, daemon=True).start()
        self.url = f"http://127.0.0.1:{self.server.server_port}/hook"


@pytest.fixture
def ear():
    made = Ear()
    yield made
    made.server.shutdown()
    made.server.server_close()


@pytest.fixture
def cancelled(database, ear):
    """A workshop with a webhook, whose plan was just cancelled; gives the secret."""
    workshop = workshops.ensure(database, "willow", 0.0)
    secret = signing.new_secret()
    with database.write() as connection:
        deliveries.add_webhook(connection, workshop, ear.url, secret, 0.0)
        plan = submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 1.0)
        changing.cancel(connection, plan, 100.0)
    return secret


def outcome(database):
    with database.read() as connection:
        return connection.execute(Delivery.__table__.select()).one()


def test_told_once_with_a_signature_that_holds(database, ear, cancelled):
    """A CloudEvent arrives; the receiver can check it; it is not told twice."""
    settings = Settings(allow_private_webhooks=True)
    assert carry_one(database, settings, 100.0) is True
    assert carry_one(database, settings, 100_000.0) is False
    ((headers, body),) = ear.heard
    event = json.loads(body)
    assert (event["specversion"], event["type"]) == ("1.0", "shot-to-ship.plan.cancelled")
    assert headers["Content-Type"] == "application/cloudevents+json"
    expected = signing.headers(cancelled, headers["webhook-id"], int(headers["webhook-timestamp"]), body)
    assert headers["webhook-signature"] == expected["webhook-signature"]
    assert event["id"] == headers["webhook-id"]


@pytest.mark.parametrize("answer", [500, 302, 429])
def test_tried_again_and_given_up_in_the_end(database, ear, cancelled, answer):
    """Longer and longer pauses, redirects not followed, then an end with its reason kept."""
    ear.answer, now = answer, 100.0
    settings = Settings(allow_private_webhooks=True)
    for pause in PAUSES:
        assert carry_one(database, settings, now) is True
        assert carry_one(database, settings, now + pause - 0.1) is False
        now += pause
    assert carry_one(database, settings, now) is True
    assert carry_one(database, settings, now + 1e7) is False
    assert len(ear.heard) == len(PAUSES) + 1
    assert outcome(database).outcome == f"given up: answered {answer}"


def test_a_private_address_is_not_called(database, ear, cancelled):
    """Not even if it got into the records when it still led elsewhere."""
    assert carry_one(database, Settings(), 100.0) is True
    assert ear.heard == []
    assert outcome(database).outcome.startswith("refused")


def test_nobody_there_is_no_end(database, ear, cancelled):
    """A receiver that is down gets it later."""
    ear.server.shutdown()
    ear.server.server_close()
    assert carry_one(database, Settings(allow_private_webhooks=True), 100.0) is True
    assert outcome(database).next_try_at == 100.0 + PAUSES[0]
