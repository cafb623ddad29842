"""Everything the service can be told from outside, read once from the environment.

Each setting is an environment variable named SHOT_TO_SHIP_ and the field's name in capitals.
"""

import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path
from urllib.parse import quote

PREFIX = "SHOT_TO_SHIP_"
_NAMED_ONLY = re.compile(r"[a-z0-9+]+://[^:@/]+@[^@]+$")
_IN_WORDS: dict[type, str] = {int: "a whole number", float: "a number"}


@dataclass(frozen=True)
class Settings:
    """Seconds unless the name says otherwise; bytes where it says bytes."""

    data: Path = Path(".shot-to-ship")
    """Folder for the database, the broker's log and the logs of `./run serve`."""
    database_url: str = field(default="", repr=False)
    """SQLAlchemy address; empty: one SQLite file in the data folder."""
    database_password: str = field(default="", repr=False)
    """Password for `database_url`, as it is: in the address some characters would have to be written as %40."""
    redis_url: str = field(default="", repr=False)
    """Address of a Redis-protocol server; empty: `./run serve` starts one itself."""

    host: str = "127.0.0.1"
    port: int = 8000
    """0: any free port."""

    default_budget: float = 45.0
    """Planning time a plan gets when the submitter names none."""
    largest_budget: float = 3600.0
    overrun_grace: float = 90.0
    """How long past its budget a solve may run before its process is ended."""
    heartbeat: float = 2.0
    lease: float = 15.0
    """A worker that is silent this long has lost its plan to the next one."""
    attempts: int = 3
    """A plan whose worker was lost this often fails instead of killing the next worker."""
    resend_after: float = 6.0
    """A queued plan that no queue holds is sent again after this long."""
    memory_bytes_per_plan: int = 4 * 2**30
    cores_per_plan: int = 0
    """Cores one plan may keep busy; 0: two (the search, and the bound beside it) where the machine has them."""

    api_processes: int = 0
    """That answer requests, started by `serve`; 0: as many as there are cores, four at most."""
    max_connections: int = 1000
    """Open to one API process at once; whoever comes then is told to come again."""
    requests_per_address: int = 6000
    """A minute, counted before a key is looked up; a workshop's own quota comes after."""
    tls_certificate: str = ""
    """File with the certificate chain (PEM); with `tls_key` the service speaks HTTPS itself."""
    tls_key: str = field(default="", repr=False)
    """File with the certificate's key (PEM)."""
    trusted_proxies: str = "127.0.0.1"
    """Addresses, with commas, of reverse proxies whose X-Forwarded-For and X-Forwarded-Proto are believed."""

    public_address: str = ""
    """What others open, as `https://plans.example`: for codes on paper and links; empty: found by itself."""

    largest_body_bytes: int = 16 * 2**20
    """Of a campaign: 100,000 order lines with the maker's references are some ten million bytes."""
    deepest_body: int = 32
    allow_private_webhooks: bool = False
    """Webhooks to addresses inside: for a workshop whose programs run beside the service."""
    webhook_key: str = field(default="", repr=False)
    """What webhooks' signing secrets are derived from, the same for every process; empty: a file in the data folder."""
    keep_deliveries_days: float = 30.0
    """Webhook messages that arrived or were given up go after so many days."""
    keep_events_days: float = 90.0
    """What happened while a plan or study was made goes so many days after it ended; how it ended stays."""
    keep_revisions_days: float = 365.0
    """Run plans that newer ones of the same plan have followed go after so many days; the newest ten stay."""
    keep_bytes: int = 2**30
    """Of webhook messages, and of events: beyond so many bytes the oldest go, though their time is not over."""

    metrics_token: str = field(default="", repr=False)
    """What a scraper sends off loopback; empty: nobody off loopback may read the metrics."""

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] | None = None) -> "Settings":
        """Settings with every SHOT_TO_SHIP_ variable applied.

        Raises ValueError for an unknown variable or a value that does not fit, naming the variable.
        """
        environment = os.environ if environment is None else environment
        known = {f.name: f for f in fields(cls)}
        given: dict[str, object] = {}
        for variable, text in environment.items():
            if not variable.startswith(PREFIX):
                continue
            name = variable.removeprefix(PREFIX).lower()
            if name not in known:
                raise ValueError(f"{variable} is not a setting; known: {', '.join(sorted(known))}")
            given[name] = _read(variable, text, type(known[name].default))
        settings = cls(**given)  # type: ignore[arg-type]  # each was read as its own field's kind
        for name, least, most in _BOUNDS:
            value = getattr(settings, name)
            if not least <= value <= most:
                raise ValueError(f"{PREFIX}{name.upper()} must be from {least:g} to {most:g}, not {value:g}")
        for smaller, larger in _IN_ORDER:
            if getattr(settings, smaller) > getattr(settings, larger):
                raise ValueError(
                    f"{PREFIX}{smaller.upper()} ({getattr(settings, smaller):g}) must not be above "
                    f"{PREFIX}{larger.upper()} ({getattr(settings, larger):g})"
                )
        if settings.database_password and not _NAMED_ONLY.match(settings.database_url):
            raise ValueError(
                f"{PREFIX}DATABASE_PASSWORD goes with a {PREFIX}DATABASE_URL that names a user and no password, e.g. "
                "postgresql+psycopg://planner@database:5432/planner"
            )
        if bool(settings.tls_certificate) != bool(settings.tls_key):
            raise ValueError(f"{PREFIX}TLS_CERTIFICATE and {PREFIX}TLS_KEY are set both or not at all")
        for name in ("tls_certificate", "tls_key"):
            if (file := getattr(settings, name)) and not Path(file).is_file():
                raise ValueError(f"{PREFIX}{name.upper()} names no file: {file}")
        if not settings.host.strip():
            raise ValueError(f"{PREFIX}HOST must be an address or a name, e.g. 127.0.0.1")
        return settings

    @property
    def listeners(self) -> int:
        """API processes that `serve` starts."""
        return self.api_processes or min(4, os.cpu_count() or 1)

    @property
    def cores(self) -> int:
        """Cores one plan may keep busy."""
        return self.cores_per_plan or min(2, os.cpu_count() or 1)

    @property
    def database(self) -> str:
        """The database's address, whichever way it was given."""
        if self.database_password:
            before, at, rest = self.database_url.partition("@")
            return f"{before}:{quote(self.database_password, safe='')}{at}{rest}"
        return self.database_url or f"sqlite:///{(self.data / 'records.sqlite').absolute()}"

    def to_environment(self) -> dict[str, str]:
        """The variables that make `from_environment` give these settings again, for child processes."""
        return {
            PREFIX + f.name.upper(): str(value) for f in fields(self) if (value := getattr(self, f.name)) != f.default
        }


