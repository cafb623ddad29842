"""A workshop is made once, whoever asks first."""

from sqlalchemy import func, select

from worker.records import workshops
from worker.records.tables import Workshop


def test_a_workshop_is_made_once_and_found_by_its_name(database):
    """With the usual quotas; names that differ in a letter are two."""
    willow = workshops.ensure(database, "willow", 7.0)
    assert workshops.ensure(database, "willow", 9.0) == willow != workshops.ensure(database, "Willow", 9.0)
    with database.read() as connection:
        assert connection.execute(select(func.count()).select_from(Workshop)).scalar() == 2
        assert workshops.find_by_name(connection, "willow") == willow
        assert workshops.find_by_name(connection, "alder") is None
        row = connection.execute(select(Workshop).where(Workshop.id == willow)).one()
    assert (row.created_at, row.max_requests_per_minute, row.max_open_plans, row.max_cores) == (7.0, 6000, 1000, 8)


def test_who_comes_second_gets_what_the_first_one_made(database, monkeypatch):
    """Another process makes it between the look and the writing."""
    look, looks = workshops.find_by_name, []

    def quicker(connection, name):
        looks.append(name)
        if len(looks) == 1:
            monkeypatch.setattr(workshops, "find_by_name", look)
            ours.append(workshops.ensure(database, name, 1.0))
            return None
        return look(connection, name)

    ours: list[str] = []
    monkeypatch.setattr(workshops, "find_by_name", quicker)
    assert workshops.ensure(database, "willow", 2.0) == ours[0]
