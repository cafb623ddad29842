"""What the form that grows asks for, section by section."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Ask:
    """One thing to fill in. kind: text, number. sample: shown as an example. rare: behind "more"."""

    name: str
    label: str
    kind: str = "text"
    sample: str = ""
    usual: str = ""
    width: int = 12
    rare: bool = False


@dataclass(frozen=True)
class Section:
    """Rows of one kind. one: what one row is called. only: always exactly one row. optional: may stay empty.
    asked: open even so, since most have something to say there."""

    name: str
    title: str
    one: str
    asks: tuple[Ask, ...]
    hint: str = ""
    only: bool = False
    optional: bool = False
    asked: bool = False

    def folded(self, rows: Sequence[Mapping[str, str]]) -> bool:
        """Whether its rows say no more than they did before anything was typed, in a section that most leave empty or
        whose usual values, which its line names, suit most."""
        return ((self.optional and not self.asked) or self.only) and all(
            row.get(ask.name, "") in ("", ask.usual) for row in rows for ask in self.asks
        )

    @property
    def numbers(self) -> tuple[str, ...]:
        """The names of what is a number."""
        return tuple(ask.name for ask in self.asks if ask.kind == "number")

    @property
    def often(self) -> tuple[Ask, ...]:
        """What every campaign needs."""
        return tuple(ask for ask in self.asks if not ask.rare)

    @property
    def seldom(self) -> tuple[Ask, ...]:
        """What some need."""
        return tuple(ask for ask in self.asks if ask.rare)


HEAD = (
    Ask("name", "Name of the campaign", sample="Herb planter", width=30),
    Ask("currency", "Currency", usual="EUR", width=5),
    Ask("time_zone", "Time zone", usual="Europe/London", width=18),
    Ask("start", "Earliest start", sample="11 Jan 2027 06:00", width=18),
)
SECTIONS = (
    Section("presses", "Presses", "press", (
        Ask("id", "Press", sample="big"),
        Ask("clamp_kn", "Clamp force, kN", "number", "1600"),
        Ask("holdup_kg", "Melt in the barrel, kg", "number", "0.8"),
        Ask("shot_max_g", "Largest shot, g", "number", "420"),
        Ask("holds", "In the barrel now", sample="pp/cream"),
        Ask("hours", "Hours", usual="06:00-22:00", width=20),
        Ask("rate_per_hour", "Cost per hour", "number", usual="0"),
        Ask("holdup2_kg", "Second barrel: melt in it, kg", "number", "0.2", rare=True),
        Ask("shot_max2_g", "Second barrel: largest shot, g", "number", "110", rare=True),
        Ask("plasticising_kg_h", "Polystyrene it melts in an hour, kg", "number", "60", rare=True),
        Ask("plasticising2_kg_h", "Second barrel: polystyrene it melts in an hour, kg", "number", "18", rare=True),
        Ask("efficiency", "Share of an hour that makes shots", "number", "0.9", rare=True),
        Ask("restart_minutes", "Minutes to warm up after a stop", "number", "20", rare=True),
        Ask("lights_out", "Moulds on when the people have left, hours", "number", "4", rare=True),
        Ask("draws_kw", "Power it draws at work, kW", "number", "11.5", rare=True),
        Ask("place", "Stands at, if not here", sample="hill works", rare=True),
        Ask("on_dates", "Single days that differ", sample="2027-01-16 06:00-14:00; 2027-01-18 closed", width=24,
            rare=True),
        Ask("tool", "Tool in it now", sample="shell", rare=True),
        Ask("begins_with", "Runs begun, which stay first", sample="shell: sage x300", width=22, rare=True),
    ), "Like 8am-4pm, from Monday to Friday; or say the days: mon-thu 7am-4.30pm; fri 7am-2pm. In the barrel: resin "
       "and colour, or clean if it is new or was stripped and cleaned (two: pp/cream + clean); blank: nobody knows, so "
       "the dearest purge is planned."),
    Section("resins", "Resins", "resin", (
        Ask("id", "Resin", sample="pp"),
        Ask("family", "Family", sample="PP"),
        Ask("price_per_kg", "Price per kg", "number", usual="0"),
        Ask("lead_days", "Days from order to door", "number", usual="5"),
        Ask("drying_hours", "Drying, h", "number", usual="0"),
        Ask("drying_c", "Dried at, °C", "number", "80", rare=True),
        Ask("dryer", "Dryer it shares with other resins", sample="hopper", rare=True),
        Ask("dryer_kg", "What its dryer holds, kg", "number", "25", rare=True),
        Ask("stock_kg", "In stock, kg", "number", "75", rare=True),
        Ask("arrivals", "On its way, kg", sample="60 on 2027-01-18; 40 on 2027-02-01", width=24, rare=True),
        Ask("min_order_kg", "Smallest order, kg", "number", "100", rare=True),
        Ask("halogenated_flame_retardant", "Halogenated flame retardant in it?", sample="no", width=4, rare=True),
        Ask("neither", "Data sheet read: no acetal, chlorine, bromine, fluorine?", sample="yes", width=4, rare=True),
        Ask("price_breaks", "Cheaper from, kg", sample="500 at 1.90; 1000 at 1.75", width=24, rare=True),
        Ask("regrind_share", "Ground runners fed back, at most, as a share", "number", "0.2", rare=True),
        Ask("natural_colour", "Name of its colour without masterbatch", sample="natural", rare=True),
        Ask("deposit_share", "Paid with the order, as a share", "number", "0.3", rare=True),
        Ask("balance_days", "Rest to be paid, days after it comes", "number", "30", rare=True),
    ), "Family as the trade abbreviates it: PP, PE-HD, ABS, PC+ABS, PA66, TPE, POM (acetal), PVC (vinyl) ..."),
    Section("colours", "Colours", "colour", (
        Ask("id", "Colour", sample="sage"),
        Ask("hex", "Looks like", sample="#8fa58a, book 6021", width=18),
        Ask("price_per_kg", "Masterbatch, price per kg", "number", usual="0"),
        Ask("lead_days", "Days from order to door", "number", usual="7"),
        Ask("let_down_percent", "Masterbatch in 100 of coloured material", "number", "2", rare=True),
        Ask("finish", "Finish, if not solid", sample="metallic", rare=True),
        Ask("stock_kg", "In stock, kg", "number", "5", rare=True),
        Ask("arrivals", "On its way, kg", sample="10 on 2027-01-18", width=24, rare=True),
        Ask("min_order_kg", "Smallest order, kg", "number", "10", rare=True),
        Ask("price_breaks", "Cheaper from, kg", sample="10 at 9; 25 at 8", width=24, rare=True),
        Ask("deposit_share", "Paid with the order, as a share", "number", "0.3", rare=True),
        Ask("balance_days", "Rest to be paid, days after it comes", "number", "30", rare=True),
    ), "Looks like: the colour on a screen, as # and six signs (purge is estimated from it), and its number in your "
       "colour book, which is kept as you write it."),
    Section("parts", "Parts", "part", (
        Ask("id", "Part", sample="shell"),
        Ask("resin", "Resin", sample="pp"),
        Ask("mass_g", "Grams each", "number", "62"),
        Ask("resin2", "Second shot: resin", sample="tpe", rare=True),
        Ask("mass2_g", "Second shot: grams", "number", "8", rare=True),
        Ask("spare_share", "Spares, as a share of the orders", "number", "0.02", rare=True),
        Ask("rest_hours", "Hours to rest before assembly", "number", "12", rare=True),
        Ask("hidden", "Out of sight once it is assembled?", sample="no", width=4, rare=True),
        Ask("stock", "In hand, by colour", sample="sage x250", width=16, rare=True),
        Ask("unfinished", "In hand, still to be finished or brought here", sample="sage x40", width=16, rare=True),
    ), "A part of two shots takes its first resin from the first barrel, its second from the second."),
    Section("tools", "Tools", "tool", (
        Ask("makes", "Makes each shot", sample="shell x2", width=22),
        Ask("cycle_s", "Cycle, s", "number", "44"),
        Ask("presses", "On presses", sample="big"),
        Ask("clamp_kn", "Clamp force it asks for, kN", "number", "900"),
        Ask("ready", "Ready on (blank = ready now)", sample="2027-01-11"),
        Ask("id", "Name, if not its part's", sample="shell", rare=True),
        Ask("blocked", "Cavities that are blocked", sample="shell x1", rare=True),
        Ask("runner_g", "Runner a shot, g", sample="5", rare=True),
        Ask("hot_runner_kg", "Melt in its hot runner, kg", sample="0.1", rare=True),
        Ask("hot_runner_held", "In its hot runner now", sample="pp/cream (new: clean)", rare=True),
        Ask("scrap_share", "Scrap, as a share", "number", "0.02", rare=True),
        Ask("mount_minutes", "Minutes to mount it", "number", "60", rare=True),
        Ask("startup_shots", "Start-up shots", "number", "10", rare=True),
        Ask("smallest_lot_shots", "Smallest lot it may be split into, shots", "number", "200", rare=True),
        Ask("operators", "People who stay at the press", "number", "1", rare=True),
        Ask("base", "Insert of base", sample="bolster", rare=True),
        Ask("insert_minutes", "Minutes to change the insert", "number", "12", rare=True),
        Ask("made_at", "Works at, if it may go to several places", sample="hill works", rare=True),
    ), "Part and cavities: shell x2. A family tool makes several parts: cup x4, float x4. Several tools for one part: "
       "a row each, named by itself; the plan says who makes how many. No press named: every press "
       "with the barrels it needs. Clamp force: projected area x pressure in the cavity; blank: not checked. In the "
       "hot runner: resin and colour, or only the resins it has held, or clean; blank: nobody knows. "
       "Inserts of one base are never in two presses at once."),
    Section("others", "Others' work on these presses", "shift", (
        Ask("press", "Press", sample="big"),
        Ask("when", "When", sample="tue 06:00-14:00", width=26),
        Ask("leaves", "Leave in the barrel", sample="pp/black"),
        Ask("moulds", "All resins they mould", sample="pp, abs", width=16),
    ), "Days and hours (mon-thu 2pm-10pm), dates (2027-01-12 10:00-14:00), or: whenever closed. Afterwards your tool "
       "is mounted again, what they left is purged, and first shots are scrapped. What they leave: blank, nobody "
       "knows, so the dearest purge is planned; acetal and PVC then do not go there.", optional=True),
    Section("steps", "What is left to do on tools", "step", (
        Ask("what", "To do", sample="put metal on", width=20),
        Ask("tool", "On tool", sample="shell"),
        Ask("days", "Days", sample="7-10", width=8),
        Ask("by", "Who does it", sample="Anna"),
        Ask("done", "Done on", sample="2027-01-08", rare=True),
        Ask("not_before", "Not before", sample="2027-01-18", rare=True),
        Ask("after", "After", sample="measure, polish", width=20, rare=True),
    ), "What a tool goes through before it makes good parts, in order: measure, take metal off, put metal on, polish, "
       "try again, approve. Days: 8, or 7-10, or 7-8-10 for early, likely and late. Whoever does it works Monday to "
       "Friday, on one thing at a time; with nobody named they are days of waiting.", optional=True),
    Section("toolmakers", "Days on which tools are worked on", "toolmaker", (
        Ask("id", "Who", sample="Anna"),
        Ask("works_on", "Works on", sample="mon, tue, wed, thu, fri, sat", width=24),
        Ask("closed_days", "Days off", sample="2027-01-18, 2027-01-19", width=22),
    ), "Only of those who do not work Monday to Friday, or are away.", optional=True),
    Section("unsure", "What is not sure about tools", "doubt", (
        Ask("tool", "On tool", sample="shell"),
        Ask("ready", "Ready between", sample="2027-01-11 to 2027-01-18", width=24),
        Ask("on", "Its trial is on", sample="2027-01-18"),
        Ask("works", "Works on the first trial", sample="7 in 10", width=8),
        Ask("rework", "If not, it takes so many days", sample="7-10", width=8),
        Ask("fails", "Fails at most so often", "number", "1", rare=True),
        Ask("approval_days", "Days until its parts are approved", "number", "2", rare=True),
        Ask("cost", "Each further trial costs", "number", "250", rare=True),
        Ask("press", "Tried on press", sample="big", rare=True),
        Ask("hours", "Hours of the trial", sample="08:00-11:00", rare=True),
        Ask("melts", "Resin and colour it is tried with", sample="pp/cream", rare=True),
        Ask("kg", "How many kg of it the trial takes", sample="3", width=6, rare=True),
        Ask("setter_hours", "A trial takes a setter so many hours", "number", "2", rare=True),
    ), "What you fill in here, the plan reckons with: it is then the one that costs least on average. With the day of "
       "a trial it says what to do either way. Nothing filled in: dates are simulated with what is usual, and marked "
       "as a guess.", optional=True, asked=True),
    Section("settled", "What is settled on a day", "matter", (
        Ask("what", "What is open", sample="approval of sage", width=22),
        Ask("on", "Known at the end of", sample="2027-01-15"),
        Ask("chance", "Goes wrong", sample="2 in 10", width=8),
        Ask("late", "Then this comes later", sample="sage", width=16),
        Ask("days", "by so many days", sample="7-10", width=8),
        Ask("recipe", "or has another recipe", sample="3 in 100 at 14", width=14),
        Ask("moves", "or orders change colourway", sample="400 pot from cream to sage", width=24),
        Ask("well", "In words, if it goes well", sample="it is approved", width=18, rare=True),
        Ask("ill", "and if it goes wrong", sample="it is not", width=18, rare=True),
        Ask("cost", "Going wrong costs on top", "number", "150", rare=True),
    ), "A colour that may not be approved, a delivery that may miss the boat, an agreement, a vote of the supporters. "
       "What comes later: a colour, resin, piece or tool by its name (several: sage, felt). The recipe is the "
       "masterbatch that then takes a colour's place: how much in 100, and its price per kg; or, of a colour that is "
       "voted on, the one that wins instead: as sage. Orders that then have another colourway: how many, of which "
       "product, from which to which (several: 400 pot from cream to sage; 50 pot in pair from cream to coral, of the "
       "tier pair); the last ones of the book are meant. Several ways to go wrong: a row each, with the same words for "
       "what is open. Until that day the plan does what is right either way. A tool's trial stands above.",
       optional=True),
    Section("pieces", "Bought-in pieces", "piece", (
        Ask("id", "Piece", sample="carton"),
        Ask("price", "Price each", "number", usual="0"),
        Ask("stock", "In stock", "number", "0"),
        Ask("lead_days", "Days from order to door", "number", "14"),
        Ask("comes_in", "An order comes in lots", sample="0.4 after 0; 0.6 after 7", width=22, rare=True),
        Ask("arrives", "A delivery comes on", sample="2027-01-18", rare=True),
        Ask("amount", "How many come then", "number", "1000", rare=True),
        Ask("arrivals", "Further deliveries", sample="500 on 2027-02-01", width=24, rare=True),
        Ask("pack_of", "Sold in packs of", "number", "50", rare=True),
        Ask("min_order", "Smallest order", "number", "500", rare=True),
        Ask("price_breaks", "Cheaper from", sample="1000 at 0.42; 5000 at 0.35", width=24, rare=True),
        Ask("deposit_share", "Paid with the order, as a share", "number", "0.3", rare=True),
        Ask("balance_days", "Rest to be paid, days after it comes", "number", "30", rare=True),
        Ask("mass_g", "Grams each", "number", "12", rare=True),
        Ask("packed_mm", "Size in the carton, mm", sample="120 x 80 x 5", width=14, rare=True),
        Ask("inside_mm", "A carton: inside, mm", sample="310 x 220 x 160", width=14, rare=True),
        Ask("tare_g", "A carton: empty, g", "number", "180", rare=True),
        Ask("padding_mm", "A carton: padding on each side, mm", "number", "10", rare=True),
    ), "Cases, leaflets, cartons: whatever is not moulded here. None: leave it empty.", optional=True,
       asked=True),
    Section("suppliers", "Pieces from other suppliers", "supplier", (
        Ask("piece", "Piece", sample="carton"),
        Ask("supplier", "Supplier", sample="corner shop"),
        Ask("pieces", "How many", "number", "200"),
        Ask("lead_days", "Days from order to door", "number", "3"),
        Ask("price", "Price each", "number", "0.9"),
    ), "Orders placed elsewhere on the first day, dearer and sooner, say. The rest is bought as above.", optional=True),
    Section("charges", "Moulders' price lists", "price list", (
        Ask("press", "Press", sample="big"),
        Ask("changeover", "For each changeover", "number", "45"),
        Ask("colour_change", "On top where it purges", "number", "20"),
        Ask("shift", "For each shift begun", "number", "33"),
        Ask("least_a_run", "Least a run is billed", "number", "150"),
        Ask("a_piece", "For each piece", sample="shell at 0.04; tray at 0.02", width=24),
        Ask("shift_hours", "Hours of a shift", "number", "8", rare=True),
    ), "What a moulder charges beside the hours of a press.", optional=True),
    Section("finishing", "Work between press and assembly", "step", (
        Ask("part", "Part", sample="shell"),
        Ask("what", "What is done", sample="pad printing", width=16),
        Ask("at", "Bench or firm", sample="printer"),
        Ask("minutes", "On a bench: minutes each", "number", "0.5"),
        Ask("price", "Price each", "number", "0.02"),
        Ask("scrap_share", "Spoilt, as a share", "number", "0.01"),
        Ask("lot_parts", "Parts that travel together", "number", "500", rare=True),
        Ask("rest_hours", "Hours to rest afterwards", "number", "12", rare=True),
        Ask("gives_colour", "Gives the part its colour?", sample="no", width=4, rare=True),
    ), "Printing, painting, plating, welding, trimming: in the order in which it is done to a part. What is spoilt is "
       "moulded on top.", optional=True),
    Section("sub_assemblies", "Put together before the last assembly", "sub-assembly", (
        Ask("id", "Sub-assembly", sample="valve"),
        Ask("product", "Of product", sample="planter"),
        Ask("takes", "Parts and bought-in pieces in it", sample="cap, stem, seal", width=24),
        Ask("at", "Bench", sample="valve bench"),
        Ask("minutes", "Minutes a unit", "number", "0.6"),
        Ask("rest_hours", "Hours to rest afterwards", "number", "2", rare=True),
        Ask("in_hand", "In hand, by colourway", sample="sage x100", width=16, rare=True),
    ), "All of the named parts and pieces that a unit has go into it.",
        optional=True),
    Section("finishing_benches", "Benches between press and assembly", "bench", (
        Ask("id", "Bench", sample="printer"),
        Ask("people", "People", "number", "1"),
        Ask("hours", "Hours", sample="08:00-16:00", width=16),
        Ask("rate_per_hour", "Cost per person and hour", "number", "18"),
        Ask("on_dates", "Single days that differ", sample="2027-01-16 09:00-13:00 x3; 2027-01-18 closed", width=24,
            rare=True),
        Ask("place", "Stands at, if not here", sample="hill works", rare=True),
    ), optional=True),
    Section("finishing_firms", "Firms between press and assembly", "firm", (
        Ask("id", "Firm", sample="painter"),
        Ask("there_days", "Days on the way there", "number", "1"),
        Ask("lead_days", "Days it works on a lot", "number", "5"),
        Ask("back_days", "Days on the way back", "number", "1"),
        Ask("lot_price", "Price of a lot, there and back", "number", "90"),
        Ask("leaves", "Lots leave on", sample="mon, thu", rare=True),
        Ask("time", "At", sample="16:00", width=6, rare=True),
        Ask("works", "It works on", sample="mon, tue, wed, thu, fri", rare=True),
        Ask("closed_days", "Its holidays", sample="2027-01-18, 2027-02-01", width=22, rare=True),
        Ask("balance_days", "To be paid, days after a lot is back", "number", "30", rare=True),
    ), optional=True),
    Section("moulded_over", "What goes into moulds (overmoulding, inserts)", "insert", (
        Ask("part", "Part that is moulded over it", sample="grip"),
        Ask("takes", "Part or bought-in piece that goes in", sample="core"),
        Ask("colours", "In colour", sample="charcoal"),
        Ask("number", "How many for each", "number", "1"),
    ), "Put into the mould before each shot. Parts that go in are made first, and enough of them for the scrap too; a "
       "bought-in piece has no colour.", optional=True),
    Section("made_by", "Who makes how many, where several tools make one part", "share", (
        Ask("tool", "Tool", sample="old shell"),
        Ask("colours", "In colour", sample="sage"),
        Ask("shots", "Shots", "number", "800"),
    ), "Empty: the plan seeks what costs least. Tools that are not named make the rest.", optional=True),
    Section("places", "Other places where presses or benches stand", "place", (
        Ask("id", "Place", sample="hill works"),
        Ask("time_zone", "Its time zone, if not ours", sample="Europe/Bucharest", width=18),
        Ask("leaves", "Lots leave on", sample="tue, fri"),
        Ask("time", "At", sample="16:00", width=6),
        Ask("here_days", "Days on the way here", "number", "1"),
        Ask("lot_parts", "Parts that travel together", "number", "1500"),
        Ask("lot_price", "Price of a lot's way", "number", "45"),
        Ask("there_days", "Days on the way there, if not as many", "number", "2", rare=True),
        Ask("arrives", "They arrive at", sample="08:00", width=6, rare=True),
        Ask("closed_days", "Its holidays", sample="2027-01-18, 2027-02-01", width=22, rare=True),
        Ask("setters", "Setters there", "number", "1", rare=True),
        Ask("setter_rate_per_hour", "Cost per setter and hour", "number", "25", rare=True),
        Ask("operators", "People there who can stay at presses", "number", "2", rare=True),
        Ask("operator_rate_per_hour", "Cost for each of them and hour", "number", "19", rare=True),
        Ask("balance_days", "To be paid, days after a lot arrives", "number", "30", rare=True),
    ), "A moulder or packer elsewhere, or a second workshop: hours there are by the clock there. Parts and units go "
       "where they are worked on next, from one place to another by way of our floor. Say of each press and bench "
       "where it stands.", optional=True),
    Section("products", "Products", "product", (
        Ask("id", "Product", sample="planter"),
        Ask("parts", "Made of", sample="shell, tray, wick-cup x2", width=28),
        Ask("assembly_minutes", "Assembly, minutes a unit", "number", usual="1"),
        Ask("pieces", "Bought-in pieces in it", sample="felt, screw x4", width=20, rare=True),
        Ask("assembled", "Units in hand, by colourway", sample="sage x100", width=16, rare=True),
        Ask("spare_units", "Spare units, by colourway", sample="sage x20", width=16, rare=True),
        Ask("packed_mm", "Size in the carton, mm", sample="180 x 180 x 210", width=14, rare=True),
    ), "No part named: one of each."),
    Section("colourways", "Colourways", "colourway", (
        Ask("id", "Colourway", sample="sage"),
        Ask("colours", "Colours of the parts", sample="sage, lid: charcoal", width=34),
        Ask("product", "Only of this product", sample="planter", rare=True),
        Ask("finished_in", "Colours that finishing gives", sample="lid: copper", width=20, rare=True),
    ), "One colour for all parts, or one for each in their order, or by name: sage, lid: charcoal. Two barrels: shell: "
       "sage + charcoal."),
    Section("tiers", "Tiers", "tier", (
        Ask("id", "Tier", sample="pair"),
        Ask("units", "Units in it", usual="1", width=16),
        Ask("promised", "Promised by", sample="2027-02-26"),
        Ask("pieces", "Bought-in pieces in each parcel", sample="carton, leaflet", width=22, rare=True),
        Ask("cartons", "Cartons to choose from", sample="small box, large box", width=22, rare=True),
        Ask("pack_minutes", "Packing, minutes a parcel", "number", "3", rare=True),
        Ask("late_cost_per_day", "Cost of each parcel and day late", "number", "0.25", rare=True),
        Ask("early_cost_per_day", "Cost of each parcel and day announced too late", "number", rare=True),
        Ask("keep_promise", "Chance to keep the promise", "number", sample="0.9", rare=True),
        Ask("promised_in", "Another day by region", sample="us: 2027-03-26", width=20, rare=True),
        Ask("promised_to", "Promised: hand-over or door", sample="door", rare=True),
        Ask("wave", "Leaves in wave", "number", "1", width=4, rare=True),
        Ask("priority", "Rank, 1 goes first: 1 to 9", "number", "1", width=4, rare=True),
        Ask("campaign", "Of another campaign on the same floor", sample="Pots 2026", width=18, rare=True),
    ), "What a supporter bought. With several products: planter x2, saucer. Orders of another campaign, the last "
       "one's replacements say, are planned together and told apart."),
    Section("orders", "Orders", "line of orders", (
        Ask("tier", "Tier", sample="pair"),
        Ask("colourways", "Colourway of each unit", sample="sage, cream", width=28),
        Ask("country", "Country", usual="GB", width=4),
        Ask("count", "How many identical orders", "number", "120"),
        Ask("opens", "Can be packed from", sample="1 Mar 2027", rare=True),
        Ask("extra_units", "Units on top of each order", sample="planter: sage", width=20, rare=True),
        Ask("extra_pieces", "Bought-in pieces on top", sample="felt x2", width=16, rare=True),
    ), "One colourway stands for all units of the parcel. With several products: planter: sage, cream; saucer: sage. "
       "Leave this empty to bring the orders as a spreadsheet."),
    Section("benches", "Benches and pick-ups", "", (
        Ask("assembly_people", "People at assembly", "number", usual="1"),
        Ask("assembly_hours", "Assembly hours", usual="08:00-16:00", width=16),
        Ask("packing_people", "People at packing", "number", usual="1"),
        Ask("packing_hours", "Packing hours", usual="08:00-16:00", width=16),
        Ask("days", "Pick-up days", usual="fri", width=10),
        Ask("time", "Pick-up at", usual="16:00", width=6),
        Ask("rate_per_hour", "Cost per person and hour", "number", "18", rare=True),
        Ask("packing_rate", "The same at packing, if another", "number", "16", rare=True),
        Ask("parcels", "Most parcels a pick-up takes", "number", "400", rare=True),
        Ask("pick_ups_on", "Further pick-ups on", sample="2027-01-26, 2027-02-09", width=22, rare=True),
        Ask("pick_ups_not_on", "No pick-up on", sample="2027-01-29", width=22, rare=True),
        Ask("max_kg", "Heaviest parcel that is taken, kg", "number", "25", rare=True),
        Ask("longest_mm", "Longest side that is taken, mm", "number", "1200", rare=True),
        Ask("girth_mm", "Longest side and girth together, mm", "number", "3000", rare=True),
        Ask("whole_cm", "Sides rounded up to whole centimetres?", sample="no", width=4, rare=True),
        Ask("volumetric_divisor", "Cubic centimetres that count as a kg", "number", "5000", rare=True),
        Ask("step_kg", "Weight rounded up to, kg", "number", "0.1", rare=True),
        Ask("batch_parcels", "Most parcels packed in one go", "number", "100", rare=True),
        Ask("regions", "Regions and their countries", sample="eu: DE, FR; us: US", width=22, rare=True),
        Ask("closed_days", "Our holidays", sample="2027-01-18, 2027-02-01", width=22, rare=True),
        Ask("assembly_on_dates", "Assembly: single days that differ", sample="2027-01-16 09:00-13:00 x3", width=24,
            rare=True),
        Ask("packing_on_dates", "Packing: single days that differ", sample="2027-01-16 09:00-13:00 x6", width=24,
            rare=True),
        Ask("assembly_place", "Assembly is at, if not here", sample="hill works", rare=True),
        Ask("packing_place", "Packing is at, if not here", sample="hill works", rare=True),
        Ask("attended", "Somebody is there (to set, purge, load dryers)", sample="mon-fri 06:00-18:00", width=22,
            rare=True),
        Ask("setters", "Setters", "number", "1", rare=True),
        Ask("setter_rate_per_hour", "Cost per setter and hour", "number", "30", rare=True),
        Ask("operators", "People who can stay at presses", "number", "2", rare=True),
        Ask("operator_rate_per_hour", "Cost for each of them and hour", "number", "22", rare=True),
        Ask("when_late", "When a tool is late: wait, next run or plan again", sample="plan again", rare=True),
        Ask("price_per_kwh", "Power, price per kWh", "number", "0.30", rare=True),
        Ask("disposal_per_kg", "Getting rid of waste, price per kg", "number", "0.5", rare=True),
        Ask("scrap_known", "Count on scrap just as each tool says it?", sample="no", width=4, rare=True),
    ), only=True),
    Section("carriers", "Several carriers", "carrier", (
        Ask("id", "Carrier", sample="courier"),
        Ask("to", "Takes parcels for", sample="GB, eu", width=10),
        Ask("days", "Picks up on", sample="mon, wed, fri"),
        Ask("time", "By", sample="16:30", width=6),
        Ask("parcels", "Most parcels a pick-up", "number", "40"),
        Ask("rates", "Rates by kg", sample="0.25 at 2.10; 1 at 3.40", width=24),
        Ask("door_days", "Days to the door", sample="1-3", width=6),
        Ask("max_kg", "Heaviest parcel, kg", "number", "25", rare=True),
        Ask("longest_mm", "Longest side, mm", "number", "1200", rare=True),
        Ask("girth_mm", "Longest side and girth together, mm", "number", "3000", rare=True),
        Ask("whole_cm", "Sides rounded up to whole centimetres?", sample="no", width=4, rare=True),
        Ask("volumetric_divisor", "Cubic centimetres that count as a kg", "number", "5000", rare=True),
        Ask("step_kg", "Weight rounded up to, kg", "number", "0.1", rare=True),
        Ask("on_dates", "Picks up on dates", sample="2027-01-26, 2027-02-09", width=22, rare=True),
        Ask("not_on", "No pick-up on", sample="2027-01-29", width=22, rare=True),
        Ask("legs", "Legs before local parcels", sample="at sea 24-31; customs 2-6", width=24, rare=True),
        Ask("pallet_parcels", "Parcels on a pallet", "number", "40", rare=True),
        Ask("pallet_price", "Price of a pallet", "number", "95", rare=True),
    ), "In the place of the pick-ups above: each parcel goes with the cheapest that takes it. Nobody named: anywhere.",
        optional=True),
    Section("rates", "Postage by weight", "rate list", (
        Ask("carrier", "Of carrier", sample="courier"),
        Ask("service", "Service", sample="letter post"),
        Ask("to", "To countries or regions", sample="GB, eu", width=10),
        Ask("rates", "Rates by kg", sample="0.25 at 2.10; 1 at 3.40", width=24),
        Ask("door_days", "Days to the door", sample="1-3", width=6),
    ), "Each parcel goes by the cheapest list that takes it. Nobody named: wherever no other list goes. No carrier "
       "named: whoever comes to the pick-ups above, or the only one of the several. The first list of one of several "
       "carriers may stand with it.", optional=True),
)  # fmt: skip
BY_NAME = {section.name: section for section in SECTIONS}
