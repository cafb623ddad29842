"""/v1/plans/{id}: files out, then orders in."""

from fastapi import APIRouter

from api.documents import erasure, files, orders

router = APIRouter()
router.include_router(files.router)
router.include_router(orders.router)
router.include_router(erasure.router)
