"""Webhooks: signed as the specification's own example, to public addresses only, tried again, given up in the end."""

import contextlib
import json
import socket
import threading
import time
from functools import partial
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest

from tests.live_service import waited
from worker.records import ending, webhook_outbox, workshops
from worker.records.submitting import Submission, submit
from worker.records.tables import OutboxMessage
from worker.settings import Settings
from worker.webhooks import sender, signing
from worker.webhooks.addresses import Forbidden, look_up
from worker.webhooks.sender import PAUSES, FairShare, WebhookSender, carry_one, take_one
from worker.webhooks.sending import post

SECRET = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"


def test_the_specifications_example():
    """Standard Webhooks' test vector, as published with the reference libraries; recalled from memory."""
    headers = signing.headers(SECRET, "msg_p5jXN8AQM9LWM0D4loKWxJek", 1614265330, '{"test": 2432232314}')
    assert headers["webhook-signature"] == "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="


@pytest.mark.parametrize(
    "host",
    [
        "127.0.0.1", "localhost", "10.1.2.3", "192.168.0.1", "172.16.0.1", "169.254.169.254", "0.0.0.0", "100.64.0.1",
        "[::1]", "[::]", "[fc00::1]", "[fe80::1]", "[::ffff:127.0.0.1]", "[::ffff:10.0.0.1]", "[2002:7f00:1::]",
        "[64:ff9b::7f00:1]", "[64:ff9b:1::7f00:1]", "[::127.0.0.1]", "[fec0::1]", "[2001::1]",
        "224.0.0.1", "2130706433", "0x7f.1", "017700000001",
    ],
)  # fmt: skip
def test_addresses_inside_are_refused(host):
    """Loopback, private, link-local, carrier-grade, mapped, and the old spellings of 127.0.0.1."""
    with pytest.raises(Forbidden):
        look_up(f"http://{host}/hook", allow_private=False)


@pytest.mark.parametrize(
    "url",
    [
        "ftp://192.31.196.1/",
        "http://",
        "http://a:b@192.31.196.1/",
        "http://192.31.196.1/#x",
        "http://[",
        "x",
        "http://a..b/",
        f"http://{'a' * 64}.example/",
        "http://.example/",
        "http://192.31.196.1:99999/",
        "http://xn--a/",
        "http://%00/",
    ],
)
def test_what_is_no_address_is_refused(url):
    with pytest.raises(Forbidden):
        look_up(url, allow_private=True)


def test_a_public_address_is_fine():
    """Connected to as it was looked up. The address is global and answers nobody: a sink for names, RFC 7535."""
    target = look_up("https://192.31.196.1:8443/hook?x=1", allow_private=False)
    assert (target.secure, target.address, target.port, target.path) == (True, "192.31.196.1", 8443, "/hook?x=1")


@pytest.mark.parametrize(("url", "port"), [("http://192.31.196.1/", 80), ("https://192.31.196.1", 443)])
def test_the_port_is_the_schemes_own_where_none_is_said(url, port):
    """RFC 9110, 4.2: 80 for http, 443 for https."""
    assert look_up(url, allow_private=False).port == port


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
    with database.write() as connection:
        webhook_outbox.add_webhook(connection, workshop, ear.url, SECRET, 0.0)
        plan = submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 1.0).id
        ending.cancel(connection, "plan", plan, 100.0)
    return SECRET


def outcome(database):
    with database.read() as connection:
        return connection.execute(OutboxMessage.__table__.select()).one()


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


class Silent:
    """Takes connections and says a byte of a head now and then, for ever: slow, not dead."""

    def __init__(self):
        self.server = socket.create_server(("127.0.0.1", 0))
        self.url = f"http://127.0.0.1:{self.server.getsockname()[1]}/hook"
        self.over = threading.Event()
        self.connections = []
        threading.Thread(target=self._run, daemon=True).start()

    def _run(self):
        while not self.over.is_set():
            try:
                connection, _ = self.server.accept()
            except OSError:
                return
            self.connections.append(connection)
            threading.Thread(target=self._drip, args=(connection,), daemon=True).start()

    def _drip(self, connection):
        with contextlib.suppress(OSError):
            connection.sendall(b"HTTP/1.1 200 OK\r\n")
            while not self.over.wait(0.02):
                connection.sendall(b"x")

    def end(self):
        self.over.set()
        self.server.close()


