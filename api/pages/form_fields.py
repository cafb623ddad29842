"""What the form that grows asks for, section by section."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Ask:
    """One thing to fill in. kind: text, number, date, colour. sample: shown as an example."""

    name: str
    label: str
    kind: str = "text"
    sample: str = ""
    usual: str = ""
    width: int = 12


@dataclass(frozen=True)
class Section:
    """Rows of one kind. one: what one row is called."""

    name: str
    title: str
    one: str
    asks: tuple[Ask, ...]
    hint: str = ""


HEAD = (
    Ask("name", "Name of the campaign", sample="Herb planter", width=30),
    Ask("currency", "Currency", usual="EUR", width=5),
    Ask("time_zone", "Time zone", usual="Europe/London", width=18),
    Ask("start", "Nothing before", "datetime", sample="2027-01-11T06:00", width=17),
    Ask("product", "What the product is called", sample="planter"),
    Ask("assembly_minutes", "Assembly, minutes a unit", "number", usual="1"),
)
SECTIONS = (
    Section("presses", "Presses", "press", (
        Ask("id", "Press", sample="big"),
        Ask("clamp_kn", "Clamp force, kN", "number", "1600"),
        Ask("holdup_kg", "Melt in the barrel, kg", "number", "0.8"),
        Ask("shot_max_g", "Largest shot, g", "number", "420"),
        Ask("hours", "Hours Mon to Fri", usual="06:00-22:00", width=14),
        Ask("rate_per_hour", "Money an hour", "number", usual="0"),
    )),
    Section("resins", "Resins", "resin", (
        Ask("id", "Resin", sample="pp"),
        Ask("family", "Family", sample="PP"),
        Ask("price_per_kg", "Price a kg", "number", usual="0"),
        Ask("lead_days", "Days from order to door", "number", usual="5"),
        Ask("drying_hours", "Drying, h", "number", usual="0"),
    )),
    Section("colours", "Colours", "colour", (
        Ask("id", "Colour", sample="sage"),
        Ask("hex", "Looks like", "colour", "#8fa58a", width=9),
        Ask("price_per_kg", "Masterbatch, price a kg", "number", usual="0"),
        Ask("lead_days", "Days from order to door", "number", usual="7"),
    )),
    Section("parts", "Parts and their tools", "part", (
        Ask("id", "Part", sample="shell"),
        Ask("resin", "Resin", sample="pp"),
        Ask("mass_g", "Grams each", "number", "62"),
        Ask("per_unit", "In one unit", "number", usual="1"),
        Ask("cavities", "Cavities", "number", usual="1"),
        Ask("cycle_s", "Cycle, s", "number", "44"),
        Ask("presses", "On presses", sample="big"),
        Ask("ready", "Tool ready", "date", "2027-01-11"),
    ), "One tool a part, of the same name."),
    Section("colourways", "Colourways", "colourway", (
        Ask("id", "Colourway", sample="sage"),
        Ask("colours", "Colours of the parts, in their order", sample="sage, charcoal", width=28),
    ), "One colour for all parts, or one for each part, with commas between."),
    Section("tiers", "Tiers", "tier", (
        Ask("id", "Tier", sample="pair"),
        Ask("units", "Units in it", "number", usual="1"),
        Ask("promised", "Promised by", "date", "2027-02-26"),
    )),
    Section("orders", "Orders", "count", (
        Ask("tier", "Tier", sample="pair"),
        Ask("colourways", "Colourway of each unit", sample="sage, sage", width=22),
        Ask("country", "Country", usual="GB", width=4),
        Ask("count", "Orders alike", "number", "120"),
    ), "Or leave one row here and bring a spreadsheet to the finished plan."),
)  # fmt: skip
