"""All pages, in the order in which a maker meets them."""

from fastapi import APIRouter

from api.pages import (
    auth,
    campaign,
    change,
    colourway,
    floor_log,
    form,
    guess,
    home,
    lists,
    orders,
    orders_aside,
    plan,
    press,
    purge,
    rejected,
    share,
    starting,
    studies,
    sure,
    tradeoff,
    update,
    whatif,
    wishes,
)

router = APIRouter()
for part in (auth, home, starting, form, orders, orders_aside, change, campaign, plan, lists, purge, press, floor_log):
    router.include_router(part.router)
for part in (rejected, share, sure, guess, update, whatif, studies, colourway, tradeoff, wishes):
    router.include_router(part.router)
