"""Tables of orders in the records: numbered from 1, the newest in place of the one before; on both databases."""

from sqlalchemy import select

from worker.records import order_imports, workshops
from worker.records.submitting import Submission, submit
from worker.records.tables import OrderImport, Workshop


def test_each_campaign_numbers_its_own_and_the_newest_counts(database):
    """Of an older one what was said of its columns stays; its lines and its rows set aside go."""
    willow = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        one, other = (
            submit(connection, willow, Submission("{}", name, 5.0, "small"), 0.0).moulding_campaign_id
            for name in ("one", "other")
        )
        assert order_imports.newest(connection, willow, one) is None
        aside = [(4, "no colour", {"ref": "A4"}), (2, "no size", {"ref": "A2"})]
        order_imports.keep(connection, willow, one, "first.csv", {"ref": "Order"}, [{"ref": "A1"}], aside, 1.0)
        before = connection.execute(select(Workshop.stored_bytes)).scalar_one()
        first = order_imports.newest(connection, willow, one)
        assert (first.number, first.file_name, first.lines, first.set_aside) == (1, "first.csv", [{"ref": "A1"}], 2)
        assert [row.row_number for row in order_imports.set_aside(connection, willow, first.id)] == [2, 4]
        order_imports.keep(connection, willow, one, "again.csv", {"ref": "Order"}, [{"ref": "A1"}], aside, 2.0)
        second = order_imports.newest(connection, willow, one)
        assert (second.number, second.file_name, second.set_aside) == (2, "again.csv", 2)
        assert order_imports.set_aside(connection, willow, first.id) == []
        kept = select(OrderImport.said, OrderImport.lines).where(OrderImport.id == first.id)
        assert connection.execute(kept).one() == ('{"ref": "Order"}', "[]")
        assert connection.execute(select(Workshop.stored_bytes)).scalar_one() == before + len('{"ref": "Order"}[]')
        assert order_imports.newest(connection, willow, other) is None
        order_imports.keep(connection, willow, other, "third.csv", {}, [], [], 3.0)
        assert order_imports.newest(connection, willow, other).number == 1
        stranger = workshops.ensure(database, "willow", 0.0) + "x"
        assert order_imports.newest(connection, stranger, one) is None
