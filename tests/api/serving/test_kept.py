"""What is kept, printed for whoever runs the service."""

from api.serving import kept
from worker.queue import keeping
from worker.records import workshops
from worker.records.opening import open_records
from worker.records.retention import Ages
from worker.records.submitting import Submission, submit
from worker.settings import Settings


def test_every_kind_is_counted_with_what_its_time_is(tmp_path, capsys) -> None:
    settings = Settings(data=tmp_path / "data", keep_events_days=7.0)
    database = open_records(settings)
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 0.0)
    (settings.data / "logs").mkdir()
    (settings.data / "logs" / "api.log").write_bytes(b"x" * 2**21)
    kept.run(settings)
    lines = {line.split()[0]: line for line in capsys.readouterr().out.splitlines()}
    with database.read() as connection:
        assert set(keeping.kept.measured(connection)) | {"kind", "logs"} == set(lines)
    database.close()
    assert lines["events"].split()[1] == "1"
    assert "7 days after the end" in lines["events"]
    assert lines["logs"].split()[1:3] == ["1", "2.0"]
    assert Ages.said_by(settings).events == 7 * 86400