_BOUNDS: tuple[tuple[str, float, float], ...] = (
    ("port", 0, 65535),
    ("default_budget", 0.1, 86400),
    ("largest_budget", 0.1, 86400),
    ("overrun_grace", 0, 86400),
    ("heartbeat", 0.01, 3600),
    ("lease", 0.1, 86400),
    ("attempts", 1, 100),
    ("resend_after", 0.1, 86400),
    ("memory_bytes_per_plan", 2**28, 2**50),
    ("cores_per_plan", 0, 1024),
    ("api_processes", 0, 64),
    ("max_connections", 1, 1_000_000),
    ("requests_per_address", 1, 10_000_000),
    ("largest_body_bytes", 1000, 2**30),
    ("deepest_body", 4, 500),
    ("keep_deliveries_days", 0.01, 36500),
    ("keep_events_days", 0.01, 36500),
    ("keep_revisions_days", 0.01, 36500),
    ("keep_bytes", 2**20, 2**50),
)
"""Settings that are numbers, with what they may be: beyond it, something would wait for ever or never begin."""
_IN_ORDER = (("default_budget", "largest_budget"), ("heartbeat", "lease"))


def _read(variable: str, text: str, kind: type) -> object:
    if kind is bool:
        if text.lower() in {"1", "true", "yes"}:
            return True
        if text.lower() in {"0", "false", "no", ""}:
            return False
        raise ValueError(f"{variable} must be true or false, not {text!r}")
    try:
        # pathlib.Path() makes a PosixPath; every other kind is its own constructor.
        read: Callable[[str], object] = Path if issubclass(kind, Path) else kind
        return read(text)
    except ValueError:
        raise ValueError(f"{variable} must be {_IN_WORDS[kind]}, not {text!r}") from None
