"""Spoils at the benches: parts and pieces that are not there yet, people that are not there at all (A8, A9)."""

import copy
from datetime import datetime

from tests.support.spoils.ways import NoPlace, Spoilt, first, later, seconds_between, spoils


@spoils("A8")
def assembled_before_the_parts_exist(s: Spoilt) -> None:
    runs = [run for run in s.plan["runs"] if run["parts"]]
    if not runs:
        raise NoPlace
    earliest = min((run["start"] for run in runs), key=datetime.fromisoformat)
    job = max(s.plan["assembly"], key=lambda job: job["units"])
    length = seconds_between(job["start"], job["end"])
    job["start"], job["end"] = earliest, later(earliest, int(length))


@spoils("A8")
def parts_not_rested(s: Spoilt) -> None:
    made = {line["part"] for line in s.plan["balance"] if line["to_mould"] > 0 and line["stock"] < line["ordered"]}
    if not made:
        raise NoPlace
    for part in made:
        s.campaign["parts"][part]["rest_hours"] += 2000


@spoils("A8")
def pieces_not_arrived(s: Spoilt) -> None:
    line = first(s.plan["pieces"], lambda line: line["used"] > 0)
    s.campaign["pieces"][line["id"]] |= {"stock": 0, "lead_days": None}
    s.campaign["pieces"][line["id"]]["arrivals"] = [{"on": "2049-01-01", "amount": 1e6}]


@spoils("A8")
def bought_pieces_late(s: Spoilt) -> None:
    line = first(s.plan["pieces"], lambda line: line["bought"] > 0)
    s.campaign["pieces"][line["id"]]["lead_days"] = 2000


@spoils("A8")
def packed_before_assembled(s: Spoilt) -> None:
    for batch in s.plan["batches"]:
        for job in s.plan["assembly"]:
            if job["batch"] == batch["id"]:
                batch["start"] = later(job["end"], -1)
                return
    raise NoPlace


@spoils("A8")
def assembly_job_dropped(s: Spoilt) -> None:
    s.plan["assembly"].pop()


@spoils("A8")
def assembled_in_another_colourway(s: Spoilt) -> None:
    for job in s.plan["assembly"]:
        others = sorted(set(s.campaign["products"][job["product"]]["colourways"]) - {job["colourway"]})
        if others:
            job["colourway"] = others[0]
            return
    raise NoPlace


@spoils("A8")
def one_unit_too_few_assembled(s: Spoilt) -> None:
    first(s.plan["assembly"], lambda job: job["units"] > 1)["units"] -= 1


@spoils("A8")
def assembly_for_a_batch_nobody_knows(s: Spoilt) -> None:
    s.plan["assembly"][0]["batch"] = "unheard-of"


@spoils("A8")
def a_lot_travels_that_nobody_sends(s: Spoilt) -> None:
    line, at = s.plan["balance"][0], s.plan["start"]
    s.plan["finishing_lots"].append(
        {"id": "lot-1", "part": line["part"], "colours": line["colours"], "good": 1, "complete": at, "visits": [],
         "there": at}
    )  # fmt: skip


@spoils("A11")
def pieces_said_to_come_in_lots(s: Spoilt) -> None:
    line = first(s.plan["pieces"], lambda line: line["bought"] > 0)
    line["lots"] = [{"on": line["order_by"], "pieces": line["bought"]}]


@spoils("A7")
def said_to_be_spoilt_after_the_press(s: Spoilt) -> None:
    s.plan["balance"][0]["finishing_scrap"] = 0.1


@spoils("A9")
def two_assembly_jobs_at_once(s: Spoilt) -> None:
    jobs = [job for job in s.plan["assembly"] if job["start"] < job["end"]]
    if len(jobs) < 2:
        raise NoPlace
    jobs[1]["start"], jobs[1]["end"] = jobs[0]["start"], jobs[0]["end"]


@spoils("A9")
def two_batches_packed_at_once(s: Spoilt) -> None:
    batches = [batch for batch in s.plan["batches"] if batch["start"] < batch["end"]]
    if len(batches) < 2:
        raise NoPlace
    batches[1]["start"], batches[1]["end"] = batches[0]["start"], batches[0]["end"]


@spoils("A9")
def packing_done_too_soon(s: Spoilt) -> None:
    batch = first(s.plan["batches"], lambda batch: seconds_between(batch["start"], batch["end"]) > 1)
    batch["end"] = later(batch["end"], -1)


@spoils("A9")
def assembly_done_too_soon(s: Spoilt) -> None:
    job = first(s.plan["assembly"], lambda job: seconds_between(job["start"], job["end"]) > 60)
    job["end"] = later(job["end"], -60)


@spoils("A9")
def people_who_are_not_there(s: Spoilt) -> None:
    """Half the packing bench's day is gone from the campaign."""
    batch = first(s.plan["batches"], lambda batch: batch["start"] < batch["end"])
    s.campaign["packing"]["on_dates"] = {batch["start"][:10]: "closed", batch["end"][:10]: "closed"}


@spoils("A9")
def person_minutes_understated(s: Spoilt) -> None:
    first(s.plan["batches"], lambda batch: batch["person_minutes"] > 0)["person_minutes"] /= 2


@spoils("A9")
def assembly_minutes_understated(s: Spoilt) -> None:
    first(s.plan["assembly"], lambda job: job["person_minutes"] > 0)["person_minutes"] /= 2


@spoils("A9")
def inspection_nobody_asked_for(s: Spoilt) -> None:
    s.plan["assembly"][0]["inspection_minutes"] += 5


@spoils("A9")
def setter_nobody_employs(s: Spoilt) -> None:
    changeover = s.run(lambda run: run["changeover"])["changeover"]
    changeover["setter"] = s.campaign["floor"]["setters"] + 1


@spoils("A9")
def somebody_stays_at_a_press_unasked(s: Spoilt) -> None:
    s.plan["runs"][0]["operators"] = 1


@spoils("A9")
def one_setter_at_two_presses(s: Spoilt) -> None:
    run = copy.deepcopy(s.run(lambda run: run["changeover"]))
    s.campaign["presses"]["elsewhere"] = copy.deepcopy(s.campaign["presses"][run["press"]])
    run["press"], run["id"] = "elsewhere", run["id"] + "-again"
    s.plan["runs"].append(run)


@spoils("A8")
def product_nobody_sells(s: Spoilt) -> None:
    s.plan["assembly"][0]["product"] = "unheard-of"


@spoils("A8")
def piece_nobody_knows(s: Spoilt) -> None:
    s.plan["batches"][0]["pieces"]["unheard-of"] = 1


@spoils("A9")
def bench_moment_with_another_offset(s: Spoilt) -> None:
    batch = s.plan["batches"][0]
    batch["end"] = datetime.fromisoformat(later(batch["end"], 5 * 3600)).isoformat()[:19] + "+05:00"


@spoils("A9")
def bench_at_work_before_the_campaign(s: Spoilt) -> None:
    job = s.plan["assembly"][0]
    job["start"], job["end"] = later(s.plan["start"], -7200), later(s.plan["start"], -3600)


@spoils("A9")
def bench_that_is_never_open(s: Spoilt) -> None:
    first(s.plan["batches"], lambda batch: batch["start"] < batch["end"])
    s.campaign["packing"]["hours"], s.campaign["packing"]["on_dates"] = {"mon": "closed"}, {}


@spoils("A9")
def more_from_hand_than_units(s: Spoilt) -> None:
    job = s.plan["assembly"][0]
    job["from_hand"] = job["units"] + 1