@pytest.fixture
def silent():
    made = Silent()
    yield made
    made.end()


def test_a_delivery_has_one_deadline_however_often_a_byte_comes(silent):
    """Each byte was given ten seconds of its own."""
    target = look_up(silent.url, allow_private=True)
    with pytest.raises(TimeoutError):
        post(target, {}, "{}", deadline=0.3)


def test_who_refuses_at_once_is_not_said_to_be_late():
    """Nobody listens there: that is told as it is, within the deadline."""
    with socket.create_server(("127.0.0.1", 0)) as held:
        port = held.getsockname()[1]
    with pytest.raises(ConnectionRefusedError):
        post(look_up(f"http://127.0.0.1:{port}/", allow_private=True), {}, "{}", deadline=30.0)


def test_a_handshake_that_never_comes_to_an_end_is_cut(silent):
    """Over TLS the deadline begins before the handshake."""
    target = look_up(silent.url.replace("http:", "https:"), allow_private=True)
    with pytest.raises((TimeoutError, OSError)):
        post(target, {}, "{}", deadline=0.3)


def with_hooks(database, workshop, *urls, plans=1, at=100.0):
    """A workshop with webhooks, whose plans were just cancelled."""
    workshop_id = workshops.ensure(database, workshop, 0.0)
    with database.write() as connection:
        for url in urls:
            webhook_outbox.add_webhook(connection, workshop_id, url, SECRET, 0.0)
        for _ in range(plans):
            plan = submit(connection, workshop_id, Submission("{}", "t", 5.0, "small"), 1.0)
            ending.cancel(connection, "plan", plan.id, at)
    return workshop_id


def test_a_slow_receiver_holds_up_no_other(database, ear, silent, monkeypatch):
    """One at a time, a receiver that never came to an end kept every workshop's messages back."""
    monkeypatch.setattr(sender, "post", partial(post, deadline=60.0))
    with_hooks(database, "slow", silent.url, plans=10, at=50.0)
    with_hooks(database, "willow", ear.url, plans=5, at=time.time() - 1)
    carrying = WebhookSender(database, Settings(allow_private_webhooks=True))
    carrying.start()
    waited(lambda: len(ear.heard) == 5, 60)
    assert len(silent.connections) <= 1, "never two to one receiver"
    carrying.stop()
    silent.end()


def arrived(database, fair, message):
    """As the process says it that sent the message."""
    with database.write() as connection:
        webhook_outbox.tell_receiver(connection, message, "answered 204", 200.0, None)
    fair.over(message)


def test_workshops_take_turns(database):
    """A workshop with many receivers and many messages gets no more turns than one with a single one."""
    many = with_hooks(database, "many", *(f"http://192.31.196.1/{n}" for n in range(6)), plans=5)
    one = with_hooks(database, "one", "http://192.31.196.2/", plans=3, at=101.0)
    fair, taken = FairShare(), []
    while message := take_one(database, fair, 200.0):
        taken.append(message)
    assert [message.workshop_id for message in taken] == [many, one, many, many], "one a receiver, three a workshop"
    arrived(database, fair, taken[1])
    assert take_one(database, fair, 200.0).workshop_id == one
    arrived(database, fair, taken[0])
    assert take_one(database, fair, 200.0).workshop_id == many


def test_never_two_to_one_receiver_from_two_processes(database):
    """Each process chose for itself alone; which message is on its way was known, not to whom one is."""
    with_hooks(database, "willow", "http://192.31.196.1/", plans=3)
    with_hooks(database, "oak", "http://192.31.196.2/", at=101.0)
    first, second = FairShare(), FairShare()
    mine = take_one(database, first, 200.0)
    theirs = take_one(database, second, 200.0)
    assert (mine.url, theirs.url) == ("http://192.31.196.1/", "http://192.31.196.2/"), "nor do others wait for it"
    assert take_one(database, second, 200.0) is None
    sender.carry(
        database, Settings(), mine, 200.0, lambda connection: 200.0
    )  # refused: it rests, then the next one goes, of either
    first.over(mine)
    assert take_one(database, second, 200.0) is None
    assert take_one(database, second, 200.0 + PAUSES[0]).webhook_id == mine.webhook_id


