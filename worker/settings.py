"""Everything the service can be told from outside, read once from the environment.

Each setting is an environment variable named SHOT_TO_SHIP_ and the field's name in capitals.
"""

import os
import re
from collections.abc import Mapping
from ipaddress import ip_network
from pathlib import Path
from typing import Any
from urllib.parse import quote

from pydantic import Field, ValidationError
from pydantic_settings import BaseSettings, EnvSettingsSource, PydanticBaseSettingsSource, SettingsConfigDict

PREFIX = "SHOT_TO_SHIP_"
SERVICE = f"{PREFIX}SERVICE"
KEY = f"{PREFIX}KEY"
"""What commands read that talk to a service, its address and their access key: no settings, and nothing to stop at
where a service starts in the same shell."""
_NAMED_ONLY = re.compile(r"[a-z0-9+]+://[^:@/]+@[^@]+$")
_OPENED = re.compile(r"https?://[^\s/?#@]+/?$")
_QUEUES = ("redis://", "rediss://")
SHORTEST_KEY = 16
"""Characters of a key that somebody makes up."""
_IN_WORDS = {
    "int_parsing": "a whole number", "int_from_float": "a whole number", "float_parsing": "a number",
    "bool_parsing": "true or false",
}  # fmt: skip
"""What a setting should have been, by pydantic's name of what is wrong with it."""


