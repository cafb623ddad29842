"""What travels off this machine travels encrypted, or the log says that it does not."""

import ssl
import subprocess

import httpx2
import pytest

from api.__main__ import warn_of_listeners
from tests.live_service import forked_service
from worker.settings import Settings


@pytest.mark.parametrize(
    ("host", "certificate", "warned"),
    [("0.0.0.0", "", True), ("192.0.2.7", "", True), ("0.0.0.0", "cert.pem", False), ("127.0.0.1", "", False)],
)
def test_whoever_can_be_listened_to_is_told(caplog, host, certificate, warned) -> None:
    """192.0.2.7: an address for documentation (RFC 5737)."""
    warn_of_listeners(Settings(host=host, tls_certificate=certificate, tls_key=certificate))
    assert ("travel unencrypted" in caplog.text) is warned


@pytest.mark.service
def test_with_a_certificate_the_service_speaks_https(tmp_path) -> None:
    """And only that; the certificate is the one that was given. It is made with openssl, as an operator would."""
    chain, key = tmp_path / "cert.pem", tmp_path / "key.pem"
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2",
         "-subj", "/CN=localhost", "-addext", "subjectAltName=IP:127.0.0.1", "-out", chain, "-keyout", key],
        check=True, capture_output=True,
    )  # fmt: skip
    live = forked_service(tmp_path / "service", tls_certificate=str(chain), tls_key=str(key))
    try:
        live.start_broker()
        live._start("api", "-m", "api", "listen")
        trusting = ssl.create_default_context(cafile=str(chain))
        address = live.url.replace("http://", "https://")
        with httpx2.Client(verify=trusting, trust_env=False) as client:
            live.wait(lambda: client.get(f"{address}/v1/live").status_code == 200, 180)
        with pytest.raises(httpx2.HTTPError):
            live.get("/v1/live")
    finally:
        live.end()