def test_who_is_quickest_takes_it_and_the_others_what_is_left(database):
    """All look at once, see both receivers, and want the same one."""
    with_hooks(database, "willow", "http://192.31.196.1/", plans=8)
    with_hooks(database, "oak", "http://192.31.196.2/", plans=8, at=101.0)
    together, taken = threading.Barrier(6), []

    class Waiting(FairShare):
        def next(self, due):
            if len(due) == 2:
                together.wait(10)
            return super().next(due)

    def look():
        taken.append(take_one(database, Waiting(), 200.0))

    threads = [threading.Thread(target=look) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(message.url[-2] for message in taken if message) == ["1", "2"]
    assert len(taken) == 6


def test_a_process_that_died_with_a_message_keeps_its_receiver_for_two_minutes(database):
    """And what was thought dead and still says something late takes the receiver from nobody."""
    with_hooks(database, "willow", "http://192.31.196.1/", plans=2)
    late = take_one(database, FairShare(), 200.0)
    assert take_one(database, FairShare(), 200.0 + sender.TAKEN_FOR - 1) is None
    after = take_one(database, FairShare(), 200.0 + sender.TAKEN_FOR)
    assert after.webhook_id == late.webhook_id
    with database.write() as connection:
        webhook_outbox.tell_receiver(connection, late, "answered 204", 400.0, None)
    assert take_one(database, FairShare(), 400.0) is None
    with database.write() as connection:
        webhook_outbox.tell_receiver(connection, after, "answered 204", 401.0, None)
    assert take_one(database, FairShare(), 401.0) is not None


def test_a_wall_clock_put_back_holds_no_message_up(database, ear, monkeypatch):
    """One written down before, one to be tried again: neither waits for the hour to come again."""
    pauses = (0.2, *PAUSES[1:])
    monkeypatch.setattr(sender, "PAUSES", pauses)
    monkeypatch.setattr(sender, "RESTS", pauses)
    ear.answer, real = 503, time.time
    with_hooks(database, "willow", ear.url, at=real() + 3600)
    carrying = WebhookSender(database, Settings(allow_private_webhooks=True))
    carrying.start()
    waited(lambda: len(ear.heard) == 1, 30)
    monkeypatch.setattr("time.time", lambda: real() - 3600)
    ear.answer = 204
    waited(lambda: len(ear.heard) == 2, 30)
    carrying.stop()


def test_a_dead_receiver_rests_with_all_that_waits_for_it(database, ear):
    """It is tried once and not a hundred times; when it is back everything arrives."""
    ear.answer = 503
    with_hooks(database, "willow", ear.url, plans=9)
    settings = Settings(allow_private_webhooks=True)
    assert carry_one(database, settings, 100.0) is True
    assert carry_one(database, settings, 100.0) is False
    assert carry_one(database, settings, 100.0 + PAUSES[0]) is True
    assert carry_one(database, settings, 100.0 + 2 * PAUSES[0]) is False, "longer after the second failure"
    ear.answer, before = 204, len(ear.heard)
    now = 100.0 + PAUSES[0] + PAUSES[1]
    assert sum(carry_one(database, settings, now + n) for n in range(40)) == 9
    assert len({headers["webhook-id"] for headers, _ in ear.heard[before:]}) == 9


def test_what_nobody_took_for_days_is_given_up_also_untried(database, ear):
    """A receiver that rests is tried too seldom for every message's own tries to run out."""
    ear.answer = 503
    with_hooks(database, "willow", ear.url, plans=3)
    settings = Settings(allow_private_webhooks=True)
    assert carry_one(database, settings, 100.0) is True
    assert carry_one(database, settings, 100.0 + sender.GIVEN_UP + 1) is False
    with database.read() as connection:
        rows = connection.execute(OutboxMessage.__table__.select()).all()
    assert {row.next_try_at for row in rows} == {None}


def test_the_outcome_shown_is_that_of_the_last_try(database, ear):
    """Ids are random: the one that sorts last is not the newest."""
    workshop_id = with_hooks(database, "willow", ear.url, plans=8)
    settings = Settings(allow_private_webhooks=True)
    for n in range(8):
        ear.answer = 500 + n
        now = 100.0 + n * PAUSES[5]
        assert carry_one(database, settings, now) is True
        with database.read() as connection:
            (row,) = webhook_outbox.list_webhooks(connection, workshop_id)
        assert (row.outcome, row.told_at) == (f"answered {500 + n}", now)
        assert row.rests_until > now
