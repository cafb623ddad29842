"""A floor's log that goes exactly as planned up to a moment."""

from datetime import datetime

from planner.actuals.entries import Actuals, Packed, Purged, ShotsMade
from planner.campaign import Campaign
from planner.campaign.unknown_melts import UNKNOWN
from planner.plan.document import RunPlan


def played(campaign: Campaign, plan: RunPlan, until: datetime) -> Actuals:
    """Entries for every stretch, purge and pack batch over by `until` (wall clock with offset)."""
    entries: list[Purged | ShotsMade | Packed] = []

    def wall(moment: datetime) -> datetime:
        return moment.replace(tzinfo=None, microsecond=0)

    for run in plan.runs:
        colours = [melt.partition("/")[2] for melt in run.melts]
        if run.changeover and run.changeover.end <= until:
            for purge in run.changeover.purges:
                told = {"press": run.press, "barrel": purge.barrel, "to": purge.to, "kg": purge.kg}
                if purge.from_ != UNKNOWN:
                    told["from"] = purge.from_
                entries.append(Purged.model_validate({"at": wall(run.changeover.end)} | told))
        for stretch in run.stretches:
            if stretch.end > until:
                break
            good = {
                part: int(stretch.shots * cavities * (1 - campaign.tools[run.tool].scrap_share))
                for part, cavities in campaign.tools[run.tool].cavities.items()
                if cavities > campaign.tools[run.tool].blocked_cavities.get(part, 0)
            }
            entries.append(
                ShotsMade(at=wall(stretch.end), press=run.press, tool=run.tool, colours=colours, shots=stretch.shots,
                          good=good, hours=max(1, stretch.shots * run.shot_seconds) / 3600, done=stretch.end == run.end)
            )  # fmt: skip
    for batch in plan.batches:
        if batch.end <= until:
            entries += [
                Packed(at=wall(batch.end), line=line.line, parcels=line.count, person_minutes=batch.person_minutes)
                for line in batch.lines
            ]
    return Actuals(as_of=wall(until), entries=sorted(entries, key=lambda e: e.at))
