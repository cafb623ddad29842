"""All pages, in the order in which a maker meets them."""

from fastapi import APIRouter

from api.pages import (
    campaign,
    change,
    colourway,
    floor,
    floor_log,
    form,
    guess,
    home,
    lists,
    orders,
    orders_aside,
    orders_kept,
    plan,
    press,
    promises,
    purge,
    reading,
    rejected,
    run,
    share,
    signing_in,
    starting,
    studies,
    tradeoff,
    tried_wishes,
    update,
    whatif,
    wishes,
)

router = APIRouter()
for part in (
    signing_in,
    home,
    starting,
    form,
    orders,
    orders_aside,
    orders_kept,
    change,
    campaign,
    plan,
    floor,
    lists,
    run,
    purge,
):
    router.include_router(part.router)
for part in (press, floor_log, rejected, share, promises, guess, update, whatif, studies, colourway, tradeoff, wishes):
    router.include_router(part.router)
for part in (tried_wishes, reading):
    router.include_router(part.router)