class Settings(BaseSettings):
    """Seconds unless the name says otherwise; bytes where it says bytes.

    What a number may be is bounded: beyond it, something would wait for ever or never begin.
    """

    model_config = SettingsConfigDict(
        env_prefix=PREFIX, frozen=True, extra="forbid", validate_default=False, use_attribute_docstrings=True
    )

    data: Path = Path(".shot-to-ship")
    """Folder for the database, the broker's log and the logs of `./run serve`."""
    database_url: str = Field(default="", repr=False)
    """SQLAlchemy address; empty: one SQLite file in the data folder."""
    database_password: str = Field(default="", repr=False)
    """Password for `database_url`, as it is: in the address some characters would have to be written as %40."""
    redis_url: str = Field(default="", repr=False)
    """Address of a Redis-protocol server; empty: `./run serve` starts one itself."""

    host: str = "127.0.0.1"
    port: int = Field(default=8000, ge=0, le=65535)
    """0: any free port."""

    largest_budget: float = Field(default=3600.0, ge=0.1, le=86400)
    """Planning time no plan gets more of, whatever its campaign asks for; without a word it asks for 20 s."""
    overrun_grace: float = Field(default=90.0, ge=0, le=86400)
    """How long past its budget a solve may run before its process is ended; waiting for a free core does not count, up
    to ten times as long."""
    heartbeat: float = Field(default=2.0, ge=0.01, le=3600)
    lease: float = Field(default=15.0, ge=0.1, le=86400)
    """A worker that is silent this long has lost its plan to the next one."""
    attempts: int = Field(default=3, ge=1, le=100)
    """A plan whose worker was lost this often fails instead of killing the next worker."""
    resend_after: float = Field(default=6.0, ge=0.1, le=86400)
    """A queued plan that no queue holds is sent again after this long."""
    memory_bytes_per_plan: int = Field(default=4 * 2**30, ge=2**28, le=2**50)
    cores_per_plan: int = Field(default=0, ge=0, le=1024)
    """Cores one plan may keep busy; 0: two (the search, and the bound beside it) where the machine has them."""

    api_processes: int = Field(default=0, ge=0, le=64)
    """That answer requests, started by `serve`; 0: as many as there are cores, four at most."""
    max_connections: int = Field(default=1000, ge=1, le=1_000_000)
    """Open to one API process at once; whoever comes then is told to come again."""
    requests_per_address: int = Field(default=6000, ge=1, le=10_000_000)
    """A minute, counted before a key is looked up; a workshop's own quota comes after."""
    tls_certificate: str = ""
    """File with the certificate chain (PEM); with `tls_key` the service speaks HTTPS itself."""
    tls_key: str = Field(default="", repr=False)
    """File with the certificate's key (PEM)."""
    trusted_proxies: str = "127.0.0.1"
    """Addresses or networks of reverse proxies, with commas, whose X-Forwarded-For and -Proto are believed."""

    public_address: str = ""
    """What others open, as `https://plans.example`: for codes on paper and links; empty: found by itself."""

    largest_body_bytes: int = Field(default=16 * 2**20, ge=1000, le=2**30)
    """Of a campaign: 100,000 order lines with the maker's references are some ten million bytes."""
    deepest_body: int = Field(default=32, ge=4, le=500)
    allow_private_webhooks: bool = False
    """Webhooks to addresses inside: for a workshop whose programs run beside the service."""
    webhook_key: str = Field(default="", repr=False)
    """What webhooks' signing secrets are derived from, the same for every process, 16 characters or more; empty: a file
    in the data folder."""
    keep_deliveries_days: float = Field(default=30.0, ge=0.01, le=36500)
    """Webhook messages that arrived or were given up go after so many days."""
    keep_events_days: float = Field(default=90.0, ge=0.01, le=36500)
    """What happened while a plan or study was made goes so many days after it ended; how it ended stays."""
    keep_revisions_days: float = Field(default=365.0, ge=0.01, le=36500)
    """Run plans that newer ones of the same plan have followed go after so many days; the newest ten stay."""
    keep_asides_days: float = Field(default=365.0, ge=0.01, le=36500)
    """Rows of orders set aside, with the cells that were read, go so many days after their table was brought."""
    keep_bytes: int = Field(default=2**30, ge=2**20, le=2**50)
    """Of webhook messages, and of events: beyond so many bytes the oldest go, though their time is not over."""

    metrics_token: str = Field(default="", repr=False)
    """What a scraper sends off loopback; empty: nobody off loopback may read the metrics."""

    @classmethod
    def settings_customise_sources(
        cls,
        settings_cls: type[BaseSettings],
        init_settings: PydanticBaseSettingsSource,
        *others: Any,
        **named: Any,
    ) -> tuple[PydanticBaseSettingsSource, ...]:
        """What is handed in, and nothing else: the environment is read where `from_environment` is called."""
        return (init_settings,)

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] | None = None) -> "Settings":
        """Settings with every SHOT_TO_SHIP_ variable applied.

        Raises ValueError for an unknown variable or a value that does not fit, naming the variable.
        """
        environment = os.environ if environment is None else environment
        known = {PREFIX + name.upper() for name in cls.model_fields}
        told = {name: text for name, text in environment.items() if name.startswith(PREFIX)}
        told = {name: text for name, text in told.items() if name not in {SERVICE, KEY}}
        if unknown := sorted(name for name in told if name.upper() not in known):
            fields = ", ".join(sorted(cls.model_fields))
            raise ValueError(f"{unknown[0]} is not a setting; known: {fields}")
        source = EnvSettingsSource(cls)
        source.env_vars = {name.lower(): text for name, text in told.items()}
        try:
            settings = cls(**source())
        except ValidationError as error:
            raise ValueError(_in_words(error)) from None
        _fit_together(settings)
        return settings

    @property
    def listeners(self) -> int:
        """API processes that `serve` starts."""
        return self.api_processes or min(4, os.cpu_count() or 1)

    @property
    def url(self) -> str:
        """Where a service of these settings listens."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"{'https' if self.tls_certificate else 'http'}://{host}:{self.port}"

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
        given = self.model_dump(exclude_defaults=True)
        return {PREFIX + name.upper(): str(value) for name, value in given.items()}


def _in_words(error: ValidationError) -> str:
    """The first thing that is wrong, with its variable and what it may be."""
    found = error.errors()[0]
    name = str(found["loc"][0])
    if found["type"] in _IN_WORDS:
        return f"{PREFIX}{name.upper()} must be {_IN_WORDS[found['type']]}, not {found['input']!r}"
    may_be = Settings.model_json_schema()["properties"][name]
    if "minimum" in may_be:
        span = f"{may_be['minimum']:.16g} to {may_be['maximum']:.16g}"
        return f"{PREFIX}{name.upper()} must be from {span}, not {found['input']}"
    return f"{PREFIX}{name.upper()}: {found['msg']}"


def _fit_together(settings: Settings) -> None:
    """Raises ValueError where one setting contradicts another, or names what is not there."""
    if settings.heartbeat > settings.lease:
        raise ValueError(
            f"{PREFIX}HEARTBEAT ({settings.heartbeat:g}) must not be above {PREFIX}LEASE ({settings.lease:g})"
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
    _addresses(settings)
    if 0 < len(settings.webhook_key) < SHORTEST_KEY:
        raise ValueError(f"{PREFIX}WEBHOOK_KEY must have {SHORTEST_KEY} characters or more: who guesses it can sign")


def _addresses(settings: Settings) -> None:
    """Raises ValueError where an address is none: what is asked there would never come."""
    if settings.redis_url and not settings.redis_url.startswith(_QUEUES):
        raise ValueError(f"{PREFIX}REDIS_URL is no address of a queue; write it like redis://:PASSWORD@HOST:6379/0")
    if settings.public_address and not _OPENED.match(settings.public_address):
        raise ValueError(
            f"{PREFIX}PUBLIC_ADDRESS must be what others open, like https://plans.example, "
            f"not {settings.public_address!r}"
        )
    for one in filter(None, (part.strip() for part in settings.trusted_proxies.split(","))):
        if one != "*" and not _is_network(one):
            raise ValueError(
                f"{PREFIX}TRUSTED_PROXIES must be addresses or networks with commas between, "
                f"like 127.0.0.1,10.0.0.0/8; {one!r} is none"
            )


def _is_network(text: str) -> bool:
    try:
        ip_network(text, strict=False)
    except ValueError:
        return False
    return True
