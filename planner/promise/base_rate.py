"""What happened to others: shown beside every promise, because a simulation only knows what it was told."""

from planner.promise.document import BaseRate

BASE_RATE = [
    BaseRate(
        text="Of 144 hardware campaigns, at most 32 in 100 delivered on time.",
        source="Design Science 4, 2018: Identifying challenges in crowdfunded product development",
    ),
    BaseRate(
        text="Of 471 design and technology projects, 25 in 100 delivered on time; three quarters within eight months "
        "of the promised date.",
        source="Journal of Business Venturing 29(1), 2014: The dynamics of crowdfunding",
    ),
]
