"""Whether a press may take over a run that the plan has on another (A13): R1 and A6 read anew. Where a resin would have
to go between two others, or a dryer decides, nothing is said."""

from dataclasses import replace

from planner.audit import resin_heat
from planner.audit.anew_made import Lot
from planner.audit.anew_presses import Presses
from planner.audit.anew_purges import CannotTell
from planner.audit.anew_waits import named
from planner.audit.case import Work
from planner.audit.places import who_stay
from planner.audit.resin_reading import read_resin


class Fitting:
    """The presses of one case, as runs are taken over from one to another."""

    def __init__(self, shop: Presses) -> None:
        self.shop, self.case = shop, shop.case

    def moved(self, press: str, lot: Lot, others: list[Lot]) -> Lot | None:
        """The lot on that press, beside others that are its own; None: it cannot be moulded there."""
        key = "taken over", press, lot.tool, tuple(lot.work.run.melts)
        work = self.case.once(key, lambda: self._there(press, lot.work))
        if work is None:
            return None
        for other in others:
            if other.number != lot.number:
                self._surely_harmless([resin for resin, _ in other.work.melts], [resin for resin, _ in work.melts])
        return replace(lot, work=work)

    def _there(self, press: str, work: Work) -> Work | None:
        campaign, tool = self.case.campaign, work.tool
        if press not in tool.presses:
            return None
        machine = campaign.presses[press]
        for wish in self.shop.waits.wishes:
            if wish.kind == "press" and wish.press != press and wish.runs is not None and named(wish.runs, work):
                return None
        fine = tool.clamp_kn <= machine.clamp_kn and work.barrels <= len(machine.barrels)
        fine = fine and tool.operators <= who_stay(campaign, machine)[0]
        fine = fine and all(
            barrel.shot_min_g <= grams <= barrel.shot_max_g
            for grams, barrel in zip(work.shot_g, machine.barrels, strict=False)
        )
        if not fine:
            return None
        if self.shop.closing(work) is not None:
            raise CannotTell
        for n, (resin, _) in enumerate(work.melts):
            barrel = machine.barrels[n]
            least = resin_heat.heat(campaign, resin).low or 0.0
            unsaid = barrel.unknown or not (barrel.clean or barrel.holds)
            if campaign.resins[resin].dryer_kg is not None or (unsaid and least > resin_heat.UNKNOWN_STANDS):
                raise CannotTell
            held = [*barrel.has_held, *([barrel.holds.rpartition("/")[0]] if barrel.holds else [])]
            self._surely_harmless(held, [resin] * len(held))
            theirs = [other for one in machine.others for other in one.resins]
            self._surely_harmless(theirs, [resin] * len(theirs))
        return self.case.read(work.run.model_copy(update={"press": press}))

    def _surely_harmless(self, resins: list[str], others: list[str]) -> None:
        """Nothing is said of resins that are not as harmless beside each other as can be."""
        campaign = self.case.campaign
        for one, other in zip(resins, others, strict=False):
            if one == other:
                continue
            what = [read_resin(name, campaign.resins[name]) for name in (one, other) if name in campaign.resins]
            doubtful = len(what) < 2 or any(read.acetal or read.halogenated or read.unsure for read in what)
            if doubtful or campaign.forbidden_pairs or not resin_heat.meet(campaign, one, other):
                raise CannotTell
