"""Opening hours that one crew may not work: the weekly average and the daily rest of Directive 2003/88/EC."""

from planner.campaign.hours import Open, weekly

MOST_WEEK_HOURS = 48
"""Average week, overtime included (article 6)."""

LEAST_REST_HOURS = 11
"""Rest in each 24 hours (article 3)."""


def beyond_one_crew(name: str, open_: Open) -> str | None:
    """Why one crew cannot be there for all the hours of an ordinary week, in words; None when it can."""
    week = weekly(open_.hours)
    hours = sum(span.end - span.start for spans in week.values() for span in spans) / 60
    longest = max((spans[-1].end - spans[0].start for spans in week.values() if spans), default=0) / 60
    reasons = []
    if hours > MOST_WEEK_HOURS:
        reasons.append(f"{hours:g} h a week, over {MOST_WEEK_HOURS}")
    if longest > 24 - LEAST_REST_HOURS:
        reasons.append(f"{longest:g} h from opening to closing, which leaves less than {LEAST_REST_HOURS} h of rest")
    return f"{name} is open {' and '.join(reasons)}" if reasons else None
