"""The OpenAPI document: what FastAPI finds, and the schemas of bodies that are read by hand."""

import json
from typing import Any

from fastapi import FastAPI
from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from api.actuals.again import AgainWish
from api.actuals.entries import FloorLog
from api.demo import DEMO
from api.documents.erasure import OrderNumbers
from api.documents.order_answers import OrderColumns
from api.frontier.routes import FrontierQuestion
from api.http.problems import ProblemDocument, answers
from api.plans.links import LinkWish
from api.plans.schemas import PlanTitle
from api.promises.question import PromiseQuestion
from api.promises.update import UpdateWish
from api.purge.colourway import ColourwayQuestion
from api.purge.log import PurgeCorrection
from api.purge.question import PurgeQuestion
from api.service.refusals import Invalid
from api.slips.tables import ElsewhereQuestion, KnowingQuestion, LeverQuestion, SlipQuestion
from api.slips.variants import Variants
from api.workshop.keys import KeyWish
from api.workshop.webhooks import WebhookWish
from planner.campaign import Campaign
from planner.campaign.purging import PurgeLogged

SHOWN_ORDERS = 24

BODIES: list[type[BaseModel]] = [
    LinkWish,
    AgainWish,
    Campaign,
    FloorLog,
    ElsewhereQuestion,
    FrontierQuestion,
    KeyWish,
    KnowingQuestion,
    LeverQuestion,
    OrderColumns,
    OrderNumbers,
    PlanTitle,
    ProblemDocument,
    PromiseQuestion,
    PurgeQuestion,
    PurgeLogged,
    PurgeCorrection,
    ColourwayQuestion,
    SlipQuestion,
    UpdateWish,
    Variants,
    WebhookWish,
]
"""Models that routes name by `json_body` or `answers`; whoever adds such a route adds its model."""


def install(app: FastAPI) -> None:
    """Make `app.openapi` give the whole document, computed once."""
    found = app.openapi

    def openapi() -> dict[str, Any]:
        if app.openapi_schema is None:
            document = found()
            schemas = document.setdefault("components", {}).setdefault("schemas", {})
            _, definitions = models_json_schema(
                [(model, "validation") for model in BODIES], ref_template="#/components/schemas/{model}"
            )
            for name, schema in definitions.get("$defs", {}).items():
                schemas.setdefault(name, schema)
            _parameters_answer_with_problems(document)
            _parameters_are_never_null(document)
            _defaults_that_clients_take(schemas)
            document["externalDocs"] = {"description": "What each type of problem means", "url": "/problems"}
            campaign = document["paths"]["/v1/plans"]["post"]["requestBody"]["content"]["application/json"]
            campaign["example"] = demo_in_short()
            app.openapi_schema = document
        return app.openapi_schema

    app.openapi = openapi  # type: ignore[method-assign]  # the way FastAPI's documentation names


def _parameters_answer_with_problems(document: dict[str, Any]) -> None:
    """Every 422 is a problem document, also where a route did not say so and FastAPI filled its own in."""
    told = answers(Invalid)[int(Invalid.status)]
    for methods in document["paths"].values():
        for operation in methods.values():
            answer = operation["responses"].get("422")
            if answer is not None and "application/json" in answer.get("content", {}):
                operation["responses"]["422"] = told
    for unused in ("HTTPValidationError", "ValidationError"):
        document["components"]["schemas"].pop(unused, None)


def _parameters_are_never_null(document: dict[str, Any]) -> None:
    """A header or query parameter is there or not; null, which FastAPI says for what may be left out, would be text."""
    for methods in document["paths"].values():
        for operation in methods.values():
            for parameter in operation.get("parameters", []):
                schema = parameter["schema"]
                kinds = [kind for kind in schema.get("anyOf", []) if kind != {"type": "null"}]
                if len(kinds) == 1:
                    del schema["anyOf"]
                    parameter["schema"] = kinds[0] | schema


def _defaults_that_clients_take(schemas: dict[str, Any]) -> None:
    """A default that is a whole object is an example instead where several schemas are possible.

    Generators of clients cannot tell which of them it would be, and leave the schema out.
    """
    for schema in schemas.values():
        for said in schema.get("properties", {}).values():
            if "anyOf" in said and isinstance(said.get("default"), dict):
                said["examples"] = [said.pop("default")]


def demo_in_short() -> dict[str, Any]:
    """The demo campaign, with every so many of its order lines: an example somebody can read."""
    demo: dict[str, Any] = json.loads(DEMO.read_text())
    return demo | {"orders": demo["orders"][:: max(1, len(demo["orders"]) // SHOWN_ORDERS)][:SHOWN_ORDERS]}
