"""How sure a maker is of a figure has its range too."""

from spoiling import problems


def test_a_rework_takes_no_negative_days():
    """Nor more than ten years."""
    trial = {"success_chance": 0.5, "rework_days": {"early": -1, "likely": 7, "late": 10}}
    found = problems({"uncertainty": {"tools": {"shell": {"first_trial": trial}}}})
    (one,) = [p for p in found if p.pointer == "/uncertainty/tools/shell/first_trial/rework_days"]
    assert "-1 to 10 is out of the range 0 to 3650" in one.message
    trial["rework_days"]["early"] = 0
    assert problems({"uncertainty": {"tools": {"shell": {"first_trial": trial}}}}) == []
