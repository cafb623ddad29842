"""Settings from the environment: every kind of value, and what is none."""

from pathlib import Path

import pytest

from worker.settings import Settings


def test_each_kind_is_read_and_handed_on():
    """Text, whole number, number, yes or no, folder; children get exactly what differs from the defaults."""
    told = {
        "SHOT_TO_SHIP_DATA": "/tmp/moulds", "SHOT_TO_SHIP_PORT": "8123", "SHOT_TO_SHIP_LEASE": "4.5",
        "SHOT_TO_SHIP_ALLOW_PRIVATE_WEBHOOKS": "True", "SHOT_TO_SHIP_HOST": "0.0.0.0",
    }  # fmt: skip
    settings = Settings.from_environment(told | {"PATH": "/bin"})
    assert (settings.data, settings.port, settings.lease) == (Path("/tmp/moulds"), 8123, 4.5)
    assert (settings.allow_private_webhooks, settings.host) == (True, "0.0.0.0")
    assert settings.to_environment() == told
    assert Settings.from_environment(settings.to_environment()) == settings
    assert Settings().to_environment() == {}


def test_what_clients_read_stops_no_start():
    """Address and key of a service are documented for the same shell; a service started there takes no notice."""
    told = {"SHOT_TO_SHIP_SERVICE": "http://127.0.0.1:8171", "SHOT_TO_SHIP_KEY": "secret"}
    assert Settings.from_environment(told) == Settings()


@pytest.mark.parametrize(
    ("variable", "text", "words"),
    [
        ("PORT", "eighty", "SHOT_TO_SHIP_PORT must be a whole number, not 'eighty'"),
        ("LEASE", "", "SHOT_TO_SHIP_LEASE must be a number, not ''"),
        ("ALLOW_PRIVATE_WEBHOOKS", "perhaps", "must be true or false, not 'perhaps'"),
        ("PROT", "1", "SHOT_TO_SHIP_PROT is not a setting; known: .*port"),
    ],
)
def test_what_is_no_setting_stops_the_start(variable, text, words):
    """With the variable's name."""
    with pytest.raises(ValueError, match=words):
        Settings.from_environment({f"SHOT_TO_SHIP_{variable}": text})


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"PORT": "-1"}, "PORT must be from 0 to 65535"),
        ({"PORT": "80000"}, "PORT must be from 0 to 65535"),
        ({"LEASE": "nan"}, "LEASE must be from"),
        ({"HEARTBEAT": "inf"}, "HEARTBEAT must be from"),
        ({"LARGEST_BUDGET": "1e-320"}, "LARGEST_BUDGET must be from"),
        ({"ATTEMPTS": "0"}, "ATTEMPTS must be from"),
        ({"MEMORY_BYTES_PER_PLAN": "4"}, "MEMORY_BYTES_PER_PLAN must be from"),
        ({"HEARTBEAT": "20"}, "HEARTBEAT .* must not be above .*LEASE"),
        ({"HOST": " "}, "HOST must be an address"),
        ({"TLS_KEY": "/nowhere"}, "set both or not at all"),
        ({"TLS_KEY": "/nowhere", "TLS_CERTIFICATE": "/nowhere"}, "TLS_CERTIFICATE names no file"),
        ({"REDIS_URL": "queue:6379"}, "REDIS_URL is no address of a queue"),
        ({"PUBLIC_ADDRESS": "plans.example"}, "PUBLIC_ADDRESS must be what others open, .* not 'plans.example'"),
        ({"PUBLIC_ADDRESS": "https://a:b@plans.example"}, "PUBLIC_ADDRESS must be"),
        ({"TRUSTED_PROXIES": "127.0.0.1, proxy"}, "TRUSTED_PROXIES must be .* 'proxy' is none"),
        ({"WEBHOOK_KEY": "secret"}, "WEBHOOK_KEY must have 16 characters or more"),
    ],
)
def test_nonsense_is_refused_by_its_name(given, words):
    """A service that begins with it would wait for ever, or never begin."""
    with pytest.raises(ValueError, match=words):
        Settings.from_environment({f"SHOT_TO_SHIP_{name}": text for name, text in given.items()})


def test_what_is_right_of_these_is_taken():
    """An address with a password and a number of a database, a proxy's network, a key that is long enough."""
    told = {
        "REDIS_URL": "rediss://:p@queue:6379/0",
        "PUBLIC_ADDRESS": "https://plans.example:8443/",
        "TRUSTED_PROXIES": "127.0.0.1, 10.0.0.0/8,fd00::/8,*",
        "WEBHOOK_KEY": "sixteen letters.",
    }
    settings = Settings.from_environment({f"SHOT_TO_SHIP_{name}": text for name, text in told.items()})
    assert settings.to_environment() == {f"SHOT_TO_SHIP_{name}": text for name, text in told.items()}
