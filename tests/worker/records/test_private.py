"""What the service keeps is its owner's alone."""

import stat

from worker.records.opening import open_records
from worker.settings import Settings


def test_what_an_older_version_left_readable_is_closed(tmp_path) -> None:
    """The folder, the records, logs and the queue's file; what the service did not write is left as it is."""
    folder = tmp_path / "data"
    open_records(Settings(data=folder)).close()
    (folder / "logs").mkdir()
    (folder / "appendonlydir").mkdir()
    written = ["records.sqlite", "broker.log", "broker.json", "logs/api.log", "appendonlydir/a.aof", "webhook.key"]
    for name in written:
        (folder / name).touch()
        (folder / name).chmod(0o644)
    (folder / "the-makers-own.csv").touch()
    (folder / "the-makers-own.csv").chmod(0o644)
    outside = tmp_path / "outside.log"
    outside.touch()
    outside.chmod(0o644)
    (folder / "linked.log").symlink_to(outside)
    for path in (folder, folder / "logs", folder / "appendonlydir"):
        path.chmod(0o755)
    open_records(Settings(data=folder)).close()
    assert all(not stat.S_IMODE((folder / name).stat().st_mode) & 0o077 for name in ["", "logs", *written])
    assert stat.S_IMODE((folder / "the-makers-own.csv").stat().st_mode) == 0o644
    assert stat.S_IMODE(outside.stat().st_mode) == 0o644
